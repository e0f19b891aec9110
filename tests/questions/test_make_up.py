"""Mixing a bath: amounts that make what was wanted, recipes judged for what they give, and what stands in the way."""

import json
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.__main__ import main
from advisor.basis.fields import InputError
from advisor.check.advise import advise
from advisor.check.mass_balance import forward
from advisor.check.pouring import FIRST_WORDS
from advisor.questions.headlines import mixture_headline
from advisor.questions.make_up import SUPPRESSOR_ALONE, SUPPRESSOR_RULE, empty_tank, mix
from advisor.sheet import read_sheet
from advisor.solution.density import density
from advisor.solution.solubility import saturation
from advisor.solution.stock import acid_density
from advisor.words import phrases
from advisor.words.cautions import Act, caution
from advisor.words.lines import Units
from tests.widgets import sheet_field

KEYS = {
    "crystals_g",
    "acid_g",
    "acid_mL",
    "water_L",
    "volume_L",
    "copper_sulfate_g_L",
    "sulfuric_acid_g_L",
    "verdict",
}
# An ounce of crystals to each millilitre of concentrated acid, sixteen of each in a little over two US quarts of water
# (common practice, no source).
KITCHEN_RULE = {"crystals": "16 oz", "acid": "16 mL", "water": "2.1 qt"}


def sheet(mix_table=None, strength=None, **bath):
    raw = {"bath": {"volume": "2.2 L", **bath}, "mix": mix_table or {}}
    if strength:
        raw["stock"] = {"acid": {"strength": strength}}
    return read_sheet(raw)


@settings(max_examples=60, deadline=None)
@given(
    volume=st.floats(0.5, 200),
    copper_sulfate=st.floats(30, 240),
    sulfuric_acid=st.floats(5, 120),
    strength=st.floats(30, 98),
    purity=st.floats(90, 100),
)
def test_amounts_make_what_was_wanted_by_an_independent_balance(
    volume, copper_sulfate, sulfuric_acid, strength, purity
):
    strength, purity = round(strength, 2), round(purity, 2)
    raw = {
        "bath": {"volume": "1 L"},
        "stock": {"acid": {"strength": f"{strength:.2f} %"}, "crystals": {"purity": f"{purity:.2f} %"}},
        "mix": {
            "volume": f"{volume:.5f} L",
            "copper_sulfate": f"{copper_sulfate:.3f} g/L",
            "sulfuric_acid": f"{sulfuric_acid:.3f} g/L",
        },
    }
    made = mix(read_sheet(raw))
    # Rounding to four digits moves each of them by 0.05 % at most.
    assert made.volume == pytest.approx(volume, rel=1.1e-3)
    assert made.copper_sulfate == pytest.approx(copper_sulfate, rel=1.5e-3)
    assert made.sulfuric_acid == pytest.approx(sulfuric_acid, rel=1.5e-3)
    assert made.crystals * purity / 100 == pytest.approx(made.copper_sulfate * made.volume, rel=1e-6)
    assert made.acid * strength / 100 == pytest.approx(made.sulfuric_acid * made.volume, rel=1e-6)
    assert made.acid_mL * acid_density(strength / 100) == pytest.approx(made.acid, rel=1e-4)
    inert = made.crystals * (1 - purity / 100) / made.volume
    grams = 1000 * made.volume * density(made.copper_sulfate, made.sulfuric_acid, inert)
    assert made.crystals + made.acid + made.water * 998.2041 == pytest.approx(grams, rel=1e-6)


def test_without_an_aim_it_is_the_middle_of_the_window():
    made = mix(sheet({"volume": "4 L"}, "96 %"))
    assert made.copper_sulfate == pytest.approx((195 + 248) / 2, rel=2e-3)
    assert made.sulfuric_acid == pytest.approx((30 + 75) / 2, rel=2e-3)
    assert {made.verdict[name].state for name in ("copper_sulfate", "sulfuric_acid")} == {"in"}
    assert made.verdict["chloride"].state == "not measured"
    assert made.stays_dissolved


