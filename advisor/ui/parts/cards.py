"""How an answer looks: what it was computed from, the bath on its map, the steps to work from, what to know.

The sentences come from the answer itself (`sections`, `step_dose`, `phrases`); here they are only laid out. All that
a person typed is escaped. `answer_of`, `computed_from` and `sections` serve any page; `glance` shows all in short.
"""

from __future__ import annotations

import html
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import chain, repeat
from urllib.parse import quote

import streamlit as st

from advisor.basis.fields import Fault, QuantityField, asked_fields, fields_of
from advisor.basis.places import PAGES
from advisor.basis.units import Measured
from advisor.check.advice import Advice, held, inside
from advisor.check.mass_balance import After
from advisor.check.ways import ways_section
from advisor.readings import Reading
from advisor.readings.origin import Origin
from advisor.sheet import Sheet
from advisor.ui import drawings, fields
from advisor.ui.charts.bath_map import BathMap, describe
from advisor.ui.charts.map_of_check import map_numbers
from advisor.ui.charts.map_picture import SCREEN, map_picture, told_points
from advisor.ui.look.own_units import chosen, shown, unparted
from advisor.ui.look.pages_list import PAGES_IN_ORDER
from advisor.ui.parts import terms
from advisor.ui.session import state
from advisor.ui.session.state import Result, Typed
from advisor.words.cautions import Act, caution
from advisor.words.cautions import cautions as cautions_of
from advisor.words.lines import Amount, Line, joined, line, small
from advisor.words.sections import Block, Section


def answer_of(entry: Typed[Result], beside: bool = False) -> Result | None:
    """Return the answer (or None, and say what it waits for); an earlier one is marked and greyed.

    beside: the page shows the field of what is missing next to it.
    """
    if entry.answer is None or entry.answered is None:
        ask_for_what_is_missing(entry, beside)
        return None
    if not entry.current:
        outdated(entry)
    return entry.answer


BEGUN = "A test that you began is not finished, so it is not counted here."
_OF_BEFORE = "This is the answer from before your last change."


def outdated(entry: Typed[object]) -> None:
    """Say that what stands below is without a test that was begun, or of before the last change, and grey it."""
    places = ", ".join(dict.fromkeys(html.escape(fields.called(place)) for place in entry.errors))
    waits = all(error.fault is Fault.MISSING for error in entry.errors.values())
    kind, what = ("old waits", "Still missing") if waits else ("old", "Fix first")
    said = BEGUN if waits and state.is_of_all_finished(entry.answered) else _OF_BEFORE
    st.html(
        f'<p class="{kind}" role="status"><b>{said}</b> {what}: {places}.</p>'
        "<style>[class*=st-key-answer] :is(.bath-map, .glance, .holds, .stCheckbox, .lines) { opacity: .45 }"
        "</style>"
    )
    _lead_to(entry.errors)


# The page that has all fields of a table; what is not listed stands on the page Check.
_PAGE_OF = {
    "plate": "plating_run.py",
    "hull_cell": "deposit_faults.py",
    "deposit": "deposit_faults.py",
    "keep": "keep_or_remake.py",
    "dispose": "keep_or_remake.py",
    "mix": "mix.py",
    "anodes": "treatments.py",
    "treat": "treatments.py",
    "part": "parts.py",
    "buy": "parts.py",
    "shelf": "parts.py",
}


def _lead_to(places: Iterable[str]) -> None:
    """Offer the way to the pages that have the fields which this one has not."""
    elsewhere = [place for place in places if not state.is_asked_here(place)]
    files = {_PAGE_OF.get(place.partition(":")[0].partition(" ")[0], "check.py") for place in elsewhere}
    for page in PAGES_IN_ORDER:
        if page.file in files and page.title != state.page():
            st.page_link(PAGES / page.file, label=f"Fix it on the page {page.title} →")


_WANTED = {"bath: volume": "how much bath is there?", "plate: area": "how large is the part?"}


_ASKED_FOR = "<style>.stElementContainer:has(> .stHtml > .field-missing) { display: none }</style>"


def ask_for_what_is_missing(entry: state.Typed[object], beside: bool) -> None:
    """Say in one sentence what an answer waits for, with the field where one is all that is missing.

    beside: the page shows that field next to it, where it is asked for no second time.
    """
    missing = [error for error in entry.errors.values() if error.fault is Fault.MISSING]
    if not missing or len(missing) < len(entry.errors):
        places = ", ".join(dict.fromkeys(html.escape(fields.called(place)) for place in entry.errors))
        st.html(f'<p class="from">No answer yet. Fix first: {places}.</p>')
        _lead_to(entry.errors)
        return
    count = "One thing is" if len(missing) == 1 else f"{len(missing)} things are"
    place, _, name = missing[0].place.partition(": ")
    known = fields_of(state.table_of(place))
    said = fields.accepted_on_screen(missing[0], known).removeprefix("needed: ")
    wanted = html.escape(_WANTED.get(missing[0].place, said), quote=False)
    st.html(f'<p class="missing"><b>{count} missing:</b> {wanted}</p>{_ASKED_FOR if beside else ""}')
    if beside:
        return
    field = known.get(name)
    with st.container(key="asked"):
        if isinstance(field, QuantityField):
            fields.one(place, entry, name, where="_asked")
        elif field:
            say_from(f"{field.label}: choose what fits.")


