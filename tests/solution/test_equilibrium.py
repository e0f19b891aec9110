"""The titration model: round trips, hand calculations, edges; PHREEQC itself is met in tests/published."""

import re
from collections import Counter
from collections.abc import Callable, Sequence
from functools import partial

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import ArrayLike, NDArray

from advisor.solution import equilibrium
from advisor.solution.equilibrium import (
    NAMES,
    SOLIDS,
    SPECIES,
    TITRANTS,
    Flask,
    _solved,
    dissolved_at_titrant_volume,
    equivalence_volume,
    pH_at_titrant_volume,
    side_by_side,
    titrant_volume_at_pH,
    titrant_volume_at_precipitation,
)

LYE = Flask(10.0, 50.0, "sodium hydroxide", 0.5)
CRYSTALS = np.array([[0.0], [55.0], [200.0], [270.0]])
ACID = np.array([0.0, 5.0, 60.0, 210.0])


def test_equivalence_is_two_protons_for_each_sulfuric_acid() -> None:
    # 9.807 g/L is 0.1 mol/L; 10 mL hold 2 mmol of protons: 4 mL of 0.5 mol/L lye, 2 mL of soda
    assert equivalence_volume(9.807, LYE) == pytest.approx(4.0)
    assert equivalence_volume(9.807, Flask(10.0, 50.0, "sodium carbonate", 0.5)) == pytest.approx(2.0)
    assert equivalence_volume(9.807, Flask(10.0, 50.0, "sodium bicarbonate", 0.5)) == pytest.approx(4.0)


def test_dilute_acid_alone_follows_a_hand_calculation() -> None:
    # 1e-4 mol/L H2SO4: 2e-4 mol/L H+, of which 1.8e-6 held as HSO4-; I = 3e-4, log gamma = -0.0087
    pH = pH_at_titrant_volume(0.0, 0.9807, 0.0, Flask(10.0, 1000.0, "sodium hydroxide", 0.1))
    assert float(pH) == pytest.approx(-np.log10(1.982e-4 / 0.997) + 0.0087, abs=0.003)


def test_species_are_what_their_formulas_say() -> None:
    # The rest of a charge is protons: what Cu2+ and SO4 2- leave of it was taken up or given off as H+.
    for name, (copper, sulfate, protons, carbon, charge, _) in zip(NAMES, SPECIES, strict=True):
        formula, sign, size = re.fullmatch(r"(.+?)(?:([+-])(\d?))?", name).groups()
        assert copper == sum(int(number or 1) for number in re.findall(r"Cu(\d?)", formula)), name
        assert (sulfate, carbon) == (formula.count("SO4"), formula.count("CO3")), name
        assert charge == (int(f"{sign}{size or 1}") if sign else 0), name
        assert charge == 2 * copper - 2 * sulfate + protons, name


def test_constants_of_carbonates_are_those_printed_for_their_formation_from_ions() -> None:
    log_k = {name: row[-1] for name, row in zip(NAMES, SPECIES, strict=True)}
    # Powell et al., Pure Appl. Chem. 79 (2007) 895: Cu2+ and CO3 2-; carbonic acid at 25 degC gives off its two protons
    # at pH 6.35 and 10.33 (CRC Handbook).
    assert log_k["CuCO3"] - log_k["CO3-2"] == pytest.approx(6.75)
    assert log_k["CuHCO3+"] - log_k["HCO3-"] == pytest.approx(1.84)
    assert log_k["CO3-2"] - log_k["HCO3-"] == pytest.approx(-10.33)


@pytest.mark.parametrize(
    ("carbon_dioxide", "pH"),
    [(0.0, 7.00), (None, 5.61), (1.0, 3.91)],  # boiled water; rain in clean air; soda water of one atmosphere
)
def test_pure_water_has_the_pH_of_its_carbon_dioxide(carbon_dioxide: float | None, pH: float) -> None:
    water = Flask(1e-6, 1000.0, "sodium bicarbonate", 0.1)  # a sample too small to count
    assert float(pH_at_titrant_volume(0.0, 0.0, 0.0, water, carbon_dioxide)) == pytest.approx(pH, abs=0.01)


