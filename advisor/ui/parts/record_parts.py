"""The parts of the page Logbook: charts, last advice, where the losses go, forms for entries, export and import."""

from __future__ import annotations

import datetime
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import streamlit as st

from advisor.basis.components import NAMES
from advisor.basis.fields import InputError
from advisor.check.steps import recorded, step_dose
from advisor.check.window import Limits
from advisor.record.asked import kinds_read, next_sheet, not_taken_over
from advisor.record.at_hand import BathAtHand
from advisor.record.carried import Carried
from advisor.record.correcting import asks_for, said_in_short, steps_of
from advisor.record.drift import Explanation, NotEnoughKnown
from advisor.record.entries import (
    AnodeChange,
    Check,
    Entry,
    LevelMark,
    Remake,
    Unreadable,
    clock_ran_back,
    up_to,
)
from advisor.record.exchange import LARGEST_IMPORT, ImportPlan, carry_out, entries_as_csv, export, plan_import
from advisor.record.forecast import forecast
from advisor.record.logbook import Logbook
from advisor.record.trend import trend
from advisor.sheet import Sheet
from advisor.ui import fields
from advisor.ui.charts import time_line
from advisor.ui.fields import plain
from advisor.ui.look.own_units import chosen, shown, unparted
from advisor.ui.parts import answers, cards, entry_form, guided
from advisor.ui.session import state
from advisor.ui.session.device import ONLY_HERE
from advisor.words.dates import said as day_said
from advisor.words.lines import line
from advisor.words.sections import Section

_PAGE = "logbook_page_of_{}"  # session: which page of the table of a bath is shown, from 0
SHOWN = 100  # entries at a time (judgement)
OF_A_CHECK = ("date", "condition")  # of the bath, which the next check does not take over
COMING = "If all goes on as before"
CORRECTED_ON = "You corrected the bath on"
TOLD_BY_THE_NEXT = "what comes now is told by the next check."
ALL_YEARS = (Check.kind, LevelMark.kind, Remake.kind, AnodeChange.kind)  # kinds drawn over decades


def charts(known: BathAtHand, logbook: Logbook) -> None:
    """Draw the time line of each course that has values: of what is at hand, or of all years without the daily work."""
    entries: Sequence[Entry] = known.entries
    if known.since is not None and st.toggle("All years, without the runs", key="logbook_all_years"):
        found = logbook.counting(known.bath, kinds=ALL_YEARS)
        entries = [entry for entry in found if not isinstance(entry.content, Unreadable)]
    units = chosen()
    marks = time_line.done(entries)
    for course in time_line.COURSES:
        if time_line.points(course, entries):
            spec = time_line.time_line(course, entries, marks, units)
            words = time_line.describe(course, entries, units)
            st.vega_lite_chart(spec=spec, width="stretch", alt=words, key=f"logbook_{course}")
    st.caption(
        "Bars are the 95 % range, the green field is the window of your last check; along the top edge stand "
        "triangles for what you did, in words where it moved this course, and crosses for plating runs."
    )


# --- The last check -------------------------------------------------------------------------------


def last_advice(known: BathAtHand) -> None:
    """Show the last check, with what it advised one tap away, and a way to begin the next from it."""
    now = datetime.datetime.now(datetime.UTC)
    checks = [entry for entry in up_to(known.entries, now) if isinstance(entry.content, Check)]
    if not checks:
        return
    entry = checks[-1]
    check = entry.content
    assert isinstance(check, Check)
    found = shown(check.summary()).removeprefix("Check: ")
    st.write(f"**Last check, {day_said(entry.when.astimezone())}.** {plain(found)}.")
    with st.expander("What it advised then"):
        cards.sections(advice_then(check))
        answers.nothing_of_before()
    carried = known.carried(now)
    if carried:
        st.write(plain(shown(carried.summary())))
        if st.button("Begin the next check from this", key="logbook_next"):
            begin_next(carried, known)


def advice_then(check: Check) -> tuple[Section, ...]:
    """Return the advice as it was computed then, from what the record keeps of it."""
    advice = check.advice
    steps = [step_dose(recorded(step)) for step in steps_of(check)]
    blocks = (
        Section("What it said", (line("{said}.", said=said_in_short(check)),) if asks_for(check) and not steps else ()),
        Section("What to do, in this order", tuple(steps), numbered=True),
        Section("What you should know", tuple(advice.get("warnings", []))),
        Section("Take care", tuple(advice.get("cautions", [])), caution=True),
    )
    return tuple(block for block in blocks if block.lines) or (Section("Nothing was to be done", ()),)


