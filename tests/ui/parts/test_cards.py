"""What the cards say of an advice."""

import re
from dataclasses import replace

import pytest

from advisor.basis.fields import Fault, InputError
from advisor.check.advice import Advice
from advisor.check.advise import advise
from advisor.check.headline import headline, in_full
from advisor.examples import EXAMPLES, example_text
from advisor.questions.disposal import dispose
from advisor.questions.make_up import mix
from advisor.questions.objects import prepare
from advisor.questions.plating import plate
from advisor.questions.remake import keep
from advisor.questions.treatments import treat
from advisor.sheet import TREATMENTS, parse_sheet, read_sheet
from advisor.ui.charts.map_of_check import map_numbers
from advisor.ui.look.own_units import unparted
from advisor.ui.parts import cards, glance, terms
from advisor.ui.session.state import Typed
from advisor.words.cautions import Act, caution
from advisor.words.lines import Units
from advisor.words.sections import Block


def sheet_of(name):
    return parse_sheet(example_text(name).encode())


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_caution_is_shown_once(name):
    advice = advise(sheet_of(name))
    at_steps = [text for step in advice.steps for text in cards.cautions_of(step.acts)]
    shown = [*at_steps, caution(Act.PARTS_AND_ANODES_OUT), *cards.other_cautions(advice)]
    assert sorted(shown) == sorted(advice.cautions)


def drawn(monkeypatch, advice):
    """What stands in the answer beside the cards, and the sections that are drawn there, by key."""
    said, keys = [], []
    monkeypatch.setattr(cards.st, "html", said.append)
    monkeypatch.setattr(cards, "sections", lambda blocks, titled=True: keys.extend(block.key for block in blocks))
    monkeypatch.setattr(cards, "fold", lambda *blocks: keys.extend(block.key for block in blocks))
    cards.begin(advice)
    glance.show(advice)
    cards.besides(advice)
    return said, keys


@pytest.mark.parametrize("condition", ["", "sludge"])
@pytest.mark.parametrize("name", EXAMPLES)
def test_which_section_stands_where_does_not_hang_on_its_title(monkeypatch, name, condition):
    sheet = sheet_of(name)
    if condition:
        sheet = replace(sheet, bath=replace(sheet.bath, condition=(condition,)))
    advice = advise(sheet)
    before = drawn(monkeypatch, advice)
    sections = Advice.sections
    retitled = lambda self: tuple(replace(block, title=f"Title {n}") for n, block in enumerate(sections(self)))  # noqa: E731
    monkeypatch.setattr(Advice, "sections", retitled)
    assert drawn(monkeypatch, advice) == before
    assert before[0]


def test_the_map_shows_the_advice():
    sheet = sheet_of("dull")
    advice = advise(sheet)
    numbers = map_numbers(sheet, advice, Units.METRIC)
    assert numbers.copper_sulfate == advice.values["copper_sulfate"].value
    assert numbers.covariance[0] ** 0.5 == pytest.approx(advice.values["copper_sulfate"].standard_uncertainty)
    assert numbers.path[-1] == (advice.plan.after.copper_sulfate, advice.plan.after.sulfuric_acid)
    assert numbers.coldest == 12.0


def caption(sheet, advice, tried=None):
    """Return what stands beneath the map, and the points that a pointer finds on it."""
    drawn = cards.map_of(sheet, advice, 0, tried)
    return re.findall("<figcaption>(.*)</figcaption>", drawn), re.findall('title="([a-z ]+):', drawn)


def test_beneath_the_map_stands_what_is_drawn_on_it():
    sheet = sheet_of("dull")
    advice = advise(sheet)
    (said,), points = caption(sheet, advice)
    assert said.replace("\N{NO-BREAK SPACE}", " ") == "Ellipse: measured, 95 % sure. Line: correction. Cross: aim."
    assert points == ["bath as measured", "after crystals", "after acid"]
    (said,), points = caption(sheet, advice, advice.steps[0].after)
    assert " Line: what you try. Cross: aim." in said
    assert points == ["bath as measured", "after what you add"]


