"""What the next months take, in whole packs of the owner's own price list, and which tool would make answers surer.

What is needed follows from what the check advises now, from what the bath loses and plates (typed, or taken over from
the logbook), and from treatments and checks ahead. The packs are the cheapest that hold it (whole numbers, by
`scipy.optimize.milp`). A tool is weighed by what `check.next_reading` says that its reading would settle.

Sources
-------
Losses: the sheet. Carbon for a treatment: `treatments`. Varnish and paint: `objects`. Soda and indicator of a
titration: judgement. Prices of tools that the list does not name: judgement, in any currency.
"""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import ClassVar

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from advisor.basis.units import HOURS_PER_MONTH
from advisor.check.advice import Advice
from advisor.check.advise import advise_beside
from advisor.check.candidates import TOOL_PRICES, ways_to_take
from advisor.check.next_reading import Suggestion, with_every_tool
from advisor.check.steps import Step, salt_name, step_dose
from advisor.check.task import make_task
from advisor.questions.make_up import empty_tank, fresh
from advisor.questions.objects import MAY, coating, is_to_be_painted, never_in, sealed_for
from advisor.readings.acid_titration import AcidTitration
from advisor.sheet import GEAR, SUPPLIES, Acid, Buy, CrystalStock, Pack, Sheet, Treat
from advisor.solution.faraday import COPPER_PER_AMPERE_HOUR
from advisor.solution.molar_masses import PENTAHYDRATE_PER_COPPER
from advisor.words import phrases
from advisor.words.cautions import Act, cautions, take_care
from advisor.words.dates import said as day_said
from advisor.words.lines import Amount, Line, capital, joined, line
from advisor.words.sections import Section, percent

CRYSTALS, ACID, WATER, ADDITIVE, CARBON, SODA, INDICATOR, VARNISH, PAINT = SUPPLIES
SODA_OF_A_CHECK = 5.0  # g, for a titrant and a spill (judgement)
INDICATOR_OF_A_CHECK = 0.0005  # L: ten drops (judgement)
WEEKS_PER_MONTH = HOURS_PER_MONTH / 168.0  # exact: hours of a week
LITTLE = 1e-9  # of a need, within which packs are full enough (judgement)
LEFT_OVER = 1e-6  # of the price: of packs equally dear those that leave less over (judgement)
SURER = 0.02  # gain that a tool must have over what is owned (judgement)
MOST_TOOLS = 3  # shown: more is a catalogue (judgement)
ALSO = "Also for the correction due now, and not in this list: {steps}."
DONE_SO_FAR = (
    "What has gone in of the correction is not counted, and what you have is taken as it was before. Finish the "
    "correction on the page Correct, save it, and measure again."
)
CORRECTED = "What the check says to add is not counted: the bath was corrected on {day}. Measure it again."
HELD_BACK = "The check holds its correction back: what it would take is not counted. Do first what the check says."
STEP_NEEDS = {"copper sulfate crystals": CRYSTALS, "sulfuric acid": ACID, "water": WATER}

ACTS = {
    ACID: (Act.BUYING_ACID, Act.CHOOSING_ACID, Act.SULFURIC_ACID),
    CRYSTALS: (Act.CHOOSING_CRYSTALS, Act.COPPER_SULFATE),
    CARBON: (Act.CARBON_DUST,),
    VARNISH: (Act.VARNISH_AND_PAINT,),
    PAINT: (Act.VARNISH_AND_PAINT,),
}


@dataclass(frozen=True)
class Need:
    """How much of a supply is needed and how much is at hand [g or L]; why: in words.

    named: what the amounts are counted in, such as the anhydrous powder where the crystals at hand are that.
    """

    what: str
    named: str
    amount: float
    at_hand: float
    why: tuple[str, ...]

    @property
    def short(self) -> float:
        """What must be bought [g or L]."""
        return max(self.amount - self.at_hand, 0.0)

    @property
    def is_weighed(self) -> bool:
        """Tell whether it is counted in grams; else in litres."""
        return self.what in Pack.WEIGHED