def test_steps_stand_in_the_order_in_which_it_is_safe():
    steps = mix(sheet({"volume": "4 L"}, "37 %", additives=True)).steps
    places = [
        next(i for i, step in enumerate(steps) if word in step)
        for word in ("Warm", "crystals", "acid", "rest", "mg of chloride")
    ]
    assert places == sorted(places)
    assert "444 mL" in steps[2]
    assert "portions" not in steps[2]  # 37 % acid warms the 2.58 L by less than 15 degrees
    # (50 + 120)/2 mg/L in 4 L is 340 mg: 34 mL of a salt solution of 10 mg/mL.
    assert "34 mL of salt solution" in steps[4]


def test_what_a_mixture_holds_is_said_by_hand():
    """4 L of 221.5/52.5 g/L: 886/0.99 = 895 g, 210/0.96 = 219 g of 1.8355 g/mL; ± of 95 % are 1.96 of 1.4 and 3.2 %.

    Four fifths of the water go in first.
    """
    made = mix(sheet({"volume": "4 L"}, "96 %"))
    held, steps = (list(map(str, block.lines)) for block in made.sections()[:2])
    assert held[0].startswith(
        "895 g of crystals, 119 mL of acid of 96 % (219 g) and 3.57 L of water make 4.00 L of bath – "
    )
    assert held[1:3] == [
        "Copper sulfate: 221 ± 6 g/L – inside the window (195 to 248 g/L)",
        "Sulfuric acid: 53 ± 3 g/L – inside the window (30 to 75 g/L)",
    ]
    assert made.water == pytest.approx(3.565, abs=0.005)
    assert "Warm 2.85 L of water" in steps[0]
    assert "Stir in 895 g of crystals" in steps[1]
    assert "add 119 mL (219 g) of acid" in steps[2]
    assert "Add the rest of the water, 0.71 L, to reach 4.00 L" in steps[3]


def test_a_recipe_without_acid_names_none():
    made = mix(sheet({"crystals": "880 g", "acid": "0 mL", "volume": "4 L"}))
    assert str(made.sections()[0].lines[0]) == "880 g of crystals and 3.67 L of water make 4.00 L of bath."
    assert not any("acid" in step for step in made.steps)
    none = mix(sheet({"crystals": "0 g", "acid": "120 mL", "volume": "4 L"}))
    assert not any("Stir in" in step for step in none.steps)


@pytest.mark.parametrize(("aim", "state"), [(190, "low"), (196, "unsure"), (201, "in"), (242, "in"), (247, "unsure")])
def test_a_mixture_at_an_edge_is_called_so(aim, state):
    """It holds what is aimed at to 1.4 %, 2.7 g/L, of which 95 % are 1.64 or 1.96: 4.5 or 5.4 g/L from 195 and 248."""
    made = mix(sheet({"volume": "4 L", "copper_sulfate": f"{aim} g/L"}, "96 %", coldest="20 degC"))
    assert made.verdict["copper_sulfate"].state == state


def test_anhydrous_crystals_weigh_less_and_warm_the_water():
    raw = {"bath": {"volume": "4 L"}, "mix": {"volume": "4 L"}}
    blue = mix(read_sheet({**raw, "stock": {"crystals": {"purity": "100 %"}}}))
    grey = mix(read_sheet({**raw, "stock": {"crystals": {"purity": "100 %", "form": "anhydrous"}}}))
    assert blue.crystals / grey.crystals == pytest.approx(249.68 / 159.60, rel=1e-3)
    assert grey.copper_sulfate == pytest.approx(blue.copper_sulfate, rel=1e-3)
    assert "cools it by" in blue.steps[1]
    assert "warms it by" in grey.steps[1]
    assert "of water to about 40 °C in a vessel" in blue.steps[0]
    assert "of cold water in a vessel" in grey.steps[0]


def test_kitchen_rule_has_enough_copper_and_far_too_little_acid():
    made = mix(sheet(KITCHEN_RULE, "96 %"))
    assert made.copper_sulfate == pytest.approx(210, abs=6)
    assert made.sulfuric_acid == pytest.approx(13, abs=0.5)
    assert made.verdict["copper_sulfate"].state == "in"
    assert made.verdict["sulfuric_acid"].state == "low"
    published = ("standard", "electroforming", "high throw")
    assert {made.windows[name]["sulfuric_acid"] for name in published} == {"low"}
    said = " ".join(made.warnings)
    assert "sulfuric acid is far below the window" in said
    assert phrases.EFFECTS["sulfuric_acid", "low"] in said
    (instead,) = next(block.lines for block in made.sections() if block.title.startswith("What to weigh instead"))
    assert "454 g of crystals, 65 mL of this acid" in instead  # 52.5 g/L · 2.17 L / 0.96 / 1.8355 g/mL


