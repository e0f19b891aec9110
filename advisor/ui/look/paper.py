"""What an answer's printed page has beside its words: the map of the bath, the drawings of a test.

Used by the pages and by the command line alike, so it does not know Streamlit.
"""

from __future__ import annotations

import html
from urllib.parse import quote

from advisor.bench.cards import BenchCard
from advisor.check.advice import Advice
from advisor.questions.remake import Decision
from advisor.sheet import Sheet
from advisor.ui import drawings
from advisor.ui.charts.bath_map import describe
from advisor.ui.charts.map_of_check import map_numbers
from advisor.ui.charts.map_picture import PAPER, map_picture
from advisor.words.lines import Units
from advisor.words.report import page
from advisor.words.sections import Answer, Section


def printed(sheet: Sheet, answer: Answer, title: str, units: Units, before: tuple[Section, ...] = ()) -> str:
    """Return the page to print of an answer to a sheet; before: what is to be read before the answer."""
    date = sheet.bath.date.isoformat() if sheet.bath.date else ""
    return page(title, (*before, *answer.sections()), date, units, pictures(sheet, answer, units), blanks(answer))


def pictures(sheet: Sheet, answer: Answer, units: Units) -> tuple[str, ...]:
    """Return the pictures of an answer as HTML, each with its words for those who do not see it."""
    if isinstance(answer, Advice):
        numbers = map_numbers(sheet, answer, units)
        if numbers.stations():
            words = html.escape(describe(numbers).text(units), quote=True)
            return (f'<img src="data:image/svg+xml,{quote(map_picture(numbers, PAPER))}" alt="{words}"/>',)
    if isinstance(answer, BenchCard):
        return tuple(drawing.on_paper() for drawing in drawings.of_card(answer))
    if isinstance(answer, Decision):
        return (drawings.drawing(drawings.BENT_STRIP).on_paper(),)
    return ()


def blanks(answer: Answer) -> tuple[str, ...]:
    """Return what a person writes on the page at the bench."""
    if isinstance(answer, BenchCard):
        return ("First time", "Second time", "Date, temperature, tools")
    return ("Done on, by", "Notes")
