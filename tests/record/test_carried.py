"""What was logged is counted exactly, and what nobody logs widens the ±."""

import datetime
from dataclasses import replace

import numpy as np
import pytest

from advisor.basis.units import parse
from advisor.check.advise import advise
from advisor.check.estimate import estimate_from
from advisor.examples import example_text
from advisor.record.asked import level_to_begin_with
from advisor.record.carried import IDLE_COPPER, carry_forward, what_the_record_adds
from advisor.record.entries import (
    AnodeChange,
    CarbonTreatment,
    Check,
    CrystalsAdded,
    Entry,
    Filtered,
    LevelMark,
    PouredIn,
    Remake,
    RunDone,
    TakenOut,
    WaterAdded,
    Withdrawn,
    standing,
)
from advisor.sheet import parse_sheet, write_sheet
from tests.record.some_entries import CRYSTALS, WATER, check_that_found

START = datetime.datetime(2026, 3, 1, tzinfo=datetime.UTC)


def check(
    copper_sulfate=(212.0, 3.0), sulfuric_acid=(54.0, 1.0), chloride=(70.0, 7.0), level="5.6 L", tank=""
) -> Check:
    return check_that_found(copper_sulfate, sulfuric_acid, chloride, level, correlation=-0.3, tank=tank)


def log(*contents) -> list[Entry]:
    """A check at the start, and one thing each day after."""
    return [
        Entry(number, "a", START + datetime.timedelta(days=number), START, "1", None, content)
        for number, content in enumerate([check(), *contents])
    ]


def days_on(days: float) -> datetime.datetime:
    return START + datetime.timedelta(days=days)


# --- Carried forward ------------------------------------------------------------------------------


def test_nothing_logged_and_no_time_gives_the_check_back():
    carried = carry_forward(log(), START)
    assert carried.values["copper_sulfate"].value == pytest.approx(212, rel=1e-9)
    assert carried.values["copper_sulfate"].standard_uncertainty == pytest.approx(np.hypot(3.0, 2.12))
    assert carried.known.volume_L == pytest.approx(5.6, rel=1e-9)
    assert carried.days == 0


@pytest.mark.parametrize(
    ("days", "charge", "said"),
    [(0.1, 14.0, "14 A·h ago"), (1.2, 0.0, "1 day ago"), (5.0, 14.0, "5 days and 14 A·h ago"), (0.1, 0.0, "of today")],
)
def test_no_days_are_not_counted(days, charge, said):
    carried = replace(carry_forward(log(), START), days=days, ampere_hours=charge)
    assert carried.summary().startswith(f"From your check {said} and what you logged since")


def test_dilution_and_taking_out_by_hand():
    out, water = TakenOut(volume=parse("0.6 L", "volume")), WaterAdded(volume=parse("0.6 L", "volume"))
    carried = carry_forward(log(out, water), days_on(3))
    share = 5.0 / carried.known.volume_L
    assert carried.known.volume_L == pytest.approx(5.6, abs=0.01)
    assert carried.values["sulfuric_acid"].value == pytest.approx(54 * share, rel=1e-9)
    assert carried.values["chloride"].value == pytest.approx(70 * share, rel=1e-9)


def test_filter_and_carbon_keep_bath_back():
    """2 ± 1 % and 0.5 ± 0.4 % (standard) of the bath; filled up with water 212 g/L are less by 5.3, whether that water is
    written down or shows at the level alone, and their ± has 2.3 g/L beside what is left of the check's."""
    plain = carry_forward(log(), days_on(3)).values["copper_sulfate"]
    water = WaterAdded(volume=parse("0.1389 L", "volume"))
    for moves in ((CarbonTreatment(), Filtered()), (CarbonTreatment(), Filtered(), water)):
        carried = carry_forward(log(*moves), days_on(3))
        to_the_mark = carried.known.volume_L / 5.6
        treated = carried.values["copper_sulfate"]
        assert to_the_mark * treated.value == pytest.approx(212 * 0.98 * 0.995, rel=1e-3)
        more = 212 * np.hypot(0.01 * 0.995, 0.004 * 0.98)
        left = 0.98 * 0.995 * plain.standard_uncertainty
        assert to_the_mark * treated.standard_uncertainty == pytest.approx(np.hypot(left, more), rel=0.005)


