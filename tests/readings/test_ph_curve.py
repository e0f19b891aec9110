"""The pH curve: acid from noisy curves, its honesty, what the electrode and the fizz may do, what is refused, its file.

Curves come from this project's equilibrium model with a flat stretch after the first solid, and live from PHREEQC 3
with the phreeqc.dat that comes with `phreeqpython` (brochantite log K 15.4 and langite 17.49 as in the USGS databases).
The noise is 0.02 pH and 0.02 mL on each point.
"""

import numpy as np
import pytest

from advisor.basis.fields import InputError
from advisor.basis.units import parse
from advisor.readings import curve_fit
from advisor.readings.curve_fit import OFFSET_PRIOR, SLOPE_PRIOR, CurveError, fit_curve
from advisor.readings.model import State
from advisor.readings.ph_curve import MOST_POINTS, read_points
from advisor.sheet import Bath, Sheet, parse_sheet, write_sheet
from advisor.solution.equilibrium import (
    WATER_PER_LITRE,
    Flask,
    equivalence_volume,
    pH_at_titrant_volume,
    side_by_side,
    titrant_volume_at_precipitation,
)
from advisor.solution.molar_masses import COPPER_SULFATE_PENTAHYDRATE, SULFURIC_ACID
from tests.how_many import cases, shares

pytestmark = pytest.mark.slow

KIND = "pH curve"
LYE, BAKING_SODA, WASHING_SODA = "sodium hydroxide", "sodium bicarbonate", "sodium carbonate"
BROCHANTITE, LANGITE, HYDROXIDE = "brochantite", "fresh basic sulfate", "copper hydroxide"


def our_curve(bath, flask, volumes, carbon_dioxide, solid):
    """pH by the model up to the first solid; there it nearly stands until copper is used up, then it jumps."""
    onset = float(titrant_volume_at_precipitation(*bath, solid, flask, carbon_dioxide))
    at_onset = float(pH_at_titrant_volume(*bath, onset, flask, carbon_dioxide))
    copper_mL = 1.5 * flask.sample_mL * bath[0] / COPPER_SULFATE_PENTAHYDRATE / flask.base
    flat = at_onset + 0.3 * (volumes - onset) / copper_mL
    pH = np.where(volumes > onset, flat, pH_at_titrant_volume(*bath, volumes, flask, carbon_dioxide))
    return np.where(volumes > onset + copper_mL, 8.5, pH)


LOG_K = {BROCHANTITE: 15.4, LANGITE: 17.49}


class Phreeqc:
    """PHREEQC with the basic sulfates that phreeqc.dat lacks."""

    def __init__(self, engine):
        self.engine = engine
        reaction = "Cu4SO4(OH)6 + 6 H+ = 4 Cu+2 + SO4-2 + 6 H2O"
        solids = "".join(f"{name.title().replace(' ', '')}\n{reaction}\nlog_k {k}\n" for name, k in LOG_K.items())
        engine.run_string(f"PHASES\n{solids}END\n")

    def curve(self, bath, flask, volumes, carbon_dioxide, solid):
        """pH after each volume [mL], with the solid let out and carbon dioxide at a fixed pressure [atm]."""
        copper = flask.sample_mL * bath[0] / COPPER_SULFATE_PENTAHYDRATE
        sulfate = copper + flask.sample_mL * bath[1] / SULFURIC_ACID
        carbon = f"CO2(g) {np.log10(carbon_dioxide):.6f}" if carbon_dioxide else ""
        steps = ["SELECTED_OUTPUT\n-reset false\n-pH true\n-state true\n"]
        for volume in volumes:
            water = WATER_PER_LITRE * (flask.diluted_to_mL + volume)
            steps.append(
                f"SOLUTION 1\nunits mol/kgw\ntemp 25\npH 2 charge\nNa {flask.base * volume / water:.10g}\n"
                f"{f'C(4) 1e-5 {carbon}' if carbon else ''}\nCu(2) {copper / water:.10g}\nS(6) {sulfate / water:.10g}\n"
                f"EQUILIBRIUM_PHASES 1\n{solid.title().replace(' ', '')} 0 0\n{f'{carbon} 10' if carbon else ''}\nEND\n"
            )
        self.engine.run_string("".join(steps))
        heading, *found = self.engine.get_selected_output_array()
        state, pH = heading.index("state"), heading.index("pH")
        return np.array([row[pH] for row in found if row[state] == "react"])


