"""Names with nothing hidden in them, and names that only look the same."""

import pytest

from advisor.ui.look import own_units
from advisor.words import report
from advisor.words.names import alike, shown_name, warned_of


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("Shed tank", "Shed tank"),
        ("Wanne für Muscheln ½ 🐚", "Wanne für Muscheln ½ 🐚"),
        ("👩\u200d🔬 bath", "👩\u200d🔬 bath"),
        ("bath 👩\u200d🔬", "bath 👩\u200d🔬"),
        ("\u200dbath", "\\u200dbath"),
        ("Sh\u200bed", "Sh\\u200bed"),
        ("\u202eknat", "\\u202eknat"),
        ("a\u200db", "a\\u200db"),
        ("a\x07b", "a\\u0007b"),
        ("مغسلة", "مغسلة"),
        ("a\U000e0041", "a\\udb40\\udc41"),
    ],
)
def test_what_hides_is_shown_by_its_number(name, shown):
    assert shown_name(name) == shown


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Shed tank", "Shed\u200b tank"),
        ("Shed tank", "shed tank"),
        ("Shed tank", "Shеd tаnk"),
        ("Tank 1", "Tank l"),
        ("Vat 10", "Vat １０"),
        ("Bottich", "\u202aBottich\u202c"),
    ],
)
def test_names_that_look_alike_are_told(one, other):
    assert alike([one, "Fern", other]) == ((one, other),)
    (said,) = warned_of([one, other])
    assert said.endswith("look alike and are 2 different baths.")


@pytest.mark.parametrize("names", [("Shed tank", "Shed tank 2"), ("Tank A", "Tank B"), ("Blau", "Grün"), ()])
def test_names_that_differ_are_left_in_peace(names):
    assert alike(names) == ()


def test_no_page_shows_a_letter_that_turns_the_writing_round():
    assert own_units.unparted("\u202e<b>") == r"\u202e&lt;b&gt;"
    assert own_units.shown("3 mL of \u200bbright given") == "3\xa0mL of \\u200bbright given"
    assert "\u202e" not in report.page("\u202eShed", [])
