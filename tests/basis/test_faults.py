"""What is the matter with an input is a value of a closed list, the same whatever the sentence says."""

import pytest

from advisor.basis.fields import Fault, InputError, SheetError
from advisor.sheet import parse_sheet, read_sheet
from advisor.ui import fields
from advisor.ui.parts import cards
from advisor.ui.session.state import Typed

BATH = {"volume": "5 L"}
TITRATION = {
    "kind": "acid titration", "sample": "5 mL", "diluted_to": "100 mL", "titrant": "sodium carbonate",
    "strength": "0.25 mol/L", "used": "12 mL", "end_point": "methyl orange",
}  # fmt: skip
CASES = (
    ({}, "bath: volume", Fault.MISSING),
    ({"bath": {}}, "bath: volume", Fault.MISSING),
    ({"bath": BATH, "reading": [{}]}, "reading 1: kind", Fault.MISSING),
    ({"bath": BATH, "reading": [{"kind": "previous check"}]}, "reading 1", Fault.MISSING),
    ({"bath": BATH, "reading": [{"kind": "tea leaves"}]}, "reading 1: kind", Fault.NOT_READABLE),
    ({"bath": BATH, "reading": {}}, "reading", Fault.NOT_READABLE),
    ({"bath": BATH, "tank": {}}, "tank", Fault.UNKNOWN_KEY),
    ({"bath": BATH, "stock": {"tea": {}}}, "stock: tea", Fault.UNKNOWN_KEY),
    ({"bath": BATH | {"colour": "blue"}}, "bath: colour", Fault.UNKNOWN_KEY),
    ({"bath": {"volume": "five"}}, "bath: volume", Fault.NOT_READABLE),
    ({"bath": {"volume": 5}}, "bath: volume", Fault.NOT_READABLE),
    ({"bath": BATH | {"condition": ["muddy"]}}, "bath: condition", Fault.NOT_READABLE),
    ({"bath": BATH | {"date": "yesterday"}}, "bath: date", Fault.NOT_READABLE),
    ({"bath": BATH | {"additives": "yes"}}, "bath: additives", Fault.NOT_READABLE),
    ({"bath": {"volume": "5000000 L"}}, "bath: volume", Fault.OUT_OF_LIMITS),
    ({"bath": BATH | {"name": "x" * 81}}, "bath: name", Fault.OUT_OF_LIMITS),
    ({"bath": BATH, "reading": [TITRATION | {"strength": "0 mol/L"}]}, "reading 1: strength", Fault.OUT_OF_LIMITS),
    ({"bath": BATH, "stock": {"acid": {"price": -1}}}, "stock.acid: price", Fault.OUT_OF_LIMITS),
    ({"bath": BATH | {"min_volume": "6 L", "max_volume": "5.5 L"}}, "bath: min_volume", Fault.CONFLICT),
    ({"bath": BATH, "window": {"copper_sulfate": ["9 g/L", "8 g/L"]}}, "window: copper_sulfate", Fault.CONFLICT),
    ({"bath": BATH, "reading": [TITRATION | {"blank": "13 mL"}]}, "reading 1: blank", Fault.NOT_USABLE),
)  # fmt: skip


@pytest.mark.parametrize(("raw", "place", "fault"), CASES)
def test_each_input_error_says_what_is_the_matter(raw, place, fault):
    with pytest.raises(SheetError) as refused:
        read_sheet(raw)
    assert refused.value.place == place
    assert refused.value.fault is fault
    assert refused.value.errors[0].fault is fault


def test_what_is_no_toml_is_not_readable():
    with pytest.raises(InputError) as refused:
        parse_sheet(b"[bath")
    assert refused.value.fault is Fault.NOT_READABLE


@pytest.fixture
def shown(monkeypatch) -> list[str]:
    said: list[str] = []
    monkeypatch.setattr(fields.st, "html", said.append)
    return said


@pytest.mark.parametrize("words", ["nothing was given", "this is still empty"])
def test_an_empty_field_is_asked_for_calmly_whatever_it_is_called(shown, words):
    error = InputError("bath: volume", words, "needed: Bath in the tank now.", Fault.MISSING)
    fields.complain(error)
    cards.answer_of(Typed(None, {error.place: error}, None, None))
    assert 'class="field-missing"' in shown[0]
    assert "Not usable" not in shown[0]
    assert "One thing is missing" in shown[1]


def test_a_wrong_field_is_told_so_even_in_the_words_of_an_empty_one(shown):
    error = InputError("bath: volume", "nothing was given", "it must be a volume", Fault.NOT_READABLE)
    fields.complain(error)
    cards.answer_of(Typed(None, {error.place: error}, None, None))
    assert 'class="field-wrong"' in shown[0]
    assert "Fix first: Bath in the tank now" in shown[1]