@dataclass(frozen=True)
class Basket:
    """The packs to buy of one supply, each with how many; cost None where no price is known."""

    need: Need
    packs: tuple[tuple[Pack, int], ...]
    cost: float | None

    def to_dict(self) -> dict[str, object]:
        """Return it as in the JSON result: units in the names [g or L]."""
        unit = "g" if self.need.is_weighed else "L"
        return {
            "what": self.need.what,
            f"needed_{unit}": self.need.amount,
            f"at_hand_{unit}": self.need.at_hand,
            f"to_buy_{unit}": self.need.short,
            "packs": [
                {"name": pack.name, f"holds_{unit}": size_of(pack), "count": count} for pack, count in self.packs
            ],
            "cost": self.cost,
        }


@dataclass(frozen=True)
class Tool:
    """Something to buy that lets a reading be taken: what is lacking for it, its price, what it settles, its minutes.

    listed: whether all prices stand in the owner's list.
    """

    kind: str
    lacking: tuple[str, ...]
    price: float
    listed: bool
    gain: float
    minutes: float


@dataclass(frozen=True)
class ShoppingList:
    """What to buy for so many months, and which tools would help. owned: the best reading with what is at hand."""

    months: float
    baskets: tuple[Basket, ...]
    tools: tuple[Tool, ...]
    owned: Tool | None
    warnings: tuple[str, ...]

    TITLE: ClassVar[str] = "What to buy"

    @property
    def cost(self) -> float | None:
        """What all packs cost together [the sheet's currency]; None where a price is missing."""
        costs = [basket.cost for basket in self.baskets]
        return None if None in costs else sum(cost for cost in costs if cost is not None)

    @property
    def acts(self) -> tuple[Act, ...]:
        """What hands do with what is bought."""
        bought = [basket.need.what for basket in self.baskets if basket.need.short > 0]
        return tuple(dict.fromkeys(act for what in bought for act in ACTS.get(what, ())))

    def to_dict(self) -> dict[str, object]:
        """Return the JSON result: plain numbers with their unit in the name, None where there is nothing."""
        return {
            "months": self.months,
            "list": [basket.to_dict() for basket in self.baskets],
            "cost": self.cost,
            "tools": [
                {
                    "reading": tool.kind,
                    "lacking": list(tool.lacking),
                    "price": tool.price,
                    "price_is": "listed" if tool.listed else "usual",
                    "gain": tool.gain,
                    "minutes": tool.minutes,
                }
                for tool in self.tools
            ],
            "best_reading_now": self.owned and {"reading": self.owned.kind, "gain": self.owned.gain},
            "warnings": list(self.warnings),
            "cautions": list(cautions(self.acts)),
        }

    def sections(self) -> tuple[Section, ...]:
        """Return the list for a reader: what to buy, why, which tool would help, cautions."""
        to_buy = [_basket_line(basket) for basket in self.baskets if basket.need.short > 0]
        if self.cost and to_buy:
            to_buy.append(line("Together: about {cost}", cost=phrases.money(self.cost)))
        nothing = "Nothing: what you have lasts." if self.baskets else "Nothing is asked of it yet."
        months = f"{self.months:g} month{'' if self.months == 1 else 's'}"
        blocks = (
            Section(f"To buy for {months}", tuple(to_buy) or (nothing,)),
            Section("What it is for", tuple(_why_line(basket.need) for basket in self.baskets)),
            Section("What would make the answers surer", tuple(_tool_line(tool, self.owned) for tool in self.tools)),
            Section("What you should know", self.warnings),
            *take_care(self.acts),
        )
        return tuple(block for block in blocks if block.lines)