@pytest.fixture(scope="module")
def phreeqc():
    reason = "phreeqpython (the PHREEQC engine) is not installed"
    return Phreeqc(pytest.importorskip("phreeqpython", reason=reason).PhreeqPython().ip)


# Copper sulfate and acid [g/L], and log10 of the carbon dioxide that soda leaves [atm], each drawn evenly.
USUAL, LITTLE_COPPER = ((55, 270), (20, 210), (-3.4, 0.0)), ((10, 50), (10, 100), (-3.4, 0.0))
LITTLE_COPPER_FIZZING = (*LITTLE_COPPER[:2], (-0.5, 0.0))


def draw(rng, titrant, ranges=USUAL):
    """A bath, a flask with a titrant of which 15 to 30 mL are used, volumes and carbon dioxide."""
    copper_sulfate, sulfuric_acid, gas = ranges
    bath = rng.uniform(*copper_sulfate), rng.uniform(*sulfuric_acid)
    sample, diluted_to, used = rng.uniform(2, 10), rng.uniform(50, 100), rng.uniform(15, 30)
    base = 2 * sample * bath[1] / SULFURIC_ACID / used
    flask = Flask(sample, diluted_to, titrant, base / (2 if titrant == WASHING_SODA else 1))
    carbon_dioxide = None if titrant == LYE else 10 ** rng.uniform(*gas)
    return bath, flask, np.linspace(0, 1.15 * used, int(rng.integers(25, 41))), carbon_dioxide


def noisy(rng, volumes, pH, offset, slope):
    volumes = np.maximum(volumes + rng.normal(0, 0.02, volumes.shape), 0.0)
    pH = 4 + slope * (pH - 4) + offset + rng.normal(0, 0.02, pH.shape)
    return tuple(zip(volumes.tolist(), pH.tolist(), strict=True))


def titrate(rng, make_curve, titrant, solid, electrode=None, ranges=USUAL):
    """A bath, a flask and the points of a curve; an electrode (offset, slope) is drawn unless told."""
    bath, flask, volumes, carbon_dioxide = draw(rng, titrant, ranges)
    offset, slope = electrode or (rng.normal(*OFFSET_PRIOR), rng.normal(*SLOPE_PRIOR))
    return bath, flask, noisy(rng, volumes, make_curve(bath, flask, volumes, carbon_dioxide, solid), offset, slope)


def trial(make_curve, titrant, solid, count, seed, electrode=None, ranges=USUAL):
    """Absolute errors [%] and pulls of `count` fits.

    Without `electrode` (offset, slope) one is drawn for each curve from what the fit believes of electrodes; copper is
    known to 15 g/L while fitting, and corrected for afterwards as the estimate does.
    """
    rng = np.random.default_rng(seed)
    errors, pulls = [], []
    for _ in range(count):
        bath, flask, points = titrate(rng, make_curve, titrant, solid, electrode, ranges)
        fit = fit_curve(points, flask, max(bath[0] + rng.normal(0, 15), 0.0))
        acid = fit.acid + fit.acid_per_copper * (bath[0] - fit.copper_sulfate)
        errors.append(100 * (acid / bath[1] - 1))
        pulls.append((acid - bath[1]) / fit.standard_uncertainty)
    return np.abs(errors), np.array(pulls)


