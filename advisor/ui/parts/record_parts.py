"""The parts of the page Logbook: charts, last advice, where the losses go, forms for entries, export and import."""

from __future__ import annotations

import datetime
import html
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import streamlit as st

from advisor.basis.components import NAMES
from advisor.basis.fields import InputError, NumberField
from advisor.basis.places import PAGES
from advisor.check.mass_balance import After
from advisor.check.steps import Step, step_dose
from advisor.record.account import where_it_went
from advisor.record.carried import Carried, carry_forward
from advisor.record.drift import NotEnoughKnown
from advisor.record.entries import CONTENTS, Check, Entry, Withdrawn, standing
from advisor.record.exchange import LARGEST_IMPORT, ImportPlan, carry_out, entries_as_csv, export, plan_import
from advisor.record.forecast import additive_due, asks_for, forecast
from advisor.record.logbook import Logbook
from advisor.sheet import parse_sheet
from advisor.ui import fields
from advisor.ui.charts import time_line
from advisor.ui.fields import plain
from advisor.ui.look.own_units import shown
from advisor.ui.parts import cards, entry_form
from advisor.ui.session import state
from advisor.ui.session.unfinished import ONLY_HERE
from advisor.words.sections import Section
from advisor.words.states import brief

_NOT_SHOWN = After(0.0, 0.0, 0.0, None, 0.0)  # the record keeps no bath after each step
_SAID = "logbook_said"


def charts(entries: Sequence[Entry]) -> None:
    """Draw the time line of each course that has values."""
    dark = st.context.theme.type == "dark"
    for course in time_line.COURSES:
        if time_line.points(course, entries):
            spec = time_line.time_line(course, entries, dark)
            words = time_line.describe(course, entries)
            st.vega_lite_chart(spec=spec, width="stretch", alt=words, key=f"logbook_{course}")
    st.caption(
        "Bars are the 95 % range, the green field is the window of your last check; along the top edge stand "
        "triangles for what you did and crosses for plating runs."
    )


# --- The last check -------------------------------------------------------------------------------


def last_advice(entries: Sequence[Entry]) -> None:
    """Show the last check, with what it advised one tap away, and a way to begin the next from it."""
    checks = [entry for entry in entries if isinstance(entry.content, Check)]
    if not checks:
        return
    entry = checks[-1]
    check = entry.content
    assert isinstance(check, Check)
    st.write(f"**Last check, {entry.when.astimezone():%Y-%m-%d}.** {plain(check.summary().removeprefix('Check: '))}.")
    with st.expander("What it advised then"):
        cards.sections(advice_then(check))
    carried = carry_forward(entries)
    if carried:
        st.write(plain(shown(carried.summary())))
        if st.button("Begin the next check from this", key="logbook_next"):
            begin_next(check, carried)


def advice_then(check: Check) -> tuple[Section, ...]:
    """Return the advice as it was computed then, from what the record keeps of it."""
    advice = check.advice
    steps = [_step(step) for step in advice.get("correction", {}).get("steps", [])]
    blocks = (
        Section("What it said", (f"{brief(asks_for(check))}.",) if asks_for(check) and not steps else ()),
        Section("What to do, in this order", tuple(steps), numbered=True),
        Section("What you should know", tuple(advice.get("warnings", []))),
        Section("Take care", tuple(advice.get("cautions", [])), caution=True),
    )
    return tuple(block for block in blocks if block.lines) or (Section("Nothing was to be done", ()),)


def _step(step: dict[str, Any]) -> str:
    numbers = {key: value for key, value in step.items() if key not in ("do", "what")}
    return step_dose(Step(step["do"], step["what"], numbers, "", _NOT_SHOWN))


def begin_next(check: Check, carried: Carried) -> None:
    """Put the sheet of the last check in the fields, with the record in place of its readings, and open the page."""
    sheet = parse_sheet(check.sheet.encode("utf-8"))
    today = replace(sheet.bath, date=datetime.date.today())
    state.load_sheet(carried.add_to(replace(sheet, bath=today, readings=())))
    st.switch_page(PAGES / "check.py")


# --- Where it went --------------------------------------------------------------------------------


def where_the_losses_go(entries: Sequence[Entry]) -> None:
    """Explain the change between the last two checks, and what comes."""
    try:
        explained = where_it_went(entries)
    except NotEnoughKnown as error:
        st.subheader("Where it went", anchor=False)
        st.write(plain(f"{error}."))
    else:
        last = [entry.content for entry in entries if entry.when == explained.now.when]
        limits = next(content for content in last if isinstance(content, Check))
        coming = forecast(explained, {name: limits.limits(name) for name in NAMES}, not asks_for(limits))
        cards.sections([*explained.sections(), *coming.sections()])
    _additive(entries)


def _additive(entries: Sequence[Entry]) -> None:
    typed = st.text_input(
        "Additive used, mL per ampere-hour",
        key="logbook_additive_rate",
        help="From the bottle; often 0.1 to 0.5 mL of a made-up solution (from memory).",
        persist_state="session",
    )
    if not typed:
        return
    try:
        rate = NumberField(label="Additive used", high=100.0).read(typed, "Additive used")
    except InputError as error:
        fields.complain(error)
        return
    due, charge = additive_due(entries, rate)
    st.write(f"{charge:.1f} A·h since the last dose: {due:.1f} mL of additive is due.")