def begin_next(carried: Carried, known: BathAtHand) -> None:
    """Put the sheet with which the next check begins in the fields, and open the page at the test to do again."""
    load_next(carried, known)
    guided.begin_again(kinds_read(carried))


def load_next(carried: Carried, known: BathAtHand, with_reading: bool = True) -> None:
    """Put the sheet with which the next check begins in the fields, with what is carried or without any reading.

    Of a sheet that cannot be read any more only name and level are left, and that is said.
    """
    sheet = next_sheet(carried, known)
    state.load_sheet(sheet if with_reading else replace(sheet, readings=()))
    for said in not_taken_over(carried):
        st.toast(plain(shown(said)), duration="long")  # it floats: the page that opens is another


def load_beside(carried: Carried, known: BathAtHand) -> None:
    """Put what the record knows of a bath in the fields, beside what was typed for another question, which stands."""
    typed, is_kept = state.raw(), state.is_untouched()
    load_next(carried, known)
    of_bath = {key: part for key, part in state.raw().items() if key not in Sheet.QUESTIONS}
    joined = {key: {**of_bath[key], **part} if key in of_bath else part for key, part in typed.items() if part}
    state.load({**of_bath, **joined})
    if not is_kept:
        state.note_unsafe()


def load_the_tank(**changed: str) -> None:
    """Put the tank of this sheet in the fields, without readings and what is of one check; of an example nothing.

    changed: fields of the bath that are others now.
    """
    kept = {} if state.is_example() else {key: part for key, part in state.raw().items() if key != "reading"}
    bath = {name: value for name, value in kept.get("bath", {}).items() if name not in OF_A_CHECK}
    state.load({**kept, "bath": {**bath, **changed}})


# --- Where it went --------------------------------------------------------------------------------


def trend_of(known: BathAtHand) -> None:
    """Say in one sentence what changes most, or why that cannot be told; nothing where there are no two checks."""
    explained = known.over_months()
    if not isinstance(explained, NotEnoughKnown):
        check = _last_check(known, explained)
        coming = forecast(explained, _limits_of(check), not asks_for(check))
        said = unparted(shown(trend(explained, coming, _limits_of(check))))
        st.html(f'<h2 class="sentence">{said}</h2>')


def _last_check(known: BathAtHand, explained: Explanation) -> Check:
    last = [entry.content for entry in known.entries if entry.when == explained.now.when]
    return next(content for content in last if isinstance(content, Check))


def _limits_of(check: Check) -> dict[str, Limits | None]:
    return {name: check.limits(name) for name in NAMES}


def where_the_losses_go(known: BathAtHand) -> None:
    """Explain the change between the last two checks, and what comes."""
    explained = known.where_it_went()
    if isinstance(explained, NotEnoughKnown):
        st.subheader("Where it went", anchor=False)
        st.write(plain(f"{explained}."))
    else:
        check = _last_check(known, explained)
        corrected = known.overview(datetime.datetime.now(datetime.UTC)).corrected
        coming = forecast(explained, _limits_of(check), not asks_for(check)).sections()
        if corrected:
            coming = (Section(COMING, (f"{CORRECTED_ON} {day_said(corrected)}: {TOLD_BY_THE_NEXT}",)),)
        cards.sections([*explained.sections(), *coming], at_the_act=True)


# --- Entries --------------------------------------------------------------------------------------


def add_entry(logbook: Logbook, bath: str) -> None:
    """Draw the form for any entry but a check."""
    st.header("Add an entry", anchor=False)
    if entry_form.write(logbook, bath, "logbook"):
        st.rerun()


def cannot_be_read(logbook: Logbook, left_out: Sequence[Entry]) -> None:
    """Name each entry that is damaged and therefore left out, and let it be withdrawn."""
    entry_form.said("damaged")
    for entry in left_out:
        said = "" if entry.corrects is None else f" Entry {entry.corrects}, which it corrected, does not count either."
        with st.container(border=True, key=f"cannot_be_read_{entry.id}"):
            st.write(f"**Entry {entry.id} is left out: it is damaged.** {plain(entry.content.summary())}.{said}")
            entry_form.withdraw(logbook, entry, f"Withdraw entry {entry.id}", f"logbook_withdraw_{entry.id}", "damaged")


