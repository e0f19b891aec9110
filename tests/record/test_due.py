"""What is due and when, and the calendar that says so, read back here by the rules of RFC 5545."""

import datetime

import pytest

from advisor.__main__ import main
from advisor.record.calendar_file import calendar_file
from advisor.record.due import Due, Upkeep, entry_for
from advisor.record.entries import AnodesWiped, Done, Filtered
from advisor.record.logbook import Logbook
from tests.record.some_days import due_of, moment, on

BATH = "Shed tank"


def tasks(entries, day: float) -> dict[str, Due]:
    return {str(task.what): task for task in due_of(BATH, entries, moment(day))}


def of(task: Upkeep, entries, day: float) -> Due | None:
    return next((each for each in due_of(BATH, entries, moment(day)) if each.task is task), None)


# --- By which rule --------------------------------------------------------------------------------


def test_a_bath_that_was_never_checked_is_to_be_checked():
    (found,) = due_of(BATH, [on(0, "level", volume="5 L")], moment(1))
    assert found.task is Upkeep.CHECK
    assert found.is_due(moment(1))
    assert found.rule == "Check it now."


def test_a_dose_is_due_by_the_label_and_foretold_by_the_last_month():
    entries = [on(0, "additive", additive="Brightener", per_ampere_hour="0.25 mL"), on(0, "level", volume="5 L")]
    assert of(Upkeep.DOSE, entries, 1) is None
    some = [*entries, on(1, "run", charge="2 A*h")]
    foretold = of(Upkeep.DOSE, some, 2)
    assert not foretold.is_due(moment(2))
    assert foretold.when == moment(2 + (1.0 - 0.5) / (0.5 / 30))  # a dose of 5 L is worth giving from 1 mL on
    much = of(Upkeep.DOSE, [*some, on(2, "run", charge="6 A*h")], 3)
    assert much.what == "Give 2.0 ± 0.1 mL of Brightener"
    assert much.is_due(moment(3))
    assert "for 8.0 ± 0.5 A·h" in much.rule


def test_after_carbon_a_dose_is_due_even_where_it_cannot_be_worked_out():
    entries = [on(0, "additive", additive="Brightener", per_ampere_hour="0.25 mL"), on(1, "carbon")]
    assert of(Upkeep.DOSE, entries, 2).what == "Give Brightener for the whole bath"


def test_filtering_is_due_a_month_after_the_last_time_where_anything_was_plated():
    assert of(Upkeep.FILTER, [on(0, "filter")], 100) is None
    assert of(Upkeep.FILTER, [on(0, "filter"), on(3, "run", charge="1 A*h")], 5).when == moment(30)
    assert of(Upkeep.FILTER, [on(0, "run", charge="1 A*h")], 5).when == moment(30)
    assert of(Upkeep.FILTER, [on(0, "run", charge="1 A*h"), on(40, "carbon")], 50) is None
    run = on(3, "run", charge="1 A*h")
    assert of(Upkeep.FILTER, [on(0, "filter"), run], 5).rule.startswith("30 days after the last time,")
    assert of(Upkeep.FILTER, [run], 5).rule.startswith("30 days after the first run,")


def test_anodes_are_looked_at_by_the_ampere_hours():
    run = on(1, "run", charge="30 A*h")
    foretold = of(Upkeep.WIPE, [run], 2)
    assert foretold.when == moment(2 + 20)  # 30 A·h in 30 days: the 20 that are missing take 20
    assert of(Upkeep.WIPE, [run, on(3, "run", charge="25 A*h")], 4).is_due(moment(4))
    assert of(Upkeep.WIPE, [run, on(3, "run", charge="25 A*h"), on(3.5, "wipe")], 4) is None
    assert of(Upkeep.WIPE, [on(0, "anodes", anodes="inert"), run, on(3, "run", charge="25 A*h")], 4) is None
    since = of(Upkeep.WIPE, [run, on(2, "wipe"), on(5, "run", charge="15 A*h")], 6)
    assert since.when == moment(6 + 35 / 1.5)  # 15 A·h since; 45 in 30 days bring the other 35


# --- The owner's own ------------------------------------------------------------------------------


def test_measure_again_in_ten_minutes_is_due_to_the_minute_until_it_was_measured_or_done():
    entries = [on(0, "remind", what="measure again", after="10 min")]
    found = tasks(entries, 0)["Measure again"]
    assert found.when == moment(0) + datetime.timedelta(minutes=10)
    assert not found.is_due(moment(0))
    assert found.is_due(moment(0) + datetime.timedelta(minutes=10))
    assert found.sentence(moment(1)).startswith("Now: Measure again.")
    assert "Check the bath" in tasks(entries, 0)  # the usual check stands beside it
    assert "Measure again" not in tasks([*entries, on(0.1, "done", what=" Measure AGAIN")], 1)


