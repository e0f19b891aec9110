"""A titration of the free acid followed with a pH meter.

The fit is in `curve_fit`; here is what the bench sheet says of such a curve, what the estimate makes of it, and how the
points are read from the text of a file. It opens no file.
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from advisor.basis.fields import (
    InputError,
    RowsField,
    bottle,
    choice,
    define,
    drawn_sample,
    note,
    quantity,
    show,
    text,
    tool,
    volume,
)
from advisor.basis.units import Measured, UnitError, parse_number
from advisor.readings.acid_titration import ACID_PER_IRON_THREE, TITRANTS, AcidByBase, iron_three_effect
from advisor.readings.curve_fit import COPPER_GUESS, CurveError, CurveFit, Points, fit_curve
from advisor.readings.model import FloatArray, Model, State, Surroundings, as_rows
from advisor.readings.strength import check_baked, strength_from, substance_limits
from advisor.readings.tools import check_tool, titration_errors, volume_error
from advisor.solution.equilibrium import equivalence_volume
from advisor.solution.ranges import HIGHEST_COPPER_SULFATE, HIGHEST_SULFURIC_ACID
from advisor.words.lines import line

# g/L; the fit is done at full steps, so that it can be kept, and in between corrected linearly (computed): of lye it is
# off by 0.005 of the uncertainty of its acid; of soda in less than 50 g/L by 0.02, in 2 curves of 1,000 by up to 1.4,
# where it decides on a point and that on the carbon dioxide.
COPPER_STEP = 10.0
ASSUMED_BURETTE = "50 mL class B burette"  # who reads to 0.02 mL holds a burette (judgement)
LARGEST_TEXT, MOST_POINTS = 1_000_000, 2000  # judgement


@dataclass(frozen=True)
class PHCurve(AcidByBase):
    """A titration of the bath's free acid, followed with a pH meter."""

    kind: ClassVar[str] = "pH curve"
    label: ClassVar[str] = "pH curve"

    sample: Measured = volume("Sample of bath", "Undiluted bath in the beaker.", required=True, high=0.5)
    diluted_to: Measured = volume(
        "Diluted to", "With distilled water, before you start; ten times the sample or more.", required=True
    )
    titrant: str = choice(
        "Titrant",
        tuple(TITRANTS),
        "The solution of known strength that you run in. Lye gives the surest curve.",
        required=True,
    )
    strength: Measured = quantity(
        "strength", "Strength of the titrant", "From what you weighed in.", required=True, high=20.0
    )
    strength_from: str | None = strength_from()
    points: Points = define(
        RowsField(
            label="Points [mL, pH]",
            columns=("mL", "pH"),
            longest=MOST_POINTS,
            help="Titrant so far and pH, 20 points or more, small steps between pH 2.5 and 4.5; more does no harm.",
        )
    )
    file: str | None = text("File with the points", "A CSV file beside the sheet, instead of points.", longest=200)
    sample_with: str | None = tool("Sample")
    diluted_to_with: str | None = tool("Dilution")
    used_with: str | None = tool("Titrant")
    titrant_label: str | None = bottle()
    sample_label: str | None = drawn_sample()
    note: str = note()

    def check(self, place: str) -> None:
        """Refuse fields that do not fit together, and a curve from which no acid can be read."""
        super().check(place)
        check_baked(self.strength_from, self.titrant, place)
        for name in ("sample", "diluted_to"):
            check_tool(getattr(self, f"{name}_with"), getattr(self, name), f"{place}: {name}_with")
        check_tool(self.used_with, Measured(0.01, None, "mL", "10 mL"), f"{place}: used_with")
        self._check_points(place)
        try:
            acid = self.fit().acid
        except CurveError as error:
            raise InputError(f"{place}: points", f"you gave {len(self.points)} points", f"{error}") from error
        if acid > HIGHEST_SULFURIC_ACID:
            accepted = line(
                "it must come to at most {most:.0f g/L}: check sample, strength and the volumes",
                most=HIGHEST_SULFURIC_ACID,
            )
            raise InputError(f"{place}: points", line("the curve means {g:.0f g/L} of acid", g=acid), accepted)

    def _check_points(self, place: str) -> None:
        if self.file is not None:
            accepted = "it is read only from beside a sheet, and not together with points; give the rows as points"
            raise InputError(f"{place}: file", show(self.file), accepted)
        if not self.points:
            raise InputError.missing(f"{place}: points", "give points = [[mL, pH], ...] or file")
        for row, (millilitres, pH) in enumerate(self.points, 1):
            if not (0 <= millilitres <= 5000 and -1 <= pH <= 14):
                accepted = "it must be 0 to 5000 mL and pH -1 to 14, as [mL, pH]"
                raise InputError(f"{place}: points row {row}", show([millilitres, pH]), accepted)

    def fit(self, copper_sulfate: float = COPPER_GUESS) -> CurveFit:
        """Return what the curve tells if the bath holds about so much copper sulfate [g/L]; raises CurveError."""
        return fit_curve(self.points, self._flask(), copper_sulfate)

    def _fit_about(self, about: State) -> CurveFit:
        """Return the fit near the copper that the bath seems to hold."""
        steps = round(float(about.copper_sulfate) / COPPER_STEP)  # type: ignore[arg-type]
        copper = min(max(steps * COPPER_STEP, 0.0), HIGHEST_COPPER_SULFATE)
        try:
            return self.fit(copper)
        except CurveError:  # a curve at the edge of use: it was sound at the guess, or the sheet had been refused
            return self.fit()

    def model(self, surroundings: Surroundings, about: State) -> Model:
        """Return the model: millilitres of titrant that neutralise the free acid, as the fit finds them.

        The fit is made at one copper content and says how its result depends on that, so the prediction shifts with
        the bath's copper. The curve itself says nothing about copper.
        """
        flask, fit = self._flask(), self._fit_about(about)
        per_acid = float(equivalence_volume(1.0, flask))

        def predict(state: State) -> FloatArray:
            leaning = fit.acid_per_copper * (np.asarray(state.copper_sulfate) - fit.copper_sulfate)
            acid = np.asarray(state.sulfuric_acid) + ACID_PER_IRON_THREE * np.asarray(state.iron_three)
            return as_rows(equivalence_volume(acid - leaning, flask))

        end_point = fit.end_point_mL
        sample = volume_error(self.sample, self.sample_with, "sample")
        used = Measured(end_point / 1000, None, "mL", f"{end_point:.2f} mL")
        burette = volume_error(used, self.used_with or ASSUMED_BURETTE, "titrant")
        alone, relative = titration_errors((sample, 1 / flask.sample_mL, self.sample_label))
        read, absolute = titration_errors((burette, -1.0, None))
        random = np.hypot.reduce((read, alone * end_point, fit.standard_uncertainty * per_acid))
        relative[self._bottle()] = self._worth().relative_uncertainty
        absolute["iron(III) takes base"] = iron_three_effect(about) * per_acid
        return Model.of_one(predict, end_point, random, absolute, relative)

    def warnings(self, surroundings: Surroundings, about: State) -> tuple[str, ...]:
        """Say what weakens this curve."""
        fit, said = self._fit_about(about), []
        if fit.widened_by > 2:
            said.append(
                f"The points of the pH curve scatter {fit.widened_by:.0f} times more than 0.02 pH and 0.02 mL, and the "
                "acid is that much less precise. Look for a mistyped row, and let the meter settle at each point."
            )
        if abs(fit.offset) > 0.3 or abs(fit.slope - 1) > 0.1:
            said.append(
                f"The pH meter seems to read {fit.offset:+.2f} pH off at pH 4, with {100 * fit.slope:.0f} % of its "
                "slope. The acid is corrected for that; calibrate the meter before you trust its pH elsewhere."
            )
        gran = fit.gran_acid
        if gran is not None and abs(gran - fit.acid) > 0.03 * fit.acid + 3 * fit.standard_uncertainty:
            said.append(
                line(
                    "A straight line through the last points before the end (Gran's plot) gives {gran:.1f g/L} of "
                    "acid, the fit of the whole curve {fit:.1f g/L}: repeat the curve with smaller steps near the end.",
                    gran=gran,
                    fit=fit.acid,
                )
            )
        if np.max(fit.shown_pH[fit.used]) < 3.0:
            said.append("The pH curve stops before pH 3: go on to pH 4.5 next time for a more precise acid.")
        said += substance_limits(self.titrant, self._worth(), self.model(surroundings, about), self._bottle())
        return tuple(said)


