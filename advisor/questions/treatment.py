"""What every treatment of a bath is answered by: a card with the amounts for this bath, time, waste and cautions.

The sentences stand in the table `treatments`, each with its source; their gaps are filled with the numbers of the bath.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import ClassVar

from advisor.basis import tables
from advisor.check.headline import Headline
from advisor.words import phrases
from advisor.words.cautions import Act, StepWithActs, cautions, take_care
from advisor.words.lines import Amount, Line, filled
from advisor.words.sections import Section

NAMES = {
    "carbon": "Carbon treatment",
    "filtering": "Filtering",
    "dummying": "Plating on scrap (dummying)",
    "less chloride": "Less chloride",
    "warming": "Warming",
    "crystals": "Crystals brought back",
}

# What each asks for of the bath; what it asks for in the table `[treat]` is said there.
ASKED_OF_THE_BATH = {
    "carbon": ("volume", "additives"),
    "filtering": ("volume",),
    "dummying": ("volume",),
    "less chloride": ("volume",),
    "warming": ("volume", "temperature"),
    "crystals": ("volume", "temperature", "coldest", "max_volume"),
}


@dataclass(frozen=True)
class Treatment:
    """A treatment. numbers: by name with the unit in it, as in the JSON result; words: what fills the table's gaps.

    glance: the answer in one glance, without what there is to know besides.
    steps: those worked out for this bath, after those of the table, each with its acts.
    """

    what: str
    glance: Headline
    numbers: Mapping[str, float | None]
    result: tuple[str, ...]
    words: Mapping[str, object]
    acts: tuple[Act, ...]
    steps: tuple[StepWithActs, ...] = ()
    warnings: tuple[str, ...] = ()
    carried_out: bool = True  # False: nothing to do, or not yet

    TITLE: ClassVar[str] = "Treatment"

    @property
    def headline(self) -> Headline:
        """The answer in one glance."""
        to_know = (phrases.TO_KNOW,) if self.warnings else ()
        return replace(self.glance, beside=(*self.glance.beside, *to_know))

    def block(self, name: str) -> tuple[Line, ...]:
        """Return the sentences of a block of the table, filled for this bath."""
        return tuple(filled(row["text"], self.words) for row in self._rows(name))

    def _rows(self, name: str) -> Iterator[Mapping[str, str]]:
        return (row for row in tables.rows("treatments") if (row["treatment"], row["block"]) == (self.what, name))

    def sections(self) -> tuple[Section, ...]:
        """Return the treatment for a reader: for this bath, what it does and does not, what to do, waste, cautions."""
        doing, steps = self.carried_out, self.steps_with_acts
        blocks = (
            Section(f"{NAMES[self.what]}: for your bath", self.result),
            Section("What you should know", self.warnings),
            Section("What it does", self.block("does")),
            Section("What it does not do", self.block("does not")),
            Section("What you need", self.block("need") if doing else ()),
            Section(
                "What to do, in this order",
                tuple(text for text, _ in steps),
                numbered=True,
                beside=tuple(cautions(acts) for _, acts in steps),
            ),
            Section("What is left over", self.block("waste") if doing else ()),
            *take_care(self.acts),
        )
        return tuple(block for block in blocks if block.lines)

    @property
    def steps_with_acts(self) -> tuple[StepWithActs, ...]:
        """What to do, in this order, each step with what it is for the hands; nothing where nothing is to be done."""
        if not self.carried_out:
            return ()
        named = (tuple(map(Act, filter(None, row["acts"].split("; ")))) for row in self._rows("step"))
        return (*zip(self.block("step"), named, strict=True), *self.steps)

    def to_dict(self) -> dict[str, object]:
        """Return the JSON result: plain numbers with their unit in the name, None where there is nothing."""
        return {
            "treatment": self.what,
            "advised": self.carried_out,
            **self.numbers,
            "steps": [text for text, _ in self.steps_with_acts],
            "warnings": list(self.warnings),
            "cautions": list(cautions(self.acts)),
        }


def litres_said(litres: float) -> Amount:
    """Return a volume [L] as it is shown: in millilitres where it is small."""
    return Amount(litres, "L", 2) if litres >= 0.1 else Amount(1000 * litres, "mL", digits=2)
