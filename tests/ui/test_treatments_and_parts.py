"""The pages of anodes and treatments, and of parts and shopping: what is typed is answered, and a price list grows."""

import pytest

from advisor.basis.fields import InputError
from advisor.basis.places import PAGES
from advisor.basis.units import parse
from advisor.check.advise import advise
from advisor.questions.shopping import DONE_SO_FAR
from advisor.record.entries import AdditiveRule, CrystalsAdded
from advisor.record.logbook import Logbook
from advisor.sheet import TREATMENTS, parse_sheet, parse_toml
from advisor.ui.session import state
from tests.record.test_several import checked
from tests.widgets import said, sheet_field, type_in


def choose(app, name, value):
    sheet_field(app.selectbox, name).select(value).run()
    assert not app.exception
    return app


@pytest.fixture
def treatments(app_test):
    app = app_test("treatments.py")
    return type_in(app, "sheet_bath_volume", "5.6")


def view(app, key, name):
    app.segmented_control(key=key).set_value(name).run()
    assert not app.exception
    return app


@pytest.mark.parametrize("what", TREATMENTS)
def test_every_treatment_is_answered_once_it_is_chosen(treatments, what):
    app = choose(treatments, "sheet_treat_what", what)
    assert "What it does" in [heading.value for heading in app.subheader]
    assert 'class="glance' in said(app)
    assert app.session_state[state._SHEET]["treat"]["what"] == what


def test_nothing_is_answered_before_one_is_chosen(treatments):
    assert said(treatments).count("One thing is missing") == 1


def test_a_heater_that_is_typed_counts(treatments):
    app = choose(treatments, "sheet_treat_what", "warming")
    app = type_in(app, "sheet_treat_heater", "100")
    assert "A heater of 100 W takes" in said(app)


def test_a_refused_entry_of_one_treatment_is_kept_for_it_and_blocks_no_other(treatments):
    app = choose(treatments, "sheet_treat_what", "carbon")
    app = type_in(app, "sheet_treat_carbon", "1000 g/L")
    assert "Fix first: Carbon" in said(app)
    app = choose(app, "sheet_treat_what", "filtering")
    assert "Fix first" not in said(app)
    assert 'class="glance' in said(app)
    app = choose(app, "sheet_treat_what", "carbon")
    assert sheet_field(app.text_input, "sheet_treat_carbon").value == "1000 g/L"


def test_the_anodes_are_answered_from_the_run(app_test):
    app = view(app_test("treatments.py"), "treatments_view", "anodes")
    app = type_in(app, "sheet_plate_area", "85")
    app = type_in(app, "sheet_plate_anode_area", "60")
    assert "They turn passive above" in said(app)


def test_a_part_is_answered_with_its_material(app_test):
    app = app_test("parts.py")
    assert "One thing is missing:</b> say what it is made of, such as leaf or flower" in said(app)
    choose(app, "sheet_part_coat", "graphite")
    assert "A usual coat of this kind" in said(app)


def test_a_price_list_grows_and_shrinks(app_test):
    app = view(app_test("parts.py"), "parts_view", "shop")
    app = type_in(app, "sheet_bath_volume", "5.6")
    app = type_in(app, "sheet_buy_water", "2")
    app.selectbox(key="shelf_what").select("distilled water").run()
    app.button(key="shelf_add").click().run()
    assert not app.exception
    type_in(app, "sheet_shelf_1_volume", "5")
    type_in(app, "sheet_shelf_1_price", "3,50")
    assert "as 6 of 5 L: about 21.00" in said(app)
    app.button(key="shelf_remove_1").click().run()
    assert not app.exception
    assert "shelf" not in app.session_state[state._SHEET]


def test_a_pack_without_a_price_is_asked_for_it(app_test):
    app = view(app_test("parts.py"), "parts_view", "shop")
    type_in(app, "sheet_bath_volume", "5.6")
    app.selectbox(key="shelf_what").select("hydrometer").run()
    app.button(key="shelf_add").click().run()
    assert not app.exception
    assert "needed: Price of the pack" in said(app) or "Needed: Price of the pack" in said(app)


