"""The readings that a person could take: what gear each needs, how long it takes, what it looks like in a sheet.

A list, with what the gear allows of it; what each reading would settle is worked out by `next_reading`.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from advisor.basis.fields import fields_of
from advisor.readings import KINDS, Reading

SENT_AWAY = (frozenset({"laboratory"}),)  # a week or so: offered only to whom a laboratory is at hand


@dataclass(frozen=True)
class Candidate:
    """A reading that could be taken: what it needs, and what a typical one looks like in a sheet.

    instead_of: kinds that tell the same with the same shared errors; taken already, this one adds little.
    imagined_as: the kind whose model stands in for it, where imagining the reading itself would take a whole curve.
    poorer: how it is taken with poorer gear, where the better is not owned.
    """

    needs: tuple[frozenset[str], ...]  # any of these sets of gear will do
    fields: dict[str, object]
    why: str
    minutes: float
    instead_of: frozenset[str] = frozenset()
    imagined_as: str = ""
    poorer: Candidate | None = None

    def is_within(self, have: Collection[str]) -> bool:
        """Tell whether it can be taken with what is owned."""
        return any(needs <= set(have) for needs in self.needs)

    def as_owned(self, have: Collection[str]) -> Candidate:
        """Return it as it is taken with what is owned: with poorer gear where only that is there."""
        poorer = self.poorer
        return poorer if poorer and not self.is_within(have) and poorer.is_within(have) else self

    def missing(self, have: Collection[str]) -> frozenset[str]:
        """Return what it needs besides what is owned: the fewest things, of those the cheapest."""
        return min((gear.difference(have) for gear in self.needs), key=lambda gear: (len(gear), price_of(gear)))

    def imagined(self, kind: str) -> Reading:
        """Return the typical reading of it, which is of a kind."""
        kind = self.imagined_as or kind
        known = fields_of(KINDS[kind])
        return KINDS[kind](**{key: known[key].read(value, key) for key, value in self.fields.items()})


# Judgement: usual amounts and minutes.
CANDIDATES = {
    "acid titration": Candidate(
        (frozenset({"baking soda"}), frozenset({"washing soda"}), frozenset({"lye"})),
        {
            "sample": "10 mL",
            "diluted_to": "100 mL",
            "titrant": "sodium bicarbonate",
            "strength": "0.5 mol/L",
            "used": "20 mL",
            "end_point": "first lasting cloud",
        },
        "a measured sample titrated with soda gives the free acid",
        20.0,
    ),
    "copper titration": Candidate(
        (frozenset({"EDTA"}), frozenset({"thiosulfate"})),
        {
            "method": "EDTA",
            "sample": "2 mL",
            "predilution": ["10 mL", "100 mL"],
            "strength": "0.01 mol/L",
            "used": "16 mL",
            "indicator": "PAN",
        },
        "a titration gives the copper by itself, without the acid",
        30.0,
    ),
    "pH curve": Candidate(
        (
            frozenset({"pH meter", "baking soda"}),
            frozenset({"pH meter", "washing soda"}),
            frozenset({"pH meter", "lye"}),
        ),
        {
            "sample": "5 mL",
            "diluted_to": "100 mL",
            "titrant": "sodium carbonate",
            "strength": "0.25 mol/L",
            "used": "12 mL",
            "used_with": "50 mL class B burette",
            "end_point": "pH meter",
        },
        "a titration followed with a pH meter gives the free acid most surely",
        40.0,
        imagined_as="acid titration",
    ),
    "thinned conductivity": Candidate(
        (frozenset({"conductivity pen"}),),
        {
            "value": "1150 uS/cm",
            "sample": "1 mL",
            "thinned_to": "500 mL",
            "temperature": "21 degC",
            "water": "3 uS/cm",
        },
        "a conductivity pen in a little bath thinned with much distilled water tells the free acid",
        10.0,
    ),
    "thinned pH": Candidate(
        (frozenset({"pH meter"}),),
        {
            "value": "2.70",
            "buffer": [4.0, 4.0],
            "sample": "1 mL",
            "thinned_to": "500 mL",
            "temperature": "21 degC",
            "water": "3 uS/cm",
        },
        "a pH pen in a little bath thinned with much distilled water tells the free acid roughly",
        10.0,
        frozenset({"thinned conductivity"}),
    ),
    "laboratory report": Candidate(
        SENT_AWAY,
        {"copper": "54 g/L", "sulfuric_acid": "55 g/L"},
        "a laboratory tells copper, acid and foreign metals from a small bottle, within a week or so",
        30.0,
    ),
    "colour match": Candidate(
        (frozenset({"jars"}),),
        {"lower": "180 g/L", "upper": "240 g/L", "position": 0.5},
        "the bath between two jars that you mixed yourself tells the copper roughly, by its colour",
        40.0,
    ),
    "weighed density": Candidate(
        (frozenset({"0.1 g scale"}), frozenset({"0.01 g scale"})),
        {"empty": "85.0 g", "with_water": "184.7 g", "with_bath": "200.8 g"},
        "one bottle weighed empty, with water and with bath gives the density; with the acid known, that gives "
        "the copper",
        15.0,
        frozenset({"hydrometer"}),
        poorer=Candidate(
            (frozenset({"1 g scale"}),),
            {"empty": "50 g", "with_water": "1047 g", "with_bath": "1208 g"},
            "a bottle of a litre weighed empty, with water and with bath, on a 1 g scale that weighs no food again, "
            "gives the density; with the acid known, that gives the copper",
            20.0,
            frozenset({"hydrometer"}),
        ),
    ),
    "plated-out copper": Candidate(
        (frozenset({"inert anode", "0.01 g scale"}), frozenset({"inert anode", "0.1 g scale"})),
        {"sample": "50 mL", "before": "20.0 g", "after": "22.5 g"},
        "all the copper of a measured sample is plated onto a metal that you weigh before and after; no other counts",
        30.0,
    ),
    "cemented copper": Candidate(
        (frozenset({"zinc strip", "0.01 g scale"}),),
        {"sample": "10 mL", "diluted_to": "250 mL", "before": "12.00 g", "after": "12.52 g"},
        "zinc brings the copper out of a little thinned bath, outdoors; dried and weighed, it tells the copper roughly",
        90.0,
        frozenset({"plated-out copper"}),
    ),
    "chloride titration": Candidate(
        (frozenset({"silver nitrate"}),),
        {"sample": "50 mL", "strength": "0.01 mol/L", "used": "10 mL", "end_point": "turbidity"},
        "silver nitrate gives the chloride",
        30.0,
    ),
    "chloride strip": Candidate(
        (frozenset({"chloride strips"}),),
        {"value": "35 mg/L", "dilution": 2},
        "a strip made for chloride gives it roughly",
        5.0,
        frozenset({"chloride titration", "chloride ladder"}),
    ),
    "hydrometer": Candidate(
        (frozenset({"hydrometer"}),),
        {"value": "1.16", "scale": "SG 20/20"},
        "the density gives copper sulfate and acid together; with the acid known, it gives the copper",
        5.0,
        frozenset({"weighed density"}),
    ),
}

# What the tools for them usually cost, in any currency (judgement: small shops, about euros or dollars).
TOOL_PRICES = {
    "0.1 g scale": 12.0,
    "1 g scale": 8.0,
    "0.01 g scale": 18.0,
    "hydrometer": 12.0,
    "10 mL syringe": 1.0,
    "50 mL burette": 30.0,
    "baking soda": 2.0,
    "washing soda": 2.0,
    "lye": 5.0,
    "methyl orange": 6.0,
    "pH meter": 20.0,
    "conductivity pen": 20.0,
    "EDTA": 25.0,
    "thiosulfate": 20.0,
    "jars": 5.0,
    "camera": 100.0,
    "inert anode": 25.0,
    "zinc strip": 4.0,
    "chloride strips": 20.0,
    "silver nitrate": 25.0,
}


def price_of(tools: Iterable[str]) -> float:
    """Return what tools usually cost together [in any currency]."""
    return sum(TOOL_PRICES[tool] for tool in tools)


def can_be_taken(kind: str, have: Collection[str]) -> bool:
    """Tell whether a kind of reading can be taken with the gear at hand."""
    return CANDIDATES[kind].as_owned(have).is_within(have)


def as_taken(kind: str, have: Collection[str]) -> tuple[str, float] | None:
    """Return what a kind of reading tells and its work [min], with the gear at hand; None of any other kind."""
    if kind not in CANDIDATES:
        return None
    owned = CANDIDATES[kind].as_owned(have)
    return owned.why, owned.minutes


def ways_to_take(kind: str) -> tuple[tuple[frozenset[str], ...], ...]:
    """Return the ways to take a kind of reading at home, the better first: for each, any of these sets of gear will do.

    Empty for what is not in the list, or is sent away.
    """
    candidate = CANDIDATES.get(kind)
    if candidate is None or candidate.needs == SENT_AWAY:
        return ()
    return (candidate.needs, *((candidate.poorer.needs,) if candidate.poorer else ()))
