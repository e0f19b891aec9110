"""Check and the other questions never contradict each other, over random sheets: state, window, currents, what to buy.

What each says is read from its result, not from its sentences; where a question leans on Check, what it is held to is
what Check says of the same sheet.
"""

import random

import pytest

from advisor.check.advise import advise
from advisor.check.mass_balance import forward
from advisor.check.task import make_task
from advisor.questions.disposal import dispose
from advisor.questions.faults import diagnose
from advisor.questions.limit import SMOOTH, share_of
from advisor.questions.make_up import mix
from advisor.questions.plating import plate
from advisor.questions.remake import keep
from advisor.sheet import Sheet, read_sheet
from advisor.solution.solubility import ceiling_at

pytestmark = pytest.mark.slow  # the first test of a sheet waits for the answer that all share

SHEETS = 12
SEED = 20
UNTOUCHED = ("none needed", "measure first")


def a_sheet(number: int) -> Sheet:
    """Return a random sheet that asks every question; lean and strong, cold and warm, one or both contents measured."""
    draw = random.Random(f"{SEED} {number}")
    volume = draw.choice([1.5, 5.6, 12.0, 60.0])
    name = draw.choice(["standard", "standard", "electroforming", "high throw", "low acid"])
    high_throw = draw.random() < 0.25
    copper = draw.uniform(50, 85) if high_throw else draw.uniform(130, 290)
    acid = draw.uniform(170, 235) if high_throw else draw.uniform(8, 100)
    held = {"copper_sulfate": f"{copper:.1f} ± {draw.uniform(0.01, 0.06) * copper:.1f} g/L"}
    if draw.random() < 0.85:
        held["sulfuric_acid"] = f"{acid:.1f} ± {draw.uniform(0.02, 0.1) * acid:.1f} g/L"
    if draw.random() < 0.5:
        held["chloride"] = f"{draw.uniform(20, 150):.0f} ± 8 mg/L"
    area = draw.uniform(10, 300)
    return read_sheet(
        {
            "bath": {
                "volume": f"{volume} L",
                "usual_volume": f"{volume * draw.choice([1.0, 1.0, 1.15]):.2f} L",
                "temperature": f"{draw.uniform(14, 30):.0f} degC",
                "coldest": f"{draw.uniform(4, 14):.0f} degC",
                "additives": draw.choice([True, False]),
            },
            "window": {"name": name},
            "stock": {"acid": {"strength": draw.choice(["37 %", "96 %"])}},
            "reading": [{"kind": "previous check", "since": "evaporation only", **held}],
            "plate": {
                "area": f"{area:.0f} cm^2",
                "thickness": "150 um",
                "stirring": draw.choice(["still", "moved", "air"]),
                "height": f"{draw.uniform(1, 30):.0f} cm",
                "current": f"{area / 100 * draw.uniform(0.1, 8):.3f} A",
                "anode_area": f"{area * draw.uniform(0.1, 3):.0f} cm^2",
            },
            "deposit": {"looks": [draw.choice(["dull", "burnt edges", "rough", "thin recesses", "blue crystals"])]},
            "mix": {"volume": f"{volume} L"},
            "keep": {"disposal_price": 2.5},
        }
    )


@pytest.fixture(scope="module", params=range(SHEETS))
def asked(request: pytest.FixtureRequest):
    sheet = a_sheet(request.param)
    return sheet, advise(sheet)


def test_keep_buys_and_throws_no_more_than_check(asked) -> None:
    """What needs nothing costs nothing to keep; in place it costs what Check's steps cost; no steps are sent to."""
    sheet, checked = asked
    kept = keep(sheet)
    in_place = kept.options[0]
    if checked.plan.state in UNTOUCHED and kept.choice == "correct":
        assert in_place.waste == 0.0
        assert not in_place.material_cost
    if kept.choice == "correct" and not checked.steps:
        assert not any("Follow the steps" in text for text in kept.what_to_do)
    if checked.plan.state == "none needed" and kept.choice == "correct":
        assert any("Nothing needs correcting" in text for text in kept.what_to_do)
    assert not (kept.choice == "remake" and checked.plan.state in UNTOUCHED and not sheet.bath.condition)


def test_plate_and_diagnose_go_by_one_current(asked) -> None:
    """The limiting current, how probably a current is too high, and overloaded anodes are the same in both."""
    sheet, _ = asked
    run, found = plate(sheet), diagnose(sheet)
    density = sheet.plate.current.value / sheet.plate.area.value
    assert run.current == sheet.plate.current.value
    share = share_of(density / run.limit.value)
    assert any(share in text for text in found.first_checks)
    assert run.recommended[1] <= SMOOTH[1] * run.limit.value + 1e-9
    too_high = run.limit.probability_above(SMOOTH[1], density)
    known = {cause.name for cause in found.causes if cause.known}
    if "current too high" in known:
        assert too_high >= 0.95
    said = [text for text in run.warnings if text.startswith("Your anodes carry")]
    assert said == [text for text in found.warnings if text.startswith("Your anodes carry")]


def test_diagnose_and_plate_say_of_the_window_what_check_says(asked) -> None:
    """A content that is called known to be out is out by Check's verdict, and the other way round."""
    sheet, checked = asked
    found, run = diagnose(sheet), plate(sheet)
    causes = {"copper_sulfate": "copper", "sulfuric_acid": "acid", "chloride": "chloride"}
    for cause in found.causes:
        for name, word in causes.items():
            if cause.known and cause.name in (f"{word} low", f"{word} high"):
                assert checked.verdict[name].state == cause.name.split()[-1]
    for name, word in causes.items():
        state = checked.verdict[name].state
        out = [f"{name.replace('_', ' ')} is {side} the window: put that right" for side in ("below", "above")]
        assert any(text in " ".join(run.warnings) for text in out) == (state in ("low", "high"))
        named = any(text in " ".join(found.warnings) for text in out)
        named |= any(cause.known and cause.name == f"{word} {state}" for cause in found.causes)
        assert named == (state in ("low", "high"))


def test_what_is_mixed_needs_no_correction(asked) -> None:
    """A bath mixed as told is inside the window, and stays dissolved wherever a bath inside it can."""
    sheet, _ = asked
    made = mix(sheet)
    assert {made.verdict[name].state for name in ("copper_sulfate", "sulfuric_acid")} == {"in"}
    low = made.verdict["copper_sulfate"].limits[0]
    if low / (1 - 1.96 * 0.014) < 0.998 * float(ceiling_at(sheet.bath.coldest.value)(made.sulfuric_acid)):
        assert made.stays_dissolved


def test_dispose_reckons_with_what_check_found(asked) -> None:
    sheet, checked = asked
    wasted = dispose(sheet)
    for name in ("copper_sulfate", "sulfuric_acid"):
        if wasted.known:
            assert getattr(wasted, name) == pytest.approx(checked.estimate.value(name))


def test_crystals_are_bought_only_where_they_end_inside(asked) -> None:
    """The steps, carried out by the mass balance, end where Check says; crystals go in only where there is too little."""
    sheet, checked = asked
    task = make_task(sheet, checked.estimate, checked.verdict)
    if not checked.steps:
        return
    after = forward(task, checked.plan.amounts)
    assert after.copper_sulfate == pytest.approx(checked.plan.after.copper_sulfate)
    if checked.plan.amounts.crystals > 0:
        assert checked.verdict["copper_sulfate"].state != "high"
        assert plate(sheet).limit.copper_sulfate <= checked.verdict["copper_sulfate"].limits[1] * 1.2
        assert not any(cause.known and cause.name == "copper high" for cause in diagnose(sheet).causes)
