"""Making old bath safe: stoichiometry, bounds where nothing was measured, and what must always be said."""

import json
import math
import re

import pytest

from advisor.__main__ import main
from advisor.basis.fields import InputError
from advisor.questions.disposal import UPPER_BOUND, dispose, lye_heat, rules
from advisor.sheet import read_sheet


def sheet(copper_sulfate=None, sulfuric_acid=None, base="sodium bicarbonate", volume="1 L", asked=None):
    raw = {"bath": {"volume": volume}, "dispose": {"base": base} | ({"volume": asked} if asked else {})}
    if copper_sulfate is not None:
        known = {"copper_sulfate": f"{copper_sulfate} ± 0.002 g/L", "sulfuric_acid": f"{sulfuric_acid} ± 0.002 g/L"}
        raw["reading"] = [{"kind": "previous check", "since": "evaporation only", **known}]
    return read_sheet(raw)


@pytest.mark.parametrize(
    ("copper_sulfate", "sulfuric_acid", "bicarbonate", "its_gas", "carbonate", "its_gas_too"),
    # g/L of base and L of carbon dioxide a litre of bath, worked by hand from the molar masses: two equivalents a mole
    # of acid and of copper, 24.06 L/mol at 20 degC.
    [(200, 60, 237, 68, 150, 34), (120, 50, 166, 48, 105, 24), (75, 200, 393, 113, 248, 56)],
)
def test_base_and_gas_to_full_precipitation(
    copper_sulfate, sulfuric_acid, bicarbonate, its_gas, carbonate, its_gas_too
):
    found = dispose(sheet(copper_sulfate, sulfuric_acid, "sodium bicarbonate"))
    assert round(found.base_g) == bicarbonate
    assert found.gas == pytest.approx(its_gas, abs=0.6)
    found = dispose(sheet(copper_sulfate, sulfuric_acid, "sodium carbonate"))
    assert round(found.base_g) == carbonate
    assert found.gas == pytest.approx(its_gas_too, abs=0.6)


def test_spoons_are_level():
    """237 g of baking soda a litre of 200/60 at 13.8 g a level tablespoon are 17.2 of them: 18."""
    found = dispose(sheet(200, 60))
    assert found.spoons == 18
    assert any("level tablespoons, about 18 of them (240 g)" in step for step in found.to_dict()["steps"])
    assert dispose(sheet(200, 60, "sodium carbonate")).spoons == math.ceil(150 / 15)


def test_the_household_exclusion_is_named_with_its_bounds():
    (rule,) = [rule for rule in rules() if rule.source == "40 CFR 261.4(b)(1)"]
    assert rule.date == "from memory"
    assert all(word in rule.says for word in ("household", "not for a business", "state", "sewer", "septic"))


def test_gas_of_a_tank_against_the_air_of_a_shed():
    found = dispose(sheet(200, 60, volume="5.6 L"))
    assert found.gas == pytest.approx(380, abs=1)
    assert any("3.8 % of the air" in line for block in found.sections() for line in block.lines)


@pytest.mark.parametrize(
    ("contents", "said"),
    [
        ((200, 60), r"5\.60 L with 200 g/L .* and 60 g/L acid \(as your readings say\) takes 1330 ± 30 g of sodium"),
        ((), r"with 312 g/L .* and 225 g/L acid \(an upper bound, .*\) takes at most 3334 g of sodium"),
    ],
)
def test_what_a_tank_takes_is_said_by_hand(contents, said):
    """5.6 L x 237.4 g/L and its ± of 95 %, all of it the tank's 1.1 %; 5.6 x 84.007 x 2 (312/249.68 + 225/98.078) g."""
    (amount, _, work) = dispose(sheet(*contents, volume="5.6 L")).sections()[1].lines
    assert re.search(said, amount)
    assert work.startswith("Work in 4 portions of 1.40 L.")


def test_portions_leave_three_quarters_of_the_tub_for_foam():
    found = dispose(sheet(200, 60, volume="5.6 L"))
    assert found.portions == 4
    assert found.portion * 3 <= 20 / 4
    assert found.portions == math.ceil(5.6 * 3 / 5)
    assert dispose(sheet(200, 60, volume="1 L")).portions == 1


def test_base_grows_with_the_volume_asked_for():
    whole, part = (dispose(sheet(200, 60, volume="8 L", asked=asked)) for asked in (None, "2 L"))
    assert whole.base_g == pytest.approx(4 * part.base_g)


