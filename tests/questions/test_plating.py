"""A plating run: currents, times, areas, the bath afterwards, contradictions, and what the command prints."""

import json
import math
import re

import numpy as np
import pytest

from advisor.__main__ import main
from advisor.basis.fields import InputError
from advisor.basis.units import parse
from advisor.check.advise import advise
from advisor.questions.headlines import run_headline
from advisor.questions.limit import MOST_USUAL, limit_of
from advisor.questions.plating import ACTS, PlatingRun, bath_after, plate
from advisor.sheet import Plate, parse_sheet
from advisor.solution.density import density
from advisor.solution.faraday import mass_deposited
from advisor.solution.transport import limiting_current_density
from advisor.words.cautions import Act, cautions

# 200 g/L copper sulfate and 60 g/L acid at 25 degC, known well.
KNOWN = """
[bath]
volume = "5 L"
temperature = "25 degC"
additives = true
[[reading]]
kind = "previous check"
copper_sulfate = "200 ± 4 g/L"
sulfuric_acid = "60 ± 2 g/L"
since = "evaporation only"
"""
UNKNOWN = '[bath]\nvolume = "5 L"\ntemperature = "25 degC"\n'


def said(found):
    return " ".join(str(text) for section in found.sections() for text in section.lines).replace(
        "\N{NO-BREAK SPACE}", " "
    )


def run(table: str, bath: str = KNOWN) -> PlatingRun:
    return plate(parse_sheet(f"{bath}\n[plate]\n{table}".encode()))


# Limiting current density [A/dm2] at 25 degC through layers of 0.2, 0.1, 0.05 and 0.02 mm, worked by hand with one
# diffusion coefficient, 5e-6 cm2/s. In the bath it is 4.1e-6, 0.82 of that; a leaner liquid is thinner: by a factor of
# 1.268 at 120 and 1.418 at 75 g/L (Price and Davenport's fluidity, 0.70 - 0.001 (8.3 Cu + 1.6 A - 18 T), by hand).
@pytest.mark.parametrize(
    ("copper_sulfate", "thinner", "printed"),
    [
        (200, 1.0, (3.9, 7.7, 15.5, 38.6)),
        (120, 1.268, (2.3, 4.6, 9.3, 23.2)),
        (75, 1.418, (1.4, 2.9, 5.8, 14.5)),
    ],
)
def test_limiting_current_density_against_the_table(copper_sulfate, thinner, printed):
    bath = KNOWN.replace("200 ± 4", f"{copper_sulfate} ± 1")
    for stirring, value in zip(("still", "moved", "air", "strong"), printed, strict=True):
        limit = run(f'area = "1 dm^2"\nthickness = "100 um"\nstirring = "{stirring}"', bath).limit
        # The table prints one decimal: half of it is 0.05.
        assert limit.value == pytest.approx(0.82 * thinner * value, abs=0.05 * thinner, rel=0.005)


def test_limit_of_infinitely_dilute_copper_is_above_ours():
    # CRC Handbook: 7.14e-6 cm2/s at infinite dilution and 25 degC; no bath can carry more than that.
    limit = run('area = "1 dm^2"\nthickness = "100 um"').limit
    most = 2 * 96485.33 * 7.14e-6 * 200 / 249.68 / 1000 / 0.02 * 100
    assert 0.4 * most < limit.value < most


def test_uncertainty_of_the_limit_joins_model_copper_and_temperature():
    bath = KNOWN.replace("200 ± 4", "200 ± 36").replace('"25 degC"', '"25 ± 4 degC"')
    sheet = parse_sheet(bath.encode())
    limit = limit_of(sheet, advise(sheet), Plate(area=parse("1 dm2", "area")))
    draws = np.random.default_rng(3).standard_normal((3, 100_000))
    copper = advise(sheet).values["copper_sulfate"]
    model = limiting_current_density(
        copper.value + copper.standard_uncertainty * draws[0], limit.sulfuric_acid, 25 + 2 * draws[1], "still"
    )
    # More copper makes the liquid thicker too, which takes back a part of what it gives: ours is on the safe side.
    spread = np.std(model.value + model.standard_uncertainty * draws[2])
    assert spread * 0.99 < limit.standard_uncertainty < spread * 1.05