def test_a_reminder_that_repeats_counts_from_when_it_was_done_and_takes_the_place_of_the_rule():
    entries = [on(0, "remind", what="filter", every="2 week"), on(1, "run", charge="1 A*h")]
    assert [each.when for each in due_of(BATH, entries, moment(2)) if each.task is Upkeep.FILTER] == [moment(14)]
    assert of(Upkeep.FILTER, [*entries, on(20, "filter")], 21).when == moment(34)
    changed = [*entries, on(20, "filter"), on(21, "remind", what="Filter", every="1 week")]
    assert of(Upkeep.FILTER, changed, 22).when == moment(28)


def test_what_was_asked_for_anew_is_not_done_by_what_was_done_before():
    once = [on(0, "remind", what="look", after="30 h"), on(2, "done", what="look")]
    assert "Look" not in tasks(once, 3)
    again = tasks([*once, on(4, "remind", what="look", after="30 h")], 5)["Look"]
    assert again.when == moment(4) + datetime.timedelta(hours=30)
    assert not again.at_time  # from a day on nobody waits for the minute


def test_a_task_that_is_ticked_off_is_written_down_where_the_record_can_tell_what_was_done():
    ten = on(0, "remind", what="measure again", after="10 min")
    entries = [ten, on(0, "remind", what="look at the bags", every="1 week"), on(1, "run", charge="60 A*h")]
    written = {task.task: entry_for(task) for task in due_of(BATH, entries, moment(40)) if not task.at_time}
    assert written == {
        Upkeep.FILTER: Filtered(),
        Upkeep.WIPE: AnodesWiped(),
        Upkeep.OTHER: Done(what="Look at the bags"),
        Upkeep.CHECK: None,  # a check is measured, not ticked off
    }
    assert entry_for(tasks([ten], 1)["Measure again"]) == Done(what="Measure again")


def test_a_withdrawn_reminder_is_gone():
    asked = on(0, "remind", what="look at the bags", every="1 week")
    assert "Look at the bags" not in tasks([asked, on(0, "withdraw", corrects=asked.id)], 9)


def test_what_is_more_than_a_year_away_is_not_told():
    assert "Descale" not in tasks([on(0, "remind", what="descale", every="2 year")], 1)


# --- The calendar ---------------------------------------------------------------------------------


def unfolded(text: str) -> list[str]:
    """Return content lines by the rules of RFC 5545, section 3.1."""
    assert text.endswith("\r\n")
    assert "\n" not in text.replace("\r\n", "")
    lines: list[str] = []
    for line in text.split("\r\n")[:-1]:
        assert len(line.encode("utf-8")) <= 75
        if line.startswith(" "):
            lines[-1] += line[1:]
        else:
            lines.append(line)
    return lines


def events(text: str) -> list[dict[str, str]]:
    """Return the events of a calendar by property name, parameters kept, with TEXT values read back (section 3.3.11)."""
    lines = unfolded(text)
    assert lines[:2] == ["BEGIN:VCALENDAR", "VERSION:2.0"]
    assert lines[-1] == "END:VCALENDAR"
    assert sum(line.startswith("PRODID:") for line in lines) == 1
    found: list[dict[str, str]] = []
    inside: list[str] = []
    for line in lines:
        name, value = line.split(":", 1)
        if name == "BEGIN":
            inside.append(value)
            if value == "VEVENT":
                found.append({})
        elif name == "END":
            assert inside.pop() == value
        elif inside[-1] == "VEVENT":
            assert name not in found[-1]
            found[-1][name] = plain(value) if name in ("SUMMARY", "DESCRIPTION") else value
    assert inside == []
    return found


def plain(value: str) -> str:
    out, letters = "", iter(value)
    for letter in letters:
        assert letter not in ";,"  # they are escaped in a TEXT value
        out += {"n": "\n", "N": "\n"}.get(after := next(letters), after) if letter == "\\" else letter
    return out


NASTY = "Bäder, alle; mit \\ und 🐚🐚🐚🐚🐚🐚🐚🐚🐚🐚🐚🐚🐚🐚🐚🐚🐚🐚🐚🐚 bis zum Ende"


def test_the_calendar_says_what_is_due_and_reads_back():
    entries = [
        on(0, "remind", what=NASTY[:80], every="1 week"),
        on(0.5, "remind", what="measure again", after="10 min"),
    ]
    now = moment(0.5)
    found = due_of(NASTY, entries, now)
    read = events(calendar_file(NASTY, found, now))
    assert [event["SUMMARY"] for event in read] == [f"{NASTY}: {task.what}" for task in found]
    assert [event["DESCRIPTION"] for event in read] == [str(task.rule) for task in found]
    assert len({event["UID"] for event in read}) == len(read)
    weekly = next(event for event in read if "Bäder" in event["SUMMARY"].split(": ")[1])
    assert weekly["DTSTART;VALUE=DATE"] == f"{moment(7).astimezone():%Y%m%d}"
    again = next(event for event in read if "Measure" in event["SUMMARY"])
    assert again["DTSTART"] == f"{now + datetime.timedelta(minutes=10):%Y%m%dT%H%M%SZ}"
    alarms = [calendar_file(NASTY, [task], now).count("BEGIN:VALARM") for task in found]
    assert alarms == [int(task.at_time) for task in found]  # what is due on a day rings nowhere


