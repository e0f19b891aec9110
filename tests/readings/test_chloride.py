"""Chloride by silver nitrate, by strips and by a ladder: what they show, how far they are trusted, what is refused."""

import dataclasses

import numpy as np
import pytest

from advisor.basis.units import parse
from advisor.readings.model import State

SILVER = {"sample": "50 mL", "strength": "0.01 mol/L", "used": "10 mL", "end_point": "silver wire"}
LADDER = {"lower": "50 mg/L", "upper": "75 mg/L"}


def test_a_millimole_of_silver_is_a_millimole_of_chloride(read, shown):
    # mg/L = V M 35450 / Vs: 35.45 mg in 50 mL take 1 mmol, 100 mL of 0.01 mol/L.
    assert shown(read("chloride titration", **SILVER), State(0, 0, 0, 709.0)) == pytest.approx(100.0, rel=1e-9)


def test_strength_by_mass(read, shown, usual):
    # Silver nitrate weighs 169.87 g/mol.
    by_mass = read("chloride titration", **SILVER | {"strength": "1.6987 g/L"})
    assert shown(by_mass, usual) == pytest.approx(shown(read("chloride titration", **SILVER), usual))


@pytest.mark.parametrize("blank", ["0 mL", "0.4 mL"])
def test_titration_round_trip(read, shown, find, usual, blank):
    first = read("chloride titration", **SILVER, blank=blank)
    reading = dataclasses.replace(first, used=parse(f"{shown(first, usual):.5f} mL", "volume"))
    assert find(reading).value("chloride") == pytest.approx(70.0, abs=0.15)


def test_strip_round_trip(read, find, usual):
    reading = read("chloride strip", value="35 ± 0.98 mg/L", dilution=2)
    found = find(reading)
    assert found.value("chloride") == pytest.approx(70.0, abs=0.01)
    assert found.standard_uncertainty("chloride") == pytest.approx(1.0, abs=0.01)


def test_ladder_round_trip(read, find):
    # Between 60 and 80: 20 / sqrt(12) beside a comparison good to 25 % at 95 % probability.
    found = find(read("chloride ladder", lower="60 mg/L", upper="80 mg/L"))
    spread = np.hypot(20 / np.sqrt(12), 0.25 / 1.96 * 70)
    assert found.standard_uncertainty("chloride") == pytest.approx(spread, rel=0.01)
    assert found.value("chloride") == pytest.approx(70.0, abs=0.1)


@pytest.mark.parametrize(
    ("kind", "fields"),
    [("chloride titration", SILVER), ("chloride strip", {"value": "70 mg/L"}), ("chloride ladder", LADDER)],
)
def test_only_chloride_counts(read, model, slopes, kind, fields):
    slope = slopes(model(read(kind, **fields)))
    assert slope.pop("chloride") > 0
    assert set(slope.values()) == {0.0}


def test_strips_of_one_pack_share_half_of_their_variance(read, find):
    strip = read("chloride strip", value="70 mg/L", lower="69 mg/L", upper="71 mg/L")  # marks that hide nothing
    one, many = (find(*[strip] * count).standard_uncertainty("chloride") for count in (1, 50))
    assert one == pytest.approx(0.25 / 1.96 * 70, rel=0.01)
    assert many == pytest.approx(one / np.sqrt(2), rel=0.03)


def test_how_far_pads_are_apart_counts(read, model):
    """Read as 100 between pads of 50 and 200: anything from 70 to 160 would have been read so."""
    found = model(read("chloride strip", value="100 mg/L", lower="50 mg/L", upper="200 mg/L"))
    middle = (100 - 0.6 * 50 + 100 + 0.6 * 100) / 2
    eye = 0.25 / 1.96 * middle
    assert found.observed[0] == pytest.approx(middle)
    spread = np.hypot(found.random[0], found.systematic["chloride strips"][0])
    assert spread == pytest.approx(np.hypot(0.6 * 150 / np.sqrt(12), eye))