def test_what_was_added_after_a_treatment_is_not_kept_back():
    """Of 245 g of salt carbon keeps back 2 %, 4.9 g, only where they were in the bath by then."""
    before, after = (
        carry_forward(log(*moves), days_on(3))
        for moves in ((CRYSTALS, CarbonTreatment()), (CarbonTreatment(), CRYSTALS))
    )
    held, less = (each.values["copper_sulfate"].value * each.known.volume_L for each in (after, before))
    assert held - less == pytest.approx(4.9, abs=0.1)


def treated(days: int) -> list:
    """A carbon treatment and eight filters from a day on."""
    return [(days + at, what) for at, what in enumerate([CarbonTreatment(), *[Filtered()] * 8], start=1)]


def test_what_treatments_kept_back_before_is_no_loss_that_goes_on():
    """Two checks that differ by just what the treatments between them kept back, while 2 L evaporated and were made up:
    nothing else is lost since, and the same treatments again take the same share again."""
    share = 0.98 * 0.995**8
    then, now = check(), check((212 * share, 3.0), (54 * share, 1.0), (70 * share, 7.0))
    water = 2 + 5.6 * (1 - share)  # L, with what is poured for the bath that was kept back
    days = [(0, then), *treated(0), (20, WaterAdded(volume=parse(f"{water:.4f} L", "volume"))), (40, now)]
    entries = [
        Entry(number, "a", days_on(day), days_on(day), "1", None, content)
        for number, (day, content) in enumerate([*days, *treated(40)])
    ]
    idle, again = (carry_forward(some, days_on(80)) for some in (entries[: len(days)], entries))
    to_the_mark = again.known.volume_L / 5.6
    for name, held in (("copper_sulfate", 212.0), ("sulfuric_acid", 54.0)):
        assert idle.values[name].value == pytest.approx(held * share, rel=5e-4)
        assert to_the_mark * again.values[name].value == pytest.approx(held * share**2, rel=1e-3)


def test_order_of_time_counts_when_bath_is_taken_out():
    out, water = TakenOut(volume=parse("2 L", "volume")), WaterAdded(volume=parse("2 L", "volume"))
    first, last = (carry_forward(log(*moves), days_on(3)) for moves in ((out, water), (water, out)))
    assert first.values["copper_sulfate"].value < last.values["copper_sulfate"].value - 10


def test_time_and_ampere_hours_widen_and_correlate():
    spreads = [
        carry_forward(log(), days_on(days)).values["copper_sulfate"].standard_uncertainty for days in (1, 30, 365)
    ]
    assert spreads == sorted(spreads)
    assert spreads[2] > 20
    run = RunDone(charge=parse("200 A*h", "charge"))
    plated = carry_forward(log(run), days_on(2))
    assert plated.ampere_hours == 200
    assert plated.values["copper_sulfate"].standard_uncertainty > spreads[1]
    assert plated.correlation < -0.9  # what the anodes do not give back moves copper and acid apart
    assert np.linalg.eigvalsh(plated.known.covariance).min() > 0