def test_kitchen_rule_with_battery_acid_is_weaker_still():
    assert mix(sheet(KITCHEN_RULE, "37 %")).sulfuric_acid == pytest.approx(3.5, abs=0.1)
    assert {states["sulfuric_acid"] for states in mix(sheet(KITCHEN_RULE, "37 %")).windows.values()} == {"low"}
    said = " ".join(mix(sheet(KITCHEN_RULE)).warnings)
    assert "If it is battery acid of 37 %, the same volume makes only 3.5 g/L free acid." in said


@pytest.mark.parametrize(("strength", "acid"), [("96 %", 13.0), ("37 %", 3.5)])
def test_kitchen_rule_as_a_make_up_record_is_found_by_the_check(strength, acid):
    record = {"kind": "make-up", **KITCHEN_RULE, "acid_strength": strength, "since": "evaporation only"}
    advice = advise(read_sheet({"bath": {"volume": "2.17 L"}, "reading": [record]}))
    assert advice.estimate.value("sulfuric_acid") == pytest.approx(acid, abs=0.5)
    assert advice.estimate.value("copper_sulfate") == pytest.approx(208, abs=4)
    assert advice.verdict["sulfuric_acid"].state == "low"
    assert advice.verdict["copper_sulfate"].state == "in"
    said = " ".join(advice.warnings)
    assert "sulfuric acid is far below the window" in said
    assert phrases.EFFECTS["sulfuric_acid", "low"] in said
    assert any(step.what == "sulfuric acid" for step in advice.steps)


def test_a_recipe_outside_of_the_window_is_told_how_it_is_mended_as_the_check_would():
    """The kitchen rule's 13.0 g/L of acid in 2.17 L: 39.5 g/L more are 85.7 g, 89 g of 96 %, about 49 mL.

    The check of a bath made so, and of one mended so, says the same.
    """
    made = mix(sheet(KITCHEN_RULE, "96 %"))
    (step,) = made.mending.steps
    assert (step.what, step.numbers["volume_mL"]) == ("sulfuric acid", pytest.approx(49, abs=1.5))
    assert made.mending.plan.state == "possible"
    mended = forward(empty_tank(sheet({}, "96 %")), made.mending.instead)
    assert (mended.copper_sulfate, mended.sulfuric_acid) == pytest.approx((made.copper_sulfate, 52.5), rel=5e-3)
    told = made.to_dict()["mended"]
    assert told["instead"]["acid_mL"] == pytest.approx(65, abs=1)
    assert told["steps"][0]["what"] == "sulfuric acid"
    held = {
        "kind": "previous check",
        "copper_sulfate": f"{made.copper_sulfate:.2f} ± {1.96 * 0.014 * made.copper_sulfate:.2f} g/L",
        "sulfuric_acid": f"{made.sulfuric_acid:.2f} ± {1.96 * 0.032 * made.sulfuric_acid:.2f} g/L",
    }
    raw = {"bath": {"volume": f"{made.volume:.4f} L"}, "stock": {"acid": {"strength": "96 %"}}, "reading": [held]}
    (checked,) = advise(read_sheet(raw)).steps
    assert checked.numbers["volume_mL"] == pytest.approx(step.numbers["volume_mL"], rel=0.05)


def test_where_the_acid_is_too_weak_nothing_else_is_to_be_weighed_instead():
    """206 g/L of acid, the middle of that window, are 1.37 kg a litre of 15 %: more than a litre of bath weighs."""
    raw = {"bath": {"volume": "2 L"}, "window": {"name": "high throw"}, "stock": {"acid": {"strength": "15 %"}}}
    made = mix(read_sheet({**raw, "mix": {"crystals": "140 g", "acid": "100 mL", "water": "1.8 L"}}))
    assert made.mending.instead is None
    assert made.to_dict()["mended"]["instead"] is None
    assert not any("instead" in block.title for block in made.sections())


