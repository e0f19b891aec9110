"""The text of a QR code: every step whole, cautions as far as they fit, and said where some are left out."""

import pytest

from advisor.check.advise import advise
from advisor.examples import EXAMPLES, example_text
from advisor.sheet import parse_toml, read_sheet
from advisor.words.lines import Units, in_units
from advisor.words.pocket import MOST_BYTES, REST_OF_THE_CAUTIONS, pocket
from advisor.words.sections import Block, Section


@pytest.mark.parametrize("name", EXAMPLES)
@pytest.mark.parametrize("units", Units)
def test_the_steps_of_an_example_are_whole(name, units):
    advice = advise(read_sheet(parse_toml(example_text(name).encode())))
    text = pocket("Bath check", advice.sections(), units)
    steps = [block for block in advice.sections() if block.key is Block.STEPS and block.numbered]
    if not steps:
        assert text is None
        return
    if text is None:  # too long for a code: better none than a part
        assert sum(len(step.encode()) for step in steps[0].lines) > MOST_BYTES / 2
        return
    assert len(text.encode()) <= MOST_BYTES
    for step in steps[0].lines:
        assert in_units(step, units) in text
    left_out = [caution for caution in advice.cautions if in_units(caution, units) not in text]
    assert bool(left_out) <= (REST_OF_THE_CAUTIONS in text)


def test_steps_are_never_cut():
    steps = Section("What to do", ("Add salt. " * 100, "Stir. " * 200), numbered=True, key=Block.STEPS)
    assert pocket("Bath check", [steps], Units.METRIC) is None


def test_steps_are_numbered_and_nothing_but_cautions_follows():
    blocks = [
        Section("What to know", ("It is blue.",), numbered=True),
        Section("What to do", ("Add salt.", "Stir."), numbered=True, key=Block.STEPS),
        Section("What to think of", ("Nothing.",), key=Block.STEPS),
        Section("Take care", ("It burns.", "It stains."), caution=True),
    ]
    assert pocket("Bath check", blocks, Units.METRIC) == (
        "Bath check\n1. Add salt.\n2. Stir.\n! It burns.\n! It stains."
    )


def test_cautions_that_do_not_fit_are_said_to_be_on_the_page():
    steps = Section("What to do", ("Add salt.",), numbered=True, key=Block.STEPS)
    many = Section("Take care", tuple(f"Caution {number}. {'x' * 100}" for number in range(40)), caution=True)
    text = pocket("Bath check", [steps, many], Units.METRIC)
    assert text.endswith(REST_OF_THE_CAUTIONS)
    assert len(text.encode()) <= MOST_BYTES
    next_one = many.lines[text.count("! Caution")]
    assert len(f"{text}\n! {next_one}".encode()) > MOST_BYTES