def say_from(text: str) -> None:
    """Say what an answer was computed from."""
    st.html(said_from(text))


def said_from(text: str) -> str:
    """Return what an answer was computed from as HTML."""
    return f'<p class="from">{unparted(text)}</p>'


def computed_from(sheet: Sheet) -> str:
    """Say what an answer was computed from, with each reading's numbers."""
    bath = sheet.bath
    readings = [f"{small(reading.label)} ({_numbers(reading)})" for reading in sheet.readings]
    name = f"{bath.name}: " if bath.name else "" if bath.volume_known else "Bath "
    told = f"From {'; '.join(readings)}" if readings else "No reading yet"
    how_much = f"{bath.volume.text} " if bath.volume_known else ""
    warmth = line("{warmth}", warmth=Amount(bath.temperature.value, "°C", digits=3))  # where nobody typed one
    temperature = f"at {bath.temperature.text}" if bath.was_given("temperature") else f"at an assumed {shown(warmth)}"
    said = f"{name}{how_much}{temperature}, judged by the window “{sheet.window.name}”. {told}."
    return fields.as_written(said)


def _numbers(reading: Reading) -> str:
    """Return what was typed into a reading's main fields; what was computed, as its ± allows."""
    known = asked_fields(type(reading))
    main = [name for name, field in known.items() if field.required] or [name for name in known if name != "note"]
    values = [getattr(reading, name) for name in main]
    computed = reading.origin == Origin.LOGBOOK
    said = [_typed(value, computed) if isinstance(value, Measured) else value for value in values]
    return ", ".join(fields.choice_called(item) for item in said if isinstance(item, str) and item)


def _typed(value: Measured, computed: bool) -> str:
    spread = value.standard_uncertainty
    if not computed or spread is None:
        return value.text
    return shown(line("{value}", value=Amount(value.value, value.unit, standard_uncertainty=spread)))


# --- The bath on its map --------------------------------------------------------------------------


def map_of(sheet: Sheet, advice: Advice, done: int, tried: After | None) -> str:
    """Return the bath on its map as HTML, or a sentence while nothing is known; `done` steps have been taken.

    tried: the bath after what a person would rather add; its way is drawn in place of the correction's.
    """
    numbers = map_numbers(sheet, advice, chosen(), done)
    if tried:
        numbers = replace(numbers, path=((tried.copper_sulfate, tried.sulfuric_acid),), done=0, added=("what you add",))
    if numbers.copper_sulfate is None and numbers.sulfuric_acid is None:
        comes = said_from("The map of your bath comes with the first reading that settles copper sulfate or acid.")
        return "" if sheet.bath.condition else comes  # a sound sample comes first
    known = None not in (numbers.copper_sulfate, numbers.sulfuric_acid)
    way = f" Line: {'what you try' if tried else 'correction'}." if numbers.path and known else ""
    said = "Ellipse: measured, 95 % sure." if known else "Only one component is known: the bath lies in the band."
    aim = " Cross: aim." if known and numbers.target else ""
    caption = unparted(f"{said}{way}{aim}")
    return f'<figure class="bath-map">{_picture(numbers)}<figcaption>{caption}</figcaption></figure>'


def _picture(numbers: BathMap) -> str:
    """Return the map as HTML: the image with its words, and over each station of the way what a pointer there shows."""
    words = html.escape(shown(describe(numbers)))
    image = f'<img src="data:image/svg+xml,{quote(map_picture(numbers, SCREEN))}" alt="{words}">'
    told = "".join(
        f'<i style="left:{x:.1f}%;top:{y:.1f}%" title="{html.escape(said)}"></i>'
        for (x, y), said in told_points(numbers)
    )
    return f"<div>{image}{told}</div>"


# --- What to do -----------------------------------------------------------------------------------


def bath_after(after: After, advice: Advice, last: bool) -> Line:
    """Say what the bath will be after a step; after the last one also how surely it is inside the window."""
    known = [name for name, judged in advice.verdict.items() if judged.state != "not measured"]
    tells = advice.tells_how_surely or not any(after is step.after for step in advice.steps)  # what is tried is no step
    sure = f"; {inside(after)}" if last and tells else ""
    again = joined("", (line(" {said}", said=said) for said in advice.about_the_steps))
    return line(
        "{volume:.2f L} with {held}{sure}.{again}",
        volume=after.volume,
        held=held(after, known),
        sure=sure,
        again=again if last else "",
    )


