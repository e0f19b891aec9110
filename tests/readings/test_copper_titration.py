"""Titrations of copper: stoichiometry, foreign metals by either method, limits of the indicator, what is refused."""

import dataclasses

import numpy as np
import pytest

from advisor.basis.fields import InputError
from advisor.basis.units import parse
from advisor.readings.model import State

EDTA = {"method": "EDTA", "sample": "1 mL", "strength": "0.05 mol/L", "used": "16 mL", "indicator": "PAN"}
IODIDE = {
    "method": "iodometric",
    "sample": "1 mL",
    "strength": "0.1 mol/L",
    "used": "8 mL",
    "blank": "0 mL",
    "thiocyanate": True,
}
FIELDS = {"EDTA": EDTA, "iodometric": IODIDE}


def titrate(read, shown, fields, state, **more):
    """The reading that a bath of this state gives, typed to a tenth of a microlitre."""
    first = read("copper titration", **fields, **more)
    return dataclasses.replace(first, used=parse(f"{shown(first, state):.4f} mL", "volume"))


@pytest.mark.parametrize("method", FIELDS)
def test_a_millilitre_of_titrant_is_its_molarity_in_copper_sulfate(read, shown, method):
    # P = V M 249.68 / Vs, one to one by both methods.
    reading = read("copper titration", **FIELDS[method])
    molarity = {"EDTA": 0.05, "iodometric": 0.1}[method]
    assert shown(reading, State(249.68 * molarity * 10, 60.0)) == pytest.approx(10.0, rel=1e-12)


@pytest.mark.parametrize(
    ("method", "grams"), [("EDTA", "18.612 g/L"), ("iodometric", "24.818 g/L")]
)  # disodium EDTA dihydrate 372.24 g/mol, sodium thiosulfate pentahydrate 248.18 g/mol
def test_strength_by_mass_is_that_of_the_hydrate(read, shown, usual, method, grams):
    typed = {"EDTA": "0.05 mol/L", "iodometric": "0.1 mol/L"}[method]
    by_mass = read("copper titration", **FIELDS[method] | {"strength": grams})
    by_amount = read("copper titration", **FIELDS[method] | {"strength": typed})
    assert shown(by_mass, usual) == pytest.approx(shown(by_amount, usual), rel=1e-9)


def test_strength_in_percent(read, shown, usual):
    # 1.85 % of disodium EDTA dihydrate weighs about 1.008 g/mL: 18.6 g/L, 0.0501 mol/L.
    percent = read("copper titration", **EDTA | {"strength": "1.85 %"})
    assert shown(percent, usual) == pytest.approx(200 / 249.68 / 0.0501, rel=2e-3)


@pytest.mark.parametrize("method", FIELDS)
@pytest.mark.parametrize("predilution", [None, ["10 mL", "100 mL"]])
def test_round_trip(read, shown, find, usual, method, predilution):
    more = {"predilution": predilution, "strength": "0.01 mol/L"} if predilution else {}
    reading = titrate(read, shown, FIELDS[method] | more, usual)
    found = find(reading)
    assert found.value("copper_sulfate") == pytest.approx(
        200.0, abs=0.05 * found.standard_uncertainty("copper_sulfate")
    )


@pytest.mark.parametrize("method", FIELDS)
def test_laboratory_glass_and_a_standardised_titrant_reach_one_percent(read, shown, find, usual, method):
    # 1 % at 95 % probability for one careful run (judgement).
    glass = {"sample": "10 mL", "sample_with": "10 mL class A pipette", "used_with": "25 mL class A burette"}
    strength = {"EDTA": "0.5 ± 0.001 mol/L", "iodometric": "0.5 ± 0.001 mol/L"}[method]
    reading = titrate(read, shown, FIELDS[method] | glass | {"strength": strength}, usual)
    assert 0.002 * 200 < find(reading).standard_uncertainty("copper_sulfate") < 0.006 * 200


def test_predilution_is_what_reaches_the_flask(read, shown, usual):
    straight = read("copper titration", **EDTA)
    tenfold = read("copper titration", **EDTA | {"strength": "0.005 mol/L"}, predilution=["10 mL", "100 mL"])
    assert shown(tenfold, usual) == pytest.approx(shown(straight, usual), rel=1e-12)