def read_points(content: str) -> Points:
    """Return the points (mL, pH) in the text of a CSV file.

    Tab, semicolon, comma or spaces may stand between the cells, and a point or (unless a comma separates) a comma
    before the decimals: both are found. Lines before the first row of numbers are headings; where they name columns
    ("mL" or "volume", and "pH"), those are taken, else there must be just two. Raises InputError with the line.
    """
    lines = _written_lines(content)
    separator = _separator([row for _, row in lines])
    table = [(number, _cells(row, separator)) for number, row in lines]
    first = next((at for at, (_, cells) in enumerate(table) if _holds_a_point(cells, separator)), None)
    if first is None:
        raise InputError("file", "it has no row of numbers", "write a row for each point: mL, then pH")
    heading = table[first - 1][1] if first else []
    number, cells = table[first]
    columns = _columns(heading, [cell for cell in cells if cell], number)
    body = table[first:]
    points = tuple(_point(cells, columns, separator, number) for number, cells in body[: MOST_POINTS + 1])
    if len(body) > MOST_POINTS:
        raise InputError("file", f"it has more than {MOST_POINTS} rows", f"at most {MOST_POINTS} are accepted")
    return points


def _written_lines(content: str) -> list[tuple[int, str]]:
    """Return the lines of a text that are neither empty nor a comment, each with its number from 1."""
    if len(content) > LARGEST_TEXT:
        raise InputError("file", f"it has {len(content) / 1e6:.1f} MB", "the text of a curve has at most 1 MB")
    if "\0" in content:
        raise InputError("file", "it is not plain text", "save it as CSV in UTF-8")
    lines = [(number, row.strip()) for number, row in enumerate(content.splitlines(), 1)]
    return [(number, row) for number, row in lines if row and not row.startswith("#")]


