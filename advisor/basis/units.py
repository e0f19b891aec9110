"""Read quantities as people type them ("12,3 ± 0.1 mL") and turn them into the units used inside.

The only module that knows pint. Inside, everything is a plain float in the first unit of its kind below (L, g, g/L,
mg/L, g/mL, degC, A, A*h, h, mm, dm^2, mass fraction, uS/cm, ohm, W). It does not know fields, limits or sheets.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from functools import cache

# For each kind of quantity, its units and what pint calls them. The first unit is the one used inside.
UNITS: dict[str, dict[str, str]] = {
    "volume": {
        "L": "liter",
        "mL": "milliliter",
        "cL": "centiliter",
        "dL": "deciliter",
        "gal": "US_liquid_gallon",
        "qt": "US_liquid_quart",
        "pt": "liquid_pint",
        "cup": "US_liquid_cup",
        "fl_oz": "US_fluid_ounce",
        "tbsp": "tablespoon",
        "tsp": "teaspoon",
        "imperial_gal": "imperial_gallon",
        "ft³": "foot^3",
    },
    "mass": {"g": "gram", "kg": "kilogram", "mg": "milligram", "oz": "ounce", "lb": "pound"},
    "concentration": {"g/L": "", "mg/L": "", "oz/gal": "", "ppm": "milligram/liter"},
    "content": {"mg/L": "", "g/L": "", "ppm": "milligram/liter"},
    # Battery acid is graded at 25 degC against water of 25 degC. From 1.2 to 1.5 that is, within 0.0005, what the same
    # acid weighs at 20 degC in g/mL (computed from `reference_tables/acid_strength.csv`).
    "density": {"g/mL": "", "kg/L": "", "kg/m^3": "kilogram/meter^3", "SG": "gram/milliliter"},
    "temperature": {"degC": "", "degF": ""},
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
    "charge": {"A*h": "ampere*hour", "mA*h": "milliampere*hour", "kA*h": "kiloampere*hour"},
    "current density": {"A/dm²": "", "A/ft²": "", "mA/cm²": ""},
    "length": {
        "mm": "millimeter",
        "um": "micrometer",
        "cm": "centimeter",
        "m": "meter",
        "in": "inch",
        "mil": "thou",
        "ft": "foot",
    },
    "area": {
        "dm²": "decimeter^2",
        "cm²": "centimeter^2",
        "mm²": "millimeter^2",
        "m²": "meter^2",
        "in²": "inch^2",
        "ft²": "foot^2",
    },
    "fraction": {"fraction": "dimensionless", "%": "percent"},
    "conductivity": {"uS/cm": "microsiemens/centimeter", "mS/cm": "millisiemens/centimeter"},
    "resistance": {"ohm": "ohm", "kohm": "kiloohm"},
    "power": {"W": "watt", "kW": "kilowatt"},
}
# Strength of a solution keeps its kind (amount, mass or mass fraction): turning one into another takes a substance.
STRENGTH_UNITS: dict[str, tuple[str, str]] = {
    "mol/L": ("mol/L", "mole/liter"),
    "mmol/L": ("mol/L", "millimole/liter"),
    "g/L": ("g/L", ""),
    "oz/gal": ("g/L", ""),
    "%": ("fraction", "percent"),
}
# What a pen shows: a conductivity, or the ppm that some pens make of it by a factor of their own.
PEN_UNITS = {name: ("uS/cm", pint_name) for name, pint_name in UNITS["conductivity"].items()} | {"ppm": ("ppm", "ppm")}
# What a laboratory writes: by volume, or ppm, which may be by mass.
REPORTED_UNITS = {name: ("ppm" if name == "ppm" else "g/L", "") for name in UNITS["concentration"]}
# Quantities whose texts are of several kinds, which the inside unit tells apart.
OF_SEVERAL_KINDS = {"strength": STRENGTH_UNITS, "pen reading": PEN_UNITS, "reported": REPORTED_UNITS}
KINDS = (*UNITS, *OF_SEVERAL_KINDS)
# What else people write, without capitals, spaces, dots, hyphens, carets and signs for times; each also with an s.
SPELLINGS: dict[str, dict[str, str]] = {
    "volume": {
        "L": "liter litre ltr",
        "mL": "milliliter millilitre cc ccm cm3",
        "cL": "centiliter centilitre",
        "dL": "deciliter decilitre",
        "gal": "gallon usgal usgallon",
        "qt": "quart usqt usquart",
        "pt": "pint uspt uspint",
        "cup": "uscup",
        "fl_oz": "floz flounce fluidoz fluidounce usfloz",
        "tbsp": "tablespoon tbs tbl",
        "tsp": "teaspoon",
        "imperial_gal": "imperialgallon impgal impgallon ukgal ukgallon",
        "ft³": "cuft cubicfoot cubicfeet",
    },
    "mass": {
        "g": "gram gramme gm",
        "kg": "kilogram kilo",
        "mg": "milligram",
        "oz": "ounce",
        "lb": "pound",
    },
    "density": {"SG": "spgr specificgravity", "kg/m^3": "kg/m3 kg/cubicmeter kg/cubicmetre"},
    "temperature": {
        "degC": "c celsius degreec degreesc degreecelsius degreescelsius degcelsius centigrade",
        "degF": "f fahrenheit degreef degreesf degreefahrenheit degreesfahrenheit degfahrenheit",
    },
    "time": {
        "h": "hr hour",
        "min": "minute",
        "s": "sec second",
        "day": "d",
        "week": "wk",
        "month": "mo",
        "year": "yr",
    },
    "current": {"A": "amp ampere", "mA": "milliamp milliampere"},
    "charge": {
        "A*h": "amphr amphour amperehr amperehour",
        "mA*h": "milliamphr milliamphour milliamperehour",
        "kA*h": "kahr kiloamphr kiloamphour kiloamperehour",
    },
    "current density": {"A/ft²": "asf", "A/dm²": "asd"},
    "length": {
        "mm": "millimeter millimetre",
        "um": "micron micrometer micrometre",
        "cm": "centimeter centimetre",
        "m": "meter metre",
        "in": 'inch inches " ″',
        "mil": "thou thousandth",
        "ft": "foot feet",
    },
    "area": {
        "dm²": "sqdm squaredm squaredecimeter squaredecimetre",
        "cm²": "sqcm squarecm squarecentimeter squarecentimetre",
        "mm²": "sqmm squaremm squaremillimeter squaremillimetre",
        "m²": "sqm squarem squaremeter squaremetre",
        "in²": "sqin sqinch sqinches squarein squareinch squareinches",
        "ft²": "sqft sqfoot sqfeet squareft squarefoot squarefeet",
    },
    "fraction": {"%": "percent pct wt% %w/w %byweight %bymass"},
    "resistance": {"ohm": "ω", "kohm": "kω kiloohm"},
    "power": {"W": "watt", "kW": "kilowatt"},
    "strength": {
        "mol/L": "m molar mol/liter mol/litre mole/liter mole/litre moles/liter moles/litre",
        "mmol/L": "mm millimolar",
        "%": "percent pct wt% %w/w %byweight %bymass",
    },
}
SPELLINGS["conductivity"] = {"uS/cm": "us microsiemens", "mS/cm": "ms millisiemens"}  # a display says µS alone
SPELLINGS["pen reading"] = SPELLINGS["conductivity"]
# A unit that is made of two others: of which kinds, and what one a second is in the unit used inside (exact).
QUOTIENTS = {
    "concentration": ("mass", "volume", 1.0),
    "content": ("mass", "volume", 1e3),
    "density": ("mass", "volume", 1e-3),
    "strength": ("mass", "volume", 1.0),
    "reported": ("mass", "volume", 1.0),
    "current density": ("current", "area", 1.0),
}
# What could mean two things where it stands is asked back with both.
AMBIGUOUS = {
    ("volume", "oz"): 'fluid ounces, a volume ("fl oz"), or ounces by weight ("oz"); a volume belongs here',
    ("volume", "ounce"): 'fluid ounces, a volume ("fl oz"), or ounces by weight ("oz"); a volume belongs here',
    ("volume", "mil"): 'millilitres ("mL") or thousandths of an inch; a volume belongs here',
    ("volume", "t"): 'teaspoons ("tsp") or tablespoons ("tbsp")',
    ("volume", "c"): 'cups ("cup") or centilitres ("cL")',
    ("volume", "imperialfloz"): 'US fluid ounces ("fl oz") or imperial ones; write it in mL',
    ("mass", "gr"): 'grams ("g") or grains; write it in g',
    ("time", "m"): 'minutes ("min") or months ("month")',
    ("temperature", "deg"): 'degrees Celsius ("°C") or Fahrenheit ("°F")',
    ("temperature", "degree"): 'degrees Celsius ("°C") or Fahrenheit ("°F")',
    ("strength", "n"): 'moles ("mol/L") or equivalents a litre (of sodium carbonate 0.1 N is 0.05 mol/L); write mol/L',
    ("strength", "normal"): 'moles ("mol/L") or equivalents a litre; write mol/L',
}
FAHRENHEIT = 5 / 9  # degC a degF (exact); by kelvins, as pint goes, 32 °F would be -4e-13 °C
# Exact factors of the commonest units. pint knows them too, but takes a third of a second to load; most sheets need no
# other.
HOURS_PER_MONTH = 730.5  # a twelfth of a Julian year of 365.25 days (exact)
WITHOUT_PINT = {  # exact
    ("milliliter", "liter"): 1e-3,
    ("kilogram", "gram"): 1e3,
    ("milligram", "gram"): 1e-3,
    ("micrometer", "millimeter"): 1e-3,
    ("centimeter", "millimeter"): 10.0,
    ("centimeter^2", "decimeter^2"): 1e-2,
    ("gram/milliliter", "gram/milliliter"): 1.0,
    ("percent", "dimensionless"): 1e-2,
    ("microsiemens/centimeter", "microsiemens/centimeter"): 1.0,
    ("millisiemens/centimeter", "microsiemens/centimeter"): 1e3,
    ("day", "hour"): 24.0,
    ("week", "hour"): 168.0,
    ("month", "hour"): HOURS_PER_MONTH,
    ("year", "hour"): 8766.0,
    ("kiloohm", "ohm"): 1e3,
    ("kilowatt", "watt"): 1e3,
}
_PINT_BASE = {"mol/L": "mole/liter", "fraction": "dimensionless", "mg/L": "milligram/liter", "g/L": "gram/liter"}
_PINT_BASE |= {"g/mL": "gram/milliliter", "uS/cm": "microsiemens/centimeter"}

_US = "gal qt pt cup fl_oz tbsp tsp ft³ oz lb oz/gal degF A/ft² in mil ft in² ft²"  # of UNITS

# A ± says that the true value is within it with 95 % probability: so many standard uncertainties (normal distribution).
COVERAGE = 1.96  # computed

_NUMBER = r"[+-]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)(?:[eE][+-]?[0-9]+)?"
_FRACTION = r"(?:(?P<whole>[0-9]{1,6})(?:\s+|\s*-\s*))?(?P<part>[0-9]{1,3})\s*[/⁄]\s*(?P<of>[0-9]{1,3})"
_UNIT = r"""[A-Za-z%°µμ"″Ω\u2126](?:[A-Za-z%°µμ²³23^*·/._\- ]*[A-Za-z%²³23.Ω\u2126])?"""
_QUANTITY = re.compile(
    rf"\s*(?P<value>{_FRACTION}|{_NUMBER})\s*(?P<inner>{_UNIT})?\s*"
    rf"(?:(?:±|\+/-|\+-)\s*(?P<spread>{_NUMBER})\s*(?P<outer>{_UNIT})?)?\s*"
)
_GRAVITY_FIRST = re.compile(r"\s*(?:sg|s\.\s?g\.|sp\.? ?gr\.?|specific gravity)\s*[:=]?\s*(?=[0-9])", re.IGNORECASE)
# How people say that a number is not exact: it then gets a ± (`_roughly`), unless one is typed.
_ROUGH = re.compile(
    r"^\s*(?:[~≈]|(?:about|around|roughly|approximately|approx\.?|circa|ca\.?|almost|nearly|maybe|perhaps)(?![a-z]))\s*"
    r"|(?<=[0-9])\s*(?:-?ish|or so)\b|\s+(?:or so|or thereabouts|more or less|approximately|approx\.?)\s*$",
    re.IGNORECASE,
)
ROUGHLY = 0.1  # of the number: what "about 5" leaves open, 95 times in 100 (judgement)
ROUGHLY_ALWAYS = {"temperature": 2.0, "density": 0.01}  # degC, g/mL: the same, whatever the number (judgement)
# What is read in place of an amount without a number, and of signs.
_SAID = (
    (re.compile(r"^\s*(?:a\s+)?half\s+(?:of\s+)?(?:an?\s+)?(?=[a-z])", re.I), "1/2 "),
    (re.compile(r"^\s*(?:an?|one)\s+(?=[a-z])", re.I), "1 "),
    (re.compile(r"^\s*\N{MINUS SIGN}\s*(?=[0-9.,])"), "-"),  # as a screen shows it
)
# From one number to another, the unit behind both or behind each. A number begun with 0 is of a date, and one with a
# sign or a power of ten stands in no range: so no minus is taken for its dash.
_END = r"(?:(?:0|[1-9][0-9]{0,6})(?:[.,][0-9]{1,6})?|[.,][0-9]{1,6}|[1-9][0-9]{0,2}/[1-9][0-9]{0,2})"
_RANGE = re.compile(
    rf"(?<![\w.,/+\-−±])(?:(?P<between>between\s+)|from\s+)?(?P<low>{_END})"
    r"(?:\s*(?P<unit>[A-Za-z%°µμΩ][A-Za-z%°µμΩ/²³·]*?))??"
    r"(?(between)\s+and\s+|(?:[-‐‑–—−]\s*|\s+(?:[-‐‑–—−]|to|or)\s+))"
    rf"(?P<high>{_END})(?![0-9.,/]|e[+-]?[0-9]|\s*[-‐‑–—−])(?(unit)(?=\s*(?P=unit)(?![\w/])))",
    re.IGNORECASE,
)
# "1,234": a decimal comma, or a thousands mark? Guessing wrong is an error of a factor of 1000.
_TWO_MEANINGS = re.compile(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}")
# Of "68°-72 °F" the sign that stands with the other one's unit.
_DEGREES_OF_BOTH = re.compile(r"(?<=[0-9])\s*°(?=\s*(?:[-‐‑–—−]|to\b|or\b|and\b)\s*[0-9.,]+\s*°?\s*[CF]\b)", re.I)
# What _RANGE does not take though it may be one, such as "500 mL to 1 L".
_MAYBE_A_RANGE = re.compile(
    r"^[^-0-9]*[0-9][0-9.,/ ]*[^\d±-]{0,20}?(?:[-‐‑–—−]|\b(?:to|or)\b)\s*[0-9][^-]*$", re.IGNORECASE
)


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
        text = in_digits(value, digits) if decimals is None else f"{value:.{max(places, 0)}f}"
        spread = None
        if standard_uncertainty is not None:
            half = COVERAGE * standard_uncertainty
            half = round(half, _places(half, spread_digits) if decimals is None else decimals)
            text += f" ± {in_digits(half, spread_digits) if decimals is None else f'{half:.{max(places, 0)}f}'}"
            spread = half * factor / COVERAGE
        return cls(value * factor + offset, spread, base, f"{text} {unit}", 10.0**-places * factor)

    def __float__(self) -> float:
        return self.value

    @property
    def least(self) -> float:
        """The lower end of its ± [unit]; the value itself where none was typed."""
        return self.value - COVERAGE * self.uncertainty_or(0.0)

    @property
    def most(self) -> float:
        """The upper end of its ± [unit]; the value itself where none was typed."""
        return self.value + COVERAGE * self.uncertainty_or(0.0)

    def uncertainty_or(self, otherwise: float) -> float:
        """Return the standard uncertainty that was typed, or `otherwise` where none was [unit]."""
        return otherwise if self.standard_uncertainty is None else self.standard_uncertainty


def in_figures(text: str) -> str:
    """Return a text whose amount is said in words with it in figures: "about 5" is "5", "half a litre" "1/2 litre"."""
    text = of_ranges(_with_plain_fractions(_ROUGH.sub("", text)))
    for words, figures in _SAID:
        text = words.sub(figures, text)
    return text.strip()


def of_ranges(text: str) -> str:
    """Return a text with a range in it as its middle and what is left open: "20-30 mL" is "25 ± 5 mL"."""
    return _RANGE.sub(_middle, _DEGREES_OF_BOTH.sub("", text))


def _middle(found: re.Match[str]) -> str:
    """Return a range as number ± number; text that is no range (it falls, or an end is ambiguous) as it stands."""
    ends = found["low"], found["high"]
    if ("/" in ends[1] and "/" not in ends[0]) or any(map(_TWO_MEANINGS.fullmatch, ends)):  # "5-1/2" is five and a half
        return found[0]
    parts = (end.replace(",", ".").partition("/") for end in ends)
    low, high = (float(above) / float(below or 1) for above, _, below in parts)
    return f"{in_digits((low + high) / 2, 10)} ± {in_digits((high - low) / 2, 6)}" if low < high else found[0]


def parse_number(text: str) -> float:
    """Return the finite number in `text`; point or comma decimal; thousands marks, NaN and infinity are refused."""
    return _number(in_figures(text))


def _number(text: str) -> float:
    """Return the same of a text that is in figures."""
    if _TWO_MEANINGS.fullmatch(text):
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

    What is said to be rough ("about 5 L") gets the ± of `_roughly`, and a range half its width; the text of what is
    returned names it.

    Raises UnitError where the number, the unit or the kind of unit is not accepted.
    """
    said, rough, text = _with_plain_fractions(text), is_rough(text), in_figures(text)
    written = _unit_behind(text, quantity)
    match = _QUANTITY.fullmatch(written)
    if not match:
        raise UnitError(_no_quantity(said, quantity))
    value, step = _value_and_step(match)
    unit = match["inner"] or match["outer"]
    if unit is None:
        raise UnitError(f"has no unit: write one of {_names(quantity)}, {example_of(quantity)}")
    base, factor, offset = _conversion(unit, quantity)
    spread = _spread_of(match)
    if spread is None and rough and (spread := _roughly(value, factor, quantity)):
        text = with_spread(text, spread)
    inside = value * factor + offset
    if not math.isfinite(inside):
        raise UnitError("is too large a number")
    if spread is not None:
        relative = match["outer"] == "%" and unit != "%"
        spread *= abs(inside) / 100 if relative else _spread_factor(match["outer"] or unit, base, quantity)
        _refuse_knowing_nothing(spread, inside - offset)
        spread /= COVERAGE
    return Measured(inside, spread, base, text, step * factor)


def _no_quantity(said: str, quantity: str) -> str:
    """Return why a text is no quantity of a kind, and what to write instead."""
    if _MAYBE_A_RANGE.search(said):
        return "may be a range: write its middle and how far it goes each way, in one unit, such as 5.5 ± 0.5"
    if not re.search(r"\d", said):
        return f"has no number: write one in digits, {example_of(quantity)}"
    return f"is not {_one(quantity)}: write a number and a unit, {example_of(quantity)}"


def _spread_of(match: re.Match[str]) -> float | None:
    """Return the number after a ±; None where there is none."""
    if match["spread"] is None:
        return None
    spread = _number(match["spread"])
    if spread <= 0:
        raise UnitError("has an uncertainty that is not above zero: leave it out where you do not know it")
    return spread


def _roughly(value: float, factor: float, quantity: str) -> float | None:
    """Return the half-width of a number that is said to be rough, in its own unit; None for zero.

    A tenth of 68 °F would be seven degrees, and a tenth of a density all that a bath can hold. factor: how much of the
    inside unit its unit is.
    """
    always = ROUGHLY_ALWAYS.get(quantity)
    return always / factor if always else ROUGHLY * abs(value) or None


def is_rough(text: str) -> bool:
    """Tell whether a text says that its number is not exact: "about 1.15"."""
    return bool(_ROUGH.search(text))


def is_unit(text: str, quantity: str) -> bool:
    """Tell whether a text is a unit of the named kind, in any spelling."""
    try:
        _conversion(text, quantity)
    except UnitError:
        return False
    return True


def is_same_unit(one: str, other: str, quantity: str) -> bool:
    """Tell whether two spellings mean one unit of the named kind."""
    spelled = _spelled(quantity)
    return _key(one) in spelled and spelled[_key(one)] == spelled.get(_key(other))


def two_meanings(unit: str, quantity: str) -> str:
    """Return what a unit could mean where a quantity of the named kind stands; empty where that is one thing."""
    key = _key(unit)
    return AMBIGUOUS.get((quantity, key)) or AMBIGUOUS.get((quantity, key.removesuffix("s")), "")


def with_spread(text: str, half_width: float) -> str:
    """Return a text that has no ± with one, in its unit and with a decimal comma where the text has that."""
    return f"{text} ± {in_digits(half_width, 2).replace('.', ',' if ',' in text else '.')}"


def us_unit_of(text: str, quantity: str) -> str:
    """Return the US unit in which a text of the named kind is written; empty where it is in another one, or in none."""
    match = _QUANTITY.fullmatch(_unit_behind(in_figures(text), quantity))
    name = _spelled(quantity).get(_key((match["inner"] or match["outer"] or "") if match else ""), "")
    return name if name in _US.split() else ""


def _with_plain_fractions(text: str) -> str:
    """Return a text with its ½ as 1/2."""
    for sign in () if text.isascii() else set(text) & set("½⅓⅔¼¾⅛⅜⅝⅞"):
        text = text.replace(sign, " " + unicodedata.normalize("NFKC", sign).replace("⁄", "/"))
    return re.sub(r"\s+", " ", text)


def _unit_behind(text: str, quantity: str) -> str:
    """Return a specific gravity as number and unit ("SG 1.265" is "1.265 SG"); any other text as it is."""
    if quantity == "density" and (first := _GRAVITY_FIRST.match(text)):
        return f"{text[first.end() :].rstrip()} SG"
    return text


def _value_and_step(match: re.Match[str]) -> tuple[float, float]:
    """Return the number of a quantity, and what one more in its last digit, or in its fraction, would make."""
    if match["of"] is None:
        return _number(match["value"]), _last_digit(match["value"])
    whole, part, of = (int(match[name] or 0) for name in ("whole", "part", "of"))
    if of == 0 or (match["whole"] and part >= of):
        raise UnitError(f"has {part}/{of}, which is no fraction: write it as a decimal number")
    return whole + part / of, 1 / of


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
        raise UnitError(f"has its ± in {unit} and its value in another unit: give both in one unit")
    return factor


def convert(value: float, quantity: str, unit: str) -> float:
    """Turn a value in the inside unit of `quantity` into `unit`, for those who think in ounces or degrees F."""
    _, factor, offset = _conversion(unit, quantity)
    return (value - offset) / factor


def format_quantity(value: float, quantity: str, unit: str | None = None, digits: int = 6) -> str:
    """Write a value as a sheet text, such as "5.6 L"; `unit` defaults to the inside unit, for a fraction to %."""
    unit = unit or ("%" if quantity == "fraction" else _inside(quantity))
    return f"{in_digits(convert(value, quantity, unit), digits)} {unit}"


def format_limit(limit: float, quantity: str, unit: str, is_least: bool, digits: int = 3) -> str:
    """Write a limit in a unit so that what is written is within it: the least rounded up, the most down."""
    number = convert(limit, quantity, unit)
    steps = number * 10.0 ** _places(number, digits)
    rounded = math.ceil(steps - 1e-9) if is_least else math.floor(steps + 1e-9)
    return f"{in_digits(rounded / 10.0 ** _places(number, digits), digits)} {unit.replace('_', ' ')}"


def in_digits(value: float, digits: int) -> str:
    """Write a number with so many significant digits, as people do: without an exponent, however large or small."""
    return f"{Decimal(f'{value:.{digits}g}'):f}"


@cache
def _conversion(unit: str, quantity: str) -> tuple[str, float, float]:
    """Return (inside unit, factor, offset) so that inside = value · factor + offset."""
    key = _key(unit)
    if why := two_meanings(unit, quantity):
        raise UnitError(f"has the unit {unit!r}, which could mean {why}")
    name = _spelled(quantity).get(key)
    if name is None and "/" in key and quantity in QUOTIENTS:
        return _quotient(unit, quantity, key)
    if name is None:
        raise UnitError(_wrong_unit(unit, quantity))
    if quantity in OF_SEVERAL_KINDS:
        base, pint_name = OF_SEVERAL_KINDS[quantity][name]
    else:
        base, pint_name = _inside(quantity), UNITS[quantity][name]
    if name == base:
        return base, 1.0, 0.0
    if name == "degF":
        return base, FAHRENHEIT, -32 * FAHRENHEIT
    if not pint_name:
        return _quotient(unit, quantity, _key(name))
    inside = _PINT_BASE.get(base) or UNITS[quantity][base]
    return base, _pint_value(1.0, pint_name, inside), 0.0


def _quotient(unit: str, quantity: str, key: str) -> tuple[str, float, float]:
    """Return what `_conversion` does for a unit such as oz/gal, from the two units that it is made of."""
    above, below, factor = QUOTIENTS[quantity]
    numerator, _, denominator = key.partition("/")
    base = "g/L" if quantity in OF_SEVERAL_KINDS else _inside(quantity)
    names = _spelled(above).get(numerator), _spelled(below).get(denominator)
    if names[0] is None or names[1] is None:
        raise UnitError(_wrong_unit(unit, quantity))
    return base, _conversion(names[0], above)[1] / _conversion(names[1], below)[1] * factor, 0.0


def _written(quantity: str) -> Iterable[str]:
    """Return the units that a quantity may be written in."""
    return OF_SEVERAL_KINDS[quantity] if quantity in OF_SEVERAL_KINDS else UNITS[quantity]


def _inside(quantity: str) -> str:
    """Return the unit used inside."""
    return next(iter(UNITS[quantity]))


def _key(unit: str) -> str:
    """Return a unit in the one spelling by which it is looked up, however people write it."""
    plain = unit.strip().translate(_SIGNS).casefold().replace(" per ", "/")
    return re.sub(r"[\s.^*·_-]", "", plain)


_SIGNS = str.maketrans({"²": "2", "³": "3", "µ": "u", "μ": "u", "°": "deg"})


@cache
def _spelled(quantity: str) -> dict[str, str]:
    """Return the units of a kind, each under every spelling that means it."""
    found: dict[str, str] = {}
    for name in _written(quantity):
        for written in (_key(name), *SPELLINGS.get(quantity, {}).get(name, "").split()):
            found[written] = name
            if len(written) > 1 and written.isalpha():
                found.setdefault(f"{written}s", name)
    return found


def _pint_value(value: float, unit: str, base: str) -> float:
    if (unit, base) in WITHOUT_PINT:
        return value * WITHOUT_PINT[unit, base]
    import pint

    registry = pint.get_application_registry()  # type: ignore[no-untyped-call]
    return float(registry.Quantity(value, unit).to(base).magnitude)


def _wrong_unit(unit: str, quantity: str) -> str:
    for other in UNITS:
        if other != quantity and _key(unit) in _spelled(other):
            return f"is {_one(other)}, and {_one(quantity)} belongs here: {_names(quantity)}, {example_of(quantity)}"
    return f"has the unit {unit!r}, which is not accepted here; use {_names(quantity)}"


def _one(quantity: str) -> str:
    """Return a kind of quantity with its article."""
    return f"{'an' if quantity[0] in 'aeiou' else 'a'} {quantity}"


def _names(quantity: str) -> str:
    """Return the units of a kind as a person would write them."""
    names = _written(quantity)
    shown = [_AS_WRITTEN.get(name, name.replace("_", " ")) for name in names if name != "fraction"]
    return ", ".join(shown)


_AS_WRITTEN = {"uS/cm": "µS/cm", "degC": "°C", "degF": "°F", "um": "µm", "ohm": "Ω", "kohm": "kΩ"}


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
    "resistance": "45 Ω",
    "power": "100 W",
    "conductivity": "1150 µS/cm",
    "pen reading": "1150 µS/cm",
    "reported": "53 g/L",
}


def example_of(quantity: str) -> str:
    """Return how a quantity of a kind is written, for a message: such as "12.3 mL"."""
    return f'such as "{_EXAMPLES[quantity]}"'
