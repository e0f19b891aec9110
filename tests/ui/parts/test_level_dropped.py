"""The level has dropped: what the logbook knows stands in the fields, and no reading of another task is mixed in."""

import datetime

import pytest
import streamlit as st
from streamlit.testing.v1 import AppTest

from advisor.basis.fields import write_table
from advisor.check.advise import advise
from advisor.readings.origin import Origin
from advisor.record.at_hand import at_hand
from advisor.record.logbook import Logbook
from advisor.sheet import read_sheet
from advisor.ui.parts import level_dropped
from advisor.ui.session import state
from advisor.words.lines import Units
from tests.check.test_granted import ACID, HYDROMETER
from tests.widgets import said, sheet_field, unfold

FIELDS = ("then", "now", "copper_sulfate", "sulfuric_acid")


def record(name: str, used: str = "21.5 mL") -> None:
    bath = {"name": name, "volume": "5.6 L", "usual_volume": "5.7 L", "anodes": "copper"}
    bath["date"] = datetime.date.today() - datetime.timedelta(days=20)
    sheet = read_sheet({"bath": bath, "reading": [ACID | {"used": used}, HYDROMETER], "gear": {"have": ["hydrometer"]}})
    Logbook().record_check(sheet, advise(sheet))


@pytest.fixture
def came(app_test):
    """Opens the page as the wish of the first page does, with what stands in the sheet."""

    def open_page(sheet) -> AppTest:
        app = app_test("check.py")
        app.query_params["way"] = "level"
        app.session_state["sheet"] = sheet
        app.run()
        assert not app.exception
        return app

    return open_page


def held(app: AppTest) -> dict[str, str]:
    return {name: app.text_input(key=f"level_{name}").value for name in FIELDS}


def typed(app: AppTest):
    return app.session_state["sheet"]


def use(app: AppTest, now: str) -> AppTest:
    app.text_input(key="level_now").input(now).run()
    app.button(key="level_use").click().run()
    assert not app.exception
    return app


def test_the_only_bath_of_the_record_fills_the_fields_and_one_is_typed(came):
    record("Shed")
    app = came({})
    filled = held(app)
    assert filled["then"] == "5.60 L"
    assert filled["now"] == ""
    assert filled["copper_sulfate"].endswith("g/L")
    assert "±" in filled["sulfuric_acid"]
    use(app, "5.0")
    bath, (reading,) = typed(app)["bath"], typed(app)["reading"]
    assert (bath["name"], bath["volume"], bath["usual_volume"], bath["anodes"]) == ("Shed", "5.0 L", "5.7 L", "copper")
    assert "max_volume" not in bath  # that it held so much does not say that it holds no more
    assert reading["origin"] == Origin.LOGBOOK  # with the sources of its errors, as any next check begins
    assert reading["shared"]
    use(app, "4.9")
    assert len(typed(app)["reading"]) == 1


def test_who_comes_for_it_is_asked_nothing_else_until_then(came):
    app = came({})
    asked = {field.key for field in app.text_input}
    assert {f"level_{name}" for name in FIELDS} <= asked
    assert not any(str(key).startswith("sheet_") for key in asked)
    app.button(key="level_show_all").click().run()
    assert any(str(field.key).startswith("sheet_bath_volume") for field in app.text_input)


def test_who_comes_for_it_again_is_asked_first_again(monkeypatch):
    monkeypatch.setattr(st, "session_state", {"sheet": {}})
    monkeypatch.setattr(st, "query_params", {"way": "level"})
    entry = state.Typed(None, {}, None, None)
    state.turn_to("Check")
    assert level_dropped.is_asked_first(entry)
    st.session_state[level_dropped._CAME_WITH] = None  # it was used
    assert not level_dropped.is_asked_first(entry)
    for page in ("Your baths", "Check"):
        state.turn_to(page)
    assert level_dropped.is_asked_first(entry)


def test_what_is_typed_over_the_record_counts_as_typed(came):
    record("Shed")
    app = came({})
    app.text_input(key="level_copper_sulfate").input("200 ± 10").run()
    (reading,) = typed(use(app, "5.0"))["reading"]
    assert reading["copper_sulfate"] == "200 ± 10 g/L"
    assert "origin" not in reading or reading["origin"] != Origin.LOGBOOK
    assert typed(app)["bath"]["name"] == "Shed"


