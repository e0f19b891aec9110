"""A bench card stands folded beside its reading: nothing is worked out before it is opened, then for what is sound."""

import pytest

from advisor.ui.parts import how_to
from tests.widgets import press, said, sheet_field, turn_to, unfold

CARD = "how_to_1_acid titration"
COLOURS = "The end point with methyl orange"


def ways_back(app):
    links = [*(button.label for button in app.button), *(link.proto.label for link in app.get("page_link"))]
    return [label for label in links if label.startswith("← Back")]


def shown(app):
    return " ".join(block.value for block in app.markdown)


@pytest.fixture
def check(app_test):
    return app_test("check.py", "dull")


def test_a_folded_card_is_not_worked_out(app_test, monkeypatch):
    asked = []
    monkeypatch.setattr(how_to, "bench_card", lambda kind, *_: asked.append(kind))
    app = app_test("check.py", "dull")
    assert not app.exception
    assert asked == []


def test_an_opened_card_is_of_this_bath_with_its_picture(check):
    assert "from your readings" not in said(check)
    unfold(check, CARD)
    assert "from your readings" in said(check)
    assert COLOURS not in said(check)  # of an indicator that is not there
    check.session_state["sheet"]["gear"]["have"].append("methyl orange")
    check.run()
    assert COLOURS in said(check)
    assert how_to.USUAL_NOTE not in shown(check)


def test_a_card_is_worked_out_once_for_a_sheet(check, monkeypatch):
    asked = []
    made = how_to.bench_card
    monkeypatch.setattr(how_to, "bench_card", lambda kind, *of: asked.append(kind) or made(kind, *of))
    unfold(check, "at_once_0")
    unfold(check, CARD)
    assert asked == ["acid titration"]
    sheet_field(check.text_input, "sheet_bath_volume").input("5.1").run()
    assert asked == ["acid titration"] * 2


def test_an_empty_reading_keeps_the_numbers_of_the_others(check):
    unfold(check, CARD)
    before = [block.proto.body for block in check.get("html") if "from your readings" in block.proto.body]
    check.selectbox(key="reading_kind").select("chloride strip").run()
    check.button(key="reading_add").click().run()
    assert before
    assert all(block.replace("\N{NO-BREAK SPACE}", " ") in said(check) for block in before)


def test_without_a_bath_the_gear_still_counts(app_test):
    app = app_test("check.py")
    sheet_field(app.button_group, "sheet_gear_have").select("lye").run()
    app.selectbox(key="reading_kind").select("acid titration").run()
    app.button(key="reading_add").click().run()
    unfold(app, CARD)
    assert how_to.USUAL_NOTE in shown(app)
    assert "lye (sodium hydroxide)" in said(app)


def test_from_a_card_to_the_same_card_on_methods(check):
    unfold(check, "how_to_2_hydrometer")
    check.button(key="how_to_2_hydrometer_page").click().run()
    assert not check.exception
    assert check.selectbox(key="methods_kind").value == "hydrometer"
    assert "Reading a hydrometer" in said(check)  # the drawing stands there too
    assert ways_back(check) == ["← Back to Check"] * 2  # above the card and below it


def test_from_a_card_to_the_card_that_it_names(check):
    unfold(check, "how_to_2_hydrometer")
    check.button(key="how_to_2_hydrometer_sampling").click().run()
    assert not check.exception
    assert check.selectbox(key="methods_kind").value == "sampling"
    assert ways_back(check) == ["← Back to Hydrometer"] * 2


def test_a_card_leads_back_to_what_led_there_as_far_as_the_first_page(check):
    """To one card, from there to another, and both ways back; there is none further, and none after a choice.

    AppTest forgets at the next run which page a script has turned to.
    """
    unfold(check, "how_to_2_hydrometer")
    check.button(key="how_to_2_hydrometer_page").click().run()
    turn_to(check, "methods.py").button(key="methods_sampling").click().run()
    assert ways_back(check) == ["← Back to Hydrometer"] * 2
    press(turn_to(check, "methods.py"), "← Back to Hydrometer")
    assert not check.exception
    assert (check.selectbox(key="methods_kind").value, check.header[0].value) == ("hydrometer", "Hydrometer")
    assert ways_back(check) == ["← Back to Check"] * 2
    turn_to(check, "methods.py").selectbox(key="methods_kind").select("sampling").run()
    assert ways_back(check) == []