@pytest.mark.parametrize(
    ("method", "metal", "false_copper"),
    [
        # g/L copper sulfate for each g/L of metal
        ("EDTA", "zinc", 3.8),
        ("EDTA", "nickel", 4.3),
        ("EDTA", "iron", 4.5),
        ("iodometric", "zinc", 0.0),
        ("iodometric", "nickel", 0.0),
        ("iodometric", "iron_three", 4.5),
        ("EDTA", "iron_three", 0.0),  # counted with all iron
        ("iodometric", "iron", 0.0),
    ],
)
def test_what_foreign_metal_reads_as(read, model, slopes, method, metal, false_copper):
    slope = slopes(model(read("copper titration", **FIELDS[method])))
    assert slope[metal] / slope["copper_sulfate"] == pytest.approx(false_copper, abs=0.05)


@pytest.mark.parametrize("method", FIELDS)
def test_nothing_else_is_taken_for_copper(read, model, slopes, method):
    slope = slopes(model(read("copper titration", **FIELDS[method])))
    assert slope["copper_sulfate"] > 0
    assert [slope[name] for name in ("sulfuric_acid", "foreign_solids", "chloride")] == [0.0, 0.0, 0.0]


def test_declared_zinc_is_taken_off_again(read, shown, find, usual):
    bath = dataclasses.replace(usual, zinc=2.0)
    edta, iodide = (titrate(read, shown, fields, bath) for fields in (EDTA, IODIDE))
    declared = find(edta, zinc="2 ± 0.1 g/L")
    assert declared.value("copper_sulfate") == pytest.approx(200.0, abs=0.5)
    # Not declared, EDTA alone is 7.6 g/L too high, and iodometry is not.
    assert find(edta).value("copper_sulfate") == pytest.approx(207.6, abs=0.5)
    assert find(iodide).value("copper_sulfate") == pytest.approx(200.0, abs=0.5)


def test_two_methods_and_declared_zinc_tell_the_zinc(read, shown, find, usual):
    bath = dataclasses.replace(usual, zinc=5.0)
    careful = {"sample": "1 ± 0.004 mL", "used_with": "50 mL class A burette"}
    edta = titrate(read, shown, EDTA | careful | {"strength": "0.05 ± 0.0002 mol/L"}, bath)
    iodide = titrate(read, shown, IODIDE | careful | {"strength": "0.1 ± 0.0004 mol/L"}, bath)
    found = find(edta, iodide, zinc="2 ± 8 g/L")
    assert found.value("zinc") == pytest.approx(5.0, abs=0.5)
    assert found.value("copper_sulfate") == pytest.approx(200.0, abs=2.0)
    assert found.standard_uncertainty("zinc") < 2.0


def test_murexide_in_ammonia_sees_iron_in_part(read, model, usual):
    """From none to all of it is titrated: half, with 1/sqrt(12) = 0.29 as standard uncertainty; PAN sees all of it."""
    bath = dataclasses.replace(usual, iron=1.0)
    in_ammonia, warm = (
        model(read("copper titration", **EDTA | {"indicator": word}), bath) for word in ("murexide", "PAN")
    )
    for made, share in ((in_ammonia, 0.5), (warm, 1.0)):
        taken = made.predict(bath)[0] - made.predict(usual)[0]
        slope = made.predict(dataclasses.replace(usual, copper_sulfate=201.0))[0] - made.predict(usual)[0]
        assert taken / slope == pytest.approx(share * 249.68 / 55.845, rel=1e-6)
    slope_of_iron = warm.predict(bath)[0] - warm.predict(usual)[0]
    assert in_ammonia.systematic["iron in ammonia"][0] == pytest.approx(0.29 * slope_of_iron, rel=1e-6)
    assert "iron in ammonia" not in warm.systematic
    clean = model(read("copper titration", **EDTA | {"indicator": "murexide"}), usual)
    assert clean.systematic["iron in ammonia"] == [0.0]


