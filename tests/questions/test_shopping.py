"""The buying list: needs by hand, the cheapest packs against all combinations, tools, bad input, agreement with check."""

import datetime
import itertools
import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.basis.fields import SheetError
from advisor.check import candidates
from advisor.check.advise import advise
from advisor.check.next_reading import Suggestion
from advisor.questions.shopping import DONE_SO_FAR, cheapest, shop, tools_for
from advisor.sheet import GEAR, SUPPLIES, Pack, parse_sheet, write_sheet
from tests.questions.some_sheets import usual

MIDDLE = {"copper_sulfate": "221.5 ± 2 g/L", "sulfuric_acid": "52.5 ± 1 g/L"}  # of the standard window: nothing is due
TESTING = {"have": ["baking soda", "methyl orange"]}


def listed(**more):
    found = shop(usual(**MIDDLE, gear=TESTING, **more))
    return found, {basket.need.what: basket for basket in found.baskets}


def test_losses_by_hand():
    """Two months of 1.5 L a week: 2 x 4.348 x 1.5 = 13.0 L. Twice 300 mL of lost bath of 221.5/52.5 g/L: 0.6 x 221.5 /
    0.99 = 134 g of crystals, 0.6 x 52.5 / 0.96 / 1.8355 = 17.9 mL of acid, about 0.53 L of water."""
    _, baskets = listed(buy={"months": 2, "water": "1.5 L", "bath": "300 mL"})
    assert baskets["copper sulfate crystals"].need.amount == pytest.approx(134.2, abs=0.2)
    assert baskets["sulfuric acid"].need.amount == pytest.approx(0.0179, abs=1e-4)
    assert baskets["distilled water"].need.amount == pytest.approx(13.04 + 0.53, abs=0.02)


def test_additive_carbon_and_inert_anodes_by_hand():
    """40 A·h a month for three: 120 A·h x 0.3 mL = 36 mL; x 4.658 g = 559 g of salt, 565 g of crystals of 99 %; one
    carbon treatment of 3 g/L x 5.6 L."""
    buy = {"plated": "40 A*h", "additive": "0.3 mL", "carbon": 1}
    _, baskets = listed(buy=buy, bath={"anodes": "inert"})
    assert baskets["additive"].need.amount == pytest.approx(0.036)
    assert baskets["copper sulfate crystals"].need.amount == pytest.approx(564.6, abs=0.5)
    assert baskets["activated carbon"].need.amount == pytest.approx(16.8)
    _, fed = listed(buy=buy, bath={"anodes": "copper"})
    assert "copper sulfate crystals" not in fed


def test_the_correction_due_is_in_the_list():
    sheet = usual(copper_sulfate="180 ± 2 g/L", sulfuric_acid="22 ± 1 g/L", gear=TESTING)
    steps = {step.what: step.numbers for step in advise(sheet).steps}
    baskets = {basket.need.what: basket.need.amount for basket in shop(sheet).baskets}
    assert baskets["copper sulfate crystals"] == pytest.approx(steps["copper sulfate crystals"]["mass_g"])
    assert baskets["sulfuric acid"] == pytest.approx(steps["sulfuric acid"]["volume_mL"] / 1000)


def test_a_correction_that_was_carried_out_is_not_bought_again():
    sheet = usual(copper_sulfate="180 ± 2 g/L", sulfuric_acid="22 ± 1 g/L", gear=TESTING)
    found = shop(sheet, corrected=datetime.date(2026, 3, 20))
    assert found.baskets == ()
    assert any("corrected on 20 March 2026" in text for text in found.warnings)
    assert not any("correction due now" in text for text in found.warnings)


def test_steps_that_are_ticked_and_not_saved_are_not_bought_again_and_those_left_are():
    sheet = usual(copper_sulfate="180 ± 2 g/L", sulfuric_acid="22 ± 1 g/L", gear=TESTING)
    (acid,) = (step for step in advise(sheet).steps if step.what == "sulfuric acid")
    (basket,) = (found := shop(sheet, steps_left=[acid])).baskets
    assert (basket.need.what, basket.need.amount) == ("sulfuric acid", acid.numbers["volume_mL"] / 1000)
    assert DONE_SO_FAR in found.warnings
    done = shop(sheet, steps_left=())
    assert (done.baskets, DONE_SO_FAR in done.warnings) == ((), True)
    assert DONE_SO_FAR not in shop(sheet).warnings


