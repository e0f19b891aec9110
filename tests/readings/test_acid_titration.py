"""Titrations of free acid: titrants and end points, what copper and iron do, shared errors, what is refused."""

import dataclasses

import numpy as np
import pytest

from advisor.basis import tables
from advisor.basis.fields import InputError
from advisor.basis.units import parse
from advisor.readings.acid_titration import END_POINTS, TITRANTS
from advisor.readings.model import State
from advisor.readings.tools import DROP_mL
from advisor.solution.equilibrium import Flask, titrant_volume_at_precipitation

SODA = {
    "sample": "10 mL",
    "diluted_to": "100 mL",
    "titrant": "sodium bicarbonate",
    "strength": "0.5 mol/L",
    "used": "24.5 mL",
    "end_point": "first lasting cloud",
}
KNOWN = {"strength_from": "standardised"}  # so that the substance adds nothing; that has tests of its own
METHYL_ORANGE = SODA | {"end_point": "methyl orange"}


def titrate(read, shown, fields, state):
    """The reading that a bath of this state gives."""
    first = read("acid titration", **fields)
    return dataclasses.replace(first, used=parse(f"{shown(first, state):.5f} mL", "volume"))


def implied(titrant, used_mL, molarity):
    """Acid [g/L] in a sample of 10 mL by stoichiometry: V M 49.04 / Vs with one proton a formula, V M 98.07 / Vs with two."""
    return used_mL * molarity * (98.07 if "carbonate" in titrant and "bi" not in titrant else 49.035) / 10.0


@pytest.mark.parametrize("titrant", TITRANTS)
@pytest.mark.parametrize("end_point", END_POINTS)
def test_round_trip(read, shown, find, usual, titrant, end_point):
    reading = titrate(read, shown, SODA | KNOWN | {"titrant": titrant, "end_point": end_point}, usual)
    # The end point depends a little on the copper, which the prior leaves at 150 ± 150 g/L.
    copper = read("previous check", copper_sulfate="200 ± 2 g/L", since="evaporation only")
    found = find(reading, copper)
    assert found.value("sulfuric_acid") == pytest.approx(60.0, abs=0.05 * found.standard_uncertainty("sulfuric_acid"))
    assert implied(titrant, reading.used.value * 1000, 0.5) == pytest.approx(60.0, rel=0.02)


@pytest.mark.parametrize(
    ("titrant", "grams"),
    [
        ("sodium hydroxide", 20.0),
        ("sodium bicarbonate", 42.0),
        ("sodium carbonate", 53.0),
        ("sodium carbonate monohydrate", 62.0),
        ("sodium carbonate decahydrate", 143.1),
    ],
)
def test_half_a_mole_as_it_is_weighed(read, shown, usual, titrant, grams):
    fields = SODA | KNOWN | {"titrant": titrant}
    weighed = read("acid titration", **fields | {"strength": f"{grams} g/L"})
    assert shown(weighed, usual) == pytest.approx(shown(read("acid titration", **fields), usual), rel=5e-4)


def test_copper_makes_methyl_orange_early_and_the_hydroxide_cloud_late(read, shown):
    # At 60 g/L acid: methyl orange -1.0 % in the middle of 440 cases and -2.4 % at worst, the cloud between -0.2 % and
    # +0.7 % (simulated with PHREEQC).
    exact = 60 * 10 * 2 / 98.07 / 0.5
    orange, cloud = (
        shown(
            read("acid titration", **SODA | {"titrant": "sodium hydroxide", "end_point": end_point}),
            State(200.0, 60.0),
        )
        / exact
        - 1
        for end_point in ("methyl orange", "first lasting cloud")
    )
    assert -0.024 < orange < -0.003
    assert -0.002 < cloud < 0.012


@pytest.mark.parametrize("titrant", ["sodium bicarbonate", "sodium carbonate"])
def test_a_flask_left_fizzing_clouds_late_and_not_for_sure(read, shown, model, usual, titrant):
    # Carbon dioxide delays the cloud by 0.02 to 0.1 % in a swirled flask, by 0.6 to 16 % in one left fizzing (PHREEQC).
    fields = SODA | {"titrant": titrant}
    unsaid, swirled, fizzing = (
        read("acid titration", **fields | extra) for extra in ({}, {"fizzing": False}, {"fizzing": True})
    )
    assert shown(unsaid, usual) == shown(swirled, usual)
    delay = shown(fizzing, usual) / shown(swirled, usual) - 1
    assert 0.005 < delay < 0.03
    end = [
        float(np.hypot.reduce(_of_the_cloud(model(reading, usual)))) / shown(reading, usual)
        for reading in (swirled, unsaid, fizzing)
    ]
    assert end[0] < 0.004 < delay < end[1] < end[2] < 3 * delay