def test_a_sound_recipe_needs_no_mending():
    assert mix(sheet({"crystals": "880 g", "acid": "120 mL", "volume": "4 L"}, "96 %")).mending is None
    assert mix(sheet({"volume": "4 L"}, "96 %")).mending is None


def test_hydrochloric_acid_on_hand_is_used():
    """(50 + 120)/2 mg/L in 4 L are 340 mg; 31 % acid is 0.3014 g of chloride a gram, so 1.128 g, 0.98 mL at 1.153."""
    raw = {
        "bath": {"volume": "4 L", "additives": True},
        "stock": {"chloride": {"kind": "hydrochloric acid", "strength": "31 %"}},
        "mix": {"volume": "4 L"},
    }
    made = mix(read_sheet(raw))
    (step,) = [text for text in made.steps if "hydrochloric acid" in text]
    assert "Add 0.98 mL of hydrochloric acid of 31 % (1.13 g)" in step
    assert "340 mg" in step
    assert FIRST_WORDS in step
    assert Act.HYDROCHLORIC_ACID in made.acts
    assert not any("table salt" in text for text in made.steps)


def test_the_water_that_was_counted_on_is_the_water_that_is_named():
    """Tap water of 31 mg/L leaves 85 - 31 · 3.57/4.00 = 57.3 mg/L to be added, 229 mg in 4 L: 23 mL."""
    raw = {"bath": {"volume": "4 L", "additives": True}, "mix": {"volume": "4 L"}}
    tap = mix(read_sheet({**raw, "stock": {"water": {"chloride": "31 mg/L", "alkalinity": "50 mg/L"}}}))
    assert "the water that your sheet describes (31 mg/L chloride, 50 mg/L alkalinity)" in tap.steps[0]
    assert any("Add 23 mL of salt solution" in text for text in tap.steps)
    assert "distilled" in mix(read_sheet(raw)).steps[0]


def test_what_is_to_be_mixed_stays_dissolved_in_the_cold():
    """At 12 °C with 52.5 g/L of acid 0.9 of what dissolves is 216 g/L, below the window's middle of 221.5."""
    made = mix(sheet({"volume": "4 L"}, "96 %", coldest="12 degC"))
    ceiling = 0.9 * saturation(12.0, made.sulfuric_acid)
    assert 0.995 * ceiling < made.copper_sulfate <= ceiling
    assert made.stays_dissolved
    assert made.verdict["copper_sulfate"].state == "in"


def test_no_cold_takes_what_is_mixed_out_of_the_window():
    """195 g/L are surely reached by 195/(1 - 1.96 x 0.014) = 200.5: at 2 °C that is more than stays dissolved."""
    made = mix(sheet({"volume": "4 L"}, "96 %", coldest="2 degC"))
    assert made.copper_sulfate == pytest.approx(200.5, abs=0.2)
    assert made.verdict["copper_sulfate"].state == "in"
    assert not made.stays_dissolved
    assert any("Too much copper sulfate for 2 °C" in text for text in made.warnings)


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ('[mix]\nvolume = "4 L"', None),
        ('[mix]\ncrystals = "500 g"\nacid = "40 mL"\nwater = "2.2 L"', None),
        ('[mix]\ncrystals = "500 g"\nacid = "40 mL"\nvolume = "2.5 L"', None),
        ('[bath]\nadditives = true\n[mix]\nvolume = "1 gallon"', None),
        ("[mix]", "mix: volume"),
        ('[mix]\nvolume = "4 furlong"', "mix: volume"),
        ("[mix]\nvolume = 4", "mix: volume"),
    ],
)
@pytest.mark.parametrize("command", ["mix", "check"])
def test_a_table_mix_alone_needs_no_bath(tmp_path, capsys, text, place, command):
    file = tmp_path / "sheet.toml"
    file.write_text(text, encoding="utf-8")
    assert main([command, str(file), "--json"]) == (2 if place else 0)
    out, error = capsys.readouterr()
    if place:
        assert error.startswith(f"advisor: {place}: ")
        assert error.count("\n") == 1
    else:
        assert json.loads(out)