def test_thickness_gives_current_and_time():
    found = run('area = "85 cm^2"\nthickness = "150 um"')
    low, high = found.recommended
    assert (low, high) == pytest.approx((0.3 * found.limit.value, 0.5 * found.limit.value))
    assert low < found.current_density < high
    assert found.current == 1.1  # of 0.4 x 3.17 x 0.85 = 1.08 A, as a supply is set
    assert found.copper == pytest.approx(0.85 * 10 * 0.150 * 8.96)  # area times thickness times density
    assert found.ampere_hours == pytest.approx(found.copper / 1.1855, rel=1e-4)
    assert found.thickness == pytest.approx(0.150)


def test_time_or_current_alone():
    timed = run('area = "1 dm^2"\ntime = "10 h"')
    assert timed.time == 10
    assert not any("neither thickness nor time" in text for text in timed.warnings)
    assert 1000 * timed.thickness == pytest.approx(13.23 * timed.current_density * 10, rel=1e-3)
    driven = run('area = "1 dm^2"\ncurrent = "1 A"')
    assert driven.current == 1
    assert 1000 * driven.thickness == pytest.approx(150)
    assert any("neither thickness nor time, so 150 µm is assumed" in text for text in driven.warnings)


def test_time_and_thickness_set_the_current():
    found = run('area = "1 dm^2"\ntime = "10 h"\nthickness = "132.3 um"')
    assert found.current == pytest.approx(1.0, rel=1e-3)


def test_three_that_agree_and_three_that_do_not():
    assert run('area = "1 dm^2"\ntime = "10 h"\nthickness = "132 um"\ncurrent = "1 A"').time == 10
    with pytest.raises(InputError, match=r"plate: time: you gave .*5 h.*takes 10 h"):
        run('area = "1 dm^2"\ntime = "5 h"\nthickness = "132.3 um"\ncurrent = "1 A"')


@pytest.mark.parametrize(
    ("sheet", "place"), [(UNKNOWN, "plate: area"), (UNKNOWN + '[plate]\narea = "1 dm^2"\n', "plate: thickness")]
)
def test_nothing_that_determines_the_run(sheet, place):
    with pytest.raises(InputError) as error:
        plate(parse_sheet(sheet.encode()))
    assert error.value.place == place


def test_copper_that_was_not_measured_gives_no_limit_and_a_cautious_current():
    found = run('area = "1 dm^2"\nthickness = "100 um"', UNKNOWN)
    result = found.to_dict()
    assert result["limiting_A_dm2"] is None
    assert result["copper_sulfate_is"] == "assumed"
    assert found.voltage is None
    assert result["bath_after"]["anodes_do_not"]["copper_sulfate_g_L"] is None
    assert found.current < run('area = "1 dm^2"\nthickness = "100 um"').current
    assert any("not settled" in text for text in found.warnings)
    assert "a lean bath, since yours is not known" in said(found)
    driven = said(run('area = "1 dm^2"\nthickness = "100 um"\ncurrent = "3 A"', UNKNOWN))
    assert "the limiting current of a lean bath (above 0.7, where trees form" in driven


def test_readings_that_tell_nothing_leave_the_bath_as_lean_as_one_that_nobody_measured():
    """Two densities 0.1 g/mL apart made a bath of 5 g/L of it, and half a day of plating 13 days."""
    floats = "".join(
        f'[[reading]]\nkind = "hydrometer"\nvalue = "{value}"\nscale = "SG 20/20"\n' for value in (1.1, 1.2)
    )
    wanted = 'area = "1 dm^2"\nthickness = "100 um"'
    found = run(wanted, UNKNOWN + floats)
    assert found.current == pytest.approx(run(wanted, UNKNOWN).current, rel=0.05)


def test_copper_that_is_known_is_said_to_be_that_of_the_readings_which_may_be_a_recipe():
    told = said(run('area = "1 dm^2"\nthickness = "100 um"'))
    assert "for 200 g/L copper sulfate, as your readings say" in told
    assert "measured" not in told


def test_copper_known_as_well_as_the_model_is_used_though_not_determined():
    bath = KNOWN.replace("200 ± 4", "200 ± 80")
    assert advise(parse_sheet(bath.encode())).values["copper_sulfate"] is None
    found = run('area = "1 dm^2"\nthickness = "100 um"', bath).limit
    assert found.measured
    assert found.copper_sulfate == pytest.approx(197, abs=5)  # the prior of 150 ± 150 draws a little


