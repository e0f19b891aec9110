"""A public function of numbers says in which units it takes and gives them, and of which shape its arrays are.

Units stand in brackets, "[g/L]"; a pure number is called by its name, such as a probability or a share.
"""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ADVISOR = Path(__file__).parents[1] / "advisor"
ROOMS = ("solution", "readings", "measure", "check", "questions", "bench", "record")
NUMBERS = {"float", "Number", "FloatArray", "ArrayLike", "NDArray"}
ARRAYS = {"FloatArray", "ArrayLike", "NDArray"}
PURE = re.compile(
    r"\b(probab\w+|likel\w+|odds|weights?|factors?|fraction|share|shares|correlation|relative|chances?|scale|percent|"
    r"absorbance|uncertainty is|pH)\b",
    re.IGNORECASE,
)
SHAPE = re.compile(r"\bshape\b|\belement by element\b|\(\d?[mn\d](?:, ?[\w*]+)*,?\)", re.IGNORECASE)
MODULES = [path for room in ROOMS for path in sorted((ADVISOR / room).rglob("*.py"))]


def functions(node: ast.AST) -> Iterator[ast.FunctionDef]:
    """Return public functions and methods; what stands inside a function is its own business."""
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.ClassDef):
            yield from functions(child)
        elif isinstance(child, ast.FunctionDef) and not child.name.startswith("_"):
            yield child


def annotated(function: ast.FunctionDef) -> set[str]:
    """Return the names in the annotations of a function."""
    arguments = function.args
    given = [one.annotation for one in (*arguments.posonlyargs, *arguments.args, *arguments.kwonlyargs)]
    parts = [part for part in (*given, function.returns) if part is not None]
    return {name.id for part in parts for name in ast.walk(part) if isinstance(name, ast.Name)}


def silent(source: str) -> Iterator[str]:
    """Return each function of numbers without units, and each of arrays without a shape."""
    for function in functions(ast.parse(source)):
        said, names = ast.get_docstring(function) or "", annotated(function)
        if names & NUMBERS and "[" not in said and not PURE.search(said):
            yield f"{function.name}: units"
        if names & ARRAYS and not SHAPE.search(said):
            yield f"{function.name}: shape"


@pytest.mark.parametrize("module", MODULES, ids=lambda path: path.relative_to(ADVISOR).as_posix())
def test_functions_of_numbers_say_their_units_and_shapes(module):
    assert list(silent(module.read_text(encoding="utf-8"))) == []


@pytest.mark.parametrize(
    ("said", "found"),
    [
        ("Return the density [g/mL], shape as the arguments broadcast.", []),
        ("Return the density [g/mL].", ["f: shape"]),
        ("Return the density of n baths, shape (n,).", ["f: units"]),
        ("Return the probability of each (n,).", []),
        ("Return something.", ["f: units", "f: shape"]),
    ],
)
def test_a_silent_function_would_be_noticed(said, found):
    assert list(silent(f'def f(x: FloatArray) -> float:\n    """{said}"""\n')) == found