def test_polyether_powder_is_told_in_grams_a_litre_and_what_it_is_not():
    made = mix(sheet({**KITCHEN_RULE, "suppressor": "1.5 g"}, "96 %"))
    assert made.suppressor == pytest.approx(1.5 / 2.17, rel=0.01)
    assert SUPPRESSOR_ALONE in made.warnings
    assert SUPPRESSOR_RULE in made.warnings
    assert "common practice, no source" in SUPPRESSOR_RULE
    assert mix(sheet(KITCHEN_RULE, "96 %")).suppressor is None


def test_recipe_made_up_to_a_volume_is_the_recipe_with_that_water():
    made = mix(sheet({"crystals": "880 g", "acid": "120 mL", "volume": "4 L"}, "96 %"))
    assert made.volume == pytest.approx(4.0, abs=1e-6)
    again = mix(sheet({"crystals": "880 g", "acid": "120 mL", "water": f"{made.water:.6f} L"}, "96 %"))
    assert again.sulfuric_acid == pytest.approx(made.sulfuric_acid, rel=1e-5)


def test_a_recipe_of_weak_acid_needs_little_water_and_is_made_up_to_its_volume():
    """With 0.20 L of water 140 g of crystals and 1.55 L of 15 % acid make 1.805 L: 0.195 L more make 2 L."""
    made = mix(sheet({"crystals": "140 g", "acid": "1.55 L", "volume": "2 L"}, "15 %"))
    assert made.volume == pytest.approx(2.0, abs=1e-6)
    assert made.water == pytest.approx(0.395, abs=0.003)
    assert mix(sheet({"crystals": "140 g", "acid": "1.55 L", "water": "0.2 L"}, "15 %")).volume == pytest.approx(
        1.805, abs=0.001
    )
    with pytest.raises(InputError, match="leaves no room for any water"):
        mix(sheet({"crystals": "140 g", "acid": "1.55 L", "volume": "1.59 L"}, "15 %"))


def test_too_much_for_the_cold_is_said_with_the_temperature_that_will_do():
    made = mix(
        sheet({"volume": "2 L", "copper_sulfate": "245 g/L", "sulfuric_acid": "70 g/L"}, "96 %", coldest="13 degC")
    )
    assert not made.stays_dissolved
    assert made.copper_sulfate > 0.9 * saturation(13.0, made.sulfuric_acid)
    (warning,) = [text for text in made.warnings if "Too much copper sulfate for 13 °C" in text]
    warm, most = (float(warning.split(word)[1].split(" ")[0]) for word in ("above ", "at most "))
    assert most == pytest.approx(0.9 * saturation(13.0, made.sulfuric_acid), abs=0.5)
    assert 0.9 * saturation(warm + 0.5, made.sulfuric_acid) > made.copper_sulfate


@pytest.mark.parametrize(
    ("wish", "act"),
    [
        ({}, r"Take \d+ g crystals, .* water\. Keep it above \d+ °C\."),
        ({"crystals": "0.9 kg", "acid": "120 mL"}, r"Keep it above \d+ °C\."),  # 223 g/L, which no recipe mends
    ],
)
def test_where_the_cold_leaves_nothing_of_the_window_only_warmth_is_told(wish, act):
    """At 2 °C with 55 g/L of acid 0.9 of what dissolves is 186 g/L, less than the window's 195: no less is offered."""
    made = mix(sheet({"volume": "4 L", **wish}, "96 %", coldest="2 degC"))
    assert 0.9 * saturation(2.0, made.sulfuric_acid) < 195
    (warning,) = [text for text in made.warnings if "Too much copper sulfate" in text]
    assert "at most" not in warning
    (warm,) = re.findall(r"keep the bath above (\d+ °C)", warning)
    said = mixture_headline(made)
    assert said.matter == "Crystals would form in the cold"
    assert re.fullmatch(act, said.act)
    assert said.act.endswith(f"Keep it above {warm}.")


