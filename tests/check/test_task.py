"""What a correction is told of the bath, its tank and what is on hand: the sheet's labels in the units used inside."""

import math
from collections.abc import Mapping
from typing import Any

import pytest

from advisor.check.assessment import assess
from advisor.check.known import Value, independent
from advisor.check.mass_balance import Task
from advisor.check.task import make_stock, make_task
from advisor.sheet import read_sheet

TANK = {"volume": "5 L", "usual_volume": "6 L", "max_volume": "7 L", "min_volume": "4 L", "coldest": "12 degC"}


def task(tables: dict[str, Any] | None = None, litres: float | None = None, bath: Mapping[str, Any] = TANK) -> Task:
    sheet = read_sheet({"bath": bath, **(tables or {})})
    pair = dict.fromkeys(("copper_sulfate", "sulfuric_acid"), Value(50.0, 1.0))
    return make_task(sheet, independent(pair, (), litres, 0.01) if litres else None, assess(sheet).verdict)


@pytest.mark.parametrize(("litres", "share"), [(None, 1.0), (4.9, 0.98)])
def test_the_tank_holds_its_levels_as_litres_at_20_degrees(litres, share) -> None:
    found = task(litres=litres)
    levels = (found.least_volume, found.volume, found.usual_volume, found.most_volume)
    assert levels == pytest.approx([share * level for level in (4, 5, 6, 7)])
    assert found.coldest == 12
    assert found.has_room
    untold = task(litres=litres, bath={"volume": "5 L"})
    assert not untold.has_room
    levels = (untold.least_volume, untold.usual_volume, untold.most_volume)
    assert levels == pytest.approx([share * level for level in (4.5, 5.0, 5.5)])


@pytest.mark.parametrize(
    ("wanted", "aim", "salt", "acid"),
    [
        ({}, "middle", 221.5, 52.5),  # of 195 to 248 and 30 to 75 g/L
        ({"aim": "least"}, "least", 221.5, 52.5),
        ({"copper_sulfate": "210 g/L"}, "point", 210, 52.5),
        ({"sulfuric_acid": "60 g/L", "aim": "least"}, "point", 221.5, 60),
    ],
)
def test_the_aim_is_the_middle_or_what_was_asked_for(wanted, aim, salt, acid) -> None:
    found = task({"correction": wanted})
    assert (found.aim, found.aim_copper_sulfate, found.aim_sulfuric_acid) == (aim, salt, acid)


@pytest.mark.parametrize(
    ("gear", "step"),
    [
        ([], 1.0),
        (["1 g scale"], 1.0),
        (["1 g scale", "0.01 g scale", "0.1 g scale"], 0.01),
        (["my 5 g scale", "jars"], 1.0),
    ],
)
def test_what_is_weighed_is_told_to_the_step_of_the_finest_scale(gear, step) -> None:
    assert task({"gear": {"have": gear}}).weighed_to == step


def test_chloride_that_nobody_needs_has_no_limits() -> None:
    told = ({}, {"additives": False}, {"additives": True})
    assert [task(bath=TANK | it).verdicts["chloride"].limits for it in told] == [None, None, (50, 120)]


def stock(**on_hand: dict[str, Any]):
    return make_stock(read_sheet({"bath": TANK, "stock": on_hand}))


# Cu 63.546, CuSO4 159.60, CuSO4·5H2O 249.68 g/mol (IUPAC): a gram of pure anhydrous is 1.5644 of pentahydrate.
@pytest.mark.parametrize(
    ("label", "salt", "inert"),
    [
        ({}, 0.99, 0.01),
        ({"purity": "98 %"}, 0.98, 0.02),
        ({"purity": "98 %", "form": "anhydrous"}, 0.98 * 1.5644, 0.0),
        ({"copper_content": "25 %"}, 0.25 * 249.68 / 63.546, 1 - 0.25 * 249.68 / 63.546),
        # Rounded up, and half dried: what is not copper sulfate is missing water, and no dirt.
        ({"copper_content": "25.5 %"}, 0.255 * 249.68 / 63.546, 0.0),
        ({"copper_content": "39 %"}, 0.39 * 249.68 / 63.546, 0.0),
    ],
)
def test_crystals_are_what_their_label_says(label, salt, inert) -> None:
    found = stock(crystals=label | {"on_hand": "2 kg", "price": 9})
    assert (found.crystals_pentahydrate, found.crystals_inert) == pytest.approx((salt, inert), abs=5e-4)
    assert (found.crystals_on_hand, found.crystals_price) == (2000, 9)
    assert stock(crystals=label).crystals_on_hand == math.inf


def test_acid_water_and_chloride_are_what_their_labels_say() -> None:
    """Densities: 96 % acid 1.8355, 37 % 1.277 g/mL, and 1.28 g/mL is 37.4 % (CRC); 31 % hydrochloric acid 1.154.

    Hydrochloric acid is 35.45/36.458 chloride, sodium chloride 35.45/58.44.
    """
    plain = stock()
    assert (plain.acid_strength, plain.acid_density) == pytest.approx((0.96, 1.8355), abs=5e-4)
    assert (plain.acid_on_hand, plain.acid_price, plain.water_chloride) == (math.inf, None, 0)
    labelled = stock(
        acid={"strength": "37 %", "on_hand": "1.5 L", "price": 4},
        water={"chloride": "30 mg/L", "alkalinity": "80 mg/L"},
    )
    assert (labelled.acid_strength, labelled.acid_density) == pytest.approx((0.37, 1.277), abs=1e-3)
    assert (labelled.acid_on_hand, labelled.acid_price) == (1500, 4)
    assert (labelled.water_chloride, labelled.water_alkalinity) == (30, 80)
    assert stock(acid={"density": "1.28 g/mL"}).acid_strength == pytest.approx(0.374, abs=1e-3)
    assert stock(acid={"density": "1.28 g/mL", "strength": "37 %"}).acid_strength == 0.37
    liquid = stock(chloride={"kind": "hydrochloric acid", "strength": "31 %"})
    assert (liquid.chloride_mass_fraction, liquid.chloride_density) == pytest.approx(
        (0.31 * 35.45 / 36.458, 1.154), abs=1e-3
    )
    salt = stock(chloride={"kind": "sodium chloride"})
    assert (salt.chloride_mass_fraction, salt.chloride_density) == (pytest.approx(35.45 / 58.44, abs=1e-4), None)