def test_lean_reading_makes_the_assumption_leaner():
    vague = KNOWN.replace("200 ± 4", "60 ± 60")
    assert run('area = "1 dm^2"\nthickness = "100 um"', vague).limit.copper_sulfate < 60


def test_too_much_current_warns_strongly():
    limit = run('area = "1 dm^2"\nthickness = "100 um"').limit.value
    for share, said in (
        (0.504, None),
        (0.51, "More current than recommended"),
        (0.69, "More"),
        (0.71, "Too much current"),
    ):
        warnings = run(f'area = "1 dm^2"\nthickness = "100 um"\ncurrent = "{share * limit:.4f} A"').warnings
        found = [text for text in warnings if "current" in text]
        assert bool(found) == bool(said)
        assert said is None or found[0].startswith(said)


def test_limits_that_the_plan_names_are_the_published_shares():
    # Trees above 0.7 of the limiting current density: Trans. Inst. Metal Finishing 48 (1970) 35-42.
    found = run('area = "1 dm^2"\nthickness = "100 um"\ncurrent = "1.6 A"')
    result = found.to_dict()
    assert result["trees_above_A_dm2"] == pytest.approx(0.7 * found.limit.value)
    assert result["probability_of_trees"] == pytest.approx(found.limit.probability_above(0.7, 1.6))


def test_uncertain_temperature_widens_the_limit():
    # 8 degC at 3 % a degree are 24 %, beside 33 % of the model.
    bath = KNOWN.replace('"25 degC"', '"25 ± 16 degC"')
    limit = run('area = "1 dm^2"\nthickness = "100 um"', bath).limit
    assert limit.standard_uncertainty / limit.value == pytest.approx(math.hypot(0.333, 0.25), rel=0.05)


def test_probability_of_trees_against_random_draws():
    found = run('area = "1 dm^2"\nthickness = "100 um"\ncurrent = "1.6 A"')
    relative = found.limit.standard_uncertainty / found.limit.value
    true = found.limit.value * np.exp(relative * np.random.default_rng(5).standard_normal(200_000))
    assert found.limit.probability_above(0.7, 1.6) == pytest.approx(np.mean(0.7 * true < 1.6), abs=0.005)


def test_stirred_bath_is_not_driven_beyond_what_is_usual():
    found = run('area = "1 dm^2"\nthickness = "100 um"\nstirring = "strong"')
    assert found.recommended[1] == pytest.approx(MOST_USUAL)
    assert found.limit.value > 2 * MOST_USUAL


def test_gentle_start_deposits_its_share():
    found = run('area = "85 cm^2"\nthickness = "150 um"')
    charge = sum(stage["current_A"] * stage["time_h"] for stage in found.to_dict()["plan"])
    assert charge == pytest.approx(found.ampere_hours)
    assert found.start[0] < found.recommended[0] * found.area
    points = found.thickness_over_time()
    assert points[-1][1] == pytest.approx(150)
    # Each stretch rises as its current says: 13.23 um/h at 1 A/dm2.
    for (t0, d0), (t1, d1), current in zip(points, points[1:], (found.start[0], found.current), strict=False):
        assert (d1 - d0) / (t1 - t0) == pytest.approx(13.23 * current / 0.85, rel=1e-3)


def test_bath_afterwards_by_an_independent_mass_balance():
    # An ampere-hour takes 4.658 g of salt and leaves 1.830 g of acid; 30 A·h from 5 L at 200/60 leave 172 and 71 g/L.
    sheet = parse_sheet(KNOWN.encode())
    advice = advise(sheet)
    after = bath_after(sheet, advice, mass_deposited(30))
    before = bath_after(sheet, advice, 0)
    assert after.copper_sulfate * after.volume == pytest.approx(
        before.copper_sulfate * before.volume - 30 * 4.658, abs=0.05
    )
    assert after.sulfuric_acid * after.volume == pytest.approx(
        before.sulfuric_acid * before.volume + 30 * 1.830, abs=0.05
    )
    assert after.copper_sulfate == pytest.approx(172, abs=1)
    assert after.sulfuric_acid == pytest.approx(71, abs=1)
    assert after.volume == pytest.approx(before.volume, rel=0.005)


