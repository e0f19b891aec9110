"""The Hull cell's scale against the published one and against handbook rulers, and what a panel says."""

import math

import numpy as np
import pytest

from advisor.basis.fields import Fault, InputError
from advisor.measure.hull_cell import CELLS, SIDES_CM, OffThePanel, current_density, read_panel
from advisor.questions.faults import diagnose
from advisor.questions.limit import within_panel
from advisor.questions.plating import plate
from advisor.sheet import parse_sheet, read_sheet

# The published formula for 267 mL in its own units, A/ft² and inches, and the printed example of 84.7 A/ft² at 2 A.
PER_SQUARE_FOOT = 0.1076391  # A/dm² (NIST SP 811)


def published(inches, current):
    return current * (27.7 - 48.7 * np.log10(inches))


@pytest.mark.parametrize("inches", [0.26, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 3.24])
@pytest.mark.parametrize("current", [0.5, 1.0, 2.0, 3.0])
def test_the_scale_is_the_published_one_in_metric_units(inches, current):
    found = current_density(2.54 * inches, current)
    assert found == pytest.approx(PER_SQUARE_FOOT * published(inches, current), rel=0.01, abs=0.013 * current)


def test_the_printed_example():
    assert current_density(1.27, 2.0) / PER_SQUARE_FOOT == pytest.approx(84.7, abs=0.5)


def test_handbook_ruler():
    # Current densities printed on rulers for 1 A, from memory [A/dm²]: 1 cm 5.1, 2 cm 3.5, 4 cm 1.9, 6 cm 1.0, 8 cm 0.4.
    for distance, printed in ((1, 5.1), (2, 3.5), (4, 1.9), (6, 1.0), (8, 0.4)):
        assert current_density(distance, 1.0) == pytest.approx(printed, abs=0.06)


def test_the_whole_panel_carries_the_whole_current():
    """The current density over the panel's wetted area is the current: the formula's middle part carries most of it."""
    distance = np.linspace(0.64, 8.25, 400)
    density = [current_density(float(at), 1.0) for at in distance]
    carried = np.trapezoid(density, distance) / 10 * 0.49  # dm of length, 4.9 cm deep
    assert 0.65 < carried < 1.0


@pytest.mark.parametrize("distance", [0.0, 0.63, 8.26, 10.0, -1.0])
def test_off_the_panel_is_refused(distance):
    with pytest.raises(OffThePanel, match=r"0\.64 to 8\.25"):
        current_density(distance, 1.0)


def test_less_depth_is_more_current_on_less_panel():
    assert current_density(2.0, 1.0, "250 mL") / current_density(2.0, 1.0) == pytest.approx(267 / 250)
    assert set(CELLS) == {"267 mL", "250 mL"}


def test_the_sides_that_a_card_names_make_a_cell_of_its_volume():
    """A trough with a slanted side: what lies between its parallel sides holds 267 mL, within what rounding moves."""
    side = SIDES_CM
    assert math.hypot(side["anode"], side["long side"] - side["short side"]) == pytest.approx(side["panel"], abs=0.05)
    ground = side["anode"] * (side["short side"] + side["long side"]) / 2
    assert ground * side["depth"] == pytest.approx(267, rel=0.03)


def test_what_was_not_seen_ends_at_the_panel_s_ends():
    nothing = read_panel(1.0, "267 mL", None, None, None)
    assert nothing.plates_well == pytest.approx((0.30, 6.12), abs=0.02)
    seen = read_panel(1.0, "267 mL", 1.0, 6.0, 8.0)
    assert seen.plates_well == pytest.approx((1.02, 5.10), abs=0.01)
    assert read_panel(1.0, "267 mL", 1.0, None, 7.0).plates_well[0] == pytest.approx(0.672, abs=0.01)


# --- In a sheet, for plate and diagnose -----------------------------------------------------------

SHEET = """
[bath]
volume = "5 L"
temperature = "24 degC"
additives = true
[plate]
area = "1 dm^2"
time = "10 h"
stirring = "still"
[deposit]
looks = ["dull"]
{panel}
[[reading]]
kind = "previous check"
copper_sulfate = "215 ± 8 g/L"
sulfuric_acid = "55 ± 4 g/L"
since = "evaporation only"
"""


def with_panel(**fields):
    panel = "\n".join(f'{name} = "{text}"' for name, text in fields.items())
    return parse_sheet(SHEET.format(panel=f"[hull_cell]\n{panel}" if fields else "").encode())