def test_unknown_bath_gets_an_upper_bound_that_says_so():
    found = dispose(sheet())
    assert not found.known
    assert (found.copper_sulfate, found.sulfuric_acid) == (UPPER_BOUND["copper_sulfate"], UPPER_BOUND["sulfuric_acid"])
    assert found.base_standard_uncertainty is None
    assert found.to_dict()["composition"]["is_upper_bound"] is True
    assert any("an upper bound" in line and "at most" in line for block in found.sections() for line in block.lines)
    # No bath of the published windows takes more.
    assert found.base_g > dispose(sheet(248, 75)).base_g
    assert found.base_g > dispose(sheet(75, 225)).base_g


def test_of_a_bath_half_measured_what_it_surely_stays_below_counts():
    """60 ± 12 g/L of acid: 60 + 1.645 x 12/1.96 = 70.1 hold 95 %; copper sulfate that nobody measured is the most of any."""
    known = {"kind": "previous check", "since": "evaporation only", "sulfuric_acid": "60 ± 12 g/L"}
    found = dispose(read_sheet({"bath": {"volume": "1 L"}, "reading": [known]}))
    assert not found.known
    assert (found.copper_sulfate, found.sulfuric_acid) == (312.0, pytest.approx(70.1, abs=0.5))


def test_uncertainty_of_the_base_follows_the_composition_and_the_tank():
    raw = {
        "bath": {"volume": "5 ± 0.2 L"},
        "reading": [
            {
                "kind": "previous check",
                "since": "evaporation only",
                "copper_sulfate": "200 ± 16 g/L",
                "sulfuric_acid": "60 ± 8 g/L",
            }
        ],
    }
    found = dispose(read_sheet(raw))
    from_composition = math.hypot(2 * 8 / 249.68, 2 * 4 / 98.07) / (2 * 200 / 249.68 + 2 * 60 / 98.07)
    relative = math.hypot(from_composition, 0.02, 0.01)  # level reading and the tank's scale
    assert found.base_standard_uncertainty / found.base_g == pytest.approx(relative, rel=0.02)


def test_heat_of_lye_is_why_it_is_refused(tmp_path, capsys):
    heat = lye_heat(200, 60)
    assert heat == pytest.approx(240, abs=5)  # kJ/L
    assert heat / (3.5 * 1.16) == pytest.approx(60, abs=3)  # K, with the heat capacity of a bath in kJ/(L K)
    file = tmp_path / "sheet.toml"
    file.write_text('[bath]\nvolume = "4 L"\n[dispose]\nbase = "sodium hydroxide"\n', encoding="utf-8")
    assert main(["dispose", str(file)]) == 2
    out, error = capsys.readouterr()
    assert out == ""
    assert error.startswith("advisor: dispose: base:")


def test_more_than_the_bath_holds_is_refused():
    with pytest.raises(InputError, match=r"at most what the bath holds, 1 L"):
        dispose(read_sheet({"bath": {"volume": "1 L"}, "dispose": {"volume": "1.01 L"}}))


def test_what_must_be_said_is_said():
    found = dispose(sheet(200, 60))
    sections = found.sections()
    assert "Ask your local authority" in sections[0].lines[0]
    said = " ".join(line for block in sections for line in block.lines)
    for words in (
        "Never down any drain",
        "may be regulated",
        "Outdoors only",
        "threefold",
        "at most a quarter full",
        "pH 7 to 7.5",
        "no fixed excess",
        "12 to 24 hours",
        "EDTA",
        "silver",
        "ammonia",
        "stays hazardous",
    ):
        assert words in said, words
    assert found.to_dict()["stop_at_pH"] == [7.0, 7.5]  # as the step says
    assert "lye" not in " ".join(line for line in sections[2].lines)


def test_every_rule_has_a_place_a_source_and_a_date():
    for rule in rules():
        assert all([rule.place, rule.says, rule.source, rule.date])
    assert any(rule.source == "40 CFR 433.15" and "3.38" in rule.says and "2.07" in rule.says for rule in rules())
    assert any("25 mg/L" in rule.says and "2500 mg/kg" in rule.says for rule in rules())


def test_command_prints_the_shape(tmp_path, capsys):
    file = tmp_path / "sheet.toml"
    file.write_text('[bath]\nvolume = "4 L"\n[dispose]\nvolume = "4 L"\n', encoding="utf-8")
    assert main(["dispose", str(file), "--json"]) == 0
    printed = json.loads(capsys.readouterr().out)
    assert set(printed) >= {"base_g", "gas_L", "portions"}
    assert printed["portions"] == 3