def _of_the_cloud(model):
    return [effect[0] for source, effect in model.systematic.items() if "cloud" in source or "dioxide" in source]


def test_fizz_says_nothing_of_lye_or_of_an_indicator(read, shown, usual):
    for fields in (METHYL_ORANGE, SODA | {"titrant": "sodium hydroxide"}):
        plain, fizzing = (read("acid titration", **fields | {"fizzing": said}) for said in (False, True))
        assert shown(plain, usual) == shown(fizzing, usual)


@pytest.mark.parametrize(
    ("titrant", "gas"),
    [("sodium hydroxide", {0.0: 1.0}), ("sodium bicarbonate", {10**-1.3: 1 / 6, 10**-0.65: 4 / 6, 1.0: 1 / 6})],
)
def test_a_cloud_is_as_unsure_as_its_nine_flasks_differ(read, shown, model, titrant, gas):
    """Three clouds that an eye may take for the first, at each pressure of carbon dioxide [atm] that a flask left fizzing
    may hold; lye frees none. The end point is predicted in air, at the middle cloud, and later by the mean delay."""
    reading = read("acid titration", **SODA | KNOWN | {"titrant": titrant, "used": "24.48 mL", "fizzing": True})
    bath = State(200.0, 24.48 * 0.5 * 49.035 / 10)
    flask = Flask(10.0, 100.0, titrant, 0.5)
    shares, seen = [], []
    for pressure, share in gas.items():
        for solid, eye in (
            ("brochantite", 0.014),
            ("fresh basic sulfate", 0.740),
            ("fresh basic sulfate seen late", 0.246),
        ):
            volume = titrant_volume_at_precipitation(bath.copper_sulfate, bath.sulfuric_acid, solid, flask, pressure)
            seen.append(float(volume))
            shares.append(share * eye)
    spread = np.sqrt(np.dot(shares, (np.array(seen) - shown(reading, bath)) ** 2))
    stated = model(reading, bath)
    assert np.hypot.reduce(_of_the_cloud(stated)) == pytest.approx(spread, rel=1e-3)
    assert (stated.systematic["carbon dioxide in the flask"][0] > 1e-6) == (titrant != "sodium hydroxide")


@pytest.mark.parametrize(("answer", "said"), [({}, "Swirl the gas out"), ({"fizzing": True}, "the cloud came late")])
def test_fizz_is_asked_for_or_named(read, warnings_of, answer, said):
    assert said in warnings_of(read("acid titration", **SODA | answer))
    assert "fizz" not in warnings_of(read("acid titration", **SODA | {"fizzing": False}))


@pytest.mark.parametrize("solid", ["brochantite", "fresh_basic_sulfate"])
def test_on_computed_end_points_the_cloud_is_no_worse_than_stoichiometry(read, model, solid):
    # `phreeqc_end_points.csv`: where basic copper sulfates may first stand in 72 flasks, computed with PHREEQC.
    corrected, bare = [], []
    for row in tables.rows("phreeqc_end_points"):
        acid, copper = float(row["sulfuric_acid_g_L"]), float(row["copper_sulfate_g_L"])
        reading = read(
            "acid titration",
            sample=f"{row['sample_mL']} mL",
            diluted_to=f"{row['diluted_to_mL']} mL",
            titrant=row["titrant"],
            strength=f"{row['strength_mol_L']} mol/L",
            used=f"{row[f'{solid}_saturates_mL']} mL",
            end_point="first lasting cloud",
        )
        near = acid * np.array([0.8, 1.0, 1.2])
        predicted = model(reading, State(copper, acid)).predict(State(np.full(3, copper), near))[0]
        found = float(np.interp(reading.used.value * 1000, predicted, near))
        corrected.append(abs(found / acid - 1))
        bare.append(abs(reading.used.value * 1000 / float(row["equivalence_mL"]) - 1))
    assert np.mean(corrected) < np.mean(bare)
    assert np.median(corrected) < np.median(bare)
    assert np.max(corrected) < np.max(bare)


def test_blank_is_taken_off(read, shown, usual):
    plain = shown(read("acid titration", **METHYL_ORANGE), usual)
    assert shown(read("acid titration", **METHYL_ORANGE, blank="0.4 mL"), usual) == pytest.approx(plain + 0.4)


def test_errors_that_are_shares_are_shares_of_what_the_acid_took(read, model):
    """1 mL of blank beside 8 mL: the errors of strength and sample are those of a reading of 8 mL without one."""
    fields = METHYL_ORANGE | {"titrant_label": "B", "sample_label": "S"}
    without = model(read("acid titration", **fields | {"used": "8 mL"})).systematic
    beside = model(read("acid titration", **fields | {"used": "9 mL", "blank": "1 mL"})).systematic
    for source in ("titrant B", "sample S"):
        assert beside[source] == pytest.approx(without[source]), source