def _cells(row: str, separator: str) -> list[str]:
    return [cell.strip(' "') for cell in (row.split() if separator == " " else row.split(separator))]


def _holds_a_point(cells: list[str], separator: str) -> bool:
    """Tell a row of numbers from a heading: two cells or more are numbers."""
    return sum(_number(cell, separator) is not None for cell in cells) >= 2


def _separator(lines: list[str]) -> str:
    """What stands between the cells in most of the lines that begin like a number."""
    votes: Counter[str] = Counter()
    for row in lines:
        if not re.match(r'["+\-.]?\d', row):
            continue
        words = row.split()
        spaced = len(words) > 1 and all(_number(word, " ") is not None for word in words)
        votes["\t" if "\t" in row else ";" if ";" in row else " " if spaced else ","] += 1
    return votes.most_common(1)[0][0] if votes else ","


def _number(cell: str, separator: str) -> float | None:
    """The number in a cell, or None; a comma is a decimal mark unless it separates the cells."""
    if separator != "," and cell.count(",") == 1 and "." not in cell:
        cell = cell.replace(",", ".")
    try:
        return parse_number(cell)
    except UnitError:
        return None


def _columns(heading: list[str], cells: list[str], line: int) -> tuple[int, int]:
    """Return where volume and pH stand, by the heading or because there are just two columns."""
    volumes = [i for i, name in enumerate(heading) if re.search(r"\bml\b|vol", name.lower())]
    shown = [i for i, name in enumerate(heading) if re.search(r"\bph\b", name.lower())]
    if len(volumes) == 1 and len(shown) == 1:
        return volumes[0], shown[0]
    if len(cells) != 2:
        accepted = "keep two columns, mL and pH, or name them in a heading; with decimal commas separate by semicolons"
        raise InputError(f"file line {line}", f"it has {len(cells)} columns", accepted)
    return 0, 1


def _point(cells: list[str], columns: tuple[int, int], separator: str, line: int) -> tuple[float, float]:
    found = [_number(cells[column], separator) if column < len(cells) else None for column in columns]
    if found[0] is None or found[1] is None:
        raise InputError(f"file line {line}", show(separator.join(cells)), "write two numbers: mL and pH")
    return found[0], found[1]
