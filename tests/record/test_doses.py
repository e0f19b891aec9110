"""Doses by the label's rule: worked out by hand here, over a simulated year too."""

import random

import pytest

from advisor.basis.fields import InputError, fields_of
from advisor.basis.units import parse
from advisor.record.doses import LEAST_SAID, doses_due, without_rule
from advisor.record.entries import (
    ANOTHER_BATH,
    AdditiveDose,
    AdditiveRule,
    CarbonTreatment,
    RunDone,
    TakenOut,
    Withdrawn,
)
from tests.record.some_days import at, moment
from tests.record.some_entries import level


@pytest.mark.parametrize(
    ("label", "each"),
    [
        ("20 mL per 100 A·h", "0.2 mL"),
        ("20 ± 5 mL/100Ah", "0.2 ± 0.05 mL"),
        ("200 mL per 1000 amp hours", "0.2 mL"),
        ("0.2 mL/Ah", "0.2 mL"),
        ("20-30 mL per 100 Ah", "0.25 ± 0.05 mL"),
        ("20 mL to 30 mL per 100 amp hours", "0.25 ± 0.05 mL"),
        ("20 mL per 100 Ah or so", "0.2 ± 0.02 mL"),
        ("200 mL per kA·h", "0.2 mL"),
        ("200 - 300 mL / 1 kAh", "0.25 ± 0.05 mL"),
        ("1/2 mL", "0.5 mL"),
    ],
)
def test_a_label_s_dose_is_taken_as_it_is_printed(label, each):
    read = fields_of(AdditiveRule)["per_ampere_hour"].read(label, "")
    meant = parse(each, "volume")
    assert read.value == pytest.approx(meant.value)
    assert (read.standard_uncertainty or 0) == pytest.approx(meant.standard_uncertainty or 0)
    assert "per" not in read.text


@pytest.mark.parametrize("label", ["20 mL per 100 g", "20 mL per 0 A·h", "5 L per A·h", "20 per 100 A·h"])
def test_a_label_s_dose_that_is_none_is_refused(label):
    with pytest.raises(InputError):
        fields_of(AdditiveRule)["per_ampere_hour"].read(label, "")


def rule(**doses: str) -> AdditiveRule:
    return AdditiveRule(additive="Brightener", **{name: parse(dose, "volume") for name, dose in doses.items()})


def dose(amount: str, name: str = "brightener") -> AdditiveDose:
    return AdditiveDose(volume=parse(amount, "volume"), additive=name)


def run(charge: str) -> RunDone:
    return RunDone(charge=parse(charge, "charge"))


def due(entries, day: float):
    (found,) = doses_due(entries, moment(day))
    return found


# --- What is due ----------------------------------------------------------------------------------


def test_without_a_rule_nothing_is_due():
    assert doses_due([at(0, run("10 A*h"))], moment(0)) == ()


def test_ampere_hours_and_weeks_since_the_last_dose_count():
    """0.25 mL for each of 8 A·h and 2 mL a week for 7 days: 4 mL; 3 % of the charge: 0.06 mL."""
    entries = [
        at(0, rule(per_ampere_hour="0.25 mL", per_week="2 mL")),
        at(1, run("50 A*h")),
        at(2, dose("9 mL", "  BRIGHTENER ")),
        at(4, run("8 A*h")),
    ]
    found = due(entries, 9)
    assert found.due.value == pytest.approx(4.0)
    assert found.due.standard_uncertainty == pytest.approx(0.06)
    assert found.is_due()
    assert (
        found.lines()[0]
        == "Brightener: 4.0 ± 0.1 mL are due for 8.0 ± 0.5 A·h and 7 days since the last dose (3 January 2026)."
    )


def test_the_range_of_a_label_widens_what_is_due():
    """0.2 ± 0.1 mL (95 %) for 10 A·h: 2 mL, standard uncertainty 10 x 0.1/1.96 with 2 x 0.03 beside it."""
    found = due([at(0, rule(per_ampere_hour="0.2 ± 0.1 mL")), at(1, run("10 A*h"))], 2)
    assert found.due.value == pytest.approx(2.0)
    assert found.due.standard_uncertainty == pytest.approx((0.5102**2 + 0.06**2) ** 0.5, rel=1e-3)


def test_a_dose_by_the_week_is_said_without_a_nought_behind_its_sign():
    """1 mL a week, without ±, is exact: two weeks later 2.0 mL, and not 2.00 ± 0.00 mL."""
    found = due([at(0, rule(per_week="1 mL"))], 14)
    assert "2.0 mL are due" in str(found.lines()[0])


def test_a_charge_that_was_typed_with_its_range_keeps_it():
    found = due([at(0, rule(per_ampere_hour="1 mL")), at(1, run("10 ± 0.98 A*h"))], 2)
    assert found.due.standard_uncertainty == pytest.approx(0.5)