@pytest.mark.parametrize("solid", [BROCHANTITE, HYDROXIDE])
def test_acid_with_lye(solid):
    errors, pulls = trial(our_curve, LYE, solid, cases(60, 150), seed=1)
    assert np.median(errors) < 0.2
    assert np.max(errors) < 1.0
    assert 0.8 < np.sqrt(np.mean(pulls**2)) < 1.3
    assert np.mean(np.abs(pulls) < 1.96) > 0.92


@pytest.mark.parametrize("titrant", [BAKING_SODA, WASHING_SODA])
def test_acid_with_carbonates_whatever_gas_stays(titrant):
    errors, pulls = trial(our_curve, titrant, BROCHANTITE, cases(60, 150), seed=2)
    assert np.median(errors) < 0.5
    assert np.max(errors) < 2.0
    assert 0.8 < np.sqrt(np.mean(pulls**2)) < 1.3
    assert np.mean(np.abs(pulls) < 1.96) > 0.92


def test_acid_in_little_copper_is_as_sure_as_it_says():
    """There solids come late, and what carbon dioxide takes of the titrant is much."""
    count = cases(40, 500)
    _, pulls = trial(our_curve, WASHING_SODA, BROCHANTITE, count, seed=5, ranges=LITTLE_COPPER)
    low, high = shares(0.95, count)
    assert low < np.mean(np.abs(pulls) < 1.96) < high
    assert 0.7 < np.sqrt(np.mean(pulls**2)) < 1.1
    assert np.max(np.abs(pulls)) < 4


def test_a_flask_left_fizzing_is_allowed_for():
    """More gas than is expected of a flask of which nobody says so: 91 % inside; a fit of its logarithm had held 85 %."""
    count = cases(60, 400)
    _, pulls = trial(our_curve, BAKING_SODA, BROCHANTITE, count, seed=6, ranges=LITTLE_COPPER_FIZZING)
    assert np.mean(np.abs(pulls) < 1.96) > shares(0.91, count)[0]
    assert np.sqrt(np.mean(pulls**2)) < 1.5


def test_one_point_less_moves_the_acid_as_the_uncertainties_say():
    """A fit by all points but one should differ from that by all by about sqrt(its u² - u²), as the one adds to the others."""
    rng, moved = np.random.default_rng(7), []
    for _ in range(cases(12, 30)):
        bath, flask, points = titrate(rng, our_curve, WASHING_SODA, BROCHANTITE, ranges=LITTLE_COPPER)
        whole = fit_curve(points, flask, bath[0])
        last = int(np.flatnonzero(whole.used)[-1])
        for left_out in range(last - 2, last + 1):
            less = fit_curve(points[:left_out] + points[left_out + 1 :], flask, bath[0])
            less_sure = less.standard_uncertainty**2 - whole.standard_uncertainty**2
            if less_sure > whole.standard_uncertainty**2 / 4:  # a point that matters
                moved.append((less.acid - whole.acid) / less_sure**0.5)
    assert len(moved) >= 12
    assert 0.6 < np.sqrt(np.mean(np.square(moved))) < 1.3
    assert np.max(np.abs(moved)) < 4


def test_more_copper_than_was_thought_lets_in_no_cloudy_point():
    """A bath of 25/20 g/L whose copper is thought to be none: by that, no solid would ever fall out."""
    flask, volumes = Flask(10.0, 100.0, WASHING_SODA, 0.1), np.linspace(0.0, 25.0, 40)
    pH = our_curve((25.0, 20.0), flask, volumes, 0.01, BROCHANTITE)
    onset = float(titrant_volume_at_precipitation(25.0, 20.0, BROCHANTITE, flask, 0.01))
    fit = fit_curve(tuple(zip(volumes, pH, strict=True)), flask, 0.0)
    assert np.max(volumes[fit.used]) < onset
    assert fit.acid + 25 * fit.acid_per_copper == pytest.approx(20.0, abs=2 * fit.standard_uncertainty)


