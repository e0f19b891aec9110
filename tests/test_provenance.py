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
ROOMS = ("solution", "readings", "check", "questions", "bench", "measure", "record")
PROVENANCE = re.compile(
    r"\b(sources?|read|judgement|from memory|common practice|exact|computed|stoichiometry)\b", re.IGNORECASE
)

ELSEWHERE = ("solution/density.py",)  # its head tells of every coefficient
MODULES = [
    path
    for room in ROOMS
    for path in sorted((ADVISOR / room).rglob("*.py"))
    if not path.relative_to(ADVISOR).as_posix().startswith(ELSEWHERE)
]


def is_number(node: ast.AST) -> bool:
    return isinstance(node, ast.Constant) and type(node.value) in (int, float)


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
        if not any(is_number(part) for part in ast.walk(node.value)):
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
        ("NAME = 'a number: 3.5'\nFLAG = True\nSUM = LOW + HIGH\n", []),
    ],
)
def test_the_search_finds_what_it_should(source, found):
    assert [name for _, name in constants(source)] == found