def test_of_several_baths_the_one_that_is_tapped_fills_them(came):
    record("Shed")
    record("Kitchen", used="12 mL")
    app = came({})
    assert set(held(app).values()) == {""}
    app.button_group(key="level_bath").select("Kitchen").run()
    kitchen = held(app)
    app.button_group(key="level_bath").select("Shed").run()
    assert held(app)["sulfuric_acid"] != kitchen["sulfuric_acid"] != ""
    app.button_group(key="level_bath").unselect("Shed").run()
    assert set(held(app).values()) == {""}


def test_readings_of_another_task_are_not_mixed_in(came):
    """Nothing is recorded: what is known of the tank stays, what was measured for another check does not."""
    bath = {"volume": "5.6 L", "anodes": "copper", "date": "2026-01-02", "condition": []}
    app = came({"bath": bath, "reading": [ACID, HYDROMETER], "gear": {"have": ["hydrometer"]}})
    for name, text in {"then": "5.6", "copper_sulfate": "212", "sulfuric_acid": "54"}.items():
        app.text_input(key=f"level_{name}").input(text).run()
    use(app, "4.6")
    (reading,) = typed(app)["reading"]
    assert reading["kind"] == "previous check"
    assert typed(app)["bath"]["anodes"] == "copper"
    assert "date" not in typed(app)["bath"]
    assert typed(app)["gear"] == {"have": ["hydrometer"]}


def test_nothing_of_an_example_stays(came):
    app = came({})
    app.button(key="level_show_all").click().run()
    app.button(key="bench_example_dull").click().run()
    for name, text in {"then": "5.6", "copper_sulfate": "212", "sulfuric_acid": "54"}.items():
        app.text_input(key=f"level_{name}").input(text).run()
    use(app, "4.6")
    assert set(typed(app)["bath"]) == {"volume", "usual_volume"}
    assert len(typed(app)["reading"]) == 1


def test_within_a_check_the_level_joins_what_was_measured(app_test):
    record("Shed")
    app = app_test("check.py")
    app.session_state["sheet"] = {"bath": {"name": "Shed", "volume": "5.0 L"}, "reading": [ACID]}
    unfold(app, "level_fold_False")
    assert held(app)["then"] == "5.60 L"
    use(app, "5.0")
    assert [reading["kind"] for reading in typed(app)["reading"]] == ["acid titration", "previous check"]
    use(app, "4.9")
    assert len(typed(app)["reading"]) == 2


def test_within_a_check_the_record_is_not_counted_beside_what_was_typed_over_it(app_test, monkeypatch):
    """The carried reading stands in the sheet already; its edited copy takes its place, however often it is used."""
    monkeypatch.setattr(state, "DOUBLE_CLICK", 0.0)  # s; each tap is meant
    record("Shed")
    carried = at_hand(Logbook(), "Shed").carried(datetime.datetime.now(datetime.UTC))
    app = app_test("check.py")
    bath = {"name": "Shed", "volume": "5.0 L"}
    app.session_state["sheet"] = {
        "bath": bath,
        "reading": [{"kind": "previous check", **write_table(carried.reading())}, ACID],
    }
    unfold(app, "level_fold_False")
    app.text_input(key="level_copper_sulfate").input("200 ± 10").run()
    for now in ("5.0", "4.9"):
        readings = typed(use(app, now))["reading"]
        assert typed(app)["bath"]["volume"] == f"{now} L"
        assert [reading["kind"] for reading in readings] == ["acid titration", "previous check"]
        assert readings[1]["copper_sulfate"] == "200 ± 10 g/L"
        assert readings[1].get("origin") != Origin.LOGBOOK


def test_the_record_fills_the_fields_in_the_units_of_the_person(came):
    record("Shed")
    app = came({})
    app.session_state["units"] = Units.US_FIRST
    app.session_state["level_bath"] = None
    app.run()
    app.button_group(key="level_bath").select("Shed").run()
    assert held(app)["copper_sulfate"].endswith("oz/gal")
    (reading,) = typed(use(app, "1.3"))["reading"]
    assert reading["origin"] == Origin.LOGBOOK


