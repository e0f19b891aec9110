"""Short words that many answers share: a probability, a day, a state, a list."""

import datetime

import pytest

from advisor.words.dates import said
from advisor.words.lines import Units
from advisor.words.names import listed
from advisor.words.sections import how_likely, percent
from advisor.words.states import BRIEF, SENTENCES, PlanState, brief, sentence


@pytest.mark.parametrize(
    ("probability", "written"),
    [(0.0, "under 1 %"), (0.0099, "under 1 %"), (0.01, "1 %"), (0.954, "95 %"), (0.99, "99 %"), (0.9901, "over 99 %"), (1.0, "over 99 %")],
)  # fmt: skip
def test_a_probability_is_never_written_as_a_certainty(probability, written):
    assert percent(probability) == written


@pytest.mark.parametrize(
    ("probability", "word"),
    [(0.6, "likely"), (0.596, "likely"), (0.594, "as likely as not"), (0.45, "as likely as not"), (0.44, "perhaps"), (0.0, "perhaps")],
)  # fmt: skip
def test_the_word_for_a_probability_fits_the_per_cent_beside_it(probability, word):
    assert how_likely(probability) == word


def test_each_month_has_its_name():
    # a year of month's first days, by the language of these pages whatever the computer's
    assert [said(datetime.date(2026, month, 1)).split()[1][:3] for month in range(1, 13)] == (
        ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]
    )
    assert said(datetime.datetime(2026, 3, 14, 15, 9)) == "14 March 2026"


@pytest.mark.parametrize("state", PlanState)
def test_a_first_part_without_steps_means_measuring(state):
    assert sentence(state, has_steps=True) == SENTENCES[state]
    shown = PlanState.MEASURE_FIRST if state is PlanState.FIRST_PART else state
    assert sentence(state, has_steps=False) == SENTENCES[shown]
    assert brief(state.value) == BRIEF[state]  # as a record keeps it


def test_a_state_names_the_warmth_that_it_asks_for_no_colder_in_fahrenheit():
    """18 °C are 64.4 °F. Where the cold alone is in the way of a correction, it says to warm the bath first."""
    warm = brief(PlanState.TOO_COLD, 18.0)
    assert warm == "Too strong for the cold. Keep it above 18 °C"
    assert warm.text(Units.US_FIRST) == "Too strong for the cold. Keep it above 65 °F (18 °C)"
    assert brief(PlanState.NOT_POSSIBLE, 18.0) == "First warm it above 18 °C and keep it there"


def test_a_state_that_only_a_later_version_knows_is_said_as_it_stands():
    assert brief("half done") == "half done"


@pytest.mark.parametrize(("words", "sentence"), [("a", "a"), ("ab", "a and b"), ("abc", "a, b and c")])
def test_words_are_listed_as_a_sentence_does(words, sentence):
    assert listed(words) == sentence