@pytest.mark.parametrize(("temperature", "pH"), [(10.0, 7.27), (25.0, 7.00), (35.0, 6.84)])  # CRC: pKw 14.53 ... 13.68
def test_pure_water_parts_more_where_it_is_warm(temperature: float, pH: float) -> None:
    water = Flask(1e-6, 1000.0, "sodium hydroxide", 0.1)
    found = dissolved_at_titrant_volume(0.0, 0.0, 0.0, water, temperature=temperature)
    assert float(found.pH) == pytest.approx(pH, abs=0.015)


@pytest.mark.parametrize("flask", [LYE, Flask(1.0, 50.0, "sodium carbonate", 0.25)])
@pytest.mark.parametrize("carbon_dioxide", [None, 1.0])
def test_round_trip(flask: Flask, carbon_dioxide: float | None) -> None:
    share = np.array([0.0, 0.3, 0.8, 0.95, 0.99])[:, None, None]
    volume = share * equivalence_volume(ACID, flask) + 0.0 * CRYSTALS
    pH = pH_at_titrant_volume(CRYSTALS, ACID, volume, flask, carbon_dioxide)
    back = titrant_volume_at_pH(CRYSTALS, ACID, pH, flask, carbon_dioxide)
    assert pH.shape == back.shape == (5, 4, 4)
    np.testing.assert_allclose(back, volume, atol=1e-6)


@pytest.mark.parametrize("solid", SOLIDS)
def test_a_precipitate_forms_at_one_pH_of_the_curve(solid: str) -> None:
    volume = titrant_volume_at_precipitation(200.0, 60.0, solid, LYE)
    pH = pH_at_titrant_volume(200.0, 60.0, volume, LYE)
    assert float(titrant_volume_at_pH(200.0, 60.0, pH, LYE)) == pytest.approx(float(volume), abs=1e-6)
    copper = 10.0 * 200.0 / 249.68 / (50.0 + float(volume))
    # PHREEQC medians for sit and minteq: 3.62 - 0.54 log Cu, 3.94 - 0.54 log Cu, 4.93 - 0.36 log Cu
    at_one_molar, slope = {
        "brochantite": (3.62, 0.54),
        "fresh basic sulfate": (3.94, 0.54),
        "fresh basic sulfate seen late": (3.94 + 4 / 6, 0.54),  # 10^4 beyond saturation; it takes up six H+
        "copper hydroxide": (4.93, 0.36),
    }[solid]
    assert float(pH) == pytest.approx(at_one_molar - slope * np.log10(copper), abs=0.1)


def test_exact_neutralisation_lies_where_phreeqc_puts_it() -> None:
    volume = float(equivalence_volume(60.0, LYE))
    copper = 10.0 * 200.0 / 249.68 / (50.0 + volume)
    pH = float(pH_at_titrant_volume(200.0, 60.0, volume, LYE))
    # the median of two databases that part by more than 0.1 where copper hydrolyses
    assert pH == pytest.approx(4.18 - 0.48 * np.log10(copper), abs=0.15)


def test_curve_rises_and_depends_smoothly_on_everything() -> None:
    curve = pH_at_titrant_volume(200.0, 60.0, np.linspace(0.0, 1.02, 200) * equivalence_volume(60.0, LYE), LYE)
    assert np.all(np.diff(curve) > 0.0)
    acid = np.linspace(-50.0, 50.0, 401)
    volume = titrant_volume_at_pH(200.0, acid, 3.85, LYE)
    assert np.all(np.diff(volume) > 0.0)
    assert np.max(np.abs(np.diff(volume, 2))) < 1e-4  # no kink at an acid-free bath


def test_gradient_does_not_depend_on_the_step() -> None:
    def slope(acid: float, step: float) -> float:
        ends = titrant_volume_at_pH(200.0, np.array([acid - step, acid + step]), 3.85, LYE)
        return float((ends[1] - ends[0]) / (2.0 * step))

    for acid in (-20.0, 0.0, 60.0):
        assert slope(acid, 1e-4) == pytest.approx(slope(acid, 1e-2), rel=1e-5)