def test_without_a_reading_the_map_is_announced_unless_a_sound_sample_comes_first():
    told = '<p class="from">The map of your bath comes with the first reading that settles copper sulfate or acid.</p>'
    bath = {"volume": "5 L"}
    for more, said in (({}, told), ({"condition": ["sludge"]}, "")):
        sheet = read_sheet({"bath": bath | more})
        assert cards.map_of(sheet, advise(sheet), 0, None) == said


def test_a_bath_known_in_one_component_is_a_band_without_way_and_aim():
    report = {"kind": "laboratory report", "sulfuric_acid": "50 ± 1 g/L"}
    sheet = read_sheet({"bath": {"volume": "5 L"}, "reading": [report]})
    (said,), points = caption(sheet, advise(sheet))
    assert said == "Only one component is known: the bath lies in the band."
    assert points == []


@pytest.mark.parametrize(
    ("missing", "wrong", "said"),
    [
        (["bath: volume"], [], "<b>One thing is missing:</b> how much bath is there?"),
        (["bath: volume", "plate: area"], [], "<b>2 things are missing:</b> how much bath is there?"),
        (["bath: volume"], ["bath: temperature"], "No answer yet. Fix first: "),
        ([], ["bath: temperature"], "No answer yet. Fix first: "),
    ],
)
def test_what_an_answer_waits_for_is_asked_and_what_is_wrong_is_said_first(monkeypatch, missing, wrong, said):
    shown = []
    monkeypatch.setattr(cards.st, "html", shown.append)
    monkeypatch.setattr(cards, "_lead_to", shown.append)
    errors = {place: InputError.missing(place, "needed: a number") for place in missing}
    errors |= {place: InputError(place, "you gave nonsense", "a number") for place in wrong}
    assert cards.answer_of(Typed(None, errors, None, None), beside=True) is None
    assert said in shown[0]
    assert shown[1:] == ([errors] if wrong else [])
    assert (cards._ASKED_FOR in shown[0]) == (not wrong)  # the field beside it is not marked a second time


@pytest.mark.parametrize(("fault", "said"), [(Fault.MISSING, "Still missing"), (Fault.NOT_USABLE, "Fix first")])
def test_an_answer_of_before_is_marked_with_what_stands_in_the_way_of_the_next(monkeypatch, fault, said):
    shown = []
    monkeypatch.setattr(cards.st, "html", shown.append)
    monkeypatch.setattr(cards, "_lead_to", lambda places: None)
    sheet = sheet_of("dull")
    errors = {"bath: volume": InputError("bath: volume", "", "a volume", fault)}
    assert cards.answer_of(Typed(None, errors, "an answer", sheet)) == "an answer"
    assert f"</b> {said}: " in shown.pop()
    assert cards.answer_of(Typed(sheet, {}, "an answer", sheet)) == "an answer"
    assert shown == []


@pytest.mark.parametrize(("origin", "said"), [("logbook", "233 ± 7 g/L"), ("typed", "233.18 ± 6.72 g/L")])
def test_what_was_computed_is_said_as_its_spread_allows_and_what_was_typed_as_typed(origin, said):
    carried = {"kind": "previous check", "copper_sulfate": "233.18 ± 6.72 g/L", "origin": origin}
    told = cards.computed_from(read_sheet({"bath": {"volume": "5 L"}, "reading": [carried]}))
    assert f"({said}" in told.replace("\N{NO-BREAK SPACE}", " ")


def test_what_it_was_computed_from_names_each_reading():
    said = cards.computed_from(sheet_of("dull"))
    assert said.startswith("Leafcast, big tank (example): 5.6 L at 19 °C, judged by the window “standard”.")
    assert "8.6 mL" in said
    assert "hydrometer (1.136, SG 20/20)" in said


CHLORIDE = {
    "reading": [
        {
            "kind": "previous check",
            "copper_sulfate": "200 ± 6 g/L",
            "sulfuric_acid": "60 ± 2 g/L",
            "chloride": "170 ± 8 mg/L",
            "since": "evaporation only",
        }
    ]
}