@pytest.mark.parametrize(
    ("thiocyanate", "low", "spread"), [(True, 0.0, 0.002), (False, 0.0065, 0.0028), (None, 0.005, 0.0035)]
)
def test_iodine_held_back_without_thiocyanate(read, model, shown, usual, thiocyanate, low, spread):
    fields = {key: value for key, value in IODIDE.items() if key != "thiocyanate"}
    reading = read("copper titration", **fields, **({} if thiocyanate is None else {"thiocyanate": thiocyanate}))
    full = 200 / 249.68 / 0.1
    assert 1 - shown(reading, usual) / full == pytest.approx(low, abs=1e-9)
    assert model(reading).systematic["end point iodometric"][0] / 8.0 == pytest.approx(spread, abs=1e-4)


@pytest.mark.parametrize(
    ("ammonia", "relative"),
    [
        ("0.05 mol/L", 0.002),
        ("0.1 mol/L", 0.002),
        ("0.3 mol/L", 0.026),
        ("0.5 mol/L", 0.05),
        ("8.5 g/L", 0.05),
        ("0.75 mol/L", 0.1),
    ],
)
def test_ammonia_spoils_the_end_point(read, model, ammonia, relative):
    fields = EDTA | {"indicator": "murexide", "ammonia": ammonia, "used": "16 mL"}
    effect = model(read("copper titration", **fields)).systematic["ammonia in the flask"][0]
    assert effect == pytest.approx(relative * 16 / np.sqrt(3), rel=5e-3)


@pytest.mark.parametrize(("method", "weighed", "end_point"), [("EDTA", 0.01, 0.004), ("iodometric", 0.02, 0.002)])
def test_errors_of_a_share_are_of_what_the_copper_took(read, model, method, weighed, end_point):
    """1 mL of blank beside the 8 mL that copper took: strength, end point and sample are off by a share of these alone."""
    fields = FIELDS[method] | {"used": "9 mL", "blank": "1 mL", "titrant_label": "B"}
    titration = model(read("copper titration", **fields))
    assert titration.predict(State(0.0, 60.0)) == pytest.approx([1.0])  # without copper the blank alone
    found = {source: effect[0] for source, effect in titration.systematic.items()}
    assert found["titrant B"] == pytest.approx(weighed * 8)
    assert found[f"end point {method}"] == pytest.approx(end_point * 8)
    sample = found["1 mL syringe assumed for sample"]  # 5 % of it (ISO 7886); a fifth of 0.02 mL is new
    assert sample == pytest.approx(8 * np.sqrt((0.05 / np.sqrt(3)) ** 2 - 0.004**2), rel=1e-3)


def test_ammonia_that_nobody_named_is_just_enough(read, model):
    effect = model(read("copper titration", **EDTA | {"indicator": "murexide"})).systematic["ammonia in the flask"][0]
    assert effect == pytest.approx(0.002 * 16 / np.sqrt(3))


@pytest.mark.parametrize(("metal", "false_copper"), [("zinc", 249.68 / 65.38), ("nickel", 249.68 / 58.693)])
def test_murexide_in_ammonia_sees_all_of_other_metals(read, model, slopes, metal, false_copper):
    slope = slopes(model(read("copper titration", **EDTA | {"indicator": "murexide"})))
    assert slope[metal] / slope["copper_sulfate"] == pytest.approx(false_copper, rel=1e-3)


def test_methods_share_their_own_end_point_only(read, model):
    edta, iodide = (model(read("copper titration", **fields)) for fields in (EDTA, IODIDE))
    assert "end point EDTA" in edta.systematic
    assert "end point iodometric" in iodide.systematic
    shared = set(edta.systematic) & set(iodide.systematic)
    assert shared == {"1 mL syringe assumed for sample"} | {
        source for source in edta.systematic if source.endswith("assumed for titrant") and source in iodide.systematic
    }


def test_a_repeat_with_the_same_bottle_cannot_beat_the_bottle(read, shown, find, usual):
    weak = EDTA | {"strength": "0.05 ± 0.002 mol/L"}
    reading = titrate(read, shown, weak, usual)
    assert find(*[reading] * 9).standard_uncertainty("copper_sulfate") > 0.02 * 200