def test_what_the_list_has_no_word_for_is_said_beside_it():
    """Chloride 20 mg/L of 50 to 120: the check's only step is salt solution."""
    found, baskets = listed(chloride="20 ± 2 mg/L", bath={"additives": True})
    assert "distilled water" not in baskets
    assert any("Also for the correction due now" in text and "mL" in text for text in found.warnings)


def test_a_correction_that_is_held_back_is_said_to_be_so():
    found = shop(usual(copper_sulfate="63 ± 3 g/L", sulfuric_acid="199 ± 6 g/L", gear=TESTING))
    assert any("holds its correction back" in text for text in found.warnings)


def test_what_is_at_hand_is_not_bought():
    stock = {"crystals": {"on_hand": "100 g"}, "acid": {"strength": "96 %", "on_hand": "1 L"}}
    shelf = [{"what": "distilled water", "volume": "5 L", "price": 3, "here": 2}]
    found, baskets = listed(buy={"months": 2, "water": "1.5 L", "bath": "300 mL"}, stock=stock, shelf=shelf)
    assert baskets["copper sulfate crystals"].need.short == pytest.approx(34.2, abs=0.2)
    assert baskets["sulfuric acid"].need.short == 0.0
    assert baskets["distilled water"].need.short == pytest.approx(3.57, abs=0.02)
    assert [count for _, count in baskets["distilled water"].packs] == [1]
    assert not any("Sulfuric acid" in line for line in found.sections()[0].lines)


def test_whole_packs_of_the_cheapest_kind():
    """660 g: one kilogram at 9 before seven of 100 g at 1.50; 2600 g: a kilogram and 2.5 kg would be 27, three kilograms
    are 27 too and hold 3.0 kg, less than 3.5: the one that leaves less over."""
    assert cheapest(660.0, [1000.0, 100.0], [9.0, 1.5]) == [1, 0]
    assert cheapest(660.0, [1000.0, 100.0], [12.0, 1.5]) == [0, 7]
    assert cheapest(2600.0, [1000.0, 2500.0], [9.0, 18.0]) == [3, 0]


@given(
    st.floats(1.0, 50.0),
    st.lists(st.tuples(st.integers(1, 20), st.integers(1, 40)), min_size=1, max_size=3, unique=True),
)
@settings(max_examples=60, deadline=None)
def test_no_combination_of_packs_is_cheaper(short, packs):
    sizes, prices = [float(size) for size, _ in packs], [float(price) for _, price in packs]
    counts = cheapest(short, sizes, prices)
    holds = sum(size * count for size, count in zip(sizes, counts, strict=True))
    cost = sum(price * count for price, count in zip(prices, counts, strict=True))
    assert holds >= short * (1 - 1e-6)
    ranges = [range(math.ceil(short / size) + 1) for size in sizes]
    assert (cost, holds) == min(  # and of those that cost as little, none leaves less over
        (sum(p * n for p, n in zip(prices, tried, strict=True)), held)
        for tried in itertools.product(*ranges)
        if (held := sum(s * n for s, n in zip(sizes, tried, strict=True))) >= short * (1 - 1e-9)
    )


def test_of_packs_equally_dear_those_are_bought_that_leave_less_over():
    """2521 g: three kilograms at 3 are 9 and leave 479 g; two and three of 250 g at 1 are 9 as well, and leave 229 g."""
    assert cheapest(2521.0, [50.0, 250.0, 1000.0], [3.0, 1.0, 3.0]) == [0, 3, 2]


def test_without_packs_the_price_of_the_stock_counts():
    found, baskets = listed(
        buy={"bath": "1 L", "months": 1}, stock={"crystals": {"price": 9.0}, "acid": {"strength": "37 %"}}
    )
    crystals = baskets["copper sulfate crystals"]
    assert crystals.cost == pytest.approx(crystals.need.short / 1000 * 9)
    assert baskets["sulfuric acid"].cost is None
    assert found.cost is None
    assert any("Your price list has no pack of" in text for text in found.warnings)