def unneutralised_acid(crystals: ArrayLike, acid: float, pH: float, flask: Flask) -> NDArray[np.float64]:
    """Return the bath's acid [g/L] that an end point at `pH` leaves unneutralised; negative where it comes late."""
    missing = equivalence_volume(acid, flask) - titrant_volume_at_pH(crystals, acid, pH, flask)
    return np.asarray(missing / equivalence_volume(1.0, flask))


@pytest.mark.parametrize(
    ("acid", "sample", "made_up", "least", "most"),
    [  # error of the methyl-orange end point, %: PHREEQC over 440 combinations, rounded outwards by 0.5
        (5.0, 10.0, 50.0, -3.6, -1.9),
        (5.0, 10.0, 100.0, -5.2, -2.9),
        (5.0, 1.0, 50.0, -14.0, -9.7),
        (5.0, 1.0, 100.0, -24.0, -17.4),
        (60.0, 10.0, 100.0, -2.4, -0.3),
    ],
)
def test_methyl_orange_reads_low(acid: float, sample: float, made_up: float, least: float, most: float) -> None:
    crystals = np.array([55.0, 120.0, 190.0, 270.0])
    for strength in (0.1, 0.5):
        flask = Flask(sample, made_up, "sodium hydroxide", strength)
        error = -100.0 * unneutralised_acid(crystals, acid, 3.85, flask) / acid
        assert np.all((least < error) & (error < most))


def test_acid_left_follows_the_rule_of_thumb() -> None:
    # c = k 10^-pH mol/L, k = 0.65 + 9.5 sqrt(S) + 10.5 S - 13.9 Cu: fitted to PHREEQC end points
    flask = Flask(10.0, 100.0, "sodium hydroxide", 0.5)
    for crystals, acid in [(55.0, 25.0), (200.0, 60.0), (120.0, 75.0), (270.0, 25.0)]:
        final = flask.diluted_to_mL + float(titrant_volume_at_pH(crystals, acid, 3.85, flask))
        copper = flask.sample_mL * crystals / 249.68 / final
        sulfate = copper + flask.sample_mL * acid / 98.07 / final
        protons = 2.0 * float(unneutralised_acid(crystals, acid, 3.85, flask)) / 98.07 * flask.sample_mL / final
        k = 0.65 + 9.5 * np.sqrt(sulfate) + 10.5 * sulfate - 13.9 * copper
        assert protons / 10**-3.85 == pytest.approx(k, rel=0.06)


def test_an_acid_free_bath_has_already_turned_the_indicator() -> None:
    for sample, low, high in [(10.0, 4.45, 4.7), (5.0, 4.55, 4.75)]:
        pH = float(pH_at_titrant_volume(200.0, 0.0, 0.0, Flask(sample, 100.0, "sodium hydroxide", 0.1)))
        assert low < pH < high
    assert titrant_volume_at_pH(200.0, 0.0, 3.85, LYE) < 0.0
    assert titrant_volume_at_pH(200.0, 0.5, 3.85, Flask(1.0, 50.0, "sodium hydroxide", 0.1)) < 0.0


def test_carbon_dioxide_delays_the_haze_and_hardly_moves_methyl_orange() -> None:
    soda = Flask(10.0, 50.0, "sodium bicarbonate", 0.5)
    fizzing = [titrant_volume_at_precipitation(200.0, 20.0, "brochantite", soda, co2) for co2 in (1e-3, 1.0)]
    assert fizzing[1] > fizzing[0] * 1.002
    turned = [titrant_volume_at_pH(200.0, 20.0, 3.85, soda, co2) for co2 in (1e-3, 1.0)]
    assert 1.0 < turned[1] / turned[0] < fizzing[1] / fizzing[0]