@pytest.mark.parametrize("electrode", [(0.3, 1.0), (-0.3, 1.0), (0.0, 0.95), (0.2, 0.95)])
def test_a_wrong_electrode_does_not_break_it(electrode):
    errors, pulls = trial(our_curve, LYE, BROCHANTITE, cases(40, 150), 3, electrode)
    assert np.median(errors) < 0.2
    assert np.max(errors) < 1.5
    assert np.sqrt(np.mean(pulls**2)) < 1.3


@pytest.mark.parametrize(
    ("titrant", "solid", "electrode", "median", "worst"),
    [
        (LYE, BROCHANTITE, (0.0, 1.0), 0.2, 1.0),
        (LYE, LANGITE, (0.3, 0.95), 0.2, 1.0),
        (BAKING_SODA, BROCHANTITE, (0.0, 1.0), 0.5, 2.0),
        (WASHING_SODA, LANGITE, (-0.3, 0.95), 0.5, 2.0),
    ],
)
def test_acid_from_curves_of_phreeqc(phreeqc, titrant, solid, electrode, median, worst):
    errors, pulls = trial(phreeqc.curve, titrant, solid, 60, 4, electrode)
    assert np.median(errors) < median
    assert np.max(errors) < worst
    assert 0.8 < np.sqrt(np.mean(pulls**2)) < 1.3


BATH = (200.0, 60.0)
FLASK = Flask(10.0, 100.0, LYE, 0.5)  # 24.5 mL to the end
VOLUMES = np.concatenate([np.linspace(0, 20, 9), np.linspace(21, 26, 16), np.linspace(30, 60, 5)])
FIELDS = {
    "sample": "10 mL",
    "diluted_to": "100 mL",
    "titrant": LYE,
    "strength": "0.5 mol/L",
    "strength_from": "standardised",
}


def points_of(offset=0.0, slope=1.0, seed=None, volumes=VOLUMES):
    pH = our_curve(BATH, FLASK, volumes, None, BROCHANTITE)
    rng = np.random.default_rng(seed)
    if seed is None:
        return tuple(zip(volumes.tolist(), (4 + slope * (pH - 4) + offset).tolist(), strict=True))
    return noisy(rng, volumes, pH, offset, slope)


def test_a_perfect_curve_gives_back_what_it_was_made_of():
    fit = fit_curve(points_of(offset=0.2, slope=0.98), FLASK, BATH[0])
    assert fit.acid == pytest.approx(60.0, rel=3e-4)
    assert (fit.offset, fit.slope) == (pytest.approx(0.2, abs=0.01), pytest.approx(0.98, abs=0.005))
    assert fit.end_point_mL == pytest.approx(float(equivalence_volume(60.0, FLASK)), rel=3e-4)
    assert fit.widened_by == 1.0


@pytest.mark.parametrize("offset", [-0.9, 0.9])
def test_even_a_badly_wrong_electrode(offset):
    assert fit_curve(points_of(offset=offset), FLASK, BATH[0]).acid == pytest.approx(60.0, rel=0.01)


def test_points_after_the_first_solid_are_left_out_by_the_model():
    onset = float(titrant_volume_at_precipitation(*BATH, BROCHANTITE, FLASK))
    fit = fit_curve(points_of(), FLASK, BATH[0])
    assert np.all(VOLUMES[fit.used] < onset)
    assert fit.used.sum() >= np.sum(onset > VOLUMES) - 1
    assert np.array_equal(np.isnan(fit.residuals), ~fit.used)
    shorter = fit_curve(tuple(point for point in points_of() if point[0] < onset), FLASK, BATH[0])
    assert shorter.acid == pytest.approx(fit.acid, rel=1e-6)


def test_the_order_of_the_points_does_not_matter():
    points = points_of(seed=1)
    assert fit_curve(points[::-1], FLASK).acid == fit_curve(points, FLASK).acid


def test_a_kept_fit_cannot_be_changed():
    fit = fit_curve(points_of(), FLASK)
    assert fit is fit_curve([list(point) for point in points_of()], FLASK)
    for array in (fit.shown_pH, fit.residuals, fit.used):
        with pytest.raises(ValueError, match="read-only"):
            array[0] = 0