def test_the_warmth_to_keep_a_mixture_above_is_no_colder_in_fahrenheit():
    """At 18 °C, which are 64.4 °F, 0.9 of what dissolves is more than the 235 g/L, and at 17 °C less."""
    told = {"volume": "4 L", "copper_sulfate": "235 g/L", "sulfuric_acid": "55 g/L"}
    made = mix(sheet(told, "96 %", coldest="2 degC"))
    assert 0.9 * saturation(17.0, 55.0) < 235 < 0.9 * saturation(18.0, 55.0)
    assert made.keep_above.text(Units.US_FIRST) == "65 °F (18 °C)"


def test_a_recipe_that_the_cold_spoils_is_mended_where_the_window_leaves_room():
    """At 13 °C with 55 g/L of acid 0.9 of what dissolves is 219 g/L: 212.5 instead of 223 stay dissolved."""
    made = mix(sheet({"volume": "4 L", "crystals": "0.9 kg", "acid": "120 mL"}, "96 %", coldest="12 degC"))
    assert made.verdict["copper_sulfate"].state == "in"
    assert not made.stays_dissolved
    assert mixture_headline(made).act.startswith("Take instead ")


def test_where_no_warmth_keeps_it_dissolved_only_less_copper_is_named():
    made = mix(sheet({"volume": "2 L", "copper_sulfate": "400 g/L", "sulfuric_acid": "250 g/L"}, "96 %"))
    (warning,) = [text for text in made.warnings if "Too much copper sulfate" in text]
    assert "at any warmth: mix it with at most" in warning
    assert "keep the bath above" not in warning


@pytest.mark.parametrize(("most", "fits"), [("6 L", True), ("3 L", False), (None, None)])
def test_tank_that_is_too_small_is_named(most, fits):
    bath = {"max_volume": most} if most else {}
    made = mix(sheet({"volume": "4 L"}, "96 %", **bath))
    assert made.fits_tank is fits
    assert any("does not fit" in text for text in made.warnings) is (fits is False)


def test_stock_that_runs_out_is_named_with_what_it_is_enough_for():
    raw = {
        "bath": {"volume": "4 L"},
        "stock": {"crystals": {"on_hand": "450 g", "price": 9.0}, "acid": {"strength": "96 %", "price": 4.0}},
        "mix": {"volume": "4 L"},
    }
    made = mix(read_sheet(raw))
    assert any("You have 450 g of crystals" in text and "enough for 2.01 L" in text for text in made.warnings)
    assert made.cost == pytest.approx(made.crystals / 1000 * 9.0 + made.acid_mL / 1000 * 4.0)


def test_acid_too_weak_for_the_aim_is_refused_with_what_it_reaches():
    raw = {"volume": "2 L", "copper_sulfate": "70 g/L", "sulfuric_acid": "210 g/L"}
    with pytest.raises(InputError, match=r"acid of 15 %.*reaches at most 1[0-9]{2} g/L") as caught:
        mix(sheet(raw, "15 %"))
    reach = float(str(caught.value).split("at most ")[1].split(" ")[0])
    made = mix(sheet({**raw, "sulfuric_acid": f"{reach - 1} g/L"}, "15 %"))
    assert made.water == pytest.approx(0.0, abs=0.05)
    assert "stronger acid" not in str(caught.value)


@pytest.mark.parametrize(
    ("table", "place"),
    [
        ({"crystals": "500 g", "water": "2 L"}, "mix: acid"),
        ({"acid": "40 mL", "water": "2 L"}, "mix: crystals"),
        ({"crystals": "500 g", "acid": "40 mL"}, "mix: water"),
        ({"crystals": "500 g", "acid": "40 mL", "water": "2 L", "volume": "2 L"}, "mix: water"),
        ({"crystals": "500 g", "acid": "40 mL", "water": "2 L", "copper_sulfate": "200 g/L"}, "mix"),
        ({"crystals": "5 kg", "acid": "40 mL", "water": "2 L"}, "mix"),
        ({"crystals": "5 kg", "acid": "40 mL", "volume": "2 L"}, "mix: volume"),
    ],
)
def test_recipes_that_cannot_be_are_refused_by_place(tmp_path, capsys, table, place):
    with pytest.raises(InputError) as caught:
        mix(sheet(table, "96 %"))
    assert caught.value.place == place
    file = tmp_path / "sheet.toml"
    lines = "\n".join(f'{key} = "{value}"' for key, value in table.items())
    file.write_text(f'[bath]\nvolume = "2 L"\n[mix]\n{lines}\n', encoding="utf-8")
    assert main(["mix", str(file), "--json"]) == 2
    out, error = capsys.readouterr()
    assert out == ""
    assert error.startswith(f"advisor: {place}:")
    assert error.count("\n") == 1