@pytest.mark.parametrize("pads", [(0, 25, 50, 100, 200, 400), (0, 500, 1000, 1500, 2000), (30, 60, 90, 120, 180, 240), (0, 50, 100, 250)])  # fmt: skip
@pytest.mark.parametrize(
    "seen_as", [lambda content: content, lambda content: np.log(content + 10)], ids=["even", "log"]
)
def test_a_strip_with_printed_pads_holds_the_truth(read, model, pads, seen_as):
    """Pack and eye are off as is stated; of the pads the one is read that looks nearest."""
    rng, pads, held = np.random.default_rng(7), np.array(pads, dtype=float), []
    models = {}
    for _ in range(3000):
        true = rng.uniform(20, pads[-2])
        seen = max(true * (1 + rng.normal(0, 0.25 / 1.96)), 0)
        near = int(np.argmin(np.abs(seen_as(pads) - seen_as(seen))))
        if near not in models:
            named = {"lower": pads[max(near - 1, 0)], "upper": pads[min(near + 1, len(pads) - 1)], "value": pads[near]}
            made = model(read("chloride strip", **{name: f"{content:g} mg/L" for name, content in named.items()}))
            models[near] = made.observed[0], np.hypot(made.random[0], made.systematic["chloride strips"][0])
        observed, spread = models[near]
        held.append(abs(observed - true) < 1.96 * spread)
    assert np.mean(held) >= 0.93


def test_a_strip_without_its_pads_is_trusted_less(read, model):
    bare, named = (
        read("chloride strip", value="70 mg/L", **more) for more in ({}, {"lower": "60 mg/L", "upper": "90 mg/L"})
    )
    assert model(bare).random[0] > 1.5 * model(named).random[0]
    assert model(bare).observed[0] == 70.0


def test_nothing_on_the_strip_is_an_answer(read, find):
    """The first mark at 20 mg/L: anything up to 12 in the liquid would have shown nothing."""
    found = find(read("chloride strip", value="0 mg/L", lower="0 mg/L", upper="20 mg/L", dilution=2))
    assert found.value("chloride") == pytest.approx(12.0, rel=0.1)
    assert found.standard_uncertainty("chloride") == pytest.approx(2 * np.hypot(12 / np.sqrt(12), 5), rel=0.05)


def test_no_chloride_found_by_titration(read, find):
    found = find(read("chloride titration", **SILVER | {"used": "0 mL"}))
    assert found.value("chloride") < 2
    assert 0 < found.standard_uncertainty("chloride") < 3


def test_a_standard_that_looks_alike(read, model):
    same = model(read("chloride ladder", lower="75 mg/L", upper="75 mg/L"))
    assert np.hypot(same.random[0], same.systematic["chloride ladder"][0]) == pytest.approx(0.25 / 1.96 * 75)


def test_errors_of_a_share_are_of_what_the_chloride_took(read, model):
    """10.5 mL, of which the blank takes 0.5: weighed silver nitrate is off by 1 % of the other 10, a wire by 2 %."""
    found = model(read("chloride titration", **SILVER | {"used": "10.5 mL", "blank": "0.5 mL"}, titrant_label="B"))
    assert found.systematic["titrant B"][0] == pytest.approx(0.1)
    assert found.systematic["end point silver wire"][0] == pytest.approx(0.2)
    assert found.predict(State(200.0, 60.0, chloride=0.0)) == pytest.approx([0.5])


@pytest.mark.parametrize(("read_as", "apart", "eye"), [(70.0, 52.5, 0.25 / 1.96 * 70), (20.0, 30.0, 5.0)])
def test_pads_that_nobody_named_are_three_quarters_away_or_thirty(read, model, read_as, apart, eye):
    """Six tenths of the way to either; an eye sees to 25 % at 95 % probability, and never less than 5 mg/L."""
    found = model(read("chloride strip", value=f"{read_as} mg/L"))
    spread = np.hypot(found.random[0], found.systematic["chloride strips"][0])
    assert spread == pytest.approx(np.hypot(0.6 * 2 * apart / np.sqrt(12), eye))


@pytest.mark.parametrize(("end_point", "relative"), [("silver wire", 0.02), ("turbidity", 0.05)])
def test_end_points(read, model, end_point, relative):
    found = model(read("chloride titration", **SILVER | {"end_point": end_point}))
    assert found.systematic[f"end point {end_point}"][0] == pytest.approx(10 * relative)


