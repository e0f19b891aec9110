"""The steps of a correction that were done, as entries of the record: with the amounts really used."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from advisor.basis.fields import InputError, QuantityField, read_table
from advisor.basis.units import Measured
from advisor.record.entries import AcidAdded, ChlorideAdded, Content, CrystalsAdded, TakenOut, WaterAdded
from advisor.solution.stock import acid_density, is_anhydrous, pentahydrate_mass_fraction
from advisor.words.lines import Amount, in_a_jug, measured_out, weighed

MEASURE_AGAIN = "stir ten minutes, then measure again"  # the note of the last step of a correction
ALIKE = 0.005  # relative: strengths that are the same label (judgement)
FAR_OFF = 0.25  # of the planned amount, beyond which the plan is left (judgement)
# What a step moves: the name of its amount in the advice, its kind of quantity and its unit.
STEP_AMOUNTS = {
    "bath": ("volume_L", "volume", "L"),
    "water": ("volume_L", "volume", "L"),
    "copper sulfate crystals": ("mass_g", "mass", "g"),
    "sulfuric acid": ("volume_mL", "volume", "mL"),
    "hydrochloric acid": ("volume_mL", "volume", "mL"),
    "sodium chloride": ("volume_mL", "volume", "mL"),
}

# By what a step moves: the name of how strong that is, of pentahydrate or of acid [g/g].
STEP_FRACTIONS = {
    "copper sulfate crystals": "purity_mass_fraction",
    "sulfuric acid": "strength_mass_fraction",
    "hydrochloric acid": "strength_mass_fraction",
}


def planned_amount(what: str, numbers: Mapping[str, float]) -> Amount:
    """Return the amount of a correction's step as it is measured out, such as "250 g"; numbers: [unit in the name]."""
    key, _, unit = STEP_AMOUNTS[what]
    amount = numbers[key]
    if unit == "g":
        return weighed(amount)
    return measured_out(amount) if unit == "mL" else in_a_jug(amount)


def exact_amount(what: str, numbers: Mapping[str, float]) -> float:
    """Return the amount of a correction's step as it was worked out [g or L]; numbers: [unit in the name]."""
    key, _, unit = STEP_AMOUNTS[what]
    return numbers[key] / 1000 if unit == "mL" else numbers[key]


def used_amount(what: str, amount: str) -> float:
    """Return what was really used in a step [g or L]; raises InputError for what cannot be read."""
    return amount_field(what).read(amount, "amount").value


def is_far_off(used: float, planned: float) -> bool:
    """Tell whether so much more or less was used than planned [g or L] that the rest of the plan does not hold."""
    return abs(used - planned) > FAR_OFF * planned


def moved_by(content: object) -> tuple[str, Measured, float] | None:
    """Return what an entry moved, as a step names it, how much, and how strong it was [g/g; 1 of bath, water, salt].

    None for what no step of a correction does.
    """
    match content:
        case TakenOut(why="decanted"):
            return "bath", content.volume, 1.0
        case WaterAdded():
            return "water", content.volume, 1.0
        case CrystalsAdded():
            salt = pentahydrate_mass_fraction(content.purity.value, content.form)
            return "copper sulfate crystals", content.mass, salt
        case AcidAdded():
            return "sulfuric acid", content.volume, content.strength.value
        case ChlorideAdded(source="hydrochloric acid"):
            return "hydrochloric acid", content.volume, content.strength.value
        case ChlorideAdded():
            return "sodium chloride", content.volume, 1.0
    return None


def is_as_planned(content: object, step: Mapping[str, Any]) -> bool:
    """Tell whether an entry says that a step was done, with about what it moves; step: as in the JSON result."""
    what, amount, strength = moved_by(content) or ("", None, 1.0)
    if amount is None or what != step.get("what"):
        return False
    return not is_far_off(_held(what, amount.value, strength), _held(what, exact_amount(what, step), _strength(step)))


def in_its_stock(content: object, step: Mapping[str, Any]) -> str:
    """Return how much of a step's own stock says the same as an entry, as typed where that is what went in.

    Raises ValueError for an entry that is none of such a step.
    """
    what, amount, strength = moved_by(content) or ("", None, 1.0)
    if amount is None:
        raise ValueError(f"{content} is no step of a correction")
    if abs(strength - _strength(step)) <= ALIKE * strength:
        return amount.text
    used = _held(what, amount.value, strength) / _held(what, 1.0, _strength(step))
    key, _, unit = STEP_AMOUNTS[what]
    return str(planned_amount(what, {key: used * (1000 if unit == "mL" else 1)}))


def _strength(step: Mapping[str, Any]) -> float:
    """Return how strong a step's stock is [g/g], 1 of what has no strength."""
    name = STEP_FRACTIONS.get(step["what"])
    return float(step[name]) if name else 1.0


def _held(what: str, amount: float, strength: float) -> float:
    """Return what an amount [g or L] of a stock holds [g, of hydrochloric acid a measure of it], by its strength [g/g].

    Strong sulfuric acid is denser too: a litre of 96 % holds 3.7 times as much as one of 37 %.
    """
    return amount * strength * (1000 * float(acid_density(strength)) if what == "sulfuric acid" else 1.0)


def as_measured(what: str, amount: str) -> Amount:
    """Return what was really used in a step, to be said in any units; raises InputError for what cannot be read."""
    key, _, unit = STEP_AMOUNTS[what]
    return planned_amount(what, {key: used_amount(what, amount) * (1000 if unit == "mL" else 1)})


def amount_field(what: str) -> QuantityField:
    """Return the field of what was really used in a step."""
    _, kind, unit = STEP_AMOUNTS[what]
    label = "Really taken out" if what == "bath" else "Really used"
    return QuantityField(label=label, quantity=kind, unit=unit, above=True)


def content_of_step(what: str, numbers: Mapping[str, float], amount: str, note: str) -> Content:
    """Return the entry for a step that was done with the amount really used; raises InputError for a wrong amount.

    what, numbers: of the step, named as in the advice [unit in the name].
    """
    name = "mass" if STEP_AMOUNTS[what][1] == "mass" else "volume"
    raw: dict[str, str] = {name: amount, "note": note}
    table: type[Content] = {"bath": TakenOut, "water": WaterAdded}.get(what, ChlorideAdded)
    if what == "copper sulfate crystals":
        table, salt = CrystalsAdded, numbers["purity_mass_fraction"]
        raw["form"] = "anhydrous" if is_anhydrous(salt) else "pentahydrate"
        raw["purity"] = f"{100 * salt / pentahydrate_mass_fraction(1.0, raw['form']):.6g} %"
    elif what == "sulfuric acid":
        table = AcidAdded
    elif what == "hydrochloric acid":
        raw["source"] = what
    if "strength_mass_fraction" in numbers:
        raw["strength"] = f"{100 * numbers['strength_mass_fraction']:.6g} %"
    errors: list[InputError] = []
    content = read_table(table, raw, what, errors)
    if content is None:
        raise errors[0]
    return content