def test_iron_reads_as_acid(read, model, slopes):
    # 1 g/L iron(III) takes as much base as 0.6 to 2.6 g/L of acid (computed with PHREEQC), iron(II) none.
    slope = slopes(model(read("acid titration", **METHYL_ORANGE)))
    assert slope["iron_three"] / slope["sulfuric_acid"] == pytest.approx(1.6, rel=1e-3)
    assert slope["iron"] == slope["sodium_sulfate"] == 0.0
    assert slope["zinc"] == slope["nickel"] == slope["chloride"] == 0.0
    assert abs(slope["copper_sulfate"]) < 0.01 * slope["sulfuric_acid"]
    # Give or take 0.6 g/L of acid a g/L: 1.2 mg in 10 mL for 2 g/L are 0.122 mmol, or 0.245 mmol of base.
    rusty = model(read("acid titration", **METHYL_ORANGE), State(200.0, 60.0, iron_three=2.0))
    assert rusty.systematic["iron(III) takes base"][0] == pytest.approx(0.245 / 0.5, rel=2e-3)


def test_each_time_it_ends_a_drop_off_and_a_cloud_a_fiftieth(read, model):
    sure = {"sample": "10 ± 0.0001 mL", "used": "24.5 ± 0.0001 mL"}
    orange, cloud = (model(read("acid titration", **fields | sure)).random[0] for fields in (METHYL_ORANGE, SODA))
    assert orange == pytest.approx(DROP_mL, rel=1e-3)
    assert cloud == pytest.approx(np.hypot(DROP_mL, 24.5 / 50), rel=1e-3)


@pytest.mark.parametrize("acid", [5.0, 60.0])
def test_half_of_methyl_oranges_correction_is_its_uncertainty(read, model, shown, acid):
    state = State(200.0, acid)
    reading = titrate(read, shown, METHYL_ORANGE, state)
    correction = acid / implied("sodium bicarbonate", 1.0, 0.5) - reading.used.value * 1000
    effect = model(reading, state).systematic["end point methyl orange"][0]
    assert effect == pytest.approx(abs(correction) / 2, rel=1e-3)


def test_pH_meter_is_good_to_a_tenth(read, model, shown, usual):
    fields = SODA | {"end_point": "pH meter", "end_point_pH": 3.6}
    low, high = (shown(read("acid titration", **fields | {"end_point_pH": pH}), usual) for pH in (3.6, 3.7))
    reading = titrate(read, shown, fields, usual)
    assert model(reading, usual).systematic["pH meter"][0] == pytest.approx(high - low, rel=0.05)


def test_nothing_used_means_hardly_any_acid_and_not_none(read, find, warnings_of):
    reading = read("acid titration", **METHYL_ORANGE | {"used": "0 mL"})
    found = find(reading)
    assert 0.1 < found.value("sulfuric_acid") < 0.5
    assert 0.2 < found.standard_uncertainty("sulfuric_acid") < 0.3
    assert "does not mean exactly zero" in warnings_of(reading)


def test_what_goes_unseen_before_the_first_drop_are_two_drops(read, model, shown, warnings_of):
    turned = read("acid titration", **METHYL_ORANGE | {"used": "0 mL"})
    found = model(turned)
    # Anything from no acid to what two drops neutralise; iron(III) passes for acid here too.
    assert found.random[0] == found.observed[0]
    assert f"free acid is below about {2 * found.observed[0]:.1g} g/L" in warnings_of(turned)
    bath = State(200.0, 2 * found.observed[0])
    assert shown(read("acid titration", **METHYL_ORANGE), bath) == pytest.approx(2 * DROP_mL, abs=0.002)
    assert found.predict(State(200.0, 1.0, iron_three=1.0))[0] == pytest.approx(1.0 + 1.6)


def test_one_syringe_for_both_cancels(read, model):
    fields = METHYL_ORANGE | {"used": "10 mL"}
    both = model(read("acid titration", **fields, sample_with="10 mL syringe", used_with="10 mL syringe"))
    assert both.systematic["tool 10 mL syringe"][0] == pytest.approx(0.0, abs=1e-12)
    two = model(read("acid titration", **fields, sample_with="10 mL syringe", used_with="10 mL class A pipette"))
    # 4 % of 10 mL as a limit, without the fifth of its division of 0.5 mL that is new each time.
    assert two.systematic["tool 10 mL syringe"][0] == pytest.approx(np.sqrt(0.4**2 / 3 - 0.1**2), rel=1e-6)