def test_after_carbon_all_starts_again_for_the_whole_bath():
    entries = [
        at(0, rule(per_ampere_hour="0.25 mL", per_litre="4 mL")),
        at(1, level("5.5 L")),
        at(2, dose("22 mL")),
        at(3, run("40 A*h")),
        at(4, CarbonTreatment()),
        at(5, run("2 A*h")),
    ]
    found = due(entries, 6)
    assert found.due.value == pytest.approx(5.5 * 4 + 0.25 * 2)
    assert found.is_due()
    assert found.doses == ()
    fed = due([*entries, at(6, dose("22.5 mL"))], 7)
    assert fed.due.value == pytest.approx(0.0)
    assert not fed.is_due()
    assert not fed.doses[0].is_too_much()
    filled, dried = at(4.1, level("5 L")), at(20, level("4.5 L"))  # who mixes anew fills up first, and water dries away
    assert due([*entries[:5], filled, entries[5], dried], 21).due.value == pytest.approx(5 * 4 + 0.25 * 2)


@pytest.mark.parametrize(
    ("label", "known", "missing"),
    [
        ({"per_ampere_hour": "0.25 mL"}, [at(1, level("5 L"))], "its label's dose for fresh bath"),
        ({"per_litre": "4 mL"}, [], "how much is in the tank"),
    ],
)
def test_what_the_whole_bath_takes_is_asked_for_where_it_is_not_known(label, known, missing):
    found = due([at(0, rule(**label)), *known, at(4, CarbonTreatment())], 6)
    assert found.is_due()
    assert missing in found.lines()[1]
    given = due([at(0, rule(**label)), *known, at(4, CarbonTreatment()), at(5, dose("20 mL"))], 6)
    assert not given.is_due()
    assert given.doses == ()  # nobody knows what that dose should have been


def test_what_was_taken_out_takes_its_additive_along():
    entries = [at(0, rule(per_litre="4 mL")), at(1, dose("20 mL")), at(2, TakenOut(volume=parse("0.5 L", "volume")))]
    assert due(entries, 3).due.value == pytest.approx(2.0)


# --- What was given -------------------------------------------------------------------------------


def test_what_was_poured_into_another_tank_asks_for_no_dose():
    """The bath that stays holds as much of it in a litre as before."""
    parted = at(2, TakenOut(volume=parse("2 L", "volume"), why=ANOTHER_BATH))
    label = rule(per_ampere_hour="0.2 mL", per_litre="5 mL")
    assert due([at(0, label), at(1, dose("5 mL")), parted], 3).due.value == 0.0


def test_more_than_half_too_much_is_warned_of_and_counts_toward_the_next():
    """10 A·h allow 2.5 mL; 6 mL were given: 3.5 mL too much, which 14 A·h use up."""
    entries = [
        at(0, rule(per_ampere_hour="0.25 mL")),
        at(1, dose("3 mL")),
        at(2, run("10 A*h")),
        at(3, dose("6 mL")),
    ]
    found = due(entries, 4)
    assert found.doses[-1].is_too_much()
    assert found.surplus == pytest.approx(3.5)
    assert "you gave 6.0 ± 0.4 mL on 4 January 2026, but its rule allowed 2.5 ± 0.1 mL." in found.lines()[1]
    assert found.lines()[1].endswith("Give none until the surplus is used up, in about 14 A·h.")
    later = due([*entries, at(5, run("10 A*h"))], 6)
    assert later.due.value == 0.0
    assert later.surplus == pytest.approx(1.0)
    last = due([*entries, at(5, run("20 A*h"))], 6)
    assert last.due.value == pytest.approx(1.5)
    assert last.lines()[1].endswith("By now the surplus is used up.")


def test_a_dose_within_half_of_the_rule_is_not_warned_of():
    entries = [at(0, rule(per_ampere_hour="0.25 mL")), at(1, dose("3 mL")), at(2, run("10 A*h")), at(3, dose("3.5 mL"))]
    assert not due(entries, 4).doses[-1].is_too_much()


def test_portions_of_half_a_day_are_one_dose():
    entries = [at(0, rule(per_ampere_hour="0.25 mL")), at(1, dose("3 mL")), at(2, run("16 A*h"))]
    entries += [at(3, dose("2 mL")), at(3.2, dose("2 mL"))]
    found = due(entries, 4)
    assert len(found.doses) == 1
    assert found.doses[0].given.value == pytest.approx(4.0)
    assert not found.doses[0].is_too_much()


def test_a_dose_that_fell_short_is_not_made_up_for():
    entries = [at(0, rule(per_ampere_hour="0.25 mL")), at(1, dose("3 mL")), at(2, run("40 A*h")), at(3, dose("2 mL"))]
    assert due(entries, 4).due.value == 0.0
    assert due([*entries, at(5, run("8 A*h"))], 6).due.value == pytest.approx(2.0)


def test_a_withdrawn_dose_and_another_bottle_do_not_count():
    wrong = at(2, dose("30 mL"))
    entries = [at(0, rule(per_ampere_hour="0.25 mL")), at(1, dose("3 mL")), wrong, at(2.5, run("8 A*h"))]
    entries += [at(3, dose("5 mL", "wetting agent")), at(2, Withdrawn(), corrects=wrong.id)]
    assert due(entries, 4).due.value == pytest.approx(2.0)


