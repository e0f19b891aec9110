"""Read quantities as people type them ("12,3 ± 0.1 mL") and turn them into the units used inside.

The only module that knows pint. Inside, everything is a plain float in the first unit of its kind below (L, g, g/L,
mg/L, g/mL, degC, A, A*h, h, mm, dm^2, mass fraction, uS/cm). It does not know fields, limits or sheets.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

# For each kind of quantity, what a person may type and what pint calls it. The first unit is the one used inside.
UNITS: dict[str, dict[str, str]] = {
    "volume": {
        "L": "liter",
        "mL": "milliliter",
        "l": "liter",
        "ml": "milliliter",
        "qt": "US_liquid_quart",
        "gal": "US_liquid_gallon",
        "fl_oz": "US_fluid_ounce",
        "cup": "US_liquid_cup",
        "tsp": "teaspoon",
        "tbsp": "tablespoon",
        "imperial_gal": "imperial_gallon",
    },
    "mass": {"g": "gram", "kg": "kilogram", "mg": "milligram", "oz": "ounce", "lb": "pound"},
    "concentration": {"g/L": "gram/liter", "mg/L": "milligram/liter", "oz/gal": "ounce/US_liquid_gallon"},
    "content": {"mg/L": "milligram/liter", "g/L": "gram/liter", "ppm": "milligram/liter"},
    "density": {"g/mL": "gram/milliliter", "g/cm^3": "gram/cm^3", "kg/m^3": "kilogram/m^3"},
    "temperature": {
        "degC": "degree_Celsius",
        "°C": "degree_Celsius",
        "degF": "degree_Fahrenheit",
        "°F": "degree_Fahrenheit",
    },
    "time": {
        "h": "hour",
        "min": "minute",
        "s": "second",
        "day": "day",
        "week": "week",
        "month": "month",
        "year": "year",
    },
    "current": {"A": "ampere", "mA": "milliampere"},
    "charge": {
        "A*h": "ampere*hour",
        "A·h": "ampere*hour",
        "Ah": "ampere*hour",
        "mA*h": "milliampere*hour",
        "mA·h": "milliampere*hour",
    },
    "current density": {"A/dm²": "ampere/decimeter^2", "A/ft²": "ampere/foot^2"},
    "length": {
        "mm": "millimeter",
        "um": "micrometer",
        "µm": "micrometer",
        "cm": "centimeter",
        "in": "inch",
        "mil": "thou",
    },
    "area": {
        "dm^2": "decimeter^2",
        "cm^2": "centimeter^2",
        "mm^2": "millimeter^2",
        "m^2": "meter^2",
        "in^2": "inch^2",
        "dm²": "decimeter^2",
        "cm²": "centimeter^2",
        "mm²": "millimeter^2",
        "m²": "meter^2",
        "in²": "inch^2",
    },
    "fraction": {"fraction": "dimensionless", "%": "percent"},
    # As a pen's display has it, "µS" alone too.
    "conductivity": {
        **dict.fromkeys(("uS/cm", "µS/cm", "μS/cm", "uS", "µS", "μS"), "microsiemens/centimeter"),
        **dict.fromkeys(("mS/cm", "mS"), "millisiemens/centimeter"),
    },
}
# Strength of a solution keeps its kind (amount, mass or mass fraction): turning one into another takes a substance.
STRENGTH_UNITS: dict[str, tuple[str, str]] = {
    "mol/L": ("mol/L", "mole/liter"),
    "M": ("mol/L", "mole/liter"),
    "mmol/L": ("mol/L", "millimole/liter"),
    "g/L": ("g/L", "gram/liter"),
    "oz/gal": ("g/L", "ounce/US_liquid_gallon"),
    "%": ("fraction", "percent"),
}
# What a pen shows: a conductivity, or the ppm that some pens make of it by a factor of their own.
PEN_UNITS = {name: ("uS/cm", pint_name) for name, pint_name in UNITS["conductivity"].items()} | {"ppm": ("ppm", "ppm")}
# What a laboratory writes: by volume, or ppm, which may be by mass.
REPORTED_UNITS = {name: ("g/L", pint_name) for name, pint_name in UNITS["concentration"].items()}
REPORTED_UNITS["ppm"] = ("ppm", "ppm")
# Quantities whose texts are of several kinds, which the inside unit tells apart.
OF_SEVERAL_KINDS = {"strength": STRENGTH_UNITS, "pen reading": PEN_UNITS, "reported": REPORTED_UNITS}
# Exact factors of the commonest units. pint knows them too, but takes a third of a second to load; most sheets need no
# other.
WITHOUT_PINT = {
    ("milliliter", "liter"): 1e-3,
    ("kilogram", "gram"): 1e3,
    ("percent", "dimensionless"): 1e-2,
    ("microsiemens/centimeter", "microsiemens/centimeter"): 1.0,
    ("millisiemens/centimeter", "microsiemens/centimeter"): 1e3,
    ("day", "hour"): 24.0,
    ("week", "hour"): 168.0,
    ("month", "hour"): 730.5,
    ("year", "hour"): 8766.0,
}
_PINT_BASE = {
    "mol/L": "mole/liter",
    "g/L": "gram/liter",
    "fraction": "dimensionless",
    "uS/cm": "microsiemens/centimeter",
}

# A ± says that the true value is within it with 95 % probability: so many standard uncertainties (normal distribution).
COVERAGE = 1.96

_NUMBER = r"[+-]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)(?:[eE][+-]?[0-9]+)?"
_QUANTITY = re.compile(
    rf"\s*(?P<value>{_NUMBER})\s*(?P<inner>[^\s0-9±+]\S*)?\s*"
    rf"(?:(?:±|\+/-|\+-)\s*(?P<spread>{_NUMBER})\s*(?P<outer>[^\s0-9]\S*)?)?\s*"
)
# "1,234": a decimal comma, or a thousands mark? Guessing wrong is an error of a factor of 1000.
_AMBIGUOUS = re.compile(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}")


class UnitError(ValueError):
    """A text that is not a quantity of the kind wanted; the message says what was wrong and what is accepted."""


@dataclass(frozen=True)
class Measured:
    """A quantity as it was typed and as it is used.

    value, standard_uncertainty: in `unit` (the unit used inside); the uncertainty is None where none was typed.
    step: what one more in the last digit that was typed would make [unit]; 0 where nobody asks for it.
    """

    value: float
    standard_uncertainty: float | None
    unit: str
    text: str
    step: float = 0.0

    @classmethod
    def of(
        cls,
        value: float,
        unit: str,
        quantity: str,
        *,
        standard_uncertainty: float | None = None,
        digits: int = 6,
        spread_digits: int = 2,
        decimals: int | None = None,
    ) -> Measured:
        """Return the quantity of a number in a unit of its kind, as `parse` would read it from its text.

        It is rounded as a person would write it: value and ± to so many significant digits each, or both to so many
        decimals.
        """
        base, factor, offset = _conversion(unit, quantity)
        places = _places(value, digits) if decimals is None else decimals
        value = round(value, places)
        text = f"{value:.{digits}g}" if decimals is None else f"{value:.{max(places, 0)}f}"
        spread = None
        if standard_uncertainty is not None:
            half = COVERAGE * standard_uncertainty
            half = round(half, _places(half, spread_digits) if decimals is None else decimals)
            text += f" ± {half:.{spread_digits}g}" if decimals is None else f" ± {half:.{max(places, 0)}f}"
            spread = half * factor / COVERAGE
        return cls(value * factor + offset, spread, base, f"{text} {unit}", 10.0**-places * factor)

    def __float__(self) -> float:
        return self.value

    def uncertainty_or(self, otherwise: float) -> float:
        """Return the standard uncertainty that was typed, or `otherwise` where none was [unit]."""
        return otherwise if self.standard_uncertainty is None else self.standard_uncertainty


def parse_number(text: str) -> float:
    """Return the finite number in `text`; point or comma decimal; thousands marks, NaN and infinity are refused."""
    text = text.strip()
    if _AMBIGUOUS.fullmatch(text):
        whole, part = text.split(",")
        raise UnitError(f"could be {whole}.{part} or {whole}{part}: write {whole}.{part} or {whole}{part}")
    if not re.fullmatch(_NUMBER, text):
        raise UnitError("is not a number such as 12.5 or 12,5 (no thousands marks)")
    number = float(text.replace(",", "."))
    if not math.isfinite(number):
        raise UnitError("is too large a number")
    return number


def parse(text: str, quantity: str) -> Measured:
    """Read `text` as a quantity of the named kind (a key of UNITS or OF_SEVERAL_KINDS); its ± is a 95 % half-width.

    Raises UnitError where the number, the unit or the kind of unit is not accepted.
    """
    match = _QUANTITY.fullmatch(text)
    if not match:
        raise UnitError(f"is not a {quantity}: write a number and a unit, {_examples(quantity)}")
    value = parse_number(match["value"])
    spread = None if match["spread"] is None else parse_number(match["spread"])
    unit = match["inner"] or match["outer"]
    if unit is None:
        raise UnitError(f"has no unit: write one of {_names(quantity)}, {_examples(quantity)}")
    if spread is not None and spread <= 0:
        raise UnitError("has an uncertainty that is not above zero: leave it out where you do not know it")
    base, factor, offset = _conversion(unit, quantity)
    inside = value * factor + offset
    if not math.isfinite(inside):
        raise UnitError("is too large a number")
    if spread is not None:
        relative = match["outer"] == "%" and unit != "%"
        spread *= abs(inside) / 100 if relative else _spread_factor(match["outer"] or unit, base, quantity)
        _refuse_knowing_nothing(spread, inside - offset)
        spread /= COVERAGE
    return Measured(inside, spread, base, text.strip(), _last_digit(match["value"]) * factor)


def _refuse_knowing_nothing(spread: float, value: float) -> None:
    if value != 0 and spread > 100 * abs(value):
        raise UnitError("has an uncertainty above a hundred times its value: leave it out where you know that little")


def _last_digit(number: str) -> float:
    """Return what one more in the last digit of a number makes: 0.01 for "84.30", 10 for "1.2e2"."""
    digits, _, power = number.lower().replace(",", ".").partition("e")
    return float(10.0 ** (int(power or 0) - len(digits.partition(".")[2])))


def _places(value: float, digits: int) -> int:
    """Return the decimals that leave a number so many significant digits."""
    return digits - 1 - (math.floor(math.log10(abs(value))) if value else 0)


def _spread_factor(unit: str, base: str, quantity: str) -> float:
    """Return what turns an uncertainty in a unit into the inside unit of its value."""
    inside, factor, _ = _conversion(unit, quantity)
    if inside != base:
        raise UnitError(f"has an uncertainty in {unit}, which its value is not in: give both in one unit")
    return factor


def convert(value: float, quantity: str, unit: str) -> float:
    """Turn a value in the inside unit of `quantity` into `unit`, for those who think in ounces or degrees F."""
    _, factor, offset = _conversion(unit, quantity)
    return (value - offset) / factor


def format_quantity(value: float, quantity: str, unit: str | None = None, digits: int = 6) -> str:
    """Write a value as a sheet text, such as "5.6 L"; `unit` defaults to the inside unit."""
    unit = unit or ("%" if quantity == "fraction" else next(iter(UNITS[quantity])))
    return f"{convert(value, quantity, unit):.{digits}g} {unit}"


@cache
def _conversion(unit: str, quantity: str) -> tuple[str, float, float]:
    """Return (inside unit, factor, offset) so that inside = value · factor + offset."""
    if quantity in OF_SEVERAL_KINDS:
        if unit not in OF_SEVERAL_KINDS[quantity]:
            raise UnitError(_wrong_unit(unit, quantity))
        base, pint_name = OF_SEVERAL_KINDS[quantity][unit]
        return base, 1.0 if unit == base else _pint_value(1.0, pint_name, _PINT_BASE[base]), 0.0
    table = UNITS[quantity]
    name = unit[:-1] if quantity == "time" and unit not in table and unit.endswith("s") else unit
    if name not in table:
        raise UnitError(_wrong_unit(unit, quantity))
    base = next(iter(table))
    if name == base:
        return base, 1.0, 0.0
    offset = _pint_value(0.0, table[name], table[base]) if quantity == "temperature" else 0.0
    return base, _pint_value(1.0, table[name], table[base]) - offset, offset


def _pint_value(value: float, unit: str, base: str) -> float:
    if (unit, base) in WITHOUT_PINT:
        return value * WITHOUT_PINT[unit, base]
    import pint

    registry = pint.get_application_registry()  # type: ignore[no-untyped-call]
    return float(registry.Quantity(value, unit).to(base).magnitude)


def _wrong_unit(unit: str, quantity: str) -> str:
    for other, names in UNITS.items():
        if other != quantity and unit in names:
            return f"is a {other}, and a {quantity} belongs here: {_names(quantity)}, {_examples(quantity)}"
    return f"has the unit {unit!r}, which is not accepted here: {_names(quantity)}"


def _names(quantity: str) -> str:
    names: Iterable[str] = OF_SEVERAL_KINDS[quantity] if quantity in OF_SEVERAL_KINDS else UNITS[quantity]
    return ", ".join(names).replace("fraction, ", "")


_EXAMPLES = {
    "volume": "12.3 mL",
    "mass": "250 g",
    "concentration": "215 g/L",
    "content": "70 mg/L",
    "density": "1.28 g/mL",
    "temperature": "21 degC",
    "time": "14 months",
    "current": "1.5 A",
    "charge": "310 A*h",
    "current density": "2.5 A/dm²",
    "length": "150 µm",
    "area": "85 cm²",
    "fraction": "99 %",
    "strength": "0.5 mol/L",
    "conductivity": "1150 µS/cm",
    "pen reading": "1150 µS/cm",
    "reported": "53 g/L",
}


def _examples(quantity: str) -> str:
    return f'such as "{_EXAMPLES[quantity]}"'