def test_how_much_a_month_leaves_open():
    """30 of 30.4 days: a hundredth of the bath may be lost (2.09, 0.53 g/L, 0.69 mg/L), and idle copper may bring 0.45 g/L.

    That is 0.45 · 249.68/63.546 = 1.77 of copper sulfate for 0.45 · 98.08/63.546 = 0.69 of acid. Beside the check's own 3,
    1 and 7 and the same bottles again (1, 1 and 3 %): √(3² + 2.12² + 2.09² + 1.77²) = 4.58, √(1 + 0.54² + 0.53² + 0.69²) =
    1.43, √(7² + 2.1² + 0.69²) = 7.34; -0.3 · 3 · 1 + 2.09 · 0.53 - 1.77 · 0.69 = -1.02 go together.
    """
    carried = carry_forward(log(), days_on(30))
    spreads = [carried.values[name].standard_uncertainty for name in ("copper_sulfate", "sulfuric_acid", "chloride")]
    assert spreads == pytest.approx([4.58, 1.434, 7.34], rel=2e-3)
    assert carried.correlation == pytest.approx(-1.02 / 4.58 / 1.434, rel=0.02)
    assert [carried.values[name].value for name in ("copper_sulfate", "sulfuric_acid")] == pytest.approx([212, 54])


def test_idle_copper_by_hand():
    """1.7 to 4.4 g/m2/day (excerpt of a corrosion paper) over 1 dm2 a litre, half of the time: 0.0085 to 0.022, middle
    0.0153 g a litre and day, kept as 0.015."""
    low, high = (loss * 0.01 * 0.5 for loss in (1.7, 4.4))
    assert pytest.approx((low + high) / 2, abs=0.0005) == IDLE_COPPER
    assert pytest.approx(0.015, abs=1e-12) == IDLE_COPPER


def test_a_level_written_down_tells_what_had_dried_away_by_then():
    thick = carry_forward(log(LevelMark(volume=parse("4.7 L", "volume"))), days_on(9))
    assert thick.known.volume_L == pytest.approx(4.7, rel=1e-9)
    assert str(thick.summary()).endswith(", if no water has evaporated since the level that you wrote down.")
    assert str(carry_forward(log(), days_on(9)).summary()).endswith(", if no water had evaporated.")


@pytest.mark.parametrize(
    "since",
    [[Remake()], [TakenOut(volume=parse("6 L", "volume"))]],
    ids=["mixed anew", "more taken out than there was"],
)
def test_what_ends_the_record_carries_nothing(since):
    assert carry_forward(log(*since), days_on(9)) is None


def test_no_check_or_an_empty_one_carries_nothing():
    assert carry_forward([], START) is None
    empty = replace(log()[0], content=check(None, None, None))
    assert carry_forward([empty], START) is None


def test_only_what_was_determined_is_carried():
    entry = replace(log()[0], content=check(None, (54.0, 1.0), None))
    carried = carry_forward([entry], START)
    reading = carried.reading()
    assert reading.copper_sulfate is None
    assert reading.sulfuric_acid.value == 54
    assert reading.correlation == 0
    assert str(carried.summary()).endswith(": sulfuric acid 54 ± 2 g/L, if no water had evaporated.")
    salt = carry_forward([replace(entry, content=check((212.0, 3.0), None, None))], START)
    assert set(salt.known.measured) == {"copper_sulfate"}


def test_a_withdrawn_addition_does_not_count():
    entries = log(CRYSTALS)
    taken_back = Entry(9, "a", days_on(1), days_on(2), "1", entries[1].id, Withdrawn())
    carried = carry_forward([*entries, taken_back], days_on(3))
    assert carried.values["copper_sulfate"].value == pytest.approx(212, rel=1e-9)


def test_the_reading_tells_the_next_sheet_the_same():
    sheet = parse_sheet(example_text("evaporation").encode())
    empty = replace(sheet, readings=())
    carried = carry_forward(log(WATER), days_on(10))
    with_it = carried.add_to(replace(empty, bath=replace(empty.bath, volume=parse("6.5 L", "volume"))))
    (reading,) = with_it.readings
    assert reading.volume.value == pytest.approx(carried.known.volume_L, rel=1e-4)
    assert reading.copper_sulfate.standard_uncertainty == pytest.approx(
        carried.values["copper_sulfate"].standard_uncertainty, rel=5e-3
    )
    found_now = estimate_from(with_it, with_it.readings)
    expected = carried.values["sulfuric_acid"].value * carried.known.volume_L / 6.5
    assert found_now.value("sulfuric_acid") == pytest.approx(expected, rel=0.01)
    assert advise(with_it).values["copper_sulfate"] is not None