@pytest.mark.parametrize(("then", "now"), [("20", "25"), ("20", "21"), ("5 gal", "19")])
def test_a_level_that_has_risen_is_refused_at_its_field(came, then, now):
    """Where water only left, no level rises: 19 L is more than 5 gal (18.9 L)."""
    app = came({})
    for name, text in {"then": then, "copper_sulfate": "212", "sulfuric_acid": "54"}.items():
        app.text_input(key=f"level_{name}").input(text).run()
    use(app, now)
    assert "reading" not in typed(app)
    then = then if "gal" in then else f"{then} L"
    assert f'you gave "{now} L"; it must not be more than the level then, {then}.' in said(app)
    use(app, then)  # a level that stayed is none that rose
    assert "must not be more" not in said(app)
    assert len(typed(app)["reading"]) == 1


def test_nothing_is_asked_twice_where_the_four_fields_ask_for_it(came):
    app = came({})
    assert not any("One thing is missing" in block.proto.body for block in app.get("html"))
    assert app.button(key="level_use").proto.type == "primary"


def test_the_fields_stand_alone_until_they_are_used_though_a_check_is_open(came):
    """On a phone an answer stands above the fields: that of the check before would be in the way of the level."""
    record("Shed")
    app = came({"bath": {"volume": "5.6 L"}, "reading": [ACID, HYDROMETER]})
    assert 'class="glance' not in said(app)
    assert app.button(key="level_use").proto.type == "primary"
    use(app, "5.0")
    assert 'class="glance' in said(app)
    assert app.button(key="level_use").proto.type == "secondary"


def test_who_changes_a_reading_at_that_address_sees_its_answer(came):
    """So does who opens a draft there after a reload: what is asked first was answered before, or is not wanted."""
    record("Shed")
    app = came({"bath": {"volume": "5.6 L"}, "reading": [ACID, HYDROMETER]})
    assert 'class="glance' not in said(app)
    app.session_state["sheet"]["reading"][1]["value"] = "1.170"
    app.run()
    assert 'class="glance' in said(app)


def test_who_does_not_know_what_it_held_is_told_what_water_does_and_checks_from_the_levels(came):
    """5.6 and 5.0 L are each read to 0.5 %: 0.6 L, give or take 1.96 times 0.0375 L. No field is typed again."""
    app = came({"reading": [ACID]})
    app.checkbox(key="level_unknown").check().run()
    assert not any("copper_sulfate" in str(field.key) for field in app.text_input)
    assert "If only water has left, distilled water up to the old level brings back" in said(app)
    app.button(key="level_check").click().run()
    assert "reading" in typed(app)  # both levels are wanted first
    for name, text in {"then": "5.6", "now": "5.0"}.items():
        app.text_input(key=f"level_{name}").input(text).run()
    assert "0.60 ± 0.07 L of distilled water up to the old level" in said(app)
    assert "once these fields are filled in" not in said(app)  # they are
    app.button(key="level_check").click().run()
    assert not app.exception
    assert typed(app) == {"bath": {"volume": "5.0 L", "usual_volume": "5.6 L"}}
    assert sheet_field(app.text_input, "sheet_bath_volume").value == "5.0 L"
    assert "way" not in app.query_params


def test_within_a_check_the_levels_join_it_where_nobody_knows_what_it_held(app_test):
    app = app_test("check.py")
    app.session_state["sheet"] = {"reading": [ACID]}
    unfold(app, "level_fold_False")
    app.checkbox(key="level_unknown").check().run()
    for name, text in {"then": "5.6 ± 0.1", "now": "5.0"}.items():
        app.text_input(key=f"level_{name}").input(text).run()
    app.button(key="level_check").click().run()
    assert typed(app) == {"reading": [ACID], "bath": {"volume": "5.0 L", "usual_volume": "5.6 ± 0.1 L"}}


def test_each_field_has_a_menu_of_units_and_what_is_chosen_holds(came):
    app = came({})
    offered = {name: menu for place, name, menu in app.session_state["unit_menus"].values() if place == ""}
    assert {*offered} == {f"level_{name}" for name in FIELDS}
    assert offered["level_now"]["unit"] == "L"
    app.session_state["unit_menus_chosen"] = app.session_state["sheet"], {(object, "level_now"): "gal"}
    app.run()
    assert app.text_input(key="level_now").label == "Bath in the tank now (gal)"
    app.text_input(key="level_now").input("1,2").run()
    assert app.text_input(key="level_now").value == "1,2 gal"
