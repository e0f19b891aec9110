"""Sentences whose amounts stay numbers until they are shown.

`line("Draw {sample} at {21 °C}", sample=Amount(20.0, "mL"))` makes a `Line`: it reads as the metric sentence, and
`line.text(units)` writes the same amounts for those who measure in US units. A literal amount is marked by braces in
the template, `{150 to 250 g/L}`, or `{Δ5 °C}` where it is a change; `{litres:.2f L}` makes an amount of a number. An
amount without a mark stays metric.

US figures are as fine as the metric ones, or as a scale or a jug can show: NIST SP 811 (2008), Appendix B.8, by way of
`basis.units`. Chloride stays in mg/L, the trade's ppm, and what a syringe or a fine scale
measures in mL and g, since those are marked so.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import KW_ONLY, dataclass, replace
from enum import Enum, auto
from functools import cache, lru_cache
from itertools import pairwise
from string import Formatter
from typing import NamedTuple

from advisor.basis import tables
from advisor.basis.units import COVERAGE, convert, in_digits

OUNCES_UP_TO = 900.0  # g, about two pounds (judgement)
QUARTS_UP_TO = 3.75  # L: a gallon (3.785 L) is a gallon, not four quarts (judgement)
# Syringes, pipettes and burettes are marked in mL, and fine scales show grams (judgement).
METRIC_BELOW = {"mL": 100.0, "g": 5.0}
MARKS = {"oz": 2, "lb": 2, "fl_oz": 2}  # decimals at most: a kitchen's tools have no finer marks (judgement)
LARGE = {"g": ("kg", 10_000.0), "mL": ("L", 10_000.0)}  # from here on people say the larger unit (judgement)
FIGURES_OF_LARGE = 4  # so that 12.34 kg keeps its 10 g (judgement)
FIGURES = 3  # of a US number at least: a last nought of the metric one may or may not count (judgement)
NEAR = 0.03  # of itself that a US number may be off: 1 g/L is 0.13 oz/gal, and 0.1 would be a quarter less (judgement)
TYPED_TO = 4  # a US number with fewer decimals than this may have been typed (judgement)

# The kind of quantity of each metric unit, and what turns its number into the unit used inside (exact).
KINDS = {
    "kg": ("mass", 1000.0),
    "g": ("mass", 1.0),
    "mL": ("volume", 0.001),
    "L": ("volume", 1.0),
    "m³": ("volume", 1000.0),
    "g/L": ("concentration", 1.0),
    "A/dm²": ("current density", 1.0),
    "cm²": ("area", 0.01),
    "dm²": ("area", 1.0),
    "µm": ("length", 0.001),
    "cm": ("length", 10.0),
    "°C": ("temperature", 1.0),
}
_US = {"concentration": "oz/gal", "current density": "A/ft²", "area": "in²", "length": "mil", "temperature": "°F"}

_NUMBER = r"-?\d+(?:\.\d+)?"
_LITERAL = re.compile(
    rf"(?P<change>Δ)?(?:(?P<first>{_NUMBER})(?P<link> ± | to |-|–))?(?P<last>{_NUMBER}) (?P<unit>{'|'.join(KINDS)})"
)
_RANGE = re.compile(rf"(?<=\d)-(?={_NUMBER} (?:{'|'.join(KINDS)})(?!\w))")  # the hyphen of "2-5 g/L"
_LEADING = ("to", "reading", "Reading", "entry", "Entry")  # words that stay with the number after them
_MINUS = re.compile(r"(?<![^\s(])-(?=\d)")


class Units(Enum):
    """In which units amounts are shown."""

    METRIC = auto()
    US_FIRST = auto()  # US, metric in brackets


class _Shown(NamedTuple):
    """A number as it is shown: rounded, with so many decimals."""

    value: float
    decimals: int

    def __str__(self) -> str:
        return f"{self.value:.{self.decimals}f}"

    def figures(self) -> int:
        """Count the digits that surely count."""
        digits = str(self).lstrip("-").replace(".", "").lstrip("0")
        return len(digits if self.decimals else digits.rstrip("0"))


@dataclass(frozen=True)
class Amount:
    """A number with its unit, and how it is written.

    value: in `unit`; with `upper` a range from it to that; with a standard uncertainty "value ± 95 % half-width".
    decimals: of value and upper; below zero it rounds to tens. digits: significant ones instead, without noughts at
    the end. Without either: what the uncertainty allows, else none. is_change: a difference, which matters for °C only.
    is_least: a temperature to stay above, so that whole degrees of it in °F are no colder. of_a_tool: what measures it
    is marked in metric units alone.
    """

    value: float
    unit: str
    decimals: int | None = None
    _: KW_ONLY
    digits: int | None = None
    standard_uncertainty: float | None = None
    upper: float | None = None
    is_change: bool = False
    is_least: bool = False
    of_a_tool: bool = False
    link: str = " to "  # between the ends of a range

    @property
    def kind(self) -> str:
        """The kind of quantity, a key of `basis.units.UNITS`; empty where it has no US unit of its own."""
        return KINDS.get(self.unit, ("", 1.0))[0]

    def __str__(self) -> str:
        numbers, (larger, least) = self._numbers(), LARGE.get(self.unit, ("", math.inf))
        if self.standard_uncertainty is None and numbers[0].value >= least:
            large = Amount(self.value / 1000, larger, digits=FIGURES_OF_LARGE, upper=self.upper and self.upper / 1000)
            return str(replace(large, link=self.link))
        return f"{self._joined(numbers)} {self.unit}"

    def text(self, units: Units, inside: bool = False) -> str:
        """Return the amount in these units; inside: it stands within brackets, so that it takes none of its own."""
        metric, customary = str(self), self.customary() if units is not Units.METRIC else ""
        if not customary:
            return metric
        return f"{customary}, {metric}" if inside else f"{customary} ({metric})"

    def _joined(self, numbers: Iterable[_Shown]) -> str:
        """Write a value with its half-width, or both ends of a range; a range of nothing is one value."""
        if self.standard_uncertainty is not None:
            return " ± ".join(map(str, numbers))
        return self.link.join(dict.fromkeys(map(str, numbers)))

    def _numbers(self) -> tuple[_Shown, ...]:
        """Return the value as it is shown, then the half-width or the upper end where there is one."""
        if self.standard_uncertainty is not None:
            half = COVERAGE * self.standard_uncertainty
            places = decimals(half) if self.decimals is None else self.decimals
            return _rounded(self.value, places), _rounded(half, places)
        return tuple(self._written(value) for value in (self.value, self.upper) if value is not None)

    def _written(self, value: float) -> _Shown:
        if self.digits is None:
            return _rounded(value, self.decimals or 0)
        places = self.digits - 1 - int(f"{value:.{self.digits - 1}e}".partition("e")[2])
        rounded = round(value, places)
        needed = next((n for n in range(places) if round(rounded, n) == rounded), places)  # noughts at the end go
        return _rounded(rounded, needed)

    def customary(self) -> str:
        """Return the amount in US units; empty where it has none, or where its tool is marked in metric ones."""
        shown = self._numbers()
        if not self.kind or self.of_a_tool or shown[-1].value < METRIC_BELOW.get(self.unit, -math.inf):
            return ""
        spread = self.standard_uncertainty is not None
        if self.unit == "°C" and not (self.is_change or spread):
            return f"{self._joined(self._fahrenheit(shown))} °F"
        kind, factor = KINDS[self.unit]
        unit = _us_unit(kind, self.unit, max(factor * number.value for number in shown))
        numbers = self._as_typed(kind, factor, unit) or self._turned(shown, kind, factor, unit)
        return f"{self._joined(numbers)} {unit.replace('_', ' ')}"

    def _turned(self, shown: Sequence[_Shown], kind: str, factor: float, unit: str) -> list[_Shown]:
        """Return the numbers that are shown as they are in a US unit."""
        spread = self.standard_uncertainty is not None
        there = [
            _converted(factor * number.value, kind, unit, self.is_change or (spread and place == 1))
            for place, number in enumerate(shown)
        ]
        places = decimals(there[1]) if spread else self._places(shown, max(map(abs, there)), unit)
        if not (spread or self.is_change):
            places = _near(there, places)
        return [_rounded(value, places) for value in there]

    def _as_typed(self, kind: str, factor: float, unit: str) -> list[_Shown]:
        """Return the numbers that were typed in this US unit: 4 oz on hand are not the 3.99 oz of 113 g."""
        if self.standard_uncertainty is not None or self.is_change or not self.value:
            return []
        there = [convert(factor * value, kind, unit) for value in (self.value, self.upper) if value is not None]
        fit = (places for places in range(TYPED_TO) if all(_is_round(value, places) for value in there))
        places = next(fit, None)
        return [] if places is None else [_rounded(value, places) for value in there]

    def _fahrenheit(self, shown: Sequence[_Shown]) -> list[_Shown]:
        """Return a temperature in °F by its own value, since 49 °F that were typed are not the 9 °C that are shown."""
        there = [convert(value, "temperature", "°F") for value in (self.value, self.upper) if value is not None]
        if self.is_least:
            return [_Shown(math.ceil(there[0] - 1e-9), 0)]
        places = self._places(shown, max(map(abs, there)), "°F")
        return [_rounded(value, 0 if _is_round(value, 0) else places) for value in there]

    def _places(self, shown: Sequence[_Shown], most: float, unit: str) -> int:
        """Return the decimals of a US number that is `most` in its unit: as fine as the metric one, and no finer."""
        kind, factor = KINDS[self.unit]
        fine = min(_places(factor * 10.0**-number.decimals, kind, unit) for number in shown)
        figures = max(FIGURES, *(number.figures() for number in shown))
        return min(fine, figures - 1 - _exponent(most), MARKS.get(unit, fine))


def half_width(standard_uncertainty: float, unit: str) -> Amount:
    """Return a 95 % half-width by itself, rounded to what it allows."""
    half = COVERAGE * standard_uncertainty
    return Amount(half, unit, decimals(half), is_change=True)


def range_of(value: float, standard_uncertainty: float, unit: str, most: float = math.inf) -> Amount:
    """Return the range that holds a quantity, which is never below zero nor above `most`, with 95 % probability."""
    half = COVERAGE * standard_uncertainty
    low, high = min(max(value - half, 0.0), most), min(value + half, most)
    return Amount(low, unit, decimals(half if high < most else most / 10), upper=high)


def counted(number: float, one: str, many: str = "") -> str:
    """Return how many there are, such as "1 day", "3 days" or, where `many` tells it, "2 entries"."""
    return f"{number:.0f} {one if f'{number:.0f}' == '1' else many or f'{one}s'}"


def weighed(grams: float) -> Amount:
    """Return a mass [g] as a kitchen scale shows it, or a small one as a finer scale does: in three digits at most."""
    places = 0 if grams >= 20 else 1 if grams >= 10 else 2  # (judgement)
    return Amount(round(grams, places), "g", digits=FIGURES) if places else Amount(grams, "g")


@cache
def _finest_mark() -> float:
    """Return what the marks of the smallest syringe are apart [mL]."""
    return min(float(row["division_mL"]) for row in tables.rows("tool_tolerances") if row["tool"].endswith("syringe"))


def measured_out(millilitres: float, standard_uncertainty: float = 0.0) -> Amount:
    """Return a volume [mL] as a measuring cylinder shows it, or a small one as a syringe does.

    standard_uncertainty [mL]: what is known of it; a ± that the tool would not show is left out.
    """
    places = 0 if millilitres >= 20 else 1 if millilitres >= 1 else 2  # (judgement)
    half = COVERAGE * standard_uncertainty
    if half < 0.5 * 10**-places:
        mark = _finest_mark()
        on_a_mark = mark * round(millilitres / mark) if places == 2 else 0.0
        return Amount(on_a_mark or millilitres, "mL", places)
    return Amount(millilitres, "mL", min(places, decimals(half)), standard_uncertainty=standard_uncertainty)


def in_a_jug(litres: float) -> Amount:
    """Return a volume [L] as a jug shows it, or a small one as a measuring cylinder or a syringe does."""
    return Amount(litres, "L", 2) if 1000 * litres >= METRIC_BELOW["mL"] else measured_out(1000 * litres)


class Line(str):
    """A sentence in metric units that still knows the amounts in it."""

    parts: tuple[str | Amount, ...]

    def __new__(cls, text: str, parts: tuple[str | Amount, ...] = ()) -> Line:
        """Make a line of a text; `parts` are its pieces in order, the text alone where there are none."""
        made = super().__new__(cls, text)
        made.parts = parts or (text,)
        return made

    @classmethod
    def of(cls, parts: Iterable[object]) -> Line:
        """Return the line of these pieces: amounts, other lines with their amounts, anything else as text."""
        flat: list[str | Amount] = []
        for part in parts:
            if isinstance(part, Line):
                flat += part.parts
            else:
                flat.append(part if isinstance(part, Amount) else str(part))
        return cls("".join(map(str, flat)), tuple(flat))

    def text(self, units: Units) -> str:
        """Return the sentence in these units."""
        if units is Units.METRIC:
            return str(self)
        said, in_both = "", False
        for part in self.parts:
            inside = said.count("(") > said.count(")")
            written = part.text(units, inside) if isinstance(part, Amount) else part
            if in_both and written.startswith(" ("):  # not two pairs of brackets, one behind the other
                said, written = said[:-1], f"; {written[2:]}"
            in_both = isinstance(part, Amount) and written.endswith(")")
            said += written
        return said


def line(template: str, /, **words: object) -> Line:
    """Return a template filled with words by their names: amounts, lines, texts, or numbers with a format."""
    return filled(template, words)


def filled(template: str, words: Mapping[str, object]) -> Line:
    """Return a template filled from a mapping, which may hold more than it needs."""
    parts: list[object] = []
    for fixed, name, form in _pieces(template):
        parts.append(fixed)
        if name is not None:
            word = words[name] if name in words else literal(name)
            parts.append(_formed(word, form) if form else word)
    return Line.of(parts)


@lru_cache(maxsize=512)  # judgement: the sentences of a long history are a dozen
def _pieces(template: str) -> tuple[tuple[str, str | None, str | None], ...]:
    """Return what is fixed in a template, each with name and format of the word after it."""
    return tuple((fixed, name, form) for fixed, name, form, _ in Formatter().parse(template))


def _formed(word: object, form: str) -> Amount | str:
    """Return a word with its format; ".2f L" makes an amount of a number, with two decimals and in litres."""
    style, _, unit = form.partition(" ")
    if style[-1] not in ("f", "g"):
        return format(word, form)
    assert isinstance(word, int | float)
    places = int(style[1:-1] or 0) if len(style) > 1 else 6  # of plain g
    if not unit:
        return in_digits(word, places) if style[-1] == "g" else format(word, form)
    return Amount(word, unit, places) if style[-1] == "f" else Amount(word, unit, digits=places)


def at_the_bench(text: str) -> Line:
    """Return a line whose masses and volumes stay metric: fine scales show grams, and glass is marked in mL."""
    parts = text.parts if isinstance(text, Line) else (text,)
    measured = ("mass", "volume")
    return Line.of(
        replace(part, of_a_tool=True) if isinstance(part, Amount) and part.kind in measured else part for part in parts
    )


def joined(separator: str, texts: Iterable[str]) -> Line:
    """Return lines and texts as one line."""
    parts: list[str] = []
    for text in texts:
        parts += [separator, text] if parts else [text]
    return Line.of(parts)


def listed(texts: Iterable[str]) -> Line:
    """Return one line or text, or several as a sentence lists them."""
    *before, last = texts
    return joined(" and ", [joined(", ", before), last] if before else [last])


def in_units(text: str, units: Units) -> str:
    """Return a line in these units; a plain text has no amounts and stays as it is."""
    return text.text(units) if isinstance(text, Line) else text


def capital(text: str) -> Line:
    """Return a line with a capital letter first."""
    return _with_first_letter(text, str.upper)


def small(text: str) -> Line:
    """Return a line with a small letter first."""
    return _with_first_letter(text, str.lower)


def _with_first_letter(text: str, change: Callable[[str], str]) -> Line:
    parts = text.parts if isinstance(text, Line) else (text,)
    first, *rest = [part for part in parts if part != ""] or [""]
    return Line.of([change(first[:1]) + first[1:] if isinstance(first, str) else first, *rest])


@cache
def literal(marked: str) -> Amount:
    """Return the amount that a template marks by braces, such as "21-32 °C"; KeyError where it is not one."""
    found = _LITERAL.fullmatch(marked)
    if not found:
        raise KeyError(marked)
    first, last, unit, change = found["first"], found["last"], found["unit"], bool(found["change"])
    places = max(len(number.partition(".")[2]) for number in (first or "", last))
    if first is None:
        return Amount(float(last), unit, places, is_change=change)
    if found["link"] == " ± ":
        return Amount(float(first), unit, places, standard_uncertainty=float(last) / COVERAGE, is_change=change)
    return Amount(float(first), unit, places, upper=float(last), is_change=change, link=found["link"])


def decimals(uncertainty: float) -> int:
    """Return the decimals that an uncertainty leaves meaningful: one digit of it, two where that digit is 1."""
    if not uncertainty > 0:
        return 2
    digits, _, exponent = f"{uncertainty:e}".partition("e")
    return min((1 if digits[0] == "1" else 0) - int(exponent), 6)


def _rounded(value: float, places: int) -> _Shown:
    return _Shown(round(value, places) + 0.0, max(places, 0))


def _us_unit(kind: str, metric: str, most: float) -> str:
    if kind == "mass":
        return "oz" if most < OUNCES_UP_TO else "lb"
    if metric == "cm":
        return "in"
    if metric == "m³":
        return "ft³"
    if kind == "volume":
        return "fl_oz" if metric == "mL" else "qt" if most < QUARTS_UP_TO else "gal"
    return _US[kind]


def unit_of_axis(metric: str, units: Units) -> tuple[str, float]:
    """Return the unit in which an axis counts, the same for small and large, and how many of it a metric one is."""
    kind, factor = KINDS.get(metric, ("", 1.0))
    if units is Units.METRIC or not kind:
        return metric, 1.0
    unit = _us_unit(kind, metric, math.inf)
    return unit, _converted(factor, kind, unit, change=True)


def _converted(value: float, kind: str, unit: str, change: bool) -> float:
    """Return a value in a US unit; a change of temperature has no zero of its own."""
    return convert(value, kind, unit) - (convert(0.0, kind, unit) if change else 0.0)


def _is_round(value: float, places: int) -> bool:
    """Tell whether a number has no more decimals than these; what is left of a conversion apart."""
    return math.isclose(value, round(value, places), rel_tol=1e-10)


def _near(values: Sequence[float], places: int) -> int:
    """Return so many decimals, or as many more as leave no number further off than `NEAR`."""
    while any(abs(round(value, places) - value) > NEAR * abs(value) for value in values):
        places += 1
    return places


def _places(step: float, kind: str, unit: str) -> int:
    """Return the decimals at which a US number is as fine as a step of the metric one, or just finer."""
    return math.ceil(-math.log10(_converted(step, kind, unit, change=True)) - 1e-9)


def _exponent(value: float) -> int:
    return math.floor(math.log10(value)) if value > 0 else 0


def whole(text: str) -> str:
    """Return text for the eye: no number parts from its unit, its ± or its range's other end, and a minus is one."""
    pieces = _RANGE.sub("\N{NON-BREAKING HYPHEN}", _MINUS.sub("\N{MINUS SIGN}", text)).split(" ")
    joined = pieces[0]
    for before, piece in pairwise(pieces):
        joined += ("\N{NO-BREAK SPACE}" if _belong(before, piece) else " ") + piece
    return joined


def _belong(before: str, piece: str) -> bool:
    if before.endswith("±") or (before in _LEADING and piece[:1].isdigit()):
        return True
    return before[-1:].isdigit() and not piece.startswith("(")