def test_the_level_now_and_the_level_then_are_written_alike():
    """They stood on one page as 5.663 L and 5.6628 L."""
    entries = log(CRYSTALS)
    carried = carry_forward(entries, days_on(1))
    assert f"{carried.known.volume_L:.5g}" != f"{carried.known.volume_L:.4g}"
    assert level_to_begin_with(carried, entries[1:]).text == carried.reading().volume.text


def test_a_level_that_was_hardly_read_is_carried_as_such():
    """5.6 ± 0.56 L are good to 5.1 %: if all is as then, so is the acid now, 54 g/L: √(1 + 0.54² + 2.76² + 0.27²) g/L."""
    sheet = replace(parse_sheet(example_text("evaporation").encode()), readings=())
    sheet = replace(sheet, bath=replace(sheet.bath, volume=parse("5.6 L", "volume"), usual_volume=None))
    spreads = []
    for typed in ("5.6 L", "5.6 ± 0.56 L"):
        (begun,) = log()
        carried = carry_forward([replace(begun, content=check(level=typed))], START)
        with_it = carried.add_to(sheet)
        spreads.append(estimate_from(with_it, with_it.readings).standard_uncertainty("sulfuric_acid"))
    assert spreads == pytest.approx([1.19, 3.00], rel=0.03)


def test_the_record_sharpens_and_says_by_how_much():
    sheet = parse_sheet(example_text("dull").encode())
    said = what_the_record_adds(carry_forward(log(), days_on(20)).add_to(sheet))
    assert said[0].startswith("Copper sulfate: ")
    assert "192 ± 6 g/L without it" in said[0]
    assert what_the_record_adds(sheet) == ()


def test_what_the_record_adds_is_told_whatever_its_note_says():
    sheet = parse_sheet(example_text("dull").encode())
    reading = carry_forward(log(), days_on(20)).reading()
    renamed = replace(reading, note="my own words")
    said = [what_the_record_adds(replace(sheet, readings=(*sheet.readings, one))) for one in (reading, renamed)]
    assert said[0]
    assert said[0] == said[1]


def test_a_previous_check_that_was_typed_is_not_taken_for_the_record_s():
    sheet = parse_sheet(example_text("dull").encode())
    typed = replace(carry_forward(log(), days_on(20)).reading(), origin="typed")
    assert what_the_record_adds(replace(sheet, readings=(*sheet.readings, typed))) == ()


def at_once(*contents) -> list[Entry]:
    """The same log within minutes of the check, so that time widens nothing."""
    return [replace(entry, when=START + datetime.timedelta(minutes=entry.id)) for entry in log(*contents)]


@pytest.mark.parametrize(("half", "spread"), [("2.8 L", 2.43), ("2.8 ± 0.0001 L", 2.43), ("2.8 ± 0.5488 L", 10.9)])
def test_what_was_known_shrinks_with_the_share_that_is_kept(half, spread):
    """Half of the bath out and water in its place: of 212 ± 3 g/L stay 106 ± 1.5.

    To that come 1 % (1.06) for the same bottles erring again, and 1.5 % of the 2.8 L that left, 1.59 of 212 g/L:
    √(1.5² + 1.06² + 1.59²) = 2.43 g/L; with 10 % as typed, 10.6 g/L more. Water brings none.
    """
    out, water = TakenOut(volume=parse(half, "volume")), WaterAdded(volume=parse("2.8 L", "volume"))
    carried = carry_forward(at_once(out, water), START + datetime.timedelta(hours=1))
    assert carried.values["copper_sulfate"].value == pytest.approx(106, rel=0.01)
    assert carried.values["copper_sulfate"].standard_uncertainty == pytest.approx(spread, rel=0.01)