def test_bath_afterwards_weighs_what_is_left():
    # Of 249.68 g of salt, 63.55 g leave as copper and 16.00 g as oxygen: all else stays in the bath.
    sheet = parse_sheet(KNOWN.encode())
    advice = advise(sheet)
    grams = []
    for copper in (0.0, 63.55):
        after = bath_after(sheet, advice, copper)
        parts = (after.copper_sulfate, after.sulfuric_acid, advice.estimate.value("foreign_solids"))
        grams.append(1000 * after.volume * density(*parts))
    assert grams[0] - grams[1] == pytest.approx(63.55 + 16.00, abs=0.5)


def test_fed_bath_stays_as_it_was():
    found = run('area = "85 cm^2"\nthickness = "150 um"')
    copper = advise(parse_sheet(KNOWN.encode())).values["copper_sulfate"].value
    assert found.fed.copper_sulfate == pytest.approx(copper)
    assert found.unfed.copper_sulfate < copper


@pytest.mark.parametrize(("told", "other"), [("copper_sulfate", "sulfuric_acid"), ("sulfuric_acid", "copper_sulfate")])
def test_of_a_bath_half_measured_the_other_half_is_not_told_afterwards(told, other):
    bath = "\n".join(row for row in KNOWN.splitlines() if not row.startswith(other))
    after = run('area = "1 dm^2"\ncurrent = "1 A"\ntime = "10 h"', bath).unfed
    assert getattr(after, told) is not None
    assert getattr(after, other) is None
    assert after.volume == pytest.approx(5.0, rel=0.005)


def test_bath_that_holds_too_little_for_the_run():
    found = run('area = "100 dm^2"\nthickness = "1 mm"')
    assert found.unfed.copper_sulfate == pytest.approx(0, abs=1e-9)
    assert any("holds only 25" in text for text in found.warnings)  # 5 L of 200 g/L hold 254 g
    json.dumps(found.to_dict(), allow_nan=False)


def test_unfed_bath_that_leaves_the_window_is_named():
    warnings = run('area = "2 dm^2"\nthickness = "300 um"').warnings
    assert any("below the window (195 g/L)" in text for text in warnings)
    for bath in (KNOWN, KNOWN.replace("200 ± 4", "180 ± 4")):  # that stays inside, that is below it already
        small = run('area = "1 dm^2"\nthickness = "10 um"', bath).warnings
        assert not any("Without anodes that feed it" in text for text in small)


@pytest.mark.parametrize(
    ("anodes", "said"), [("50 cm^2", "too small"), ("150 cm^2", None), ("5 dm^2", "more than needed")]
)
def test_anode_area(anodes, said):
    warnings = run(f'area = "1 dm^2"\nthickness = "50 um"\nanode_area = "{anodes}"').warnings
    found = [text for text in warnings if text.startswith("Your anodes")]
    assert bool(found) == bool(said)
    assert said is None or said in found[0]


def test_additive_only_where_the_bath_has_some():
    assert run('area = "1 dm^2"\ncurrent = "1 A"\ntime = "10 h"').additive == pytest.approx((1, 5))
    assert run('area = "1 dm^2"\ncurrent = "1 A"', KNOWN.replace("true", "false")).additive is None


def test_voltage_across_the_liquid():
    low, high = run('area = "1 dm^2"\ncurrent = "1 A"').voltage
    # 1 A/dm2 through 10 cm of 0.21 S/cm.
    assert low == pytest.approx(0.01 * 10 / 0.21, rel=0.05)
    assert high > low
    assert run('area = "1 dm^2"\ncurrent = "1 A"', KNOWN.replace("60 ± 2", "20 ± 2")).voltage is None


def test_disturbed_cold_or_overloaded_bath_warns():
    bath = KNOWN.replace('"25 degC"', '"12 degC"\ncondition = ["crystals"]').replace('"5 L"', '"0.5 L"')
    warnings = " ".join(run('area = "1 dm^2"\ncurrent = "1 A"', bath).warnings)
    assert "Do not plate yet" in warnings
    assert "cold" in warnings
    assert "2.0 A a litre" in warnings


def test_cautions_are_said():
    said = " ".join(run('area = "1 dm^2"\ncurrent = "1 A"').to_dict()["cautions"])
    for word in ("short circuit", "before you immerse", "baking-soda", "unattended", "acid mist", "low-voltage"):
        assert word in said
    assert tuple(run('area = "1 dm^2"\ncurrent = "1 A"').to_dict()["cautions"])[: len(ACTS)] == cautions(ACTS)