def test_one_syringe_for_sample_and_titrant_cancels(read, model):
    fields = SILVER | {"sample": "10 mL", "used": "10 mL", "strength": "0.002 mol/L"}
    same = model(read("chloride titration", **fields, sample_with="10 mL syringe", used_with="10 mL syringe"))
    assert same.systematic["tool 10 mL syringe"][0] == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize(
    ("kind", "fields", "names"),
    [
        ("chloride titration", SILVER | {"blank": "10.1 mL"}, "blank"),
        ("chloride titration", SILVER | {"end_point": "chromate"}, "end_point"),
        ("chloride titration", SILVER | {"sample": "0.05 mL"}, "used"),
        ("chloride titration", SILVER | {"used_with": "cup"}, "used_with"),
        ("chloride strip", {"value": "70 mg"}, "value"),
        ("chloride strip", {"value": "2000 mg/L", "dilution": 6}, "value"),
        ("chloride strip", {"value": "70 mg/L", "dilution": 0.5}, "dilution"),
        ("chloride strip", {"value": "70 mg/L", "lower": "80 mg/L"}, "lower"),
        ("chloride strip", {"value": "70 mg/L", "upper": "60 mg/L"}, "upper"),
        ("chloride ladder", {"lower": "75 mg/L", "upper": "50 mg/L"}, "upper"),
        ("chloride ladder", {"lower": "75 mg/L"}, "upper"),
    ],
)
def test_refused(refusal, kind, fields, names):
    assert refusal(kind, **fields).place == f"reading 1: {names}"


@pytest.mark.parametrize(("kind", "fields"), [("chloride titration", SILVER), ("chloride ladder", LADDER)])
def test_silver_waste(read, warnings_of, kind, fields):
    said = warnings_of(read(kind, **fields))
    assert "table salt" in said
    assert "never let it meet ammonia" in said


def test_warnings_of_strips(read, warnings_of):
    assert "chlorine in pools or drinking water do not read chloride" in warnings_of(
        read("chloride strip", value="70 mg/L")
    )
    assert "dilute less" in warnings_of(read("chloride strip", value="7 mg/L", dilution=10))
    assert "dilute less" not in warnings_of(read("chloride strip", value="35 mg/L", dilution=2))
    assert "silver" not in warnings_of(read("chloride strip", value="70 mg/L"))
    assert "dilute less" in warnings_of(read("chloride strip", value="20 mg/L", dilution=1.5))
    assert "dilute less" not in warnings_of(read("chloride strip", value="20 mg/L"))


@pytest.mark.parametrize(
    ("fields", "asks", "is_last"),
    [
        ({}, True, False),
        ({"lower": "50 mg/L"}, True, False),
        ({"upper": "90 mg/L"}, True, False),
        ({"lower": "50 mg/L", "upper": "90 mg/L"}, False, False),
        ({"lower": "50 mg/L", "upper": "70 mg/L"}, False, True),
        ({"value": "70 ± 10 mg/L"}, False, False),
    ],
)
def test_a_strip_asks_for_its_pads_where_they_count(read, warnings_of, fields, asks, is_last):
    said = warnings_of(read("chloride strip", **{"value": "70 mg/L"} | fields))
    assert ("Name the pads" in said, "dilute the bath" in said) == (asks, is_last)


def test_a_titration_that_takes_no_more_than_its_blank_found_no_chloride(read, model):
    found = model(read("chloride titration", **SILVER | {"used": "0.4 mL", "blank": "0.4 mL"}))
    assert found.predict(State(200.0, 60.0, chloride=0.0)) == pytest.approx(found.observed)


def test_a_titration_with_little_titrant(read, warnings_of):
    assert "bigger sample" in warnings_of(read("chloride titration", **SILVER | {"used": "1.5 mL"}))
    for used in ("2.1 mL", "0 mL"):  # a bigger sample of what has none shows none either
        assert "bigger sample" not in warnings_of(read("chloride titration", **SILVER | {"used": used}))


@pytest.mark.parametrize("kind", ["chloride titration", "chloride strip", "chloride ladder"])
def test_chloride_is_estimated_whatever_the_kind_is_called(monkeypatch, read, find, kind):
    fields = {
        "chloride titration": {"sample": "50 mL", "strength": "0.01 mol/L", "used": "5 mL", "end_point": "turbidity"},
        "chloride strip": {"value": "35 mg/L", "dilution": 2},
        "chloride ladder": {"lower": "50 mg/L", "upper": "75 mg/L"},
    }
    reading = read(kind, **fields[kind])
    before = find(reading).value("chloride")
    monkeypatch.setattr(type(reading), "kind", "halide test")
    assert find(reading).value("chloride") == before


def test_only_what_tells_the_chloride_brings_it_in(monkeypatch, read, find):
    check = read("previous check", copper_sulfate="200 g/L")
    monkeypatch.setattr(type(check), "kind", "check of all but the chloride")
    assert "chloride" not in find(check).names
    assert "chloride" in find(dataclasses.replace(check, chloride=parse("60 mg/L", "content"))).names
