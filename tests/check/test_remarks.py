"""What is said beside the amounts: when a warning comes, and when it does not."""

from typing import Any

from advisor import advise, read_sheet


def answer(coldest: float) -> dict[str, Any]:
    checked = {"copper_sulfate": "225 ± 6 g/L", "sulfuric_acid": "55 ± 2 g/L", "since": "evaporation only"}
    bath = {"volume": "5.6 L", "temperature": "25 degC", "coldest": f"{coldest:.2f} degC"}
    return advise(read_sheet({"bath": bath, "reading": [{"kind": "previous check", **checked}]})).to_dict()


def test_crystals_are_warned_of_within_the_margin_that_solubility_is_known_to() -> None:
    """A solubility known to 12.5 %, at 1.7 % a degree (from 1.5 to 1.8), is a temperature known to 12.5/1.7 = 7 °C.

    So a bath that forms crystals below T is warned of where it may stand at T + 5 °C, though that is warmer than T, and
    not where it never gets colder than T + 9 °C.
    """
    forms_below = answer(20)["verdict"]["crystallises_below_degC"]
    near, far = (answer(forms_below + above)["warnings"] for above in (5, 9))
    assert any("Crystals form below" in text for text in near)
    assert not any("Crystals form below" in text for text in far)