def shop(
    sheet: Sheet, corrected: datetime.date | None = None, steps_left: Sequence[Step] | None = None
) -> ShoppingList:
    """Return what the next months of a sheet's bath take, in packs of its price list, and which tool would help.

    corrected: the day on which what its check says to add was added already, which is then not bought again.
    steps_left: of a correction that was begun the steps that are still to be taken; None where none was.
    """
    wanted = sheet.buy or Buy()
    advice = advise_beside(sheet)
    task = make_task(sheet, advice.estimate, advice.verdict)
    tools, owned = tools_for(sheet, with_every_tool(sheet, advice.known, task, advice.plan))
    if steps_left is not None or corrected is not None:
        advice = replace(advice, steps=tuple(steps_left or ()))
    needs = needs_of(sheet, wanted, advice)
    baskets = tuple(basket_of(need, sheet) for need in needs)
    warnings = _warnings(sheet, wanted, advice, baskets)
    if corrected is not None and not steps_left:
        warnings.append(line(CORRECTED, day=day_said(corrected)))
    elif steps_left is not None:
        warnings.append(DONE_SO_FAR)
    return ShoppingList(wanted.months, baskets, tools, owned, tuple(warnings))


# --- What is needed -------------------------------------------------------------------------------


def needs_of(sheet: Sheet, wanted: Buy, advice: Advice) -> tuple[Need, ...]:
    """Return what is needed of each supply, in the order of the price list's words."""
    reasons: dict[str, list[tuple[float, str]]] = {what: [] for what in SUPPLIES}
    for what, amount, why in (
        *_for_the_correction(advice),
        *_for_losses(sheet, wanted),
        *_for_plating(sheet, wanted),
        *_for_work(sheet, wanted),
        *_for_parts(sheet, wanted),
    ):
        if amount > 0:
            reasons[what].append((amount, why))
    named = {CRYSTALS: salt_name(empty_tank(sheet).stock.crystals_pentahydrate)}
    return tuple(
        Need(
            what,
            named.get(what, what),
            sum(amount for amount, _ in told),
            _at_hand(sheet, what),
            tuple(why for _, why in told),
        )
        for what, told in reasons.items()
        if told
    )


def _for_the_correction(advice: Advice) -> list[tuple[str, float, str]]:
    """Return what the steps of the check take [g or L]."""
    found = []
    for step in advice.steps:
        if step.do == "add" and step.what in STEP_NEEDS:
            what = STEP_NEEDS[step.what]
            litres = step.numbers.get("volume_L", step.numbers.get("volume_mL", 0.0) / 1000)
            found.append((what, step.numbers["mass_g"] if what in Pack.WEIGHED else litres, "the correction due now"))
    return found


def _for_losses(sheet: Sheet, wanted: Buy) -> list[tuple[str, float, str]]:
    """Return what replaces evaporated water and lost bath, which is replaced by bath of the aim [g or L]."""
    found = []
    if wanted.water:
        found.append((WATER, wanted.water.value * WEEKS_PER_MONTH * wanted.months, "evaporation"))
    litres = wanted.bath.value * wanted.months if wanted.bath else 0.0
    if litres > 0:
        tank = empty_tank(sheet)
        amounts = fresh(tank, litres, tank.aim_copper_sulfate, tank.aim_sulfuric_acid)
        why = "bath that leaves with the parts"
        found += [
            (WATER, amounts.water_L, why),
            (CRYSTALS, amounts.crystals, why),
            (ACID, amounts.acid / tank.stock.acid_density / 1000, why),
        ]
    return found


def _for_plating(sheet: Sheet, wanted: Buy) -> list[tuple[str, float, str]]:
    """Return what plating takes: additive by its label, and crystals where anodes give nothing back [g or L]."""
    charge = wanted.plated.value * wanted.months if wanted.plated else 0.0
    found = []
    if wanted.additive:
        found.append((ADDITIVE, wanted.additive.value * charge, "plating, by the label's dose"))
    if sheet.bath.anodes == "inert":
        stock = empty_tank(sheet).stock
        salt = charge * COPPER_PER_AMPERE_HOUR * PENTAHYDRATE_PER_COPPER
        found.append((CRYSTALS, salt / stock.crystals_pentahydrate, "copper that inert anodes do not give back"))
    return found