# --- Entries --------------------------------------------------------------------------------------


def add_entry(logbook: Logbook, bath: str) -> None:
    """Draw the form for any entry but a check."""
    st.header("Add an entry", anchor=False)
    if _SAID in st.session_state:
        st.html(f'<p role="status">{html.escape(st.session_state.pop(_SAID))}</p>')
    kinds = [kind for kind in CONTENTS if kind != Withdrawn.kind]
    kind = st.selectbox("What", kinds, format_func=lambda kind: CONTENTS[kind].label, key="logbook_kind")
    # Read once a visit: a clock that moves would overwrite the day and time that were chosen.
    now = st.session_state.setdefault("logbook_now", datetime.datetime.now())
    moment = entry_form.when("logbook_add", now)
    content = entry_form.show(CONTENTS[kind], "logbook_add", "Record it")
    if content is not None and state.first_tap("record entry"):
        entry = logbook.record(bath, content, moment)
        st.session_state[_SAID] = f"Recorded as entry {entry.id}: {content.summary()}."
        st.rerun()


def table(logbook: Logbook, written: Sequence[Entry]) -> None:
    """Show all entries, the newest first, and let one be corrected or withdrawn."""
    counting = {entry.id for entry in standing(written)}
    rows = [
        {
            "number": entry.id,
            "when": f"{entry.when.astimezone():%Y-%m-%d %H:%M}",
            "what": entry.content.summary(),
            "counts": "yes" if entry.id in counting else "no, corrected or withdrawn",
            "corrects": entry.corrects,
        }
        for entry in reversed(written)
    ]
    with st.expander(f"All entries ({len(rows)})"):
        st.dataframe(rows, hide_index=True, key="logbook_table")
    if counting:
        with st.expander("Correct or withdraw an entry"):
            _correct(logbook, [entry for entry in written if entry.id in counting])


def _correct(logbook: Logbook, entries: Sequence[Entry]) -> None:
    known = {entry.id: entry for entry in reversed(entries)}
    number = st.selectbox(
        "Entry",
        list(known),
        format_func=lambda number: f"{number}: {known[number].content.summary()}",
        key="logbook_fix",
    )
    chosen = known[number]
    st.caption("The old entry stays in the record, marked as corrected.")
    if isinstance(chosen.content, Check):
        st.write("A check cannot be corrected here: record the corrected sheet as a new check and withdraw this one.")
    else:
        content = entry_form.show(type(chosen.content), f"logbook_fix_{number}", "Save the correction", chosen.content)
        if content is not None and state.first_tap("correct entry"):
            logbook.correct(number, content)
            st.rerun()
    if st.button("Withdraw this entry", key="logbook_withdraw") and state.first_tap("withdraw entry"):
        logbook.correct(number, Withdrawn())
        st.rerun()


# --- In and out -----------------------------------------------------------------------------------


NETWORK = (
    "This app is open to your network: everyone who can open this page can read and change this logbook, without "
    "a password. Before you pour, look at the entries since your last check. The README says "
    "under “On a workshop network” what else is not protected."
)


def files(logbook: Logbook) -> None:
    """Offer export, backup and import."""
    st.header("Export, import, backup", anchor=False)
    st.caption(plain(f"The logbook is the file {logbook.path}."))
    if st.get_option("server.address") not in ONLY_HERE:
        st.warning(NETWORK)
    with st.container(horizontal=True):
        _download("Export (JSON)", lambda: export(logbook), "logbook.json", "application/json")
        _download("Table (CSV)", lambda: entries_as_csv(logbook.entries()), "logbook.csv", "text/csv")
        _download("Backup (database)", lambda: _backup(logbook), "logbook_backup.sqlite3", "application/vnd.sqlite3")
    file = st.file_uploader(
        "Import an export (JSON)", type=["json"], max_upload_size=LARGEST_IMPORT // 1_000_000, key="logbook_upload"
    )
    if file is None:
        return
    try:
        plan = plan_import(logbook, file.getvalue().decode("utf-8"))
    except UnicodeDecodeError:
        fields.complain(InputError("import", "it is not text in UTF-8", "choose a file that a logbook exported"))
    except InputError as error:
        fields.complain(InputError(error.place, f"{error.place}: {error.given}", error.accepted))
    else:
        _offer_import(logbook, plan)


def _offer_import(logbook: Logbook, plan: ImportPlan) -> None:
    st.write(plain(plan.summary()))
    if (plan.entries or plan.new_baths) and st.button("Import this", key="logbook_import"):
        carry_out(logbook, plan)
        st.rerun()


def _download(label: str, content: Callable[[], str | bytes], name: str, kind: str) -> None:
    """Offer a file that is made only once it is asked for."""
    st.download_button(label, content, name, kind, on_click="ignore", key=f"logbook_{name}")


def _backup(logbook: Logbook) -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "logbook.sqlite3"
        logbook.backup(copy)
        return copy.read_bytes()
