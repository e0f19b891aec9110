"""The colours of the end point with methyl orange: computed for the flask that is planned, and named as they look."""

import colorsys
import re
import warnings

import numpy as np
import pytest

from advisor.basis.tables import column, rows
from advisor.bench import end_point
from advisor.bench.cards import bench_card
from advisor.bench.end_point import STAGES, colour, flask_at_the_end, share_yellow
from advisor.readings.acid_titration import METHYL_ORANGE_PH
from advisor.sheet import read_sheet
from advisor.solution.molar_masses import COPPER_SULFATE_PENTAHYDRATE


def rgb(text):
    return np.array([int(text[start : start + 2], 16) for start in (1, 3, 5)])


def copper_alone(grams):
    return colour(grams, 7.0, indicator=0.0)


def hue(shown):
    """Return the hue in degrees: 120 is green, 240 blue, 270 violet."""
    return 360 * colorsys.rgb_to_hsv(*rgb(shown) / 255)[0]


def test_the_indicator_turns_over_its_published_transition():
    # Methyl orange, red at 3.1 and yellow at 4.4 (handbook figures, from memory): at its ends about one fifth is left.
    red_end, middle, yellow_end = share_yellow([3.1, 3.75, 4.4])
    assert middle == pytest.approx(0.5)
    assert red_end == pytest.approx(1 / (1 + 10**0.65))
    assert red_end + yellow_end == pytest.approx(1.0)


def test_water_is_white_and_copper_takes_red_away():
    assert rgb(copper_alone(0.0)) == pytest.approx([255, 255, 255], abs=1)
    reds = [rgb(copper_alone(grams))[0] for grams in (5.0, 10.0, 20.0, 30.0)]
    assert sorted(reds, reverse=True) == reds
    assert min(rgb(copper_alone(20.0))[1:]) > reds[2]


@pytest.mark.parametrize("copper_sulfate", [150, 200, 220, 250, 290])
@pytest.mark.parametrize(
    ("bath_mL", "flask_mL"),
    [(5, 110), (5, 130), (10, 110), (10, 150), (10, 280), (20, 145), (20, 300), (25, 300), (50, 300)],
)
def test_the_colours_are_what_they_are_called_whatever_the_sample(bath_mL, copper_sulfate, flask_mL):
    """The drops keep step with the copper, so that grey is the end of every flask.

    Violet lies from pure blue (240°) to half-way between CSS's "violet" (300°) and "pink" (350°); green from half-way
    between yellow and green (90°) to half-way between green and cyan (150°).
    """
    flask = flask_at_the_end(bath_mL, copper_sulfate, flask_mL)
    before, turning, end, after = flask.colours(with_copper=True)
    tint = [np.ptp(rgb(one)) for one in (before, turning, end, after)]
    assert 240 <= hue(before) <= 325
    assert tint[0] > tint[1]
    assert tint[2] == min(tint)
    assert tint[2] <= 20
    assert 90 <= hue(after) <= 150
    pink, salmon, orange, yellow = (hue(one) for one in flask.colours(with_copper=False))
    assert 330 < pink < 360
    assert pink - 360 < (salmon + 60) % 360 - 60 < orange < yellow < 60


def test_a_sample_so_small_that_a_drop_is_too_much_has_two_that_an_eye_sees_and_still_turns():
    flask = flask_at_the_end(2, 220, 105)  # 0.44 g: one drop and a half
    assert flask.drops == 2
    before, _, end, after = map(rgb, flask.colours(with_copper=True))
    assert before[1] == min(before)
    assert np.ptp(end) < np.ptp(before) / 2
    assert after[1] == max(after)


@pytest.mark.parametrize("window", rows("windows"), ids=lambda window: window["name"])
@pytest.mark.parametrize("tools", [("10 mL syringe",), ("1 mL syringe",), ("50 mL burette", "0.1 g scale")])
def test_in_every_window_the_flask_of_the_card_turns_through_the_colours_that_it_names(window, tools):
    """Grey tells no hue: from violet or pink to green or yellow, and at the end less of a colour, or orange."""
    held = {
        name: f"{(float(window[f'{name}_low_g_L']) + float(window[f'{name}_high_g_L'])) / 2} ± 5 g/L"
        for name in ("copper_sulfate", "sulfuric_acid")
    }
    before = {"kind": "previous check", "since": "evaporation only", **held}
    gear = {"have": [*tools, "baking soda", "methyl orange"]}
    raw = {"bath": {"volume": "5 L"}, "window": {"name": window["name"]}, "gear": gear, "reading": [before]}
    card = bench_card("acid titration", read_sheet(raw))
    first, _, end, last = card.flask.colours(with_copper=True)
    seen = " ".join(card.look_for)
    if card.flask.names[0] == "violet":
        assert 230 <= hue(first) <= 325
        assert np.ptp(rgb(end)) < 0.75 * np.ptp(rgb(first))
        assert 75 <= hue(last) <= 150
        assert ("stop at grey" in seen, "stop at orange" in seen) == (True, False)
    else:
        assert 315 <= hue(first) <= 360
        assert 0 <= hue(end) <= 40
        assert 35 <= hue(last) <= 85
        assert ("stop at grey" in seen, "stop at orange" in seen) == (False, True)


