"""Advice as a text for the terminal and as one printable page.

It only arranges what an answer's sections say: 80 columns for the terminal, black on white for paper. Everything that
a person typed is escaped on the page.
"""

from __future__ import annotations

import html
import textwrap
from collections.abc import Sequence
from typing import Any

from advisor.basis import __version__
from advisor.words.cautions import first_aid
from advisor.words.sections import Section

WIDTH = 80


def terminal(title: str, sections: Sequence[Section]) -> str:
    """Return the sections as text of at most 80 columns."""
    blocks = [title, "=" * len(title)]
    for section in _with_first_aid(sections):
        blocks += ["", section.title, "-" * len(section.title)]
        for number, line in enumerate(section.lines, 1):
            mark = f"{number}. " if section.numbered else "! " if section.caution else "- "
            blocks.append(
                textwrap.fill(
                    line, WIDTH, initial_indent=mark, subsequent_indent=" " * len(mark), break_on_hyphens=False
                )
            )
    return "\n".join(blocks) + "\n"


_STYLE = """
body { font: 11pt/1.4 Georgia, serif; color: #000; background: #fff; max-width: 46em; margin: 1.5em auto; padding: 0
1em; } h1 { font-size: 16pt; margin: 0 0 .2em; } h2 { font-size: 12pt; margin: .9em 0 .2em; border-bottom: 1px solid
#000; } ol, ul { margin: .2em 0; padding-left: 1.6em; } li { margin: .15em 0; } .caution li { list-style-type:
"\\26A0\\FE0E  "; } footer { margin-top: 1.2em; font-size: 9pt; } ol.steps li { list-style-position: outside; }
ol.steps li::before { content: "\\2610  "; } @media print { body { margin: 0; max-width: none; font-size: 10pt; } }
"""


def page(title: str, sections: Sequence[Section], date: str = "") -> str:
    """Return the sections as one self-contained HTML page."""
    body = []
    for section in _with_first_aid(sections):
        tag = "ol" if section.numbered else "ul"
        kind = "steps" if section.numbered else "caution" if section.caution else "plain"
        items = "".join(f"<li>{html.escape(line)}</li>" for line in section.lines)
        body.append(f'<h2>{html.escape(section.title)}</h2><{tag} class="{kind}">{items}</{tag}>')
    stamp = f"{html.escape(date)} · copper bath advisor {__version__}".strip(" ·")
    return (
        f'<!doctype html><html lang="en"><head><meta charset="utf-8"><title>{html.escape(title)}</title>'
        f'<meta name="viewport" content="width=device-width"><style>{_STYLE}</style></head><body>'
        f"<h1>{html.escape(title)}</h1>{''.join(body)}<footer>{stamp}</footer></body></html>\n"
    )


def _with_first_aid(sections: Sequence[Section]) -> tuple[Section, ...]:
    """Return the sections, with first aid at the end where any of them warns."""
    return (*sections, first_aid()) if any(section.caution for section in sections) else tuple(sections)


def heading(answer: Any, name: str) -> str:
    """Return the title of an answer's page, with the bath's name where it has one."""
    return f"{answer.TITLE}: {name}" if name else str(answer.TITLE)