def test_what_is_said_of_packs_and_prices_by_hand():
    """134.2 g at 9 a kilogram are 1.21, 17.9 mL at 4 a litre 0.07; 13.58 L take three bottles of 5 L at 3: 10.28."""
    found, _ = listed(
        buy={"months": 2, "water": "1.5 L", "bath": "300 mL"},
        stock={"crystals": {"price": 9.0}, "acid": {"strength": "96 %", "price": 4.0}},
        shelf=[{"what": "distilled water", "volume": "5 L", "price": 3, "name": "shop", "here": 0}],
    )
    assert found.cost == pytest.approx(1.208 + 0.0715 + 9.0, abs=0.001)
    assert [block.title for block in found.sections()][:1] == ["To buy for 2 months"]
    assert [str(text).replace("\N{NO-BREAK SPACE}", " ") for text in found.sections()[0].lines] == [
        "Copper sulfate crystals: 134 g: about 1.21 in your currency",
        "Sulfuric acid: 18 mL: about 0.07 in your currency",
        "Distilled water: 13.6 L, as 3 of 5 L (shop): about 9.00 in your currency",
        "Together: about 10.28 in your currency",
    ]
    assert any(
        "how much you have of copper sulfate crystals and sulfuric acid, so none" in text for text in found.warnings
    )
    told = found.to_dict()["list"][2]
    assert (told["what"], told["at_hand_L"], told["packs"]) == (
        "distilled water",
        0.0,
        [{"name": "shop", "holds_L": 5.0, "count": 3}],
    )


@pytest.mark.parametrize(
    ("shelf", "said"),
    [
        ([], "Nothing is asked of it yet."),
        ([{"what": "distilled water", "volume": "5 L", "price": 3, "here": 2}], "lasts."),
    ],
)
def test_where_nothing_is_to_be_bought_that_is_said(shelf, said):
    """1.5 L a week for a month are 6.5 L, of which 10 are there."""
    found, _ = listed(shelf=shelf, buy={"months": 1, **({"water": "1.5 L"} if shelf else {})})
    (line,) = found.sections()[0].lines
    assert line.endswith(said)
    assert found.cost == 0.0


def test_treatments_and_checks_ahead_by_hand():
    """Two treatments of 2 g/L x 5.6 L; three checks of 5 g of soda and ten drops, 0.5 mL, of indicator."""
    buy = {"months": 1, "carbon": 2, "checks": 3, "plated": "40 A*h"}
    dose = {"what": "carbon", "carbon": "2 g/L"}
    shelf = [{"what": "activated carbon", "mass": "20 g", "price": 2}]
    found = shop(usual(**MIDDLE, buy=buy, treat=dose, gear={"have": []}, bath={"additives": True}, shelf=shelf))
    amounts = {basket.need.what: basket.need.amount for basket in found.baskets}
    assert amounts == pytest.approx({"activated carbon": 22.4, "baking soda": 15.0, "methyl orange": 0.0015})
    carbon = found.baskets[0]
    assert ([count for _, count in carbon.packs], carbon.cost) == ([2], 4.0)
    for said in ("label doses for an ampere-hour", "no pack of: baking soda, methyl orange", "After carbon"):
        assert any(said in text for text in found.warnings)
    assert found.sections()[0].title == "To buy for 1 month"
    assert any("Methyl orange: 1.5" in text for text in found.sections()[0].lines)


def test_buying_acid_brings_its_cautions_and_buying_none_does_not():
    wet, _ = listed(buy={"bath": "1 L"})
    assert any("upright in a plastic tub" in text for text in wet.to_dict()["cautions"])
    dry, _ = listed(buy={"water": "1 L"})
    assert dry.to_dict()["cautions"] == []


# --- Tools ----------------------------------------------------------------------------------------


def test_what_readings_need_has_a_price():
    """Also what the poorer way to take them needs."""
    kinds = set(candidates.CANDIDATES)
    assert {kind for kind in kinds if not candidates.ways_to_take(kind)} == {"laboratory report"}
    needed = {name for kind in kinds for way in candidates.ways_to_take(kind) for gear in way for name in gear}
    assert "1 g scale" in needed
    assert needed <= set(candidates.TOOL_PRICES)
    assert set(candidates.TOOL_PRICES) == set(GEAR) - {"laboratory"}