def test_buckets_of_one_measure_err_alike_and_a_range_is_each_one_s_own():
    """Four times 0.7 L are 2.8 L to 1.5 %, 3.18 of 212 g/L in what is left; 10 % of each bucket are 10.6 g/L of all."""
    spreads = []
    for litres in ("0.7 L", "0.7 ± 0.1372 L"):
        out = [TakenOut(volume=parse(litres, "volume"))] * 4
        carried = carry_forward(at_once(*out), START + datetime.timedelta(hours=1))
        spreads.append(carried.values["copper_sulfate"].standard_uncertainty)
    plain = np.hypot(np.hypot(3.0, 2.12), 3.18)  # in half of the bath it is as strong as before
    assert spreads == pytest.approx([plain, np.hypot(plain, 10.6)], rel=0.05)


def test_what_was_logged_is_known_to_one_and_a_half_percent():
    """Two pounds of crystals (907 g of 99 %) in 5.6 L: 898 g, and the level rises by about 0.4 L (0.45 mL a gram).

    That makes (212 · 5.6 + 898)/6.0 = 347 g/L, of which 212 · 5.6/6.0 = 198 were there: known to 3 · 5.6/6.0 = 2.80. The
    149 that came are known to 1.5 %, 2.24; 1 % for the same bottles is 3.47: √(2.80² + 2.24² + 3.47²) = 4.99 g/L.
    """
    crystals = CrystalsAdded(mass=parse("2 lb", "mass"))
    carried = carry_forward(at_once(crystals), START + datetime.timedelta(hours=1))
    assert carried.known.volume_L == pytest.approx(6.0, abs=0.03)
    assert carried.values["copper_sulfate"].standard_uncertainty == pytest.approx(4.99, rel=0.01)
    rough = carry_forward(
        at_once(CrystalsAdded(mass=parse("2 ± 0.392 lb", "mass"))), START + datetime.timedelta(hours=1)
    )
    spread = rough.values["copper_sulfate"].standard_uncertainty
    assert spread == pytest.approx(np.hypot(4.99, 14.9), rel=0.01)  # a tenth of the 149 that came, as typed


def test_other_bath_is_known_as_it_was_typed():
    """A litre of 300 ± 20, 54 ± 2 g/L and 70 ± 10 mg/L (standard) to 5.6 L: of 212 ± 3 stay 180 ± 2.55 in 6.6 L.

    20/6.6 = 3.03 come with it, 1.5 % of the 45.5 that came are 0.68, and 1 % for the same bottles 2.25: 4.60 g/L. Of the acid
    √(0.85² + 0.30² + 0.12² + 0.54²) = 1.06 g/L, of the chloride √(5.94² + 1.52² + 0.16² + 2.1²) = 6.48 mg/L.
    """
    fields = {"copper_sulfate": "300 ± 39.2 g/L", "sulfuric_acid": "54 ± 3.92 g/L"}
    other = PouredIn(
        volume=parse("1 L", "volume"),
        chloride=parse("70 ± 19.6 mg/L", "content"),
        **{name: parse(text, "concentration") for name, text in fields.items()},
    )
    carried = carry_forward(at_once(other), START + datetime.timedelta(hours=1))
    values = carried.values.values()
    assert [value.value for value in values] == pytest.approx([225.3, 54.0, 70.0], rel=2e-3)
    assert [value.standard_uncertainty for value in values] == pytest.approx([4.60, 1.057, 6.48], rel=3e-3)


@pytest.mark.parametrize(("out", "is_carried"), [("5.53 L", True), ("5.56 L", False)])
def test_of_less_than_a_hundredth_nothing_is_carried(out, is_carried):
    """Of 5.6 L, 0.056 are a hundredth; 0.07 are left, or 0.04."""
    assert (carry_forward(log(TakenOut(volume=parse(out, "volume"))), days_on(1)) is not None) == is_carried


def test_no_more_is_written_down_than_a_check_may_have_found():
    """3 kg of crystals to 5.6 L of 212 g/L make (1187 + 2970)/7 = 600 g/L; a check takes 450 at most."""
    crystals = CrystalsAdded(mass=parse("3 kg", "mass"))
    assert carry_forward(log(crystals), days_on(1)).reading().copper_sulfate.value == 450.0


