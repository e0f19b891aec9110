"""What the entries of a correction say beside their amounts."""

import pytest

from advisor import advise, read_sheet
from advisor.ui.session.saving import MEASURE_AGAIN, note_of


def test_the_entry_of_water_says_how_much_of_it_is_still_to_go_in():
    """Of the water of a low level a part is kept back to dissolve the crystals in, and is in the tank with them."""
    known = {"copper_sulfate": "218 ± 12 g/L", "sulfuric_acid": "45 ± 6 g/L"}
    bath = {"volume": "5 L", "usual_volume": "5.8 L"}
    nothing = {"soda_added": "0 g", "touched": ["nothing"], "topped_up_with": "distilled water", "anodes": "copper"}
    read = [{"kind": "previous check", "since": "evaporation only", **known}]
    advice = advise(read_sheet({"bath": bath | nothing, "reading": read}))
    water, crystals = advice.steps
    assert note_of(1, advice) == f"{water.kept_back:.2f} L of it goes in with a later step."
    assert crystals.after.volume - water.after.volume > water.kept_back > 0.1
    assert water.after.volume == pytest.approx(5 + water.numbers["volume_L"] - water.kept_back, abs=0.01)
    assert note_of(2, advice) == MEASURE_AGAIN