@settings(deadline=None, max_examples=200)
@given(
    copper_sulfate=st.floats(-50.0, 450.0),
    sulfuric_acid=st.floats(-50.0, 400.0),
    pH=st.floats(1.0, 6.5),
    sample=st.floats(0.5, 10.0),
    made_up=st.sampled_from([10.0, 50.0, 250.0]),
    strength=st.floats(0.01, 2.0),
    titrant=st.sampled_from(sorted(TITRANTS)),
    solid=st.sampled_from(sorted(SOLIDS)),
    carbon_dioxide=st.sampled_from([None, 0.0, 1.0]),
)
def test_never_raises_and_stays_finite(
    copper_sulfate: float,
    sulfuric_acid: float,
    pH: float,
    sample: float,
    made_up: float,
    strength: float,
    titrant: str,
    solid: str,
    carbon_dioxide: float | None,
) -> None:
    flask = Flask(sample, made_up, titrant, strength)
    bath = copper_sulfate, sulfuric_acid
    assert np.isfinite(titrant_volume_at_pH(*bath, pH, flask, carbon_dioxide))
    assert np.isfinite(titrant_volume_at_precipitation(*bath, solid, flask, carbon_dioxide))
    volume = np.linspace(-0.2, 1.2, 5) * equivalence_volume(sulfuric_acid, flask)
    assert np.all(np.isfinite(pH_at_titrant_volume(*bath, volume, flask, carbon_dioxide)))


def test_iteration_has_converged(monkeypatch: pytest.MonkeyPatch) -> None:
    def results() -> np.ndarray:
        onset = titrant_volume_at_precipitation(CRYSTALS, ACID, "brochantite", LYE)
        return np.stack([titrant_volume_at_pH(CRYSTALS, ACID, 3.85, LYE), onset])

    usual = results()
    monkeypatch.setattr(equilibrium, "_ITERATIONS", 30)
    np.testing.assert_allclose(usual, results(), rtol=0.0, atol=1e-9)


def _asks_of_unlike_flasks(begun: list[int]) -> list[Callable[[], float]]:
    """Return works that each ask twice: for a volume, and then for the pH there."""

    def work(number: int) -> float:
        begun.append(number)
        flask = Flask(9.0 + 0.1 * number, 100.0, "sodium carbonate" if number % 2 else "sodium hydroxide", 0.25)
        volume = titrant_volume_at_pH(200.0, 40.0 + number, 3.9, flask)
        held = dissolved_at_titrant_volume(200.0, 40.0 + number, 0.9 * volume, flask, temperature=20.0 + number)
        return float(volume + held.pH)

    return [partial(work, number) for number in range(8)]


def test_flasks_solved_side_by_side_come_out_as_alone() -> None:
    _solved.cache_clear()
    together = side_by_side(_asks_of_unlike_flasks([]))
    _solved.cache_clear()
    alone = [work() for work in _asks_of_unlike_flasks([])]
    assert together == pytest.approx(alone, rel=1e-9)


def test_a_work_begins_anew_only_for_what_was_not_solved() -> None:
    _solved.cache_clear()
    begun: list[int] = []
    side_by_side(_asks_of_unlike_flasks(begun))
    assert Counter(begun) == dict.fromkeys(range(8), 3)  # for its volume, for its pH, and to its end
    begun.clear()
    side_by_side(_asks_of_unlike_flasks(begun))
    assert begun == list(range(8))


def test_works_within_works_are_solved_in_as_many_rounds_as_each_needs(monkeypatch: pytest.MonkeyPatch) -> None:
    rounds: list[int] = []
    solve_all = equilibrium._solve_all

    def counted(asked: Sequence[equilibrium._Asked]) -> list[equilibrium._Answer]:
        rounds.append(len(asked))
        return solve_all(asked)

    monkeypatch.setattr(equilibrium, "_solve_all", counted)
    _solved.cache_clear()
    works = _asks_of_unlike_flasks([])
    side_by_side([partial(side_by_side, works[:4]), partial(side_by_side, works[4:])])
    assert rounds == [8, 8]  # all volumes, then the pH at each


def test_works_within_a_work_and_after_one_that_fails_are_done() -> None:
    def inner() -> float:
        return sum(side_by_side(_asks_of_unlike_flasks([])))

    def fails() -> float:
        raise ZeroDivisionError

    _solved.cache_clear()
    with pytest.raises(ZeroDivisionError):
        side_by_side([inner, fails])
    assert side_by_side([inner]) == [pytest.approx(sum(work() for work in _asks_of_unlike_flasks([])))]
