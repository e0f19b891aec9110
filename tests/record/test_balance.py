"""The mass balance of what was logged: each addition brings its grams, and nothing else moves."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.basis.units import parse
from advisor.check.known import Value
from advisor.check.task import make_stock
from advisor.record.balance import (
    HungBefore,
    UnfedRun,
    after,
    chloride_doubt,
    contents,
    dissolve_copper,
    poured_in,
    said_before,
    with_anodes,
)
from advisor.record.done_steps import content_of_step
from advisor.record.entries import (
    AcidAdded,
    AdditiveDose,
    AnodeChange,
    CarbonTreatment,
    Check,
    ChlorideAdded,
    CrystalsAdded,
    Entry,
    LevelMark,
    PouredIn,
    Remake,
    TakenOut,
    WaterAdded,
    Withdrawn,
)
from advisor.sheet import read_sheet
from advisor.solution.density import WATER_DENSITY
from advisor.solution.faraday import COPPER_PER_AMPERE_HOUR
from advisor.solution.molar_masses import COPPER, COPPER_SULFATE_PENTAHYDRATE, SULFURIC_ACID
from tests.record.some_days import START, moment, on
from tests.record.some_entries import CRYSTALS, WATER


def grams(bath) -> np.ndarray:
    part = bath.masses
    return np.array([part.copper_sulfate, part.sulfuric_acid, part.foreign_solids, part.water, bath.chloride / 1000])


BATH = contents(200.0, 60.0, 70.0, 5.0)
ANHYDROUS = CrystalsAdded(mass=parse("100 g", "mass"), purity=parse("100 %", "fraction"), form="anhydrous")
ACID = AcidAdded(volume=parse("100 mL", "volume"), strength=parse("37 %", "fraction"))


@pytest.mark.parametrize(
    ("what", "salt", "acid", "total"),
    [
        (WATER, 0.0, 0.0, 1000 * WATER_DENSITY),
        (CRYSTALS, 245.0, 0.0, 250.0),
        (ANHYDROUS, 100 * 249.68 / 159.60, 0.0, 100.0),
        (ACID, 0.0, 0.37 * 100 * 1.2769, 100 * 1.2769),  # CRC Handbook, 37 % is between 36 % 1.2685 and 38 % 1.2855
    ],
)
def test_an_addition_brings_its_grams(what, salt, acid, total):
    moved = grams(after(BATH, what)) - grams(BATH)
    assert moved[0] == pytest.approx(salt, abs=1e-9)
    assert moved[1] == pytest.approx(acid, rel=5e-4, abs=1e-9)
    assert moved[:4].sum() == pytest.approx(total, rel=5e-4)


@pytest.mark.parametrize("copper", [12.8, 25, 25.5, 35.8, 39.8])
def test_crystals_by_their_copper_are_logged_as_what_their_step_reckoned_with(copper):
    """249.68 g of pentahydrate hold 63.546 g of copper; what holds more has lost water, and nothing else is in it."""
    raw = {"bath": {"volume": "5 L"}, "stock": {"crystals": {"copper_content": f"{copper} %"}}}
    purity = make_stock(read_sheet(raw)).crystals_pentahydrate
    logged = content_of_step("copper sulfate crystals", {"mass_g": 90.0, "purity_mass_fraction": purity}, "100 g", "")
    salt = copper * COPPER_SULFATE_PENTAHYDRATE / COPPER
    moved = grams(after(BATH, logged)) - grams(BATH)
    assert moved[[0, 2]] == pytest.approx([salt, max(100 - salt, 0.0)], abs=1e-4)  # of six figures
    assert moved.sum() == pytest.approx(100)


def test_two_litres_of_tap_water_bring_the_chloride_of_two():
    moved = grams(after(BATH, WaterAdded(volume=parse("2 L", "volume"), chloride=parse("30 mg/L", "content"))))
    assert moved[4] - grams(BATH)[4] == pytest.approx(0.060)
    assert [grams(after(BATH, what))[4] - grams(BATH)[4] for what in (CRYSTALS, ACID)] == pytest.approx([0.0, 0.0])


def test_the_balance_closes_whatever_the_order():
    moves = [WATER, CRYSTALS, ACID, ANHYDROUS]
    one = other = BATH
    for what in moves:
        one = after(one, what)
    for what in reversed(moves):
        other = after(other, what)
    assert grams(one) == pytest.approx(grams(other), abs=1e-9)
    brought = sum(grams(after(BATH, what)) - grams(BATH) for what in moves)
    assert grams(one) - grams(BATH) == pytest.approx(brought, abs=1e-9)


def test_what_is_taken_out_leaves_the_concentrations_as_they_are():
    left = after(BATH, TakenOut(volume=parse("1.25 L", "volume")))
    assert left.concentrations() == pytest.approx((200.0, 60.0, 70.0, 3.75), rel=1e-9)
    assert grams(left) == pytest.approx(0.75 * grams(BATH), rel=1e-9)


def test_a_level_mark_moves_only_water():
    left = after(BATH, LevelMark(volume=parse("4 L", "volume")))
    assert left.concentrations() == pytest.approx((250.0, 75.0, 87.5, 4.0), rel=1e-9)
    assert np.delete(grams(left), 3) == pytest.approx(np.delete(grams(BATH), 3), rel=1e-12)


def test_what_carbon_keeps_back_is_bath_and_nothing_comes_for_it():
    left = after(BATH, CarbonTreatment(), 0.5)
    assert left.concentrations() == pytest.approx((200.0, 60.0, 70.0, 4.95), rel=1e-9)


def test_chloride_by_its_two_sources():
    # 16.5 g/L sodium chloride holds 10 mg chloride a millilitre; 0.80 mL of 31 % hydrochloric acid holds 280 mg.
    salt = after(BATH, ChlorideAdded(volume=parse("12 mL", "volume")))
    assert salt.chloride - BATH.chloride == pytest.approx(120, rel=2e-3)
    acid = after(BATH, ChlorideAdded(source="hydrochloric acid", volume=parse("0.8 mL", "volume")))
    assert acid.chloride - BATH.chloride == pytest.approx(280, rel=0.01)


@pytest.mark.parametrize(("label", "chloride"), [(None, 5.0), ("0.4 g/L", 2.0)])
def test_an_additive_is_water_with_some_chloride(label, chloride):
    """5 mL weigh 4.991 g as water; with the 1 g/L that is taken for granted they bring 5 mg of chloride."""
    dose = AdditiveDose(parse("5 mL", "volume"), "bright", label and parse(label, "content"))
    moved = grams(after(BATH, dose)) - grams(BATH)
    assert moved[:4] == pytest.approx([0.0, 0.0, 0.0, 4.991], abs=1e-3)
    assert 1000 * moved[4] == pytest.approx(chloride, abs=1e-6)


def test_what_a_bottle_holds_is_unknown_alike_in_all_its_doses():
    """0.6 mg/mL (standard) where nobody knows: 10 mL of one bottle 6 mg, with 5 mL of another the root of 36 + 9."""
    doses = [on(day, "dose", additive=name, volume="5 mL") for day, name in ((1, "A"), (2, "a "), (3, "B"))]
    assert chloride_doubt(doses[:2]) == pytest.approx(6.0)
    assert chloride_doubt(doses) == pytest.approx(45.0**0.5)
    told = on(4, "dose", additive="A", volume="5 mL", chloride="1 ± 0.2 g/L")
    assert chloride_doubt([told]) == pytest.approx(5 * 0.2 / 1.959964, rel=1e-4)


@pytest.mark.parametrize("what", [Remake(), Withdrawn()])
def test_what_moves_no_bath_leaves_it(what):
    assert grams(after(BATH, what)) == pytest.approx(grams(BATH), abs=0)


def test_copper_that_dissolves_takes_acid_by_stoichiometry():
    moved = grams(dissolve_copper(BATH, 1.0)) - grams(BATH)
    assert moved[0] == pytest.approx(3.929, abs=5e-4)
    assert moved[1] == pytest.approx(-1.543, abs=5e-4)
    # Copper, half an O2 each copper from the air: all mass is accounted for.
    assert moved[:4].sum() == pytest.approx(1.0 + 15.999 / COPPER, abs=1e-9)
    # Sulfate neither comes nor goes.
    assert moved[0] / COPPER_SULFATE_PENTAHYDRATE + moved[1] / SULFURIC_ACID == pytest.approx(0.0, abs=1e-12)
    back = dissolve_copper(dissolve_copper(BATH, 7.0), -7.0)
    assert grams(back) == pytest.approx(grams(BATH), abs=1e-9)


def test_thirty_ampere_hours_in_five_litres():
    # 5 L at 200/60 without a feeding anode: 172 g/L and 71 g/L after 30 A·h.
    copper_sulfate, sulfuric_acid, *_ = dissolve_copper(BATH, -30 * COPPER_PER_AMPERE_HOUR).concentrations()
    assert (copper_sulfate, sulfuric_acid) == pytest.approx((172, 71), abs=0.8)


def test_no_run_plates_more_copper_than_the_bath_holds():
    """5 L of 200 g/L hold 254.5 g of copper, what 215 A·h deposit."""
    some, all_of_it = (after(BATH, UnfedRun(charge=parse(charge, "charge"))) for charge in ("200 A*h", "300 A*h"))
    assert some.concentrations()[0] > 10
    assert all_of_it.concentrations()[0] == pytest.approx(0.0, abs=1e-9)


def test_other_bath_is_held_to_five_percent_where_nobody_says_how_well_it_is_known():
    plain = PouredIn(
        volume=parse("1 L", "volume"),
        copper_sulfate=parse("300 g/L", "concentration"),
        sulfuric_acid=parse("60 g/L", "concentration"),
    )
    told = replace(plain, chloride=parse("80 mg/L", "content"))
    assert poured_in(plain)[:2] == (Value(300.0, pytest.approx(15.0)), Value(60.0, pytest.approx(3.0)))
    assert poured_in(told)[2] == (80.0, pytest.approx(4.0))


# --- Which anodes hung when -----------------------------------------------------------------------

OF_COPPER, INERT = (("check", f'[bath]\nanodes = "{anodes}"\n') for anodes in ("copper", "inert"))
CHANGED = "anode change", 'anodes = "inert"\n'


@pytest.mark.parametrize(
    ("said", "hung"),
    [
        ((), None),
        ((("check", "[bath]\n"),), None),
        ((OF_COPPER, INERT), HungBefore("inert", "inert")),
        ((CHANGED,), HungBefore("inert", None)),
        (
            (OF_COPPER, CHANGED, OF_COPPER),
            HungBefore("inert", "copper"),
        ),  # the sheet is copied from one check to the next
        ((OF_COPPER, ("anode change", 'anodes = "wooden"\n')), HungBefore("copper", "copper")),  # nobody can read that
        ((OF_COPPER, ("check", OF_COPPER[1] + "volume = \n")), HungBefore("copper", "copper")),  # nor that
    ],
)
def test_what_hung_last_is_what_an_entry_or_a_new_word_of_a_sheet_says(said, hung):
    assert said_before(reversed(said)) == hung


def test_of_checks_that_say_the_same_of_the_anodes_one_is_read(monkeypatch):
    """Twenty years of them took half a second to read."""
    read = []
    whole = Check.bath
    monkeypatch.setattr(Check, "bath", lambda check: read.append(check.sheet) or whole(check))
    sheets = [("check", f'[bath]\nvolume = "{number} L"\nanodes = "copper"\n') for number in range(1, 9)]
    texts = iter([*sheets, INERT, *sheets])
    assert said_before(texts) == HungBefore("copper", "copper")
    assert read == [sheets[0][1], INERT[1]]
    assert [*texts] == sheets  # what was said before that settles nothing


@given(
    st.lists(
        st.sampled_from(
            [OF_COPPER, INERT, CHANGED, ("check", "[bath]\n"), ("anode change", 'anodes = "other copper"\n')]
        )
    )
)
def test_what_hung_last_is_what_hung_at_the_last_of_all_entries(said):
    """Backwards from the end it is the same as forwards from the beginning."""
    contents = [Check(toml, {}) if kind == "check" else AnodeChange(anodes=toml.split('"')[1]) for kind, toml in said]
    written = [Entry(number, "a", moment(number), START, "test", None, each) for number, each in enumerate(contents, 1)]
    hung = with_anodes(written)[1]
    found = said_before(reversed(said))
    assert (found.anodes if found else None) == (hung[-1] if hung else None)