def test_one_syringe_for_both_steps_of_a_predilution_cancels(read, model):
    """Ten fills of it to one: a plunger that is off by 2 % is off by that in both."""
    tools = {"predilution_with": "10 mL syringe", "made_up_with": "10 mL syringe", "predilution": ["10 mL", "100 mL"]}
    found = model(read("copper titration", **EDTA | {"strength": "0.005 mol/L"} | tools))
    assert abs(found.systematic["tool 10 mL syringe"][0]) < 0.003 * 16


def test_one_syringe_for_sample_and_titrant_cancels(read, model):
    tools = {"sample": "10 mL", "used": "10 mL", "sample_with": "10 mL syringe", "used_with": "10 mL syringe"}
    found = model(read("copper titration", **EDTA | {"strength": "0.8 mol/L"} | tools))
    assert found.systematic["tool 10 mL syringe"][0] == pytest.approx(0.0, abs=1e-12)


def test_label_shares_the_drawn_sample(read, model):
    alone = model(read("copper titration", **EDTA))
    label = model(read("copper titration", **EDTA, sample_label="A"))
    assert label.systematic["sample A"][0] ** 2 + label.random[0] ** 2 == pytest.approx(alone.random[0] ** 2)
    # With a predilution the label names what was drawn from the bath; the aliquot is measured anew each time.
    fields = EDTA | {"strength": "0.01 mol/L", "predilution": ["10 mL", "100 mL"], "sample_label": "A"}
    fields |= {"predilution_with": "10 mL class A pipette", "made_up_with": "100 mL class A volumetric flask"}
    drawn = model(read("copper titration", **fields)).systematic["sample A"][0] / 16
    parts = np.hypot(0.02 / 10, 0.1 / 100) / np.sqrt(3) * np.sqrt(0.5)
    assert drawn == pytest.approx(parts, rel=1e-6)


def test_stated_uncertainty_holds_in_simulated_titrations(read, model):
    # Monte Carlo over the volumes as the tools' tolerances say: sample, predilution, flask and titrant.
    fields = {"method": "EDTA", "strength": "0.01 ± 0.00002 mol/L", "indicator": "PAN", "used": "16.02 mL"}
    fields |= {"sample": "2 mL", "predilution": ["10 mL", "100 mL"], "sample_with": "2 mL class B pipette"}
    fields |= {"predilution_with": "10 mL syringe", "made_up_with": "100 mL graduated cylinder"}
    found = model(read("copper titration", **fields, used_with="25 mL class B burette"))
    tools = {source: effect[0] for source, effect in found.systematic.items() if source.startswith("tool")}
    variance = found.random[0] ** 2 - 0.05**2 + sum(effect**2 for effect in tools.values())
    rng = np.random.default_rng(1)
    sample, taken, made, reading = (
        amount + spread / np.sqrt(3) * rng.standard_normal(200_000)
        for amount, spread in ((2, 0.020), (10, 0.4), (100, 1.0), (0, 0.06))
    )
    simulated = np.std(16.02 * sample / 2 * taken / 10 / (made / 100) - reading)
    assert np.sqrt(variance) == pytest.approx(simulated, rel=0.02)


@pytest.mark.parametrize(
    ("changed", "names"),
    [
        ({"method": "iodide"}, "method"),
        ({"sample": "0 mL"}, "sample"),
        ({"used": "0 mL"}, "used"),
        ({"used": "200 mL"}, "used"),
        ({"blank": "16 mL"}, "blank"),
        ({"thiocyanate": True}, "thiocyanate"),
        ({"indicator": "starch"}, "indicator"),
        ({"ammonia": "1 mol/L"}, "ammonia"),
        ({"predilution": ["100 mL", "10 mL"]}, "predilution"),
        ({"predilution": ["10 mL"]}, "predilution"),
        ({"sample_with": "thimble"}, "sample_with"),
        ({"made_up_with": "100 mL class A volumetric flask"}, "made_up_with"),
        ({"predilution_with": "10 mL syringe"}, "predilution_with"),
    ],
)
def test_refused(refusal, changed, names):
    assert refusal("copper titration", **EDTA | changed).place == f"reading 1: {names}"