@pytest.mark.parametrize(("kind", "inert"), [("inert", True), ("copper", False)])
def test_a_step_has_the_cautions_of_what_it_is_for_the_hands(kind, inert):
    """Connecting, the short circuit; an inert anode is said to be one where it may be one."""
    bath = KNOWN.replace("additives = true", f'additives = true\nanodes = "{kind}"')
    beside = run('area = "1 dm^2"\ncurrent = "1 A"\ntime = "8 h"', bath).sections()[2].beside
    connecting, going_on = set(beside[1]), set(beside[3])
    assert connecting >= set(cautions([Act.CONNECTING_A_PART, Act.SHORT_CIRCUIT]))
    assert bool(connecting & set(cautions([Act.INERT_ANODE]))) is inert
    assert not going_on & set(cautions([Act.REACHING_IN]))  # in one stage the part is lifted out once, at the end


def test_command_prints_the_promised_names(tmp_path, capsys):
    sheet = tmp_path / "run.toml"
    sheet.write_text(KNOWN + '[plate]\narea = "85 cm^2"\nthickness = "150 um"\n', encoding="utf-8")
    assert main(["plate", str(sheet), "--json"]) == 0
    result = json.loads(capsys.readouterr().out)
    assert set(result["limiting_A_dm2"]) == {"value", "standard_uncertainty"}
    assert set(result["bath_after"]) == {"anodes_feed", "anodes_do_not"}
    assert result["thickness_um"] == pytest.approx(150)
    assert result["copper_g"] == pytest.approx(1.1855 * result["current_A"] * result["time_h"], rel=1e-4)
    assert main(["plate", str(sheet)]) == 0
    assert "Plating run" in capsys.readouterr().out


