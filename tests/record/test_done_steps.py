"""A step that was done stands in the record with the amount really used, and what its label said."""

from dataclasses import replace
from typing import Any

import pytest

from advisor.basis.fields import InputError
from advisor.basis.units import parse
from advisor.record.done_steps import (
    amount_field,
    content_of_step,
    in_its_stock,
    is_as_planned,
    moved_by,
    planned_amount,
    used_amount,
)
from advisor.record.entries import (
    SALT_SOURCE,
    AcidAdded,
    ChlorideAdded,
    Content,
    CrystalsAdded,
    LevelMark,
    TakenOut,
    WaterAdded,
)

# A gram of pure anhydrous copper sulfate stands for 249.68/159.60 = 1.5644 g of the pentahydrate.
STEPS: list[tuple[str, dict[str, float], str, str, type, dict[str, Any]]] = [
    ("bath", {"volume_L": 0.267}, "0.27 L", "250 mL", TakenOut, {"volume": 0.25}),
    ("water", {"volume_L": 1.0, "mass_g": 998.2}, "1.00 L", "1.1 L", WaterAdded, {"volume": 1.1}),
    ("copper sulfate crystals", {"mass_g": 529.2, "purity_mass_fraction": 0.99}, "529 g", "0.5 kg", CrystalsAdded,
     {"mass": 500.0, "purity": 0.99, "form": "pentahydrate"}),
    ("copper sulfate crystals", {"mass_g": 12.3, "purity_mass_fraction": 1.0}, "12.3 g", "12 g", CrystalsAdded,
     {"mass": 12.0, "purity": 1.0, "form": "pentahydrate"}),
    ("copper sulfate crystals", {"mass_g": 529.2, "purity_mass_fraction": 0.98 * 249.68 / 159.60}, "529 g", "520 g", CrystalsAdded,
     {"mass": 520.0, "purity": 0.98, "form": "anhydrous"}),
    ("sulfuric acid", {"volume_mL": 82.0, "strength_mass_fraction": 0.37}, "82 mL", "80 mL", AcidAdded,
     {"volume": 0.08, "strength": 0.37}),
    ("hydrochloric acid", {"volume_mL": 1.2, "mass_g": 1.4, "strength_mass_fraction": 0.25}, "1.2 mL", "1 mL", ChlorideAdded,
     {"volume": 0.001, "strength": 0.25, "source": "hydrochloric acid"}),
    ("sodium chloride", {"volume_mL": 30.0, "mass_g": 0.5}, "30 mL", "30 mL", ChlorideAdded,
     {"volume": 0.03, "source": SALT_SOURCE}),
]  # fmt: skip


@pytest.mark.parametrize(("what", "numbers", "planned", "used", "table", "holds"), STEPS)
def test_a_step_is_logged_as_it_was_done(what, numbers, planned, used, table, holds) -> None:
    entry = content_of_step(what, numbers, used, "in the shed")
    found = {name: getattr(getattr(entry, name), "value", getattr(entry, name)) for name in holds}
    assert (type(entry), entry.note) == (table, "in the shed")
    assert found == pytest.approx(holds)
    assert str(planned_amount(what, numbers)) == planned
    assert used_amount(what, used) == pytest.approx(holds.get("mass", holds.get("volume")))
    assert amount_field(what).label == ("Really taken out" if what == "bath" else "Really used")


@pytest.mark.parametrize(("what", "numbers", "planned", "used", "table", "holds"), STEPS)
def test_what_was_logged_is_known_again_as_the_step(what, numbers, planned, used, table, holds) -> None:
    entry = content_of_step(what, numbers, used, "in the shed")
    assert [is_as_planned(entry, {"what": other, **told}) for other, told, *_ in STEPS] == [
        other == what and told == numbers for other, told, *_ in STEPS
    ]


@pytest.mark.parametrize(
    ("share", "holds"), [(0.74, False), (0.76, True), (1.24, True), (1.26, False)], ids=lambda given: str(given)
)
def test_a_quarter_more_or_less_than_planned_is_still_the_step(share: float, holds: bool) -> None:
    entry = WaterAdded(volume=parse(f"{2 * share} L", "volume"))
    assert is_as_planned(entry, {"what": "water", "volume_L": 2.0, "mass_g": 1996.4}) is holds


@pytest.mark.parametrize(("millilitres", "is_it"), [("410 mL", False), ("158 mL", False), ("110 mL", True)])
def test_another_strength_is_another_amount(millilitres: str, is_it: bool) -> None:
    """410 mL of 37 % (1.275 g/mL) hold 193 g of acid, and so do 110 mL of 96 % (1.835 g/mL): CRC Handbook, 20 °C."""
    step = {"what": "sulfuric acid", "volume_mL": 410.0, "strength_mass_fraction": 0.37}
    entry = AcidAdded(volume=parse(millilitres, "volume"), strength=parse("96 %", "fraction"))
    assert is_as_planned(entry, step) is is_it


def test_what_went_in_of_another_stock_is_told_in_that_of_the_plan() -> None:
    """164 g of the anhydrous powder stand for 256.6 g of the pentahydrate (1.5644 g a gram), as typed where it is that."""
    step = {"what": "copper sulfate crystals", "mass_g": 256.0, "purity_mass_fraction": 1.0}
    powder = CrystalsAdded(mass=parse("164 g", "mass"), purity=parse("100 %", "fraction"), form="anhydrous")
    assert in_its_stock(powder, step) == "257 g"
    assert in_its_stock(replace(powder, form="pentahydrate"), step) == "164 g"
    acid = {"what": "sulfuric acid", "volume_mL": 410.0, "strength_mass_fraction": 0.37}
    strong = AcidAdded(volume=parse("110 mL", "volume"), strength=parse("96 %", "fraction"))
    assert used_amount("sulfuric acid", in_its_stock(strong, acid)) == pytest.approx(0.411, abs=0.002)
    with pytest.raises(ValueError, match="no step"):
        in_its_stock(LevelMark(volume=parse("5 L", "volume")), acid)


@pytest.mark.parametrize(
    "content", [TakenOut(volume=parse("0.267 L", "volume"), why="spilt"), LevelMark(volume=parse("5 L", "volume"))]
)
def test_what_no_step_asks_for_is_none(content: Content) -> None:
    assert moved_by(content) is None
    assert not is_as_planned(content, {"what": "bath", "volume_L": 0.267})


@pytest.mark.parametrize("amount", ["0 g", "5 mL", "much", "2000 kg"])
def test_an_amount_that_cannot_be_is_refused(amount: str) -> None:
    with pytest.raises(InputError, match="mass"):
        content_of_step("copper sulfate crystals", {"mass_g": 529.2, "purity_mass_fraction": 0.99}, amount, "")