def _for_work(sheet: Sheet, wanted: Buy) -> list[tuple[str, float, str]]:
    """Return what treatments and checks ahead take [g or L]."""
    dose, have = (sheet.treat or Treat("carbon")).carbon.value, set(sheet.gear.have)
    found = [(CARBON, wanted.carbon * dose * sheet.bath.volume.value, "carbon treatments")]
    if not have & {SODA, "washing soda", "lye"}:
        found.append((SODA, wanted.checks * SODA_OF_A_CHECK, "titrations"))
    ends = {reading.end_point for reading in sheet.readings if isinstance(reading, AcidTitration)}
    if INDICATOR not in have and (INDICATOR in ends or not ends):  # who goes by the cloud or a meter needs none
        found.append((INDICATOR, wanted.checks * INDICATOR_OF_A_CHECK, "titrations"))
    return found


def _for_parts(sheet: Sheet, wanted: Buy) -> list[tuple[str, float, str]]:
    """Return what parts like the one of the sheet take before they go in [L]; nothing where its area is not said."""
    if sheet.part is None or sheet.plate is None:
        return []
    varnish, paint = (wanted.parts * litres for litres in coating(sheet.part, sheet.plate.area.value))
    return [
        (VARNISH, varnish, f"sealing {' and '.join(sealed_for(sheet.part))}"),
        (PAINT, paint, "a coat that conducts"),
    ]


def _at_hand(sheet: Sheet, what: str) -> float:
    """Return what there is of a supply [g or L]: of crystals and acid as the stock says, else full packs."""
    if what in Pack.STOCKED:
        labelled = _labelled(sheet, what)
        return labelled.on_hand.value if labelled and labelled.on_hand else 0.0
    return sum(size_of(pack) * pack.here for pack in sheet.shelf if pack.what == what)


# --- Packs ----------------------------------------------------------------------------------------


def size_of(pack: Pack) -> float:
    """Return what a pack holds [g or L]."""
    held = pack.mass or pack.volume
    return held.value if held else 0.0


def basket_of(need: Need, sheet: Sheet) -> Basket:
    """Return the cheapest whole packs that hold what is short, or its price by the stock's where no pack is listed."""
    packs = [pack for pack in sheet.shelf if pack.what == need.what]
    if need.short <= 0:
        return Basket(need, (), 0.0)
    if not packs:
        return Basket(need, (), _by_the_stock(need, sheet))
    counts = cheapest(need.short, [size_of(pack) for pack in packs], [pack.price for pack in packs])
    chosen = tuple((pack, count) for pack, count in zip(packs, counts, strict=True) if count)
    return Basket(need, chosen, sum(pack.price * count for pack, count in chosen))


def _by_the_stock(need: Need, sheet: Sheet) -> float | None:
    """Return what is short at the price of the stock [the sheet's currency]; None where the sheet names none."""
    stock = _labelled(sheet, need.what)
    unit = 1000.0 if need.is_weighed else 1.0  # its prices are a kilogram and a litre
    return None if stock is None or stock.price is None else need.short / unit * stock.price


def _labelled(sheet: Sheet, what: str) -> CrystalStock | Acid | None:
    """Return what the sheet says of crystals or acid on hand; None of what is no stock of its own."""
    return {CRYSTALS: sheet.stock.crystals, ACID: sheet.stock.acid}.get(what)


def cheapest(short: float, sizes: Sequence[float], prices: Sequence[float]) -> list[int]:
    """Return how many packs of each size [g or L] hold what is short at the least cost, and of those the least over."""
    most = [int(np.ceil(short / size)) for size in sizes]
    dearest = max(max(prices), 1.0)
    weights = np.array(prices) / dearest / LEFT_OVER + np.array(sizes) / short
    found = milp(
        weights,
        integrality=np.ones(len(sizes)),
        bounds=Bounds(0, most),
        constraints=LinearConstraint(np.array([sizes]) / short, 1.0 - LITTLE, np.inf),
        options={"mip_rel_gap": 0.0},  # what it leaves open else, as in prices, is more than what is left over counts
    )
    assert found.x is not None  # filling up with one size alone is always allowed
    return [round(count) for count in found.x]