@pytest.mark.parametrize(
    "answer",
    [
        mix(read_sheet({"mix": {"volume": "5 L"}}, needs_volume=False)),
        mix(read_sheet({"mix": {"crystals": "2 kg", "acid": "600 mL", "water": "4.5 L"}}, needs_volume=False)),
        dispose(read_sheet({"bath": {"volume": "5 L"}})),
        keep(read_sheet({"bath": {"volume": "5 L"}, "keep": {"mixed_jar": "good"}, "deposit": {"looks": ["dull"]}})),
        keep(read_sheet({"bath": {"volume": "5 L"}, "keep": {"mixed_jar": "dull", "carbon_treated": 2}})),
        plate(read_sheet({"plate": {"area": "85 cm2", "thickness": "150 um"}}, needs_volume=False)),
        prepare(read_sheet({"part": {"made_of": ["shell or coral"], "coat": "graphite"}}, needs_volume=False)),
        *(
            treat(
                read_sheet({"bath": {"volume": "5 L", "temperature": "18 degC"}, "treat": {"what": what}, **CHLORIDE})
            )
            for what in TREATMENTS
        ),
    ],
    ids=["mix", "mend", "dispose", "replace", "remake", "plate", "prepare", *TREATMENTS],
)
def test_a_caution_stands_in_full_at_its_step_and_else_folded_beneath_the_verdict(monkeypatch, answer):
    said = []
    monkeypatch.setattr(cards.st, "html", said.append)
    cards.sections(answer.sections())
    (care,) = (block for block in answer.sections() if block.title == "Take care")
    at_steps = {text for block in answer.sections() for of_line in block.beside for text in of_line}
    assert at_steps
    assert at_steps <= set(care.lines)  # where all stand in one block, none is missing
    folded = said[1] if said[1].startswith("<details") else ""  # nothing is left to fold where each has its step
    assert bool(folded) == (not at_steps >= set(care.lines))
    for text in care.lines:
        words = terms.with_pages(unparted(text))
        in_steps = [block for block in said if block.startswith("<ol") and words in block]
        assert bool(in_steps) == (text in at_steps)
        assert (words in folded) == (text not in at_steps)


def test_what_is_the_matter_with_a_bath_is_not_said_of_the_one_that_its_steps_lead_to():
    """240/60 g/L, too strong for 12 °C, is thinned for it: before that it is too strong, and afterwards no more."""
    report = {"kind": "laboratory report", "copper_sulfate": "240 ± 8 g/L", "sulfuric_acid": "60 ± 4 g/L"}
    raw = {"bath": {"volume": "5.6 L", "coldest": "12 degC", "max_volume": "6.5 L"}, "reading": [report]}
    advice = advise(read_sheet(raw))
    assert advice.state == "too cold"
    (step,) = advice.steps
    matter = ("too strong for the cold", "It is saturated")
    sections = {block.key: " ".join(block.lines) for block in advice.sections()}
    for text in (sections[Block.AFTERWARDS], cards.bath_after(step.after, advice, last=True)):
        assert "inside the window with" in text
        assert not any(said in text for said in matter)
    assert all(said in sections[Block.RESULT] for said in matter)
    assert any("It is saturated" in text for text in in_full(advice))


def test_what_an_answer_rests_on_is_said_as_people_write_it():
    said = cards.computed_from(sheet_of("old"))
    assert "hydrometer (21.4, Baumé)" in said
    assert "at 17 °C" in said


@pytest.mark.parametrize(("salt", "acid"), [("300 ± 60", "60 ± 3"), ("150 ± 60", "90 ± 4")])
def test_water_that_is_poured_in_to_measure_anew_is_told_by_what_it_is_for(salt, acid):
    """Its bath was said to be inside with 7 %, or 0 %, for which nobody pours it in; one may try what would be."""
    report = {"kind": "laboratory report", "copper_sulfate": f"{salt} g/L", "sulfuric_acid": f"{acid} g/L"}
    advice = advise(read_sheet({"bath": {"volume": "4.6 L", "usual_volume": "5.6 L"}, "reading": [report]}))
    (step,) = advice.steps
    assert step.what == "water"
    ends = [text for block in advice.sections() if block.key is Block.AFTERWARDS for text in block.lines]
    told = [*headline(advice).beside, *ends, cards.bath_after(step.after, advice, last=True)]
    assert not [text for text in told if "probability" in text]
    tried = cards.bath_after(replace(step.after), advice, last=True)
    assert "inside the window with" in tried
