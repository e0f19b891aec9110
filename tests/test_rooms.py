"""Imports go downwards only, from room to room and within a room in no circle."""

import ast
import re
from collections.abc import Iterable, Iterator
from functools import cache
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
# From the ground up. What stands on one line may not know its neighbours on that line either.
FLOORS = (
    ("basis",),
    ("words", "examples"),
    ("solution",),
    ("readings",),
    ("measure",),
    ("sheet",),
    ("check",),
    ("bench", "questions"),
    ("record",),
    ("ui",),
    ("pages",),
    ("app", "launch", "__init__"),
    ("__main__",),
)
FLOOR = {room: number for number, rooms in enumerate(FLOORS) for room in rooms}
MOST_BRANCHES = 12  # in a function: more is more than one idea
MOST_ENTRIES = 16  # at the level of advisor/, besides what is no module of ours
NO_MODULE = {"py.typed", "LICENSE", "CHANGES.md", ".streamlit", "__pycache__"}


def modules() -> dict[str, Path]:
    """Return every module of advisor and pages by its dotted name."""
    files = [*(ROOT / "advisor").rglob("*.py"), *(ROOT / "pages").glob("*.py")]
    return {".".join(file.relative_to(ROOT).with_suffix("").parts): file for file in files}


MODULES = modules()  # once: the folders are read by every test here


@cache
def parsed(file: Path) -> ast.Module:
    return ast.parse(file.read_text("utf-8"))


def room_of(module: str) -> str:
    parts = module.split(".")
    return parts[0] if parts[0] == "pages" else parts[1] if len(parts) > 1 else "__init__"


def imports(file: Path) -> Iterator[str]:
    """Return what a file imports from the project, inside functions too, as `advisor.room.module`."""
    for node in ast.walk(parsed(file)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names if alias.name.startswith("advisor"))
        elif isinstance(node, ast.ImportFrom) and (node.module or "").startswith("advisor"):
            assert node.level == 0
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def known(name: str, names: dict[str, Path]) -> str:
    """Return the module that an imported name is or lives in."""
    for candidate in (name, f"{name}.__init__", name.rpartition(".")[0], f"{name.rpartition('.')[0]}.__init__"):
        if candidate in names:
            return candidate
    raise AssertionError(f"{name} is no module of ours")


@cache
def arrows() -> dict[str, set[str]]:
    """Return which modules each module imports."""
    return {
        name: {known(found, MODULES) for found in imports(file)} - {"advisor.__init__"}
        for name, file in MODULES.items()
    }


@pytest.mark.parametrize("module", sorted(MODULES))
def test_no_import_runs_upwards(module: str) -> None:
    here = room_of(module)
    for other in arrows()[module]:
        there = room_of(other)
        assert there == here or FLOOR[there] < FLOOR[here], f"{module} imports {other}"


def test_no_import_runs_in_a_circle() -> None:
    assert len(tuple(TopologicalSorter(arrows()).static_order())) >= len(MODULES)  # raises CycleError on a circle


def test_the_package_has_few_rooms() -> None:
    entries = {entry.name for entry in (ROOT / "advisor").iterdir()} - NO_MODULE
    assert len(entries) <= MOST_ENTRIES, sorted(entries)


def test_only_the_screen_knows_streamlit() -> None:
    for name, file in MODULES.items():
        if room_of(name) not in ("ui", "pages", "app", "launch"):
            assert "import streamlit" not in file.read_text("utf-8"), name
            assert "from streamlit" not in file.read_text("utf-8"), name


@pytest.mark.slow
def test_no_two_classes_share_a_name() -> None:
    where: dict[str, list[str]] = {}
    for name, file in MODULES.items():
        for node in ast.walk(parsed(file)):
            if isinstance(node, ast.ClassDef):
                where.setdefault(node.name, []).append(name)
    assert not {name: homes for name, homes in where.items() if len(homes) > 1}


def test_a_class_without_fields_of_its_own_is_no_dataclass_again() -> None:
    """It inherits all that makes it one, and to make that anew takes every start of a command a millisecond."""
    again = [
        node.name
        for file in MODULES.values()
        for node in ast.walk(parsed(file))
        if isinstance(node, ast.ClassDef)
        and any("dataclass" in ast.unparse(decorator) for decorator in node.decorator_list)
        and not any(isinstance(part, ast.AnnAssign) for part in node.body)
    ]
    assert not again


@pytest.mark.slow
def test_nothing_is_called_by_tests_alone() -> None:
    templates = [file.read_text("utf-8") for file in (ROOT / "advisor").rglob("*.j2")]
    used = set(re.findall(r"\w+", "\n".join(templates)))
    used |= {name for file in MODULES.values() for node in ast.walk(parsed(file)) for name in names_used(node)}
    defined = {
        name
        for file in MODULES.values()
        for node in ast.walk(parsed(file))
        for name in names_made(node)
        if not name.startswith("__")
    }
    assert not sorted(defined - used)


def names_used(node: ast.AST) -> Iterator[str]:
    """Return the names that a node reads; of text only what stands without a space, as for `getattr`: no prose."""
    match node:
        case ast.Name(id=name, ctx=ast.Load()) | ast.Attribute(attr=name) | ast.alias(name=name):
            yield name
        case ast.Constant(value=str(text)) if " " not in text:
            yield from re.findall(r"\w+", text)


def names_made(node: ast.AST) -> Iterator[str]:
    """Return the names that a node gives to functions and classes, and a module to its constants."""
    if isinstance(node, ast.FunctionDef | ast.ClassDef):
        yield node.name
    elif isinstance(node, ast.Module):
        for statement in node.body:
            targets = [statement.target] if isinstance(statement, ast.AnnAssign) else getattr(statement, "targets", [])
            yield from (target.id for target in targets if isinstance(target, ast.Name))


def branches(function: ast.AST) -> int:
    """Return the cyclomatic complexity of a function: one, and one for each point where its way may part.

    Those are `if` (also within an expression), loops and their `else`, each `except` and the `else` of a `try`, each
    `case`, each further part of `and` and `or`, and each `for` and `if` of a comprehension; functions inside count in.
    """
    count = 1
    for node in ast.walk(function):
        match node:
            case ast.If() | ast.IfExp() | ast.match_case():
                count += 1
            case ast.For() | ast.While() | ast.AsyncFor():
                count += 1 + bool(node.orelse)
            case ast.Try():
                count += len(node.handlers) + bool(node.orelse)
            case ast.BoolOp():
                count += len(node.values) - 1
            case ast.comprehension():
                count += 1 + len(node.ifs)
    return count


def tangled(files: Iterable[tuple[str, ast.Module]]) -> dict[str, int]:
    """Return every function of more than MOST_BRANCHES in modules, by module and name."""
    return {
        f"{name}.{node.name}": branches(node)
        for name, module in files
        for node in ast.walk(module)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) and branches(node) > MOST_BRANCHES
    }


@pytest.mark.slow
def test_no_function_branches_more_than_one_idea_needs() -> None:
    assert not tangled((name, parsed(file)) for name, file in MODULES.items())


def test_a_tangled_function_would_be_noticed() -> None:
    whole = "def f(x):\n" + "    if x: pass\n" * (MOST_BRANCHES - 1)
    mixed = "def f(x):\n    y = [i for i in x if i and not x or i]\n" + "    x = 1 if x else 2\n" * (MOST_BRANCHES - 4)
    more = whole + "    while x: pass\n"
    assert not tangled([("whole", ast.parse(whole))])
    assert tangled([("more", ast.parse(more)), ("mixed", ast.parse(mixed))]) == {"more.f": 13, "mixed.f": 13}
