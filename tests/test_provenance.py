"""Every number that a module holds at its top level says where it comes from: read, from memory, computed, judgement …

The word stands in a comment on the statement's own lines, in the comment directly above it or above its paragraph, or in
the string below it. What it says of the world is checked by the tests of the module; here only that it says so.
"""

import ast
import re
import tokenize
from collections.abc import Iterator
from pathlib import Path

import pytest

ADVISOR = Path(__file__).parents[1] / "advisor"
ROOMS = ("basis", "words", "solution", "readings", "measure", "check", "bench", "questions", "record", "ui")
PROVENANCE = re.compile(
    r"\b(sources?|read|judgement|from memory|common practice|exact|computed|stoichiometry)\b", re.IGNORECASE
)

ELSEWHERE = ("solution/density.py",)  # its head tells of every coefficient
MODULES = [
    path
    for room in ROOMS
    for path in sorted((ADVISOR / room).rglob("*.py"))
    if not path.relative_to(ADVISOR).as_posix().startswith(ELSEWHERE)
] + sorted(ADVISOR.glob("*.py"))


def is_number(node: ast.AST) -> bool:
    return isinstance(node, ast.Constant) and type(node.value) in (int, float)


def numbers(node: ast.AST) -> Iterator[ast.AST]:
    """Return the numbers of a statement; the place of something in a list is none, nor is the 100 of a per cent."""
    if is_number(node):
        yield node
    for name, part in ast.iter_fields(node):
        is_a_place = isinstance(node, ast.Subscript) and name == "slice"
        if not is_a_place and not isinstance(node, ast.FormattedValue):
            for child in part if isinstance(part, list) else [part]:
                if isinstance(child, ast.AST):
                    yield from numbers(child)


def constants(source: str) -> Iterator[tuple[int, str]]:
    """Return line and name of each top-level constant with a number in it that says nothing of where it comes from."""
    lines = source.split("\n")
    comments = {
        token.start[0]: token.string
        for token in tokenize.generate_tokens(iter(f"{line}\n" for line in lines).__next__)
        if token.type == tokenize.COMMENT
    }
    body = ast.parse(source).body
    for node, after in zip(body, [*body[1:], None], strict=True):
        if not isinstance(node, ast.Assign | ast.AnnAssign) or node.value is None:
            continue
        if not any(numbers(node.value)):
            continue
        said = [comments.get(number, "") for number in range(node.lineno, (node.end_lineno or node.lineno) + 1)]
        said += list(above(lines, node.lineno))
        if isinstance(after, ast.Expr) and isinstance(after.value, ast.Constant):
            said.append(str(after.value.value))
        if not PROVENANCE.search(" ".join(said)):
            yield node.lineno, ast.unparse(node).split("=")[0].strip()


def above(lines: list[str], line: int) -> Iterator[str]:
    """Return the comment lines directly above a line, and those at the top of its paragraph."""
    number = line - 1
    while number and lines[number - 1].startswith("#"):
        number -= 1
        yield lines[number]
    while number and lines[number - 1].strip():
        number -= 1
    while lines[number].startswith("#"):
        yield lines[number]
        number += 1


@pytest.mark.parametrize("module", MODULES, ids=lambda path: path.relative_to(ADVISOR).as_posix())
def test_every_constant_says_where_it_comes_from(module):
    assert list(constants(module.read_text(encoding="utf-8"))) == []


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ("LIMIT = 3.5\n", ["LIMIT"]),
        ("LIMIT = 3.5  # g/L\n", ["LIMIT"]),
        ("LIMIT = 3.5  # g/L (judgement)\n", []),
        ("# Published there, read.\nLIMIT = 3.5\n", []),
        ("# From memory.\nLOW = 1.0\nHIGH = 2.0\n", []),
        ("LOW = 1.0  # from memory\nHIGH = 2.0\n", ["HIGH"]),
        ("# From memory.\nLOW = 1.0\n\nHIGH = 2.0\n", ["HIGH"]),
        ('LIMIT = 3.5\n"""Computed from that."""\n', []),
        ("TABLE = {\n    'a': 1.0,  # common practice, no source\n}\n", []),
        ("TWICE = 2 * LIMIT\n", ["TWICE"]),
        ("FIRST = NAMES[0]\nSAID = f'{100 * SHARE:.0f} %'\n", []),
        ("PAIR = NAMES[0], 3.5\n", ["PAIR"]),
        ("NAME = 'a number: 3.5'\nFLAG = True\nSUM = LOW + HIGH\n", []),
    ],
)
def test_the_search_finds_what_it_should(source, found):
    assert [name for _, name in constants(source)] == found