def test_scatter_enlarges_the_uncertainty():
    calm = fit_curve(points_of(seed=1), FLASK, BATH[0])
    rng = np.random.default_rng(2)
    rough = fit_curve(tuple((v, pH + rng.normal(0, 0.1)) for v, pH in points_of()), FLASK, BATH[0])
    assert rough.widened_by > 2.5
    assert rough.standard_uncertainty > 2.5 * calm.standard_uncertainty


def test_how_the_acid_leans_on_copper():
    low, middle, high = (fit_curve(points_of(seed=3), FLASK, copper) for copper in (190.0, 200.0, 210.0))
    assert middle.acid_per_copper == pytest.approx((high.acid - low.acid) / 20, rel=0.2, abs=2e-4)


def test_cross_checks_have_their_stated_bias():
    fine = np.concatenate([np.linspace(0, 19, 20), np.arange(19.5, 26.0, 0.1), np.linspace(30, 60, 5)])
    fit = fit_curve(points_of(volumes=fine), FLASK, BATH[0])
    assert -0.5 < 100 * (fit.gran_acid / 60 - 1) < 0.0


@pytest.mark.parametrize(
    ("points", "words"),
    [
        ((), "only 0 points"),
        (points_of()[:4], "the pH rises by only|only 4 points"),
        (tuple((v, pH) for v, pH in points_of() if v > 25), "only 0 points lie before copper precipitates"),
        (tuple((float(v), 2.0) for v in range(20)), "rises by only 0.00"),
        (tuple((v, 3.5 - 0.1 * v) for v in range(20)), "falls"),
        (tuple((5.0, 1.0 + 0.1 * i) for i in range(20)), "rises by only"),
        (((float("nan"), 2.0), *points_of()), "not a number"),
        (((1.0, float("nan")), *points_of()), "not a number"),
        (tuple((v, pH + 0.6 * (-1) ** i) for i, (v, pH) in enumerate(points_of())), "scatter"),
        (
            tuple((float(i), float(pH)) for i, pH in enumerate([1, 2, 1, 2.5, 1.2, 2.8, 1, 3, 2.5, 3, 3.3, 3])),
            "do not fix",
        ),
    ],
)
def test_curves_that_tell_no_acid(points, words):
    with pytest.raises(CurveError, match=words):
        fit_curve(points, FLASK)


def test_round_trip_with_the_estimate(read, find):
    reading = read(
        KIND, **FIELDS, points=[list(point) for point in points_of(seed=7)], sample_with="10 mL class A pipette"
    )
    found = find(reading)
    assert found.value("sulfuric_acid") == pytest.approx(60.0, rel=0.01)
    # Standardised lye is trusted to 0.7 %: the curve itself adds next to nothing.
    assert found.standard_uncertainty("sulfuric_acid") == pytest.approx(0.007 * 60, rel=0.1)


def test_the_curve_and_a_titration_share_the_bottle(read, model):
    curve = model(read(KIND, **FIELDS, points=[list(point) for point in points_of()], titrant_label="A"))
    titration = {**FIELDS, "used": "24.4 mL", "end_point": "methyl orange", "titrant_label": "A"}
    assert "titrant A" in curve.systematic.keys() & model(read("acid titration", **titration)).systematic.keys()


def test_iron_makes_a_curve_as_unsure_as_a_titration(read, model):
    """What iron(III) takes of the base is the same millilitres in one flask, wherever the end is read."""
    curve = read(KIND, **FIELDS, points=[list(point) for point in points_of()])
    titration = read("acid titration", **FIELDS, used="24.4 mL", end_point="methyl orange")
    effects = [model(each, State(200.0, 60.0, iron_three=1.0)).systematic for each in (curve, titration)]
    by_curve, by_eye = (float(effect["iron(III) takes base"][0]) for effect in effects)
    assert by_curve == pytest.approx(by_eye)
    assert by_curve > 0