def table(logbook: Logbook, bath: str) -> None:
    """Show the entries, the newest first and so many at a time, and let one of these be corrected or withdrawn."""
    with logbook.at_one_time() as now:
        count, out = now.count(bath), now.not_counting(bath)
        pages = max(-(-count // SHOWN), 1)
        page = min(int(st.session_state.get(_PAGE.format(bath), 0)), pages - 1)
        written = now.newest(bath, SHOWN, page * SHOWN)
    rows = "".join(_row(entry, out) for entry in written)
    with st.expander(f"All entries ({count})", key="all_entries"):
        st.html(f'<table class="entries">{rows}</table>')
        for number, before in clock_ran_back(written).items():
            st.caption(
                f"Entry {number} was written by an earlier clock than entry {before.id}: the clock was set back, or it "
                "came from another logbook. Look whether its time is right."
            )
        _turn_pages(bath, page, pages)
    counting = [entry for entry in written if entry.id not in out]
    if counting:
        with st.expander("Correct or withdraw an entry"):
            if pages > 1:
                st.caption("Of those that the table above shows now.")
            _correct(logbook, counting)


def _row(entry: Entry, out: frozenset[int]) -> str:
    """Return an entry as a row in which all words wrap: a phone has no room for columns beside them."""
    when = entry.when.astimezone()
    beside = [f"{day_said(when)}, {when:%H:%M}"]
    beside += [f"in place of {entry.corrects}"] if entry.corrects is not None else []
    if entry.id in out:
        beside.append("does not count: corrected or withdrawn")
    elif isinstance(entry.content, Unreadable):
        beside.append("does not count: it is damaged")
    what = f"{unparted(shown(entry.content.summary()))}<br><small>{unparted('; '.join(beside))}</small>"
    return f"<tr><th scope=row>{entry.id}</th><td>{what}</td></tr>"


def _turn_pages(bath: str, page: int, pages: int) -> None:
    """Offer the way to older and newer entries, where there are more than are shown."""
    if pages == 1:
        return
    with st.container(horizontal=True, vertical_alignment="center"):
        for label, to in (("← Newer entries", page - 1), ("Older entries →", page + 1)):
            st.button(
                label,
                key=f"logbook_page_{label[:1]}",
                disabled=not 0 <= to < pages,
                on_click=st.session_state.__setitem__,
                args=(_PAGE.format(bath), to),
            )
        st.caption(f"Page {page + 1} of {pages}")


def _told_apart(entry: Entry) -> str:
    """Name an entry in a list that a phone cuts short: what tells it from the others comes first."""
    return f"{entry.id}, {day_said(entry.when.astimezone())}: {shown(entry.content.summary())}"


def _correct(logbook: Logbook, entries: Sequence[Entry]) -> None:
    """Let an entry be chosen, corrected and withdrawn; what came in place of it stays chosen, and no other is."""
    known, key = {entry.id: entry for entry in entries}, "logbook_fix"
    before = st.session_state.get(key)
    if before is not None and before not in known:
        st.session_state[key] = next((entry.id for entry in entries if entry.corrects == before), None)
    number = st.selectbox(
        "Entry",
        list(known),
        index=None,
        placeholder="Choose one",
        format_func=lambda number: _told_apart(known[number]),
        key=key,
    )
    if number is None:
        entry_form.said(key)
        return
    chosen = known[number]
    st.caption("The old entry stays in the record, marked as corrected.")
    if isinstance(chosen.content, Unreadable):
        st.write("It cannot be read, and so not be corrected: withdraw it and record it anew.")
    elif isinstance(chosen.content, Check):
        st.write("A check cannot be corrected here: record the corrected sheet as a new check and withdraw this one.")
    else:
        entry_form.change(logbook, chosen, chosen.content, key)
    entry_form.said(key)
    entry_form.withdraw(logbook, chosen, "Withdraw this entry", "logbook_withdraw", key)


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
    except InputError as error:  # at an entry of the file the place tells where in it
        given = error.given if error.place == "import" else f"{error.place}: {error.given}"
        fields.complain(InputError(error.place, given, error.accepted))
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