def test_command_refuses_a_sheet_that_asks_nothing(tmp_path, capsys):
    sheet = tmp_path / "run.toml"
    sheet.write_text(UNKNOWN + '[plate]\narea = "85 cm^2"\n', encoding="utf-8")
    assert main(["plate", str(sheet), "--json"]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert "plate: thickness" in told.err


def test_page_shows_a_run_and_its_picture(app_test):
    app = app_test("plating_run.py")
    app.session_state["sheet"] = {
        "bath": {"volume": "5 L", "temperature": "25 degC"},
        "plate": {"area": "85 cm^2", "thickness": "150 um"},
    }
    app.run()
    assert not app.exception
    assert any("Your run" in block.value for block in app.subheader)
    assert len(app.get("vega_lite_chart")) == 1


def test_page_takes_an_area_over_from_a_helper(app_test):
    app = app_test("plating_run.py")
    app.session_state["sheet"] = {"bath": {"volume": "5 L"}}
    app.run()
    app.text_input(key="plating_length").set_value("100")
    app.text_input(key="plating_width").set_value("50").run()
    app.button(key="plating_take_area").click().run()
    assert not app.exception
    assert app.session_state["sheet"]["plate"]["area"] == "100 cm^2"


def test_the_limit_is_known_no_better_than_the_copper():
    """The limit is proportional to the copper: what is not known of the copper, relatively, is not known of the limit.

    So the squares of the relative uncertainties of two baths that differ in it alone differ by those of the copper.
    """
    relative = []
    for spread in (1, 18):
        sheet = parse_sheet(
            KNOWN.replace("200 ± 4", f"200 ± {spread}").encode() + b'[plate]\narea = "1 dm^2"\ntime = "9 h"'
        )
        found = advise(sheet).to_dict()["estimate"]["copper_sulfate_g_L"], plate(sheet).to_dict()["limiting_A_dm2"]
        relative.append([each["standard_uncertainty"] / each["value"] for each in found])
    (sharp_copper, sharp_limit), (wide_copper, wide_limit) = relative
    assert wide_limit**2 - sharp_limit**2 == pytest.approx(wide_copper**2 - sharp_copper**2, rel=0.03)


# --- What a run says that Check says too, and what it asks for ------------------------------------


def test_a_low_part_in_a_still_bath_stands_more_and_the_height_is_asked_for():
    """At 200/60 and 25 °C the fixed layer of 0.2 mm is 54 % low at 2 cm: 1/(1 - 0.54) = 2.2 times the current."""
    tall = run('area = "20 cm2"\nthickness = "100 um"')
    low = run('area = "20 cm2"\nthickness = "100 um"\nheight = "2 cm"')
    assert low.limit.value / tall.limit.value == pytest.approx(2.16, abs=0.03)
    assert low.recommended[1] / tall.recommended[1] == pytest.approx(2.16, abs=0.03)
    assert low.to_dict()["height_cm"] == pytest.approx(2.0)
    assert any("You did not say how high the part is" in text for text in tall.warnings)
    assert not any("how high" in text for text in low.warnings)
    moved = run('area = "20 cm2"\nthickness = "100 um"\nheight = "2 cm"\nstirring = "moved"')
    assert not any("how high" in text for text in run('area = "1 dm2"\ntime = "2 h"\nstirring = "moved"').warnings)
    assert moved.limit == run('area = "20 cm2"\nthickness = "100 um"\nstirring = "moved"').limit
    assert any("for a part 2 cm high" in text for text in low.sections()[0].lines)


@pytest.mark.parametrize("height", ["0 cm", "3 g", "30 m"])
def test_a_height_that_cannot_be_is_refused_by_its_place(height):
    with pytest.raises(InputError, match="plate: height"):
        run(f'area = "20 cm2"\nthickness = "100 um"\nheight = "{height}"')


def test_one_current_in_headline_steps_and_warnings_and_times_that_add_up():
    found = run('area = "85 cm2"\nthickness = "150 um"\ncurrent = "2.5 A"')
    result, steps = (found.sections()[place].lines for place in (0, 2))
    assert "Current: 2.50 A" in result[0]
    assert "Go on at 2.50 A" in steps[3]
    assert "2.50 A is" in " ".join(found.warnings)
    start_current, start_time = found.start
    main_time = found.time_in_all - start_time
    assert start_current * start_time + 2.5 * main_time == pytest.approx(found.ampere_hours)
    assert f"{found.time_in_all:.1f} h in all" in result[1]
    assert found.thickness_over_time()[-1][0] == found.time_in_all


def test_a_run_longer_than_one_stays_beside_it_is_divided():
    """20 h are three stages of at most 8 h, told where they are plated; of very many the count says nothing."""
    found = run('area = "85 cm^2"\ncurrent = "1 A"\ntime = "20 h"')
    assert found.to_dict()["stages"] == 3
    assert re.search(r" of copper, in 3 stages of about 6\.\d h$", run_headline(found).matter)
    assert re.search(r"Go on at .* h in all, in 3 stages of about 6\.\d h that you stay beside", said(found))
    day = run('area = "85 cm^2"\ncurrent = "1 A"\ntime = "8 h"')
    assert day.stages == 1
    assert run_headline(day).matter.endswith(" of copper")
    assert "stages" not in said(day)
    months = run('area = "100 cm^2"\ncurrent = "50 mA"\nthickness = "2 mm"')
    assert months.stages > 100
    assert f"{months.stages} stages" not in said(months)
    assert "in stages of about 8.0 h" in said(months)


def test_current_far_beyond_the_limit_is_told_in_times_of_it():
    limit = run('area = "1 dm^2"\nthickness = "100 um"').limit.value
    found = run(f'area = "1 dm^2"\nthickness = "100 um"\ncurrent = "{19.55 * limit:.4f} A"')
    assert "A is 20 times the limiting current (above 0.7" in " ".join(found.warnings)


def test_an_area_of_anodes_that_the_current_alone_asks_for_is_one_value():
    """30 A at 3 A/dm² on the anodes are 10 dm², more than twice the 1 dm² of the part."""
    found = run('area = "1 dm^2"\nthickness = "100 um"\ncurrent = "30 A"')
    assert "Anodes: 1000 cm² facing the part" in said(found)
    less = run('area = "1 dm^2"\nthickness = "100 um"\ncurrent = "4 A"')
    assert "Anodes: 133 to 200 cm² facing the part, so that they carry at most 3 A/dm²" in said(less)


def test_hardly_any_current_for_weeks_is_named():
    """300 µm on 85 cm²: 0.03 · 85 · 8.96 = 22.8 g, 19.3 A·h; at 0.05 A/dm², 42.5 mA, that is 453 h or 19 days."""
    found = run('area = "85 cm2"\nthickness = "300 um"\ncurrent = "42.5 mA"')
    assert found.time == pytest.approx(453, rel=0.005)
    said = " ".join(found.warnings)
    assert "Very little current: 0.05 A/dm² is 0.02 of the limiting current" in said
    assert "a run of 19 days" in said
    assert re.search(
        r"it would take 23\.9 h, at .* 14\.3 h", said
    )  # 19.3 A·h at 0.3 and 0.5 of 3.17 A/dm², 0.85 of each
    fine = " ".join(run('area = "85 cm2"\nthickness = "300 um"').warnings)
    assert "Very little" not in fine
    assert "days" not in fine


@pytest.mark.parametrize(
    ("anodes", "density", "said"),
    [
        ("20 cm2", 20.0, "carry 20 A/dm², far more than they dissolve under: above about 5 A/dm² they turn passive"),
        ("81 cm2", 4.938, "carry 4.9 A/dm², more than is usual: at most about 3 A/dm² keeps them dissolving"),
        ("134 cm2", 2.985, None),
    ],
)
def test_anodes_that_turn_passive_are_named_with_what_they_need(anodes, density, said):
    """4 A at 3 A/dm² take 133 cm², less than the part's own 200: one area is asked for, in both places."""
    found = run(f'area = "2 dm2"\nthickness = "100 um"\ncurrent = "4 A"\nanode_area = "{anodes}"')
    loaded = [text for text in found.warnings if text.startswith("Your anodes carry")]
    assert [said in text and "at least 200 cm²" in text for text in loaded] == ([True] if said else [])
    assert any("Anodes: 200 to 400 cm² facing the part" in text for text in found.sections()[0].lines)
    assert found.to_dict()["anode_current_density_A_dm2"] == pytest.approx(density, abs=0.001)
    assert run('area = "1 dm2"\nthickness = "100 um"\ncurrent = "1 A"').anode_density is None


@pytest.mark.parametrize("stirring", ["still", "air", "strong"])
def test_the_anodes_that_are_asked_for_stay_active(stirring):
    found = run(f'area = "1 dm2"\nthickness = "100 um"\nstirring = "{stirring}"')
    assert found.current / found.anode_area[0] <= 3.0 + 1e-9


def test_a_leaf_under_paint_is_not_tested_with_a_film_of_water():
    (first, *_) = run('area = "85 cm2"\nthickness = "150 um"').sections()[2].lines
    assert "Clean bare metal until water runs off as a closed film" in first
    assert "pearls off such paint and tells nothing" in first


def test_a_bath_outside_of_the_window_is_mended_before_it_plates():
    bath = KNOWN.replace("60 ± 2", "12 ± 2")
    said = " ".join(run('area = "1 dm2"\nthickness = "50 um"', bath).warnings)
    assert "The sulfuric acid is below the window: put that right first, as the bath check says" in said
    assert "put that right first" not in " ".join(run('area = "1 dm2"\nthickness = "50 um"').warnings)


def test_a_current_for_a_tiny_part_is_never_nothing():
    """A bead of 4 mm² in a still bath starts at a hundredth of the half ampere that somebody wants to give it."""
    found = run('area = "0.04 cm2"\nthickness = "50 um"\ncurrent = "0.5 A"')
    said = " ".join([*(text for block in found.sections() for text in block.lines), run_headline(found).act])
    currents = re.findall(r"(\d[\d.]*)(?: to (\d[\d.]*))? m?A\b", said)
    assert len(currents) > 5
    assert all(float(number) > 0 for pair in currents for number in pair if number)


def test_a_current_that_is_chosen_lies_inside_of_what_is_recommended_however_narrow_that_is():
    """A still panel of 1 A, burnt to 2.9 cm and bright to 5.9, leaves 1.06 to 1.07 A for 1 dm²: 1.1 A is beyond."""
    table = 'area = "1 dm2"\nthickness = "100 um"\nstirring = "still"\n'
    panel = '[hull_cell]\ncurrent = "1 A"\nburnt_to = "2.9 cm"\nbright_to = "5.9 cm"\nstirring = "still"\n'
    found = run(table + panel, KNOWN.replace("200 ± 4", "205 ± 8").replace("60 ± 2", "58 ± 4"))
    low, high = found.recommended
    assert low <= found.current_density <= high < 1.02 * low
    assert "More current than makes smooth copper" not in run_headline(found).matter


def test_what_a_run_says_by_hand():
    """10 A·h bring 11.86 g, 11.86/8.96 cm3 on 100 cm2, and take 4.658 g of salt and leave 1.830 g of acid each.

    Of 3.17 A/dm2 0.3 are 0.95, half of which is the start: 0.475 A for half an hour have brought what 1 A does in 14 min.
    The layer of a low part is thicker by the fourth root of its height: 2.16 times at 2 cm are 1.72 at 5.
    """
    found = run('area = "1 dm^2"\ncurrent = "1 A"\ntime = "10 h"')
    assert found.limit.value == pytest.approx(3.17, abs=0.005)
    for words in (
        "Current: 1.00 A on 100 cm², which is 1.00 A/dm²",
        "Time: 10.3 h in all with the gentle start, 10.0 h without it; 10 A·h",
        "Copper: 11.9 g, on average 132 µm thick",
        "Recommended: 0.95 to 1.58 A/dm², 0.95 to 1.58 A on this part",
        "Anodes: 100 to 200 cm² facing the part, one to two times its area",
        "Voltage: about 0.5 to 0.7 V with 10 cm",  # 0.476 across the liquid, 0.2 at part and anode
        "Additive used up: 1 to 5 mL",
        "5 cm high, about 1.7 times as much",
        "Start at 0.48 A for 30 min",
        "Go on at 1.00 A for 9.8 h in all, in 2 stages of about 4.9 h",
        "Above about 1.58 A the copper grows coarser",
        "above about 2.22 A trees",
        "That 10 A·h takes 46.6 g of copper sulfate and leaves 18.3 g of acid",
    ):
        assert words in said(found)


@pytest.mark.parametrize(
    ("table", "temperature", "words", "warned"),
    [
        ('area = "5 dm2"\ncurrent = "5 A"\ntime = "2 h"', "18 degC", "A a litre of bath", False),
        ('area = "5 dm2"\ncurrent = "5.1 A"\ntime = "2 h"', "18 degC", "1.0 A a litre of bath", True),  # of 5 L
        ('area = "5 dm2"\ncurrent = "5 A"\ntime = "2 h"', "18 degC", "The bath is cold", False),
        ('area = "5 dm2"\ncurrent = "5 A"\ntime = "2 h"', "17.9 degC", "The bath is cold", True),
        (
            'area = "1 dm2"\nstirring = "strong"\ncurrent = "11 A"\ntime = "1 h"',  # of 31: 0.35 of the limit
            "25 degC",
            "than is usual: 11.0 A/dm² against at most 10.8 A/dm²",
            True,
        ),
        ('area = "1 dm2"\nstirring = "strong"\ncurrent = "10.8 A"\ntime = "1 h"', "25 degC", "than is usual", False),
        ('area = "5 cm2"\ncurrent = "50 mA"\ntime = "48 h"', "25 degC", "a run of", False),
        ('area = "5 cm2"\ncurrent = "50 mA"\ntime = "49 h"', "25 degC", "a run of 2 days", True),
        ('area = "1 dm2"\ncurrent = "0.31 A"\ntime = "2 h"', "25 degC", "Very little current", True),  # of 3.17
        ('area = "1 dm2"\ncurrent = "0.32 A"\ntime = "2 h"', "25 degC", "Very little current", False),
        ('area = "1 dm2"\ncurrent = "0.89 A"\ntime = "2 h"', "25 degC", "Yours is less: harmless", True),  # of 0.95
        ('area = "1 dm2"\ncurrent = "0.92 A"\ntime = "2 h"', "25 degC", "Yours is less: harmless", False),
        ('area = "1 dm2"\ncurrent = "0.31 A"\ntime = "2 h"', "25 degC", "Yours is less: harmless", False),  # it is said
        ('area = "1 dm2"\ntime = "2 h"\nanode_area = "98 cm2"', "25 degC", "too small, they turn passive", True),
        ('area = "1 dm2"\ntime = "2 h"\nanode_area = "101 cm2"', "25 degC", "too small, they turn passive", False),
        ('area = "1 dm2"\ntime = "2 h"\nanode_area = "401 cm2"', "25 degC", "4.0 times the part: more", True),
        ('area = "1 dm2"\ntime = "2 h"\nanode_area = "399 cm2"', "25 degC", "times the part: more", False),
    ],
)
def test_from_where_on_a_run_is_warned_of(table, temperature, words, warned):
    told = said(run(table, KNOWN.replace("25 degC", temperature)))
    assert (words in told) is warned