def test_command_prints_the_shape(tmp_path, capsys):
    file = tmp_path / "sheet.toml"
    file.write_text('[bath]\nvolume = "2 L"\n[mix]\nvolume = "4 L"\n', encoding="utf-8")
    assert main(["mix", str(file), "--json"]) == 0
    printed = json.loads(capsys.readouterr().out)
    assert set(printed) >= KEYS
    assert set(printed["verdict"]) == {"copper_sulfate", "sulfuric_acid", "chloride", "crystallises_below_degC"}
    assert printed["verdict"]["copper_sulfate"]["limits"] == [195.0, 248.0]
    assert printed["water_L"] > 0
    assert main(["mix", str(file)]) == 0
    assert "How to mix it, in this order" in capsys.readouterr().out


def test_page_answers_a_volume_and_a_recipe(app_test, monkeypatch):
    monkeypatch.setenv("ADVISOR_EXAMPLE", "dull")
    app = app_test("mix.py")
    sheet_field(app.text_input, "sheet_mix_volume").input("4").run()
    assert not app.exception
    drawn = [str(element.value) for element in [*app.markdown, *app.subheader]]
    drawn += [block.proto.body for block in app.get("html")]
    shown = " ".join(drawn).replace("\N{NO-BREAK SPACE}", " ")
    assert "How to mix it" in shown
    assert "make 4.00 L of bath" in shown


def test_anhydrous_crystals_warm_the_water_by_their_heat_of_solution():
    """4 L of 220 g/L hold 880 g as pentahydrate, 3.52 mol of CuSO4, which give off 66.11 kJ/mol (printed, see
    tests/published/test_heat.py; 73.1 at infinite dilution, which this is far from): 233 kJ.

    About 3.75 L of water go in, four fifths of it first: 3.0 L at 4.18 kJ/(L K) warm by 233/12.5 = 18.6 °C.
    """
    raw = {
        "bath": {"volume": "4 L"},
        "stock": {"crystals": {"form": "anhydrous", "purity": "99 %"}, "acid": {"strength": "96 %"}},
        "mix": {"volume": "4 L", "copper_sulfate": "220 g/L", "sulfuric_acid": "55 g/L"},
    }
    (said,) = (
        found for step in mix(read_sheet(raw)).steps if (found := re.search(r"warms it by about (\d+) °C:", step))
    )
    assert float(said[1]) == pytest.approx(18.6, abs=1.5)


def test_what_mending_takes_has_its_cautions_in_the_result_too():
    """Far too much copper: the first thing to do is to take bath out, which mixing alone never does."""
    found = mix(read_sheet({"mix": {"crystals": "2 kg", "acid": "600 mL", "water": "4.5 L"}}, needs_volume=False))
    assert "bath" in {step.what for step in found.mending.steps}
    assert caution(Act.WITHDRAWN_BATH) in found.to_dict()["cautions"]


@pytest.mark.parametrize(
    "wanted",
    [
        {"crystals": "8 g", "acid": "4 mL", "water": "88 mL"},
        {"crystals": "160 g", "acid": "40 mL", "water": "0.88 L"},
        {"volume": "50 mL"},
    ],
)
def test_no_step_asks_for_nothing(wanted):
    """A tenth of a litre that is too acid wants 4 mL of water, which was said as 0.00 L (4 g)."""
    made = mix(read_sheet({"bath": {}, "mix": wanted}))
    steps = [text for block in made.sections() if block.numbered for text in block.lines]
    asked = re.findall(r"[\d.]+ (?:m?L|g)\b", " ".join([*steps, mixture_headline(made).act]))
    assert asked
    assert not [amount for amount in asked if float(amount.split()[0]) == 0]
    assert not [amount for amount in asked if amount.endswith(" L") and float(amount.split()[0]) < 0.1]