@pytest.mark.parametrize(
    ("bath_mL", "copper_sulfate", "named"),
    [(2, 190, ["pink", "salmon", "orange", "yellow"]), (2, 200, ["violet", "violet-grey", "grey", "green"])],
)
def test_beside_little_copper_the_colours_are_called_as_without_it(bath_mL, copper_sulfate, named):
    """Two drops are 1.5 times 3.4 for each gram at 0.392 g, which 2 mL hold of a bath of 196 g/L."""
    flask = flask_at_the_end(bath_mL, copper_sulfate, 105)
    assert (flask.drops, list(flask.names)) == (2, named)


def test_drops_that_do_not_keep_step_with_the_copper_would_end_blue_and_not_grey():
    """10 mL of 220 g/L are twice the copper of 5 mL. With three drops the end is more of a colour than with seven."""
    flask = flask_at_the_end(10, 220, 122)
    assert flask.drops == 7
    few = colour(flask.copper_sulfate, METHYL_ORANGE_PH, indicator=0.5 * 100 / 122)  # three drops in 100 mL: 0.5
    assert np.ptp(rgb(few)) > 3 * np.ptp(rgb(flask.colours(True)[2]))
    assert 180 < hue(few) < 240


def test_the_colours_are_those_before_turning_at_the_end_and_too_far():
    """Three tenths of pH before and after the ends of the transition, 3.1 and 4.4, and at its end point."""
    flask = flask_at_the_end(5, 200, 100)  # 1 g of crystals: 10 g/L and three drops, of an absorbance of 0.5 in 100 mL
    assert (flask.copper_sulfate, flask.drops) == (10.0, 3)
    for with_copper, held in ((True, 10.0), (False, 0.0)):
        expected = tuple(colour(held, pH, 0.5) for pH in (2.8, 3.4, METHYL_ORANGE_PH, 4.7))
        assert flask.colours(with_copper) == expected


READ_BEFORE = {"kind": "previous check", "sulfuric_acid": "55 g/L +/- 6 g/L", "since": "evaporation only"}


@pytest.mark.parametrize("readings", [[], [READ_BEFORE]], ids=["first check", "second check"])
@pytest.mark.parametrize("tools", [("10 mL syringe",), ("20 mL syringe", "0.1 g scale"), ("50 mL burette",)])
def test_a_card_s_colours_are_those_of_the_sample_that_its_steps_take(tools, readings):
    """What stands in its steps is worked out here again: the copper sulfate over all that is in the flask at the end."""
    raw = {"bath": {"volume": "5 L"}, "gear": {"have": [*tools, "baking soda", "methyl orange"]}, "reading": readings}
    card = bench_card("acid titration", read_sheet(raw))
    said = " ".join((*card.steps, *card.look_for, *card.expect))
    held = float(re.search(r"bath of about (\d+) g/L copper sulfate", said)[1])
    sample = float(re.search(r"(?:Put |that is )([\d.]+) mL", said)[1])
    water, used = float(re.search(r"with water to (\d+) mL", said)[1]), float(re.search(r"About ([\d.]+) mL", said)[1])
    assert card.flask.copper_sulfate == pytest.approx(sample * held / (water + used), rel=0.01)
    assert f"Add {card.flask.drops} drops of methyl orange" in said
    assert f"computed for {sample:g} mL of a bath of {held:.0f} g/L and {card.flask.drops} drops" in said
    assert card.flask.drops == round(3.4 * sample * held / 1000)


def test_the_names_stand_in_the_words_of_the_card():
    card = bench_card("acid titration", read_sheet({"gear": {"have": ["methyl orange"]}, "bath": {"volume": "5 L"}}))
    assert "violet through grey to green: stop at grey" in card.look_for[0]
    assert [name for _, _, name, _ in STAGES] == ["violet", "violet-grey", "grey", "green"]
    assert (
        bench_card("acid titration", read_sheet({"gear": {"have": ["pH meter"]}, "bath": {"volume": "5 L"}})).flask
        is None
    )


@pytest.mark.parametrize(
    ("nm", "seen"),
    [
        (420, (0.134, 0.004, 0.646)),
        (450, (0.336, 0.038, 1.772)),
        (480, (0.096, 0.139, 0.813)),
        (500, (0.005, 0.323, 0.272)),
        (550, (0.433, 0.995, 0.009)),
        (600, (1.062, 0.631, 0.001)),
    ],
)
def test_the_eye_is_the_standard_observer(nm, seen):
    """Of 1931, as the CIE tables it (from memory); the sums of lobes stand a few hundredths off."""
    eye = [sum(end_point._lobe(np.array(float(nm)), *lobe) for lobe in lobes) for lobes in end_point.LOBES]
    assert eye == pytest.approx(seen, abs=0.05)


@pytest.mark.parametrize("grams", [5.0, 10.0, 20.0, 30.0])
def test_the_colour_of_copper_is_that_of_another_program(grams):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # on import it says what is not installed, and later that it aligns spectra
        other = pytest.importorskip("colour")
        nm = column("copper_absorptivity", "wavelength_nm")
        absorbed = column("copper_absorptivity", "molar_absorptivity_L_mol_cm") * grams * 6.0
        through = other.SpectralDistribution(10 ** (-absorbed / COPPER_SULFATE_PENTAHYDRATE), nm)
        white = other.SpectralDistribution(np.ones(len(nm)), nm)
        seen, full = (
            other.sd_to_XYZ(one, illuminant=other.SDS_ILLUMINANTS["E"], method="Integration")
            for one in (through, white)
        )
        expected = 255 * other.XYZ_to_sRGB(seen / full * end_point.WHITE)
    # Under the same light, all wavelengths alike; the analytic lobes stand a few steps off the tabulated observer.
    assert rgb(copper_alone(grams)) == pytest.approx(np.clip(expected, 0, 255), abs=8)