@pytest.mark.parametrize("name", ["method", "sample", "strength", "used"])
def test_nothing_is_made_of_what_is_missing(refusal, name):
    left = {key: value for key, value in EDTA.items() if key != name}
    assert refusal("copper titration", **left).place == f"reading 1: {name}"


@pytest.mark.parametrize(
    ("made_up", "cylinder"),
    [
        (9, 10),
        (10, 10),
        (11, 25),
        (25, 25),
        (26, 50),
        (50, 50),
        (51, 100),
        (240, 250),
        (500, 500),
        (900, 1000),
        (2000, 1000),
    ],
)
def test_a_predilution_is_taken_to_be_made_up_in_the_smallest_cylinder_that_holds_it(read, model, made_up, cylinder):
    fields = EDTA | {"strength": "0.0001 mol/L", "used": "5 mL", "predilution": ["1 mL", f"{made_up} mL"]}
    assert f"tool {cylinder} mL graduated cylinder" in model(read("copper titration", **fields)).systematic


def test_iodometry_takes_no_edta_fields(read):
    with pytest.raises(InputError, match="it goes only with EDTA") as refused:
        read("copper titration", **IODIDE, ammonia="0.1 mol/L")
    assert refused.value.place == "reading 1: ammonia"


def test_at_most_450_g_L(read):
    # 450 g/L is 36.05 mL of 0.05 mol/L for 1 mL of bath.
    assert read("copper titration", **EDTA | {"used": "36.0 mL"})
    assert read("copper titration", **EDTA | {"used": "37.0 mL", "blank": "1 mL"})
    with pytest.raises(InputError, match="which means 451 g/L"):
        read("copper titration", **EDTA | {"used": "36.1 mL"})


@pytest.mark.parametrize(("used", "flask", "said"), [("7.8 mL", None, False), ("7.9 mL", None, True)])
def test_murexide_bears_25_mg_in_100_mL(read, warnings_of, used, flask, said):
    # 25 mg are 7.868 mL of 0.05 mol/L.
    fields = EDTA | {"used": used, "indicator": "murexide"}
    assert ("25 mg in 100 mL" in warnings_of(read("copper titration", **fields))) is said
    assert "25 mg" not in warnings_of(read("copper titration", **fields, flask="110 mL"))
    with_blank = fields | {"used": f"{float(used[:3]) + 1} mL", "blank": "1 mL"}
    assert ("25 mg in 100 mL" in warnings_of(read("copper titration", **with_blank))) is said
    assert "25 mg" not in warnings_of(read("copper titration", **fields | {"indicator": "PAN"}))


def test_too_much_copper_for_murexide_widens_the_end_point(read, model):
    fields = EDTA | {"used": "15.736 mL", "indicator": "murexide"}  # 50 mg
    effect = model(read("copper titration", **fields)).systematic["end point EDTA"][0]
    assert effect == pytest.approx(2 * 0.004 * 15.736, rel=1e-3)
    few = model(read("copper titration", **fields | {"used": "5 mL"})).systematic["end point EDTA"][0]
    assert few == pytest.approx(0.004 * 5)


def test_warnings(read, warnings_of):
    murexide = EDTA | {"indicator": "murexide", "used": "5 mL"}
    assert "Say how much ammonia" in warnings_of(read("copper titration", **murexide))
    assert warnings_of(read("copper titration", **murexide, ammonia="0.1 mol/L")) == ""
    assert "0.5 mol/L reads 1.4 to 5 % off" in warnings_of(read("copper titration", **murexide, ammonia="0.2 mol/L"))
    assert "0.5 mol/L reads" in warnings_of(read("copper titration", **murexide, ammonia="0.11 mol/L"))
    assert warnings_of(read("copper titration", **EDTA)) == ""
    assert warnings_of(read("copper titration", **IODIDE)) == ""
    assert "0.3 to 1 % low" in warnings_of(read("copper titration", **IODIDE | {"thiocyanate": False}))
    no_blank = {key: value for key, value in IODIDE.items() if key != "blank"}
    assert "old iodide frees iodine" in warnings_of(read("copper titration", **no_blank))