def test_a_panel_that_burns_early_lowers_the_current_and_one_that_does_not_changes_nothing():
    without, sound = plate(with_panel()), plate(with_panel(current="1 A"))
    assert sound.recommended == without.recommended
    burnt = plate(with_panel(current="1 A", burnt_to="4 cm"))
    edge = current_density(4.0, 1.0)
    assert burnt.recommended[1] == pytest.approx(edge / 2.5)
    assert burnt.recommended[0] < burnt.recommended[1] < without.recommended[1]
    assert burnt.current_density < without.current_density
    assert burnt.to_dict()["panel_A_dm2"] == pytest.approx([0.30, edge], abs=0.02)
    assert without.to_dict()["panel_A_dm2"] is None


def test_a_panel_counts_for_the_stirring_of_the_run():
    still = plate(with_panel(current="1 A", burnt_to="4 cm"))
    stirred = plate(with_panel(current="1 A", burnt_to="4 cm", stirring="moved"))
    assert stirred.recommended[1] == pytest.approx(still.recommended[1] / 2)


@pytest.mark.parametrize(
    ("fields", "stirring", "narrowed"),
    [
        ({}, "still", (1.2, 5.0)),
        ({"burnt_to": "1 cm"}, "still", (1.2, 2.04)),  # 5.10 A/dm2 there, and edges get 2.5 times the average
        ({"burnt_to": "1 cm"}, "moved", (1.2, 4.08)),  # half as thick a layer as in the cell
        ({"burnt_to": "1 cm"}, "air", (1.2, 5.0)),  # it lowers the range and never raises it
        ({"burnt_to": "1 cm", "stirring": "air"}, "still", (0.306, 0.51)),  # burns before it shines: 0.3 to 0.5
        ({"bright_to": "4 cm"}, "still", (1.945, 5.0)),  # 5.10 - 5.24 x 0.602
        ({"bright_to": "8 cm"}, "moved", (1.2, 5.0)),
        ({"burnt_to": "1 cm", "bright_to": "4 cm"}, "still", (1.945, 2.04)),
        ({"burnt_to": "1.5 cm", "bright_to": "4 cm"}, "still", (1.002, 1.671)),  # (5.10 - 5.24 x 0.176)/2.5
    ],
)
def test_a_panel_narrows_the_range_by_hand(fields, stirring, narrowed):
    panel = with_panel(current="1 A", **fields).hull_cell
    assert within_panel((1.2, 5.0), panel, stirring) == pytest.approx(narrowed, abs=0.001)


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"bright_to": "5 cm"}, "from 1.44 to 6.12 A/dm² this bath shines, and nothing burnt. Edges"),  # 5.24 x 0.699
        ({"burnt_to": "1 cm"}, "from 0.30 to 5.10 A/dm² this bath plates whole. Edges"),  # 5.24 x log 8.25 at its end
    ],
)
def test_what_a_panel_showed_is_said_by_hand(fields, said):
    lines = plate(with_panel(current="1 A", **fields)).sections()[0].lines
    assert any(said in text.replace("\N{NO-BREAK SPACE}", " ") for text in lines)


def test_dull_at_low_current_points_to_the_brightener_and_a_bright_panel_away_from_it():
    def chance(**fields):
        return next((c.probability for c in diagnose(with_panel(**fields)).causes if c.name == "additive used up"), 0.0)

    assert chance(current="1 A", bright_to="3 cm") > 1.1 * chance()
    assert chance(current="1 A") < 0.8 * chance()


def test_a_bath_without_additives_is_not_blamed_for_being_dull():
    text = SHEET.format(panel='[hull_cell]\ncurrent = "1 A"').replace("additives = true", "additives = false")
    found = diagnose(parse_sheet(text.encode()))
    assert not any("panel" in said for cause in found.causes for said in cause.evidence_against if "used" in cause.name)


@pytest.mark.parametrize(
    ("fields", "names", "fault"),
    [
        ({}, "hull_cell: current", Fault.MISSING),
        ({"current": "1 A", "burnt_to": "0.5 cm"}, "hull_cell: burnt_to", Fault.OUT_OF_LIMITS),
        ({"current": "1 A", "bare_from": "9 cm"}, "hull_cell: bare_from", Fault.OUT_OF_LIMITS),
        ({"current": "1 A", "burnt_to": "3 cm", "bright_to": "2 cm"}, "hull_cell: bright_to", Fault.CONFLICT),
        ({"current": "1 A", "burnt_to": "8 cm", "bare_from": "7 cm"}, "hull_cell: bare_from", Fault.CONFLICT),
        ({"current": "1 A", "cell": "1 L"}, "hull_cell: cell", Fault.NOT_READABLE),
    ],
)
def test_refused(fields, names, fault):
    with pytest.raises(InputError) as refused:
        read_sheet({"bath": {"volume": "5 L"}, "hull_cell": fields})
    assert refused.value.place == names
    assert refused.value.fault is fault