def test_what_cannot_be_printed_is_left_out_of_the_calendar_and_its_lines_are_filled():
    told = Due(Upkeep.CHECK, "check", "ring\x07 twice,\nthen wait\ud83d", moment(1), "y" * 300)
    text = calendar_file("tank", [told], moment(0))
    (event,) = events(text)
    assert (event["SUMMARY"], event["DESCRIPTION"]) == ("tank: ring twice,\nthen wait", "y" * 300)
    assert sorted(len(line) for line in text.split("\r\n") if line.count("y") > 50) == [75, 75, 75, 75]


def test_what_is_overdue_stands_on_today_and_keeps_its_mark():
    entries = [on(0, "remind", what="look at the bags", every="1 week")]
    first = events(calendar_file(BATH, due_of(BATH, entries, moment(1)), moment(1)))
    late = events(calendar_file(BATH, due_of(BATH, entries, moment(30)), moment(30)))
    assert {event["UID"] for event in first} == {event["UID"] for event in late}
    assert all(event["DTSTART;VALUE=DATE"] == f"{moment(30).astimezone():%Y%m%d}" for event in late)


def test_a_dose_keeps_its_mark_while_its_amount_grows():
    entries = [on(0, "additive", additive="B", per_week="2 mL"), on(0, "dose", additive="B", volume="2 mL")]
    assert marks_of(entries, 8) == marks_of(entries, 9)


def test_a_dose_that_is_foretold_keeps_its_mark_once_it_is_due():
    entries = [on(0, "additive", additive="B", per_ampere_hour="0.25 mL"), on(1, "run", charge="2 A*h")]
    (foretold,) = {mark for mark in marks_of(entries, 2) if mark not in marks_of(entries[1:], 2)}
    assert foretold in marks_of([*entries, on(3, "run", charge="20 A*h")], 4)
    assert foretold in marks_of([*entries, on(3, "carbon")], 4)


def test_two_reminders_for_once_of_one_name_have_each_their_mark_which_a_correction_keeps():
    first = on(0, "remind", what="measure again", after="10 min")
    entries = [first, on(0, "remind", what="Measure again", after="1 day")]
    assert len(marks_of(entries, 0)) == 3  # with the check
    later = on(0, "remind", what="measure again", after="20 min", corrects=first.id)
    assert marks_of([*entries, later], 0) == marks_of(entries, 0)
    last = on(0, "remind", what="measure again", after="30 min", corrects=later.id)
    assert marks_of([*entries, later, last], 0) == marks_of(entries, 0)


def test_a_reminder_of_the_logbook_keeps_its_mark_when_it_is_changed_twice():
    logbook = Logbook()
    first = logbook.record(BATH, on(0, "remind", what="measure again", after="1 day").content, moment(0))
    before = marks_of(logbook.counting(BATH), 0)
    second = logbook.correct(first.id, on(0, "remind", what="measure again", after="2 days").content)
    logbook.correct(second.id, on(0, "remind", what="measure again", after="3 days").content)
    assert marks_of(logbook.counting(BATH), 0) == before


def marks_of(entries, day: float) -> set[str]:
    found = [event["UID"] for event in events(calendar_file(BATH, due_of(BATH, entries, moment(day)), moment(day)))]
    assert len(set(found)) == len(found)
    return set(found)


def test_history_writes_the_calendar_and_nothing_over(tmp_path, capsys):
    main(["log", BATH, "level", "5 L"])
    file = tmp_path / "due.ics"
    assert main(["history", BATH, "--calendar", str(file)]) == 0
    assert file.read_bytes().count(b"\r\n") == file.read_bytes().count(b"\n")
    assert events(file.read_bytes().decode())[0]["SUMMARY"] == f"{BATH}: Check the bath"
    before = file.read_bytes()
    assert main(["history", BATH, "--calendar", str(file)]) == 2
    assert file.read_bytes() == before
    assert "--overwrite" in capsys.readouterr().err
    assert main(["history", BATH, "--calendar", str(file), "--overwrite"]) == 0
    sheet = tmp_path / "bath.toml"
    sheet.write_text('[bath]\nvolume = "5 L"\n', "utf-8")
    assert main(["history", BATH, "--calendar", str(sheet), "--overwrite"]) == 2
    assert sheet.read_text("utf-8") == '[bath]\nvolume = "5 L"\n'


def test_history_tells_what_is_due_and_what_was_deposited(capsys):
    main(["log", BATH, "run", "shell", "--current", "1.2 A", "--time", "6 h", "--area", "85 cm^2"])
    main(["log", BATH, "additive", "Brightener", "--per-week", "2 mL"])
    capsys.readouterr()
    assert main(["history", BATH]) == 0
    said = capsys.readouterr().out
    assert "Copper by the charge: 8.5 ± 0.5 g" in said
    assert "\nDue\n---\nNow: Check the bath." in said
    assert "\nAdditives\n" in said


@pytest.mark.parametrize("units", ["metric", "us"])
def test_history_in_us_units_keeps_its_entries(units, capsys):
    main(["log", BATH, "run", "shell", "--charge", "720 A*h"])
    assert main(["history", BATH, "--units", units]) == 0
    assert ("oz" in capsys.readouterr().out) == (units == "us")