# --- Which anodes hung ----------------------------------------------------------------------------


def eight_litres(tank: str = "") -> Check:
    return check((210.0, 3.0), (60.0, 1.0), None, "8 L", tank)


TEN_RUNS = [RunDone(charge=parse("8 A*h", "charge")) for _ in range(10)]


@pytest.mark.parametrize(
    "before",
    [
        [eight_litres(), AnodeChange(anodes="inert"), *TEN_RUNS],
        [AnodeChange(anodes="inert"), eight_litres('anodes = "inert"'), *TEN_RUNS],
        [eight_litres('anodes = "inert"'), *TEN_RUNS],
        [eight_litres('anodes = "copper"'), AnodeChange(anodes="inert"), eight_litres('anodes = "copper"'), *TEN_RUNS],
    ],
    ids=["changed after the check", "before it", "said on its sheet", "a sheet that was copied"],
)
def test_inert_anodes_plate_from_the_bath(before):
    """80 A·h are 94.84 g of copper (Faraday): in 8 L 46.6 g/L of crystals less and 18.3 g/L of acid more."""
    entries = [replace(entry, content=content) for entry, content in zip(log(*before), before, strict=False)]
    carried = carry_forward(entries, days_on(14))
    salt, acid = carried.values["copper_sulfate"], carried.values["sulfuric_acid"]
    assert (salt.value, acid.value) == pytest.approx((163.4, 78.3), abs=0.6)
    # The check's 3 and 1 % of it for the same bottles, 3 % of what was plated, 1 % of drips a month and 0.015 g/L a day of
    # idle copper: √(3.0² + 1.63² + 1.40² + 0.75² + 0.83²) g/L.
    assert salt.standard_uncertainty == pytest.approx(3.86, rel=0.02)


def test_anodes_that_nobody_named_leave_it_wide():
    feeding, unknown = (
        carry_forward(
            [
                replace(entry, content=content)
                for entry, content in zip(log(*TEN_RUNS), [first, *TEN_RUNS], strict=True)
            ],
            days_on(14),
        ).values["copper_sulfate"]
        for first in (eight_litres('anodes = "copper"'), eight_litres())
    )
    assert unknown.value == pytest.approx(feeding.value, rel=1e-9)
    assert feeding.standard_uncertainty < 7.0
    # 35 % of 46.6 g/L are 16.3, beside 3 of the check.
    assert 15.0 < unknown.standard_uncertainty < 18.0


# --- The same bottle twice ------------------------------------------------------------------------


def titrated(bottle: str) -> str:
    return f"""
[bath]
name = "a"
volume = "5.6 L"
additives = false
soda_added = "0 g"
touched = ["nothing"]
topped_up_with = "distilled water"
anodes = "copper"
[[reading]]
kind = "acid titration"
sample = "10 mL"
sample_with = "10 mL class A pipette"
diluted_to = "100 mL"
titrant = "sodium carbonate"
titrant_label = "{bottle}"
strength = "0.25 ± 0.02 mol/L"
used = "22.3 mL"
used_with = "25 mL class A burette"
end_point = "methyl orange"
[[reading]]
kind = "hydrometer"
value = "1.166"
scale = "SG 20/20"
"""


def recorded(sheet: str, day: int) -> Entry:
    advice = advise(parse_sheet(sheet.encode())).to_dict()
    return Entry(day + 1, "a", days_on(day), days_on(day), "1", None, Check(sheet, advice))


def test_a_bottle_that_is_used_again_makes_nothing_surer():
    first = recorded(titrated("one"), 0)
    carried = carry_forward([first], days_on(1))
    alone = first.content.value("sulfuric_acid").standard_uncertainty
    again, other = (
        estimate_from(sheet := carried.add_to(parse_sheet(titrated(bottle).encode())), sheet.readings)
        for bottle in ("one", "another")
    )
    assert again.standard_uncertainty("sulfuric_acid") > 0.9 * alone
    assert other.standard_uncertainty("sulfuric_acid") < 0.8 * alone