def test_predicted_volume(read, model):
    made = model(read(KIND, **FIELDS, points=[list(point) for point in points_of()]), State(200.0, 60.0))
    exact = float(equivalence_volume(60.0, FLASK))
    assert made.predict(State(200.0, 60.0))[0] == pytest.approx(exact)
    assert made.observed[0] == pytest.approx(exact, rel=5e-4)
    with_iron = made.predict(State(200.0, 60.0, iron_three=1.0))[0]
    assert with_iron == pytest.approx(
        float(equivalence_volume(61.6, FLASK))
    )  # 1 g/L iron(III) takes base like 1.6 g/L acid
    assert made.predict(State(np.full((2, 3), 200.0), np.full((2, 3), 60.0))).shape == (1, 2, 3)


def test_another_copper_leads_to_the_same_answer(read, find, model):
    reading = read(KIND, **FIELDS, points=[list(point) for point in points_of(seed=8)])
    far, near = (model(reading, State(copper, 60.0)) for copper in (150.0, 200.0))
    left = [(made.observed - made.predict(State(200.0, 60.0)))[0] for made in (far, near)]
    assert left[0] == pytest.approx(left[1], abs=0.1 * near.random[0])


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({}, "points: nothing was given"),
        ({"points": [[1.0, 2.0]], "file": "curve.csv"}, "file"),
        ({"file": "curve.csv"}, "file.*beside"),
        ({"points": [[1.0, 2.0]] * 3}, "points: you gave 3 points"),
        ({"points": [[1.0, float("nan")]]}, "points row 1"),
        ({"points": [[1.0, 15.0]]}, "points row 1"),
        ({"points": [[-1.0, 2.0]]}, "points row 1"),
        ({"points": [[1.0, 2.0, 3.0]]}, "points row 1"),
        ({"points": [[0.0, 1.0]] * (MOST_POINTS + 1)}, "points: you gave 2001 rows"),
        ({"points": [list(p) for p in points_of()], "strength": "6 mol/L"}, "points.*g/L of acid|points"),
        ({"points": [list(p) for p in points_of()], "diluted_to": "5 mL"}, "diluted_to"),
        ({"points": [list(p) for p in points_of()], "used_with": "bucket"}, "used_with"),
    ],
)
def test_what_is_refused_is_named(read, fields, words):
    with pytest.raises(InputError, match=f"^reading 1: {words}"):
        read(KIND, **FIELDS | fields)


def test_warnings(read, warnings_of):
    def told(points):
        return warnings_of(read(KIND, **FIELDS, points=[list(point) for point in points]))

    assert told(points_of(seed=9)) == ""
    assert "calibrate the meter" in told(points_of(offset=0.5))
    rng = np.random.default_rng(2)
    assert "times more" in told([(v, pH + rng.normal(0, 0.1)) for v, pH in points_of()])
    assert "stops before pH 3" in told(points_of(volumes=np.linspace(0, 23.0, 30)))
    # Read a quarter of a pH low just before the end: the last points alone then mean more acid than all of them.
    late = told([(v, pH - 0.25 * (22.4 < v < 24.1)) for v, pH in points_of()])
    assert "A straight line through the last points" in late


def test_a_sheet_with_a_curve_reads_back_the_same(read):
    reading = read(KIND, **FIELDS, points=[list(point) for point in points_of(seed=1)], note="shed")
    sheet = Sheet(bath=Bath(volume=parse("5 L", "volume")), readings=(reading,))
    assert parse_sheet(write_sheet(sheet).encode()).readings == (reading,)


POINTS = ((0.0, 1.05), (10.5, 1.35), (24.25, 3.9))


