"""What an entry says: charges, and which name is whose."""

import tomllib

import pytest
import tomli_w

from advisor.basis.fields import InputError, write_table
from advisor.basis.units import parse
from advisor.record.entries import RunDone, ampere_hours, written
from advisor.record.entry_text import _toml, bath_name, plain_values, read_content, write_content, write_json
from tests.record.some_days import on
from tests.record.some_entries import level


@pytest.mark.parametrize(
    "text",
    [
        'volume = "0.5 L"\nwhy = "decanted"\n',
        "",
        'note = "Ä ± ½"\n',
        'note = "a \\"quoted\\" word, \\u00b5m"\n',
        'note = "volume = \\"1 L\\""\n',
        'note = """\ntwo\nlines"""\n',
        'volume = "1 L" # by eye\n',
        'volume="1 L"\n',
        "volume = '1 L'\n",
        'every = 3\nvolume = "1 L"\n',
        '[volume]\nnote = "1 L"\n',
    ],
)
def test_a_text_is_read_as_toml_has_it(text):
    assert _toml(text, "") == tomllib.loads(text)


@pytest.mark.parametrize(
    "note", ["", "Ä ± ½", 'a "word"', "a\\b", "two\nlines", "a\ttab", "\x7f", "\x01", "\u2028", "'", "#"]
)
def test_an_entry_is_written_as_toml_has_it(note):
    content = RunDone(charge=parse("2 A*h", "charge"), note=note)
    text, advice = write_content(content)
    assert (text, advice) == (tomli_w.dumps(write_table(content)), None)
    assert read_content("plating run", text, None, "") == content


@pytest.mark.parametrize("text", ['note = "a"\nnote = "b"\n', 'note = "a\tb\x01"\n', 'note = "a\\x"\n', 'note = "a'])
def test_a_text_that_is_no_toml_is_refused(text):
    with pytest.raises(InputError, match="not sound TOML"):
        _toml(text, "")


def test_ampere_hours_are_counted_or_current_times_time():
    charge = parse("310 A*h", "charge")
    assert RunDone(charge=charge).ampere_hours == 310
    run = RunDone(current=parse("500 mA", "current"), time=parse("2 day", "time"))
    assert run.ampere_hours == pytest.approx(24)
    with pytest.raises(InputError, match="charge"):
        RunDone(current=parse("1 A", "current")).check("run")


def test_a_sentence_begins_with_a_capital_also_where_a_part_begins_it():
    run = RunDone(part="leaf pendant", charge=parse("2 A*h", "charge"))
    assert run.sentence().startswith("Leaf pendant plated: ")


@pytest.mark.parametrize(
    ("typed", "quantity", "said"),
    [
        ("2 fluid ounce", "volume", "2 fluid ounces"),
        ("1 fluid ounce", "volume", "1 fluid ounce"),
        ("1.0 week", "time", "1.0 week"),
        ("1.5 week", "time", "1.5 weeks"),
        ("2 week", "time", "2 weeks"),
    ],
)
def test_a_unit_that_is_a_word_stands_for_one_or_for_several(typed, quantity, said):
    assert written(parse(typed, quantity)) == said


def test_ampere_hours_add_over_runs(logbook):
    for charge in ("10 A*h", "2.5 A*h"):
        logbook.record("a", RunDone(charge=parse(charge, "charge")))
    logbook.record("a", level())
    assert ampere_hours(logbook.entries()) == 12.5


def test_names_that_look_alike_are_one_bath():
    assert bath_name("  Shed\n tank ") == "Shed tank"
    assert bath_name("Bu\u0308hne") == bath_name("B\u00fchne")


@pytest.mark.parametrize(
    ("kind", "fields", "said"),
    [
        (
            "chloride",
            {"volume": "0.8 mL", "source": "hydrochloric acid"},
            "0.8 mL of hydrochloric acid of 31 % added for chloride",
        ),
        ("chloride", {"volume": "12 mL"}, "12 mL of salt solution of 16.5 g/L added for chloride"),
        (
            "additive",
            {"additive": "Brightener", "per_ampere_hour": "0.2 mL", "per_week": "2 mL"},
            "The label of Brightener says 0.2 mL for each ampere-hour, 2 mL a week",
        ),
        ("remind", {"what": "filter", "every": "2 week"}, "To be reminded: filter, every 2 weeks"),
        ("remind", {"what": "look", "after": "10 min"}, "To be reminded: look, after 10 min"),
        (
            "pour-in",
            {"volume": "1 L", "copper_sulfate": "200 g/L", "sulfuric_acid": "60 g/L", "chloride": "70 mg/L"},
            "1 L of bath poured in: 200 g/L copper sulfate, 60 g/L acid, 70 mg/L chloride",
        ),
    ],
)
def test_an_entry_says_each_of_its_amounts_and_of_what(kind, fields, said):
    assert on(0, kind, **fields).content.sentence() == said


def test_a_part_that_was_weighed_once_tells_no_gain():
    for once in ("part_before", "part_after"):
        assert on(0, "run", charge="2 A*h", **{once: "50 g"}).content.gained is None


def test_a_name_has_eighty_printable_letters_at_most():
    assert bath_name("x" * 80) == "x" * 80
    for name, said in (
        ("x" * 81, "it has 81 characters"),
        ("a\x07b", "can be printed"),
        ("a\ud83d", "can be printed"),
        (" ", "nothing was given"),
    ):
        with pytest.raises(InputError, match=said):
            bath_name(name)


LEAST_ADVICE = {"estimate": {"volume_L": 5.0}}


def test_a_check_of_old_counts_whose_bath_can_no_longer_be_read():
    assert read_content("check", '[bath]\nvolume = "five"', LEAST_ADVICE, "line 3").kind == "check"


def test_json_is_short_as_typed_and_finite():
    assert write_json({"a": ["µ", 1.5]}) == '{"a":["µ",1.5]}'
    with pytest.raises(ValueError, match="not JSON compliant"):
        write_json(float("nan"))


@pytest.mark.parametrize(
    ("kind", "toml", "said"),
    [
        ("tea", "", "it must be one of: check, level, water"),
        ("level", "", "needed: Bath in the tank"),
        ("level", 'volume = "5 g"', "volume"),
        ("check", '[plate]\narea = "1 dm^2"', "the sheet names no bath"),
        ("check", "bath = 5", "the sheet names no bath"),
    ],
)
def test_what_is_no_entry_of_its_kind_is_refused(kind, toml, said):
    with pytest.raises(InputError, match=said):
        read_content(kind, toml, LEAST_ADVICE, "line 3")


def test_another_program_reads_numbers_with_their_unit_and_words_as_they_are():
    said = plain_values(on(0, "run", charge="2000 mA*h", area="85 ± 9.8 cm^2", part="leaf").content)
    assert said["charge_A_h"] == {"value": 2.0, "standard_uncertainty": None}
    assert said["area_dm2"] == pytest.approx({"value": 0.85, "standard_uncertainty": 0.05}, rel=1e-4)
    assert {name: value for name, value in said.items() if not isinstance(value, dict)} == {"part": "leaf"}


def test_a_decimal_comma_does_not_stand_beside_the_point_of_what_is_computed():
    """1.2 A for 5.5 h are 6.6 A·h."""
    run = RunDone(current=parse("1,2 A", "current"), time=parse("5,5 h", "time"), part="Fern")
    assert run.sentence().startswith("Fern plated at 1.2 A for 5.5 h: 6.6")
    assert written(parse(",5 L", "volume")) == ".5 L"