UNSURE_OF_COPPER = {"copper_sulfate": "200 ± 16 g/L", "sulfuric_acid": "60 ± 2 g/L"}


def test_what_a_kitchen_scale_does_is_not_sold_again():
    """A bottle of a litre on it gives the density in 20 minutes: a finer scale does the same in 15."""
    found = shop(usual(**UNSURE_OF_COPPER, gear={"have": ["1 g scale", "jars"]}))
    assert (found.owned.kind, found.owned.minutes) == ("weighed density", 20.0)
    assert not any("scale" in name for tool in found.tools for name in tool.lacking)


def test_who_has_no_scale_is_told_of_the_cheapest_that_will_do():
    found = shop(usual(**UNSURE_OF_COPPER, gear={"have": ["baking soda"]}))
    by_weight = [tool for tool in found.tools if tool.kind == "weighed density"]
    assert [(tool.lacking, tool.minutes) for tool in by_weight][:1] == [(("1 g scale",), 20.0)]


def test_a_hydrometer_settles_what_costs_forty_minutes():
    """With jars alone copper is matched by eye in 40 minutes; a hydrometer, cheaper than a scale, tells it in five."""
    shelf = [{"what": "hydrometer", "price": 7.5}]
    found = shop(usual(**UNSURE_OF_COPPER, gear={"have": ["jars", "baking soda"]}, shelf=shelf))
    assert found.owned.kind == "colour match"
    tool = found.tools[0]
    assert (tool.kind, tool.lacking, tool.price, tool.listed) == ("hydrometer", ("hydrometer",), 7.5, True)
    assert tool.minutes == 5.0
    text = " ".join(line for block in found.sections() for line in block.lines)
    assert "7.50 in your currency, by your list" in text
    assert "40" in text


@pytest.mark.parametrize(("gain", "said"), [(0.53, "would settle about 53 % of"), (0.995, "would settle over 99 % of")])
def test_what_a_tool_settles_is_said_to_be_about_that_unless_it_is_all_but_all(gain, said):
    found = shop(usual(**UNSURE_OF_COPPER, gear={"have": ["jars", "baking soda"]}))
    found = replace(found, owned=None, tools=(replace(found.tools[0], gain=gain),))
    text = " ".join(line for block in found.sections() for line in block.lines)
    assert said in text.replace("\N{NO-BREAK SPACE}", " ")


def test_a_dearer_tool_must_settle_more_than_a_cheaper_one():
    found = shop(usual(copper_sulfate="200 ± 30 g/L", sulfuric_acid="60 ± 20 g/L", gear={"have": ["1 g scale"]}))
    prices, gains = [tool.price for tool in found.tools], [tool.gain for tool in found.tools]
    assert prices == sorted(prices)
    assert gains == sorted(gains)
    assert all(tool.lacking for tool in found.tools)


PRICES = {"hydrometer": 5, "chloride strips": 7, "conductivity pen": 8, "zinc strip": 9, "silver nitrate": 20}


@pytest.mark.parametrize(
    ("offered", "bought"),
    [
        # kind, gain, minutes; with jars, which settle half in 40 minutes, at hand
        ([("hydrometer", 0.51, 40)], []),  # a hundredth more is not worth a tool
        ([("hydrometer", 0.53, 40)], ["hydrometer"]),
        ([("hydrometer", 0.50, 19)], ["hydrometer"]),  # as much in less than half of the time
        ([("hydrometer", 0.50, 20)], []),
        ([("hydrometer", 0.49, 5)], []),
        ([("hydrometer", 0.53, 40), ("chloride strip", 0.54, 5)], ["hydrometer"]),  # dearer, and hardly more
        ([("hydrometer", 0.50, 19), ("chloride strip", 0.50, 5)], ["hydrometer"]),
        (
            [
                ("chloride titration", 0.95, 30),
                ("thinned conductivity", 0.80, 30),
                ("hydrometer", 0.60, 30),
                ("chloride strip", 0.61, 30),
                ("cemented copper", 0.90, 30),
            ],
            ["hydrometer", "thinned conductivity", "cemented copper"],  # the cheapest first, three at most
        ),
    ],
)
def test_which_tools_are_worth_their_price(offered, bought):
    shelf = [{"what": name, "price": price} for name, price in PRICES.items()]
    sheet = usual(gear={"have": ["jars", "0.01 g scale"]}, shelf=shelf)
    offers = [Suggestion(kind, "", gain, minutes) for kind, gain, minutes in [("colour match", 0.5, 40), *offered]]
    tools, owned = tools_for(sheet, offers)
    assert (owned.kind, owned.lacking) == ("colour match", ())
    assert [tool.kind for tool in tools] == bought
    assert all(tool.listed and tool.price == PRICES[" and ".join(tool.lacking)] for tool in tools)