def test_better_tools_tell_more(read, find):
    spreads = [
        find(
            read("acid titration", **METHYL_ORANGE | {"strength": "0.5 ± 0.002 mol/L"}, sample_with=a, used_with=b)
        ).standard_uncertainty("sulfuric_acid")
        for a, b in (
            ("10 mL class A pipette", "50 mL class A burette"),
            ("10 mL syringe", "50 mL class A burette"),
            ("tablespoon", "kitchen jug"),
        )
    ]
    assert spreads[0] < 0.5 < spreads[1] < 2.0 < spreads[2]


def test_label_shares_the_drawn_sample(read, model):
    alone, label = (
        model(read("acid titration", **METHYL_ORANGE, **more)) for more in ({}, {"sample_label": "Tuesday"})
    )
    assert label.systematic["sample Tuesday"][0] == pytest.approx(24.5 / 10 * 0.1)  # a fifth of a division
    assert label.random[0] < alone.random[0]


def test_label_tells_bottles_of_one_strength_apart(read, model):
    one, other = (
        model(read("acid titration", **SODA, **more)).systematic for more in ({}, {"titrant_label": "new bottle"})
    )
    assert "titrant sodium bicarbonate 0.5 mol/L" in one
    assert "titrant new bottle" in other
    assert one["titrant sodium bicarbonate 0.5 mol/L"][0] == pytest.approx(np.hypot(0.01, np.hypot(0.008, 0.01)) * 24.5)


@pytest.mark.parametrize(
    ("changed", "names"),
    [
        ({"diluted_to": "9 mL"}, "diluted_to"),
        ({"used": "200 mL"}, "used"),
        ({"used": "-1 mL"}, "used"),
        ({"sample": "0 mL"}, "sample"),
        ({"end_point_pH": 3.8}, "end_point_pH"),
        ({"end_point": "pH meter", "end_point_pH": 7.0}, "end_point_pH"),
        ({"end_point": "phenolphthalein"}, "end_point"),
        ({"blank": "25 mL"}, "blank"),
        ({"titrant": "sodium thiosulfate"}, "titrant"),
        ({"used_with": "10 mL bottle"}, "used_with"),
        ({"diluted_to_with": "pond"}, "diluted_to_with"),
        ({"strength": "0 mol/L"}, "strength"),
    ],
)
def test_refused(refusal, changed, names):
    assert refusal("acid titration", **SODA | changed).place == f"reading 1: {names}"


def test_at_most_400_g_L(read):
    # 163.1 mL of 0.5 mol/L in 10 mL are 400 g/L.
    assert read("acid titration", **SODA | {"used": "163 mL"})
    assert read("acid titration", **SODA | {"used": "163.5 mL", "blank": "0.5 mL"})
    with pytest.raises(InputError, match="which means 401 g/L of acid"):
        read("acid titration", **SODA | {"used": "163.5 mL"})


@pytest.mark.parametrize(
    ("fields", "iron_three", "rusty"), [(SODA, 0.2, True), (SODA, 0.1, False), (METHYL_ORANGE, 0.2, False)]
)
def test_a_rust_coloured_cloud_is_told_from_coppers(read, warnings_of, usual, fields, iron_three, rusty):
    said = warnings_of(read("acid titration", **fields), dataclasses.replace(usual, iron_three=iron_three))
    assert ("rust-coloured cloud" in said) is rusty


def test_warnings(read, warnings_of):
    assert "gas" not in warnings_of(read("acid titration", **SODA | {"titrant": "sodium hydroxide"}))
    assert warnings_of(read("acid titration", **METHYL_ORANGE)) == ""
    assert "bigger sample" in warnings_of(read("acid titration", **METHYL_ORANGE | {"used": "2.9 mL"}))
    assert warnings_of(read("acid titration", **METHYL_ORANGE | {"used": "3.1 mL"})) == ""


@pytest.mark.parametrize("used", ["0.05 mL", "1 mL"])
@pytest.mark.parametrize(
    ("end_point", "source"),
    [
        ("methyl orange", "end point methyl orange"),
        ("first lasting cloud", "end point first lasting cloud"),
        ("pH meter", "pH meter"),
    ],
)
def test_an_end_point_is_no_less_sure_where_little_was_used(read, model, used, end_point, source):
    """0.05 mL of soda, 0.1 g/L of acid, agreed with a laboratory's 60 g/L: its end point was off by several times that."""
    bath, fields = State(200.0, 60.0), SODA | {"end_point": end_point}
    little, usual = (model(read("acid titration", **fields | {"used": each}), bath) for each in (used, "24.5 mL"))
    shown = usual.predict(bath)
    (of_little,), (of_usual,) = (each.effects(shown)[source] for each in (little, usual))
    assert of_little == pytest.approx(of_usual)
    assert 0 < of_usual < 0.05 * shown
