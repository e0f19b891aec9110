"""Advice as a text for the terminal and as one printable page.

It only arranges what an answer's sections say: 80 columns for the terminal, black on white for paper. The page's
template is in `templates`; everything that a person typed is escaped on it.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Sequence
from functools import cache
from typing import TYPE_CHECKING

from advisor.basis import __version__
from advisor.words.lines import Amount, Line, Units, in_units, whole
from advisor.words.names import shown_name
from advisor.words.sections import Answer, Block, Section

if TYPE_CHECKING:
    from jinja2 import Template

WIDTH = 80  # letters of a line in a terminal (common practice, no source)
GENERATOR = '<meta name="generator" content="copper-bath-advisor">'  # marks a page as made by this program


def terminal(title: str, sections: Sequence[Section], units: Units) -> str:
    """Return the sections as text of at most 80 columns."""
    blocks = [title, "=" * len(title)]
    for section in sections:
        blocks += ["", section.title, "-" * len(section.title)]
        for number, line in enumerate(section.lines, 1):
            mark = f"{number}. " if section.numbered else "! " if section.caution else "- "
            blocks.append(
                textwrap.fill(
                    in_units(line, units),
                    WIDTH,
                    initial_indent=mark,
                    subsequent_indent=" " * len(mark),
                    break_on_hyphens=False,
                )
            )
    return "\n".join(blocks) + "\n"


def page(
    title: str,
    sections: Sequence[Section],
    date: str = "",
    units: Units = Units.METRIC,
    pictures: Sequence[str] = (),
    blanks: Sequence[str] = (),
) -> str:
    """Return the sections as one self-contained HTML page to work from: boxes to tick, lines to write on.

    pictures: images as HTML of this program's own, not escaped. blanks: names of lines left to write on.
    """
    stamp = " · ".join(part for part in (date, f"copper bath advisor {__version__}") if part)
    words = {"title": title, "stamp": stamp, "units": units, "blanks": blanks}
    made = _template("page.html.j2").render(sections=sections, pictures=pictures, steps=Block.STEPS, **words)
    return shown_name(made)


END = re.compile(r"\. ")
END_OF_DOSE = re.compile(r"[.:] ")  # what follows an amount and a colon says why or how


def parted(text: str) -> tuple[Line, Line]:
    """Return the first sentence of a line, which says what to do and how much of it, and the rest."""
    first: list[str | Amount] = []
    parts = Line.of([text]).parts
    for number, part in enumerate(parts):
        end = END_OF_DOSE if any(isinstance(before, Amount) for before in first) else END
        found = end.search(part) if isinstance(part, str) else None
        if found and isinstance(part, str):
            return Line.of([*first, part[: found.start() + 1]]), Line.of([part[found.end() :], *parts[number + 1 :]])
        first.append(part)
    return Line.of(first), Line("")


@cache
def _template(name: str) -> Template:
    """Return a template of this package; it escapes what is put into it."""
    from jinja2 import Environment, PackageLoader  # loaded only when a page is printed

    environment = Environment(
        loader=PackageLoader("advisor.words"), autoescape=True, trim_blocks=True, keep_trailing_newline=True
    )
    environment.filters["in_units"] = lambda text, units: whole(in_units(text, units))
    environment.filters["parted"] = parted
    return environment.get_template(name)


def heading(answer: Answer, name: str) -> str:
    """Return the title of an answer's page, with the bath's name where it has one."""
    return f"{answer.TITLE}: {name}" if name else answer.TITLE