def test_a_file_with_a_wrong_price_is_taken_and_one_with_a_wrong_key_is_not():
    """A price that is wrong has a field that says so; what has no field is refused."""
    raw = state.raw_from_toml(b'[bath]\nvolume = "5 L"\n[[shelf]]\nwhat = "jars"\nprice = "dear"\n')
    assert raw["shelf"] == [{"what": "jars", "price": "dear"}]
    with pytest.raises(InputError, match="shelf 1: colour"):
        state.raw_from_toml(b'[bath]\nvolume = "5 L"\n[[shelf]]\nwhat = "jars"\nprice = 2\ncolour = "red"\n')


@pytest.mark.parametrize(("salt", "doubted"), [(206.0, False), (290.0, True)])
def test_what_the_logbook_tells_is_offered_with_its_doubts_and_taken_over(app_test, salt, doubted):
    """A month in which 6 L became 5.6: about 0.1 L of water a week, unless the second check is far from the record."""
    for litres, held, day in ((6.0, 200.0, "2026-01-01"), (5.6, salt, "2026-01-31")):
        sheet = parse_sheet(checked("Tall", litres, held, 60.0).replace("2026-01-01", day).encode())
        Logbook().record_check(sheet, advise(sheet))
    Logbook().record("Tall", AdditiveRule(additive="Blue", per_ampere_hour=parse("0.2 mL", "volume")))
    app = view(app_test("parts.py"), "parts_view", "shop")
    app.session_state[state._SHEET] = {"bath": {"volume": "5.6 L", "name": "Tall"}}
    app.run()
    told = " ".join(caption.value for caption in app.caption).replace("\N{NO-BREAK SPACE}", " ")
    assert " ± " in told
    assert "mL of Blue for each ampere" in told
    assert ("do not count on these amounts" in told) == doubted
    app.button(key="shelf_from_logbook").click().run()
    assert not app.exception
    assert app.session_state[state._SHEET]["buy"].keys() == {"water", "bath", "plated", "additive"}
    assert sheet_field(app.text_input, "sheet_buy_water").value == app.session_state[state._SHEET]["buy"]["water"]


def test_what_is_ticked_and_not_saved_is_neither_bought_nor_paid_again(app_test):
    app = app_test("correct.py")
    app.session_state[state._SHEET] = {**parse_toml(checked("Tall", 6.0, 180.0, 40.0).encode()), "buy": {"months": 2}}
    boxes = [box.key for box in app.run().checkbox if box.key.startswith("correct_done_")]
    due = "for the correction due now"
    for done in range(len(boxes) + 1):
        for key in boxes[:done]:
            app.checkbox(key=key).check()
        app.run()
        app.session_state["parts_view"] = "shop"
        app.switch_page(str(PAGES / "parts.py")).run()
        assert not app.exception
        assert (due in said(app)) == (done < len(boxes))
        assert (DONE_SO_FAR in said(app)) == (done > 0)
        links = [link.proto.label for link in app.get("page_link")]
        assert ("To the correction that you began →" in links) == (done > 0)
        app.switch_page(str(PAGES / "correct.py")).run()
    app.switch_page(str(PAGES / "keep_or_remake.py")).run()
    assert "correct it in place" not in said(app)
    assert "nothing to pay" in said(app)
    app.session_state[state._SHEET]["reading"].append({"kind": "acid titration"})  # a test that is begun undoes no step
    app.switch_page(str(PAGES / "parts.py")).run()
    assert DONE_SO_FAR in said(app)
    assert due not in said(app)


def test_what_the_record_says_was_added_is_not_bought_again(app_test):
    text = checked("Tall", 6.0, 180.0, 40.0)
    sheet = parse_sheet(text.encode())
    logbook = Logbook()
    logbook.record_check(sheet, advise(sheet))
    app = view(app_test("parts.py"), "parts_view", "shop")
    app.session_state[state._SHEET] = {**parse_toml(text.encode()), "buy": {"months": 2}}
    app.run()
    assert "the correction due now" in said(app)
    logbook.record("Tall", CrystalsAdded(mass=parse("256 g", "mass")))
    app.run()
    assert not app.exception
    assert "the correction due now" not in said(app)
    assert "the bath was corrected on" in said(app)