# --- Tools ----------------------------------------------------------------------------------------


def tools_for(sheet: Sheet, helpful: Sequence[Suggestion]) -> tuple[tuple[Tool, ...], Tool | None]:
    """Return the tools worth buying, the cheapest first, and the best reading that needs none.

    helpful: the readings that would help someone who owns every tool.
    """
    taken = {reading.kind for reading in sheet.readings}
    found = [
        _tool(sheet, suggestion.kind, needs, way)
        for suggestion in helpful
        if suggestion.kind and suggestion.kind not in taken
        for needs, way in zip(ways_to_take(suggestion.kind), (suggestion, suggestion.poorer), strict=False)
        if way
    ]
    owned = max((tool for tool in found if not tool.lacking), key=lambda tool: tool.gain, default=None)
    return _worth_buying([tool for tool in found if tool.lacking], owned), owned


def _tool(sheet: Sheet, kind: str, needs: Sequence[frozenset[str]], way: Suggestion) -> Tool:
    """Return what is lacking to take a reading in a way: of the sets of gear that will do, the cheapest to complete."""
    listed = {pack.what: pack.price for pack in sheet.shelf if pack.what in GEAR}
    prices = TOOL_PRICES | listed
    ways = [tuple(sorted(gear.difference(sheet.gear.have))) for gear in needs]
    costs = [sum(prices[name] for name in lacking) for lacking in ways]
    price, lacking = min(zip(costs, ways, strict=True))
    return Tool(kind, lacking, price, set(lacking) <= set(listed), way.gain, way.minutes)


def _worth_buying(tools: Sequence[Tool], owned: Tool | None) -> tuple[Tool, ...]:
    """Return tools by their price, each of which settles more than the one before and more than what is owned.

    The first may also settle as much in half of the time.
    """
    worth: list[Tool] = []
    best = owned.gain if owned else 0.0
    for tool in sorted(tools, key=lambda tool: (tool.price, -tool.gain)):
        quicker = owned is not None and tool.minutes < owned.minutes / 2 and tool.gain >= owned.gain
        if tool.gain > best + SURER or (quicker and not worth):
            worth.append(tool)
            best = max(best, tool.gain)
    return tuple(worth[:MOST_TOOLS])


# --- What is said ---------------------------------------------------------------------------------


def amount_of(need: Need, amount: float) -> Amount:
    """Return an amount of a supply [g or L] as it is shown."""
    if need.is_weighed:
        return Amount(amount, "g", digits=3)
    return Amount(amount, "L", digits=3) if amount >= 0.1 else Amount(1000 * amount, "mL", digits=2)


def _basket_line(basket: Basket) -> Line:
    need = basket.need
    packs = [
        line(
            "{count} of {size}{name}",
            count=count,
            size=amount_of(need, size_of(pack)),
            name=f" ({pack.name})" if pack.name else "",
        )
        for pack, count in basket.packs
    ]
    cost = "" if basket.cost is None else line(": about {cost}", cost=phrases.money(basket.cost))
    return line(
        "{what}: {short}{packs}{cost}",
        what=need.named.capitalize(),
        short=amount_of(need, need.short),
        packs=line(", as {packs}", packs=joined(" and ", packs)) if packs else "",
        cost=cost,
    )


def _why_line(need: Need) -> Line:
    return line(
        "{what}: {amount} for {why}; {at_hand}",
        what=need.named.capitalize(),
        amount=amount_of(need, need.amount),
        why=" and ".join(dict.fromkeys(need.why)),
        at_hand=line("{held} at hand", held=amount_of(need, need.at_hand)) if need.at_hand else "none at hand",
    )