def other_cautions(advice: Advice) -> tuple[str, ...]:
    """Return the cautions that stand at no step."""
    placed = {text for step in advice.steps for text in cautions_of(step.acts)} | {caution(Act.PARTS_AND_ANODES_OUT)}
    return tuple(text for text in advice.cautions if not advice.steps or text not in placed)


def begin(advice: Advice) -> None:
    """Show what comes before all else; how to take a sound sample, the glance says."""
    first = advice.first_of_all
    if first.lines and not advice.sample:
        sections([replace(first, caution=True)])


def show_drawings(shown: Iterable[drawings.Drawing]) -> None:
    """Draw what to look for in a test, side by side where there is room."""
    pictures = [drawings.large(one) for one in shown]
    if pictures:
        st.html(f'<div class="drawings">{"".join(pictures)}</div>')


def first_aid(advice: Advice) -> None:
    """Show first aid, where a step or a way calls for it."""
    sections([block for block in advice.sections() if block.key is Block.FIRST_AID])


def ways(advice: Advice) -> None:
    """Show what can be done beside the steps so that nothing is thrown away."""
    block = ways_section(advice.ways)
    sections([block] if block.lines else [])


def besides(advice: Advice) -> None:
    """Show, folded, what stands neither in the rows nor in the steps: other ways, warnings, cautions."""
    elsewhere = (Block.FIRST, Block.RESULT, Block.STEPS, Block.AFTERWARDS, Block.NEXT_READING)
    blocks = [block for block in advice.sections() if block.key not in elsewhere]
    for block in blocks:
        if not block.caution:
            with st.expander(block.title):
                sections([block], titled=False)
    fold(*(block for block in blocks if block.caution))


def cautions(lines: Sequence[str]) -> None:
    """Show cautions."""
    if lines:
        st.html(_cautions(lines))


def _cautions(lines: Sequence[str]) -> str:
    listed = "".join(f"<li>{terms.with_pages(unparted(shown(line)))}</li>" for line in lines)
    return f'<ul class="caution">{listed}</ul>' if listed else ""


def sections(
    blocks: Sequence[Section],
    titled: bool = True,
    shares: Mapping[str, float] | None = None,
    at_the_act: bool = False,
) -> None:
    """Show blocks of any answer with their titles: steps numbered, cautions marked, those of a line at it.

    shares: of a line, how much of all it takes (0 to 1), drawn as a bar below it; the line says it in words.
    at_the_act: the steps that the cautions are of stand beside them, so they are in full; else they fold to a line.
    """
    for block in blocks if at_the_act else care_beneath(blocks):
        if _folds(block, at_the_act):
            fold(block)
            continue
        if titled:
            st.subheader(block.title, anchor=False)
        if block.caution:
            cautions(block.lines)
        else:
            _lines(block, shares or {})


def _folds(block: Section, at_the_act: bool) -> bool:
    return block.caution and block.key is not Block.FIRST and (block.key is Block.FIRST_AID or not at_the_act)


def _lines(block: Section, shares: Mapping[str, float]) -> None:
    tag = "ol" if block.numbered else "ul"
    listed = "".join(
        f"<li>{terms.with_pages(terms.linked(unparted(shown(text))))}{_bar(text, shares)}{_cautions(of_line)}</li>"
        for text, of_line in zip(block.lines, chain(block.beside, repeat(())), strict=False)
    )
    st.html(f'<{tag} class="lines">{listed}</{tag}>')


def care_beneath(blocks: Sequence[Section]) -> list[Section]:
    """Return blocks with the cautions, which fold to a line, right beneath the first: that is the verdict.

    Those that stand at their step are left out.
    """
    told = {text for block in blocks for of_line in block.beside for text in of_line}
    care = [block for block in blocks[1:] if block.caution and block.key is not Block.FIRST_AID]
    others = [block for block in blocks[1:] if block not in care]
    folded = [replace(block, lines=tuple(text for text in block.lines if text not in told)) for block in care]
    return [*blocks[:1], *folded, *others]


def fold(*blocks: Section) -> None:
    """Show cautions as one line each, which a tap unfolds: all are in the page, and on paper they stand open."""
    folded = "".join(
        f'<details class="caution"><summary><b>{html.escape(block.title)}</b> '
        f"<span>{html.escape(shown(block.lines[0]))}</span></summary>{_cautions(block.lines)}</details>"
        for block in blocks
        if block.lines
    )
    if folded:
        st.html(folded)


def _bar(text: str, shares: Mapping[str, float]) -> str:
    if text not in shares:
        return ""
    return f'<span class="share" aria-hidden="true"><i style="width:{100 * shares[text]:.0f}%"></i></span>'