def test_a_rule_that_was_written_anew_holds_from_then_back_to_the_last_dose():
    entries = [at(0, rule(per_ampere_hour="0.25 mL")), at(1, dose("3 mL")), at(2, run("8 A*h"))]
    assert due([*entries, at(3, rule(per_ampere_hour="0.5 mL"))], 4).due.value == pytest.approx(4.0)


def test_when_a_dose_will_be_worth_giving_follows_the_last_month():
    """4 L at 0.2 mL/L: worth 0.8 mL; 3 A·h in 30 days use 0.025 mL a day, so 0.05 mL are there after 22 days more."""
    entries = [at(0, rule(per_ampere_hour="0.25 mL")), at(0, level("4 L")), at(1, run("3 A*h"))]
    found = due(entries, 2)
    assert found.due.value == pytest.approx(0.75)
    assert found.days_left() == pytest.approx(0.05 / 0.025)
    assert due(entries[:2], 2).days_left() is None


@pytest.mark.parametrize(
    ("a_week", "given", "day"),
    [
        ("1 mL", "1 mL", 7.0),  # worth 2 mL in 10 L, which would take a fortnight; a week's dose is due in a week
        ("7 mL", "1 mL", 2.0),  # worth 2 mL: there after two days
        ("0.02 mL", "0.02 mL", 17.5),  # less than a drop a week: due once it is one
        ("1 mL", "2 mL", 7.35),  # 1 mL too much, used up in a week, and a drop beyond
    ],
)
def test_a_dose_by_the_week_is_foretold_for_the_day_on_which_it_is_due(a_week, given, day):
    """Two doses a week apart, and asked a day after the second, from which the days count."""
    entries = [at(0, rule(per_week=a_week)), at(0, level("10 L")), at(0, dose("1 mL")), at(7, dose(given))]
    left = due(entries, 8).days_left()
    assert left == pytest.approx(day - 1)
    assert due(entries, 8 + left + 0.001).is_due()
    assert not due(entries, 8 + left - 0.001).is_due()


# --- A year ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(5))
def test_over_a_year_given_and_called_for_balance(seed):
    """A keeper who always gives what is due has given, at the end, what the label calls for: its sum worked out here."""
    chance = random.Random(seed)
    entries = [at(0, rule(per_ampere_hour="0.3 mL", per_week="1.5 mL", per_litre="5 mL")), at(0, level("6 L"))]
    entries += [at(0.1, CarbonTreatment())]
    charge = litres = given = 0.0
    for day in range(1, 365):
        if chance.random() < 0.4:
            drawn = chance.randint(1, 200) / 10
            charge += drawn
            entries.append(at(day + 0.3, run(f"{drawn} A*h")))
        if chance.random() < 0.03:
            litres += 0.2
            entries.append(at(day + 0.5, TakenOut(volume=parse("200 mL", "volume"))))
        if chance.random() < 0.2:
            found = due(entries, day + 0.8)
            if found.due.value > 0.01:
                poured = round(found.due.value * chance.choice([1.0, 1.0, 1.3]), 4)
                entries.append(at(day + 0.8, dose(f"{poured} mL")))
                given += poured
    at_end = due(entries, 365.1)
    called_for = 0.3 * charge + 1.5 * 365 / 7 + 5 * (6 + litres)
    assert given + at_end.due.value - at_end.surplus == pytest.approx(called_for, abs=0.01)
    assert all(
        each.given.value - each.allowed.value <= max(LEAST_SAID, 0.5 * each.allowed.value) for each in at_end.doses
    )
    assert not any(each.is_too_much() for each in at_end.doses)


# --- Bottles that no rule knows ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "said"),
    [
        (
            "Brihgtener",
            "A bottle called Brihgtener has no rule from its label, so what is given of it counts toward nothing. If",
        ),
        ("", "A bottle without a name has no rule from its label, so what is given of it counts toward nothing. If"),
        (
            "Leveller",
            "A bottle called Leveller has no rule from its label, so what is given of it counts toward nothing. Write",
        ),
    ],
)
def test_a_dose_that_counts_for_no_rule_is_told(name, said):
    entries = [at(0, rule(per_ampere_hour="0.2 mL")), at(1, dose("3 mL")), at(2, dose("3 mL", name))]
    (told,) = without_rule(entries, moment(3))
    assert str(told).startswith(said)
    assert ("If it was Brightener" in str(told)) == (name != "Leveller")


def test_old_doses_and_baths_without_any_rule_are_left_alone():
    ruled, given = at(0, rule(per_ampere_hour="0.2 mL")), at(2, dose("3 mL", "Leveller"))
    assert without_rule([ruled, given], moment(40)) == ()
    assert without_rule([given], moment(3)) == ()


def test_less_than_a_drop_is_not_due():
    assert str(due([at(0, rule(per_week="2 mL"))], 0.05).lines()[0]).startswith("Brightener: nothing is due")
