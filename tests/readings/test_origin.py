"""Where a reading came from is a key of a closed list; its words decide nothing."""

import pytest

from advisor.basis.fields import InputError, asked_fields, write_table
from advisor.readings import KINDS
from advisor.readings.origin import Origin, with_origin
from advisor.sheet import parse_sheet, read_sheet, write_sheet

CHECK = {"kind": "previous check", "copper_sulfate": "212 ± 6 g/L"}
OLD_NOTE = "from the logbook: check of 2026-03-01 and what was logged since"


def origin_of(**more: object) -> str:
    (reading,) = read_sheet({"bath": {"volume": "5 L"}, "reading": [CHECK | more]}).readings
    return reading.origin


@pytest.mark.parametrize("origin", list(Origin))
def test_it_is_written_only_where_nobody_typed_the_reading(read, origin):
    reading = read("previous check", copper_sulfate="212 g/L", origin=origin.value)
    written = write_table(reading)
    assert written.get("origin", "typed") == origin
    assert ("origin" in written) == (origin != Origin.TYPED)


def test_it_comes_back_from_a_sheet():
    sheet = read_sheet({"bath": {"volume": "5 L"}, "reading": [CHECK | {"origin": "logbook"}]})
    assert parse_sheet(write_sheet(sheet).encode()) == sheet


def test_any_other_word_is_refused():
    with pytest.raises(InputError, match="it must be one of: typed, logbook, photograph"):
        origin_of(origin="hearsay")


def test_no_page_asks_for_it():
    assert not any("origin" in asked_fields(kind) for kind in KINDS.values())


def test_an_older_sheet_told_it_by_its_whole_note_and_is_still_read():
    assert origin_of(note=OLD_NOTE) == Origin.LOGBOOK


@pytest.mark.parametrize("note", ["from the logbook", f"{OLD_NOTE} and more", f"not {OLD_NOTE}", ""])
def test_no_other_words_make_a_reading_the_record_s(note):
    assert origin_of(note=note) == Origin.TYPED


def test_what_the_key_says_counts_more_than_an_old_note():
    assert origin_of(note=OLD_NOTE, origin="typed") == Origin.TYPED
    assert with_origin({"kind": "hydrometer", "note": OLD_NOTE}) == {"kind": "hydrometer", "note": OLD_NOTE}