@pytest.mark.parametrize(
    "content",
    [
        "0,1.05\n10.5,1.35\n24.25,3.9\n",
        "0, 1.05\n10.5, 1.35\n24.25, 3.9",
        "mL,pH\r\n0,1.05\r\n10.5,1.35\r\n24.25,3.9\r\n",
        "0;1,05\n10,5;1,35\n24,25;3,9\n",
        "\ufeffVolumen / mL;pH\n0;1,05\n10,5;1,350\n24,250;3,9\n",
        "0\t1,05\n10,5\t1,35\n24,25\t3,9\n",
        "0 1,05\n10,5 1,35\n24,25  3,9\n",
        "# a comment\n\nTitration of the shed tank, 14 March\n2026-03-14 10:12\n\n0;1.05\n\n10.5;1.35\n24.25;3.9\n",
        "time;pH;volume mL\n1;1,05;0\n2;1,35;10,5\n3;3,9;24,25\n",
        '"mL";"pH"\n"0";"1,05"\n"10,5";"1,35"\n"24,25";"3,9"\n',
        "0;1,05;\n10,5;1,35;\n# the stirrer stood still\n24,25;3,9;\n",
    ],
)
def test_files_that_are_understood(content):
    assert read_points(content) == POINTS


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("", "no row of numbers"),
        ("mL;pH\n", "no row of numbers"),
        ("0,0,1,05\n10,5,1,35\n", "file line 1: it has 4 columns"),
        ("0;1,05;3\n", "file line 1: it has 3 columns"),
        ("mL;volume;pH\n0;0;1,05\n", "file line 2: it has 3 columns"),
        ("mL;pH;pH at 25\n0;1,05;1,04\n", "file line 2: it has 3 columns"),
        ("0;1,05\n10,5;\n", "file line 2"),
        ("0;1,05\n10,5;n/a\n", "file line 2"),
        ("0;1,05\n1.234,5;1,2\n", "file line 2"),
        ("0;1,05\n10,5;nan\n", "file line 2"),
        ("PK\x03\x04\x00\x00\x08", "not plain text"),
        (bytes(range(1, 256)).decode("latin-1") * 40, "no row of numbers"),
        ("0;1\n" * 2_500_000, "10.0 MB"),
        ("0;1\n" * (MOST_POINTS + 1), "more than 2000 rows"),
    ],
)
def test_files_that_are_refused(content, words):
    with pytest.raises(InputError, match=words):
        read_points(content)


def test_a_curve_of_many_points_is_fitted_as_by_all_of_them(monkeypatch) -> None:
    """600 points of lye on 205/60 g/L: a spline through a hundred of them tells the same acid, to a thousandth of its ±."""
    volumes = np.linspace(0.0, 25.0, 600)
    found = pH_at_titrant_volume(205.0, 60.0, volumes, FLASK) + 0.1
    points = tuple(zip(volumes.tolist(), found.tolist(), strict=True))
    quick = fit_curve(points, FLASK, 205.0)
    monkeypatch.setattr(curve_fit, "NODES", len(points))
    curve_fit._fit.cache_clear()
    whole = fit_curve(points, FLASK, 205.0)
    assert quick.used.sum() == whole.used.sum() > 500
    assert quick.acid == pytest.approx(whole.acid, abs=1e-3 * whole.standard_uncertainty)
    assert quick.standard_uncertainty == pytest.approx(whole.standard_uncertainty, rel=1e-3)
    assert np.nanmax(np.abs(quick.residuals - whole.residuals)) < 1e-4


def test_a_fit_beside_other_readings_is_made_once(monkeypatch) -> None:
    """Each of its questions follows from the answer before: begun anew for each, a curve took a second."""
    begun, start = [], curve_fit._start
    monkeypatch.setattr(curve_fit, "_start", lambda curve: begun.append(curve) or start(curve))
    curve_fit._fit.cache_clear()
    alone = fit_curve(points_of(), FLASK, BATH[0])
    curve_fit._fit.cache_clear()
    (beside,) = side_by_side([lambda: fit_curve(points_of(), FLASK, BATH[0])])
    assert beside.acid == alone.acid
    assert len(begun) == 2