@pytest.mark.slow
def test_a_chain_of_checks_with_one_bottle_never_beats_the_bottle():
    """Its 8 % (95 %) are 4.1 %: after six checks the acid is still known no better, though each used the one before."""
    entries = [recorded(titrated("one"), 0)]
    for day in range(7, 42, 7):
        sheet = write_sheet(carry_forward(entries, days_on(day)).add_to(parse_sheet(titrated("one").encode())))
        entries.append(recorded(sheet, day))
    acid = entries[-1].content.value("sulfuric_acid")
    assert acid.standard_uncertainty / acid.value > 0.04


def test_foreign_salts_that_were_taken_for_granted_err_again():
    """Both checks lean on the same guess of the dirt; the second does not make it surer, and an answer mends both."""
    dirty = titrated("one").replace('touched = ["nothing"]\n', "").replace('soda_added = "0 g"\n', "")
    first = recorded(dirty, 0)
    carried = carry_forward([first], days_on(1))
    assert {"sodium_sulfate", "iron", "zinc"} <= set(carried.leans)
    both = estimate_from(sheet := carried.add_to(parse_sheet(dirty.encode())), sheet.readings)
    assert (
        both.standard_uncertainty("copper_sulfate") > 0.9 * first.content.value("copper_sulfate").standard_uncertainty
    )
    answered = carried.add_to(parse_sheet(titrated("one").encode()))
    clean = advise(parse_sheet(titrated("one").encode())).values["copper_sulfate"]
    mended = estimate_from(answered, answered.readings).of("copper_sulfate")
    assert mended.value == pytest.approx(clean.value, abs=0.5 * clean.standard_uncertainty)


def test_what_is_shared_goes_through_the_sheet_and_back():
    carried = carry_forward([recorded(titrated("one"), 0)], days_on(1))
    sheet = carried.add_to(parse_sheet(titrated("one").encode()))
    told, read = sheet.readings[-1], parse_sheet(write_sheet(sheet).encode()).readings[-1]
    assert (read.shared, read.leans_on) == (told.shared, told.leans_on)
    assert {"titrant one", "hydrometer", "density model"} <= set(dict(read.shared))
    assert "tank scale" not in dict(read.shared)  # nothing was added


# --- As it went before ----------------------------------------------------------------------------


def test_a_loss_that_two_checks_showed_goes_on():
    """A tenth of everything went in 30 days, made up with water: after 30 days more, of 190.8 some 172 are left."""
    entries = [
        replace(log()[0], content=check((212.0, 1.0), (54.0, 0.3), None)),
        Entry(5, "a", days_on(30), days_on(30), "1", None, check((190.8, 1.0), (48.6, 0.3), None)),
        Entry(4, "a", days_on(29), days_on(29), "1", None, WaterAdded(volume=parse("0.56 L", "volume"))),
    ]
    carried = carry_forward(entries, days_on(60))
    assert carried.values["copper_sulfate"].value == pytest.approx(172.0, abs=3.0)
    assert carried.values["copper_sulfate"].standard_uncertainty > 4.0
    assert carry_forward(entries, days_on(30)).values["copper_sulfate"].value == pytest.approx(190.8, rel=1e-9)


def test_a_withdrawn_entry_stays_withdrawn_when_the_clock_was_set_back():
    entries = log(CRYSTALS)
    earlier = entries[1].written - datetime.timedelta(hours=1)
    taken_back = Entry(9, "a", days_on(1), earlier, "1", entries[1].id, Withdrawn())
    corrected = Entry(10, "a", days_on(1), earlier - datetime.timedelta(hours=1), "1", entries[1].id, WATER)
    assert [entry.id for entry in standing([*entries, taken_back])] == [0]
    assert [entry.id for entry in standing([*entries, taken_back, corrected])] == [0, 10]