def test_of_the_gear_that_will_do_the_cheapest_is_named():
    """Prices that the list does not name are guesses: of soda, washing soda and lye the one of 1."""
    sheet = usual(gear={"have": []}, shelf=[{"what": "lye", "price": 1}])
    ((tool,), owned) = tools_for(sheet, [Suggestion("acid titration", "", 0.6, 30)])
    assert (tool.lacking, tool.price, tool.listed, owned) == (("lye",), 1.0, True, None)
    (guessed,), _ = tools_for(usual(gear={"have": []}), [Suggestion("hydrometer", "", 0.6, 5)])
    assert (guessed.price, guessed.listed) == (candidates.TOOL_PRICES["hydrometer"], False)


@pytest.mark.parametrize(
    ("buy", "additives", "asked"),
    [
        ({}, True, ["loses and plates"]),
        ({"water": "1 L"}, True, []),
        ({"bath": "1 L"}, True, []),
        ({"plated": "5 A*h"}, False, []),
        ({"plated": "5 A*h"}, True, ["label doses"]),
        ({"plated": "5 A*h", "additive": "0.3 mL"}, True, []),
        ({"water": "1 L", "carbon": 1}, False, []),
        ({"water": "1 L", "carbon": 1}, True, ["After carbon"]),
    ],
)
def test_what_else_the_list_wants_to_be_told(buy, additives, asked):
    found, _ = listed(buy=buy, bath={"additives": additives})
    said = [text for text in found.warnings if any(words in text for words in ("Say what", "After carbon"))]
    assert [words in text for words, text in zip(asked, said, strict=True)] == [True] * len(asked)


def test_who_has_all_is_sold_nothing():
    assert shop(usual(gear={"have": list(GEAR)})).tools == ()


# --- The sheet ------------------------------------------------------------------------------------


def test_the_price_list_is_written_and_read_back():
    sheet = usual(
        buy={"months": 2, "water": "1.5 L"},
        shelf=[
            {"what": "sulfuric acid", "volume": "1 L", "price": 4, "name": "<b>shop</b>"},
            {"what": "jars", "price": 3},
        ],
    )
    assert parse_sheet(write_sheet(sheet).encode()) == sheet


@pytest.mark.parametrize(
    ("shelf", "place"),
    [
        ("acid", "shelf"),
        ([{"price": 3}], "shelf 1: what"),
        ([{"what": "gold", "price": 3}], "shelf 1: what"),
        ([{"what": "sulfuric acid", "price": 3}], "shelf 1: volume"),
        ([{"what": "sulfuric acid", "mass": "1 kg", "volume": "1 L", "price": 3}], "shelf 1: mass"),
        ([{"what": "copper sulfate crystals", "volume": "1 L", "price": 3}], "shelf 1: mass"),
        ([{"what": "baking soda", "mass": "500 g"}], "shelf 1: price"),
        ([{"what": "hydrometer", "price": 9, "mass": "100 g"}], "shelf 1: mass"),
        (
            [{"what": "jars", "price": 1}, {"what": "sulfuric acid", "volume": "1 L", "price": 3, "here": 1}],
            "shelf 2: here",
        ),
        ([{"what": "jars", "price": 1}] * 201, "shelf: you gave 201"),
    ],
)
def test_bad_price_lists_are_named(shelf, place):
    with pytest.raises(SheetError, match=place):
        usual(shelf=shelf)


@pytest.mark.parametrize("raw", [{"months": 0}, {"water": "3 kg"}, {"plated": "5 A"}, {"bath": "-1 L"}])
def test_bad_wishes_are_named(raw):
    with pytest.raises(SheetError, match=f"buy: {next(iter(raw))}"):
        usual(buy=raw)