def _tool_line(tool: Tool, owned: Tool | None) -> Line:
    """Say what a tool would settle, beside the best reading that is to be had without it."""
    price = (
        f"{phrases.money(tool.price)}, by your list"
        if tool.listed
        else f"about {tool.price:.0f} euros or dollars, a guess"
    )
    lacking = capital(" and ".join(_named(name) for name in tool.lacking))
    bought = line("{lacking} ({price})", lacking=lacking, price=price)
    if owned and tool.gain <= owned.gain + SURER:
        return line(
            "{bought} would settle in {minutes:.0f} minutes ({kind}) what takes you {others:.0f} by {other}",
            bought=bought,
            minutes=tool.minutes,
            kind=tool.kind,
            others=owned.minutes,
            other=owned.kind,
        )
    settles = line(
        "{bought}: the reading ({kind}, {minutes:.0f} minutes) would settle {gain} of what a check leaves open",
        bought=bought,
        kind=tool.kind,
        minutes=tool.minutes,
        gain=_about(tool.gain),
    )
    if owned is None:
        return settles
    return line(
        "{settles}; the best with what you have ({kind}, {minutes:.0f} minutes) settles {gain}",
        settles=settles,
        kind=owned.kind,
        minutes=owned.minutes,
        gain=percent(owned.gain),
    )


def _about(gain: float) -> str:
    """Say a share that is known roughly; beyond the last of a hundred "over" and "under" say so already."""
    said = percent(gain)
    return f"about {said}" if said[0].isdigit() else said


def _named(gear: str) -> str:
    """Return a tool with its article."""
    if gear in ("baking soda", "washing soda", "lye", "EDTA", "thiosulfate", "silver nitrate", "methyl orange"):
        return gear
    return gear if gear.endswith("s") else f"an {gear}" if gear[0] in "aeiou" else f"a {gear}"


def _warnings(sheet: Sheet, wanted: Buy, advice: Advice, baskets: Sequence[Basket]) -> list[str]:
    said = _not_told(sheet, wanted)
    besides = [step_dose(step) for step in advice.steps if step.do == "add" and step.what not in STEP_NEEDS]
    if besides:
        said.append(line(ALSO, steps=joined("; ", besides)))
    if advice.plan.held_back:
        said.append(HELD_BACK)
    said += [*_about_prices(sheet, baskets), *_about_the_part(sheet)]
    if wanted.carbon and sheet.bath.additives:
        said.append("After carbon the bath takes additives as a new one does: that dose is not in the list.")
    return said


def _not_told(sheet: Sheet, wanted: Buy) -> list[str]:
    """Say what else the list needs to be told to be complete."""
    said: list[str] = []
    if not (wanted.water or wanted.bath or wanted.plated):
        said.append(
            "Say what the bath loses and plates (two checks in its logbook tell it): else the check alone counts."
        )
    if not sheet.readings:
        said.append("The bath is not measured: what a correction takes is not in the list.")
    if wanted.plated and sheet.bath.additives and not wanted.additive:
        said.append("Say what your additive's label doses for an ampere-hour, and it joins the list.")
    return said


def _about_the_part(sheet: Sheet) -> list[str]:
    """Say that the part may never go in, or what it takes that cannot be counted while nobody said how large it is."""
    part = sheet.part
    if part and never_in(part):
        return [f"Nothing is listed for the part: {name} {MAY['never']}." for name in never_in(part)]
    if part is None or sheet.plate is not None:
        return []
    sealed, paint = sealed_for(part), is_to_be_painted(part)
    asked = [f"varnish or resin to seal {' and '.join(sealed)}"] if sealed else []
    asked += ["conductive paint to go over it" if sealed else "conductive paint"] if paint else []
    return [f"Also for the part, and not in this list until you say its area: {', and '.join(asked)}."] if asked else []


def _about_prices(sheet: Sheet, baskets: Sequence[Basket]) -> list[str]:
    said: list[str] = []
    unpriced = [basket.need.what for basket in baskets if basket.cost is None]
    if unpriced:
        said.append(f"Your price list has no pack of: {', '.join(unpriced)}.")
    stocked = [basket.need.what for basket in baskets if basket.need.what in Pack.STOCKED]
    unsaid = [what for what in stocked if not ((labelled := _labelled(sheet, what)) and labelled.on_hand)]
    if unsaid:
        said.append(f"You did not say how much you have of {' and '.join(unsaid)}, so none is counted as at hand.")
    return said