def test_every_supply_has_a_size_and_no_tool_has():
    counted = {what: Pack(what, price=1.0).counted_by for what in (*SUPPLIES, *GEAR)}
    assert {counted[what] for what in SUPPLIES} == {"mass", "volume"}
    assert set(Pack.WEIGHED) | set(Pack.STOCKED) <= set(SUPPLIES)
    assert {counted[what] for what in GEAR if what not in SUPPLIES} == {""}


@pytest.mark.parametrize(("end", "wanted"), [("first lasting cloud", False), ("methyl orange", True)])
def test_an_indicator_is_bought_only_for_titrations_that_use_one(end, wanted):
    titration = {
        "kind": "acid titration",
        "sample": "10 mL",
        "diluted_to": "100 mL",
        "titrant": "sodium bicarbonate",
        "strength": "0.5 mol/L",
        "used": "20 mL",
        "end_point": end,
    }
    found = shop(usual(reading=[titration], gear={"have": ["baking soda"]}))
    assert ("methyl orange" in {basket.need.what for basket in found.baskets}) is wanted


@pytest.mark.parametrize(
    ("part", "said"),
    [
        ({"made_of": ["shell or coral"]}, "seal shell or coral, and conductive paint to go over it."),
        ({"made_of": ["shell or coral"], "coat": "graphite"}, "seal shell or coral."),
        ({"made_of": ["shell or coral"], "sealed": True}, "say its area: conductive paint."),
        ({"made_of": ["shell or coral"], "sealed": True, "coat": "silver"}, None),
        ({"made_of": ["copper or brass"]}, None),
        ({"made_of": ["leaf or flower", "aluminium"]}, "Nothing is listed for the part: aluminium never goes in."),
    ],
)
def test_what_seals_the_part_is_named_beside_the_list(part, said):
    warnings = [text for text in shop(usual(part=part)).warnings if "for the part" in text]
    assert [text.endswith(said) for text in warnings] == ([True] if said else [])


@pytest.mark.parametrize(
    ("part", "varnish", "paint"),
    [
        ({"made_of": ["shell or coral"]}, 0.002 * 3 * 0.85, 0.001 * 2 * 0.85),  # L: three coats, two of paint, 0.85 dm2
        ({"made_of": ["leaf or flower", "silver"], "coat": "graphite"}, 0.002 * 2 * 0.85, 0.0),
        ({"made_of": ["leaf or flower", "shell or coral"]}, 0.002 * 3 * 0.85, 0.001 * 2 * 0.85),  # the more thirsty
        ({"made_of": ["shell or coral"], "sealed": True}, 0.0, 0.001 * 2 * 0.85),
        ({"made_of": ["quartz or glass"]}, 0.0, 0.001 * 2 * 0.85),
        ({"made_of": ["copper or brass"]}, 0.0, 0.0),
        ({"made_of": ["zinc or galvanised"]}, 0.0, 0.0),
        ({"made_of": ["leaf or flower", "marble or limestone"]}, 0.0, 0.0),
    ],
)
def test_what_parts_take_before_they_go_in_is_in_the_list(part, varnish, paint):
    shelf = [{"what": "varnish", "volume": "5 mL", "price": 4.0}]
    found = shop(usual(part=part, plate={"area": "85 cm^2"}, buy={"parts": 4}, shelf=shelf))
    amounts = {basket.need.what: basket.need.amount for basket in found.baskets}
    assert amounts.get("varnish", 0.0) == pytest.approx(4 * varnish)
    assert amounts.get("conductive paint", 0.0) == pytest.approx(4 * paint)
    packs = {basket.need.what: basket.packs for basket in found.baskets}
    assert [count for _, count in packs.get("varnish", ())] == ([math.ceil(4 * varnish / 0.005)] if varnish else [])
    assert any("by an open window" in said for said in found.to_dict()["cautions"]) == bool(varnish or paint)
    assert not any("Also for the part" in said for said in found.warnings)
    assert any("never goes in" in said for said in found.warnings) == any(
        name in part["made_of"] for name in ("zinc or galvanised", "marble or limestone")
    )
