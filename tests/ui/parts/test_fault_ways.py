"""The filled button beneath what is to blame leads to what measures or mends it."""

from dataclasses import replace

import pytest

from advisor.basis import tables
from advisor.basis.places import PAGES
from advisor.check.advise import advise
from advisor.examples import MARK, example_text
from advisor.questions import faults
from advisor.record.logbook import Logbook
from advisor.sheet import LOOKS, TREATMENTS, parse_sheet, parse_toml, read_sheet
from advisor.ui.parts import fault_ways
from advisor.words.lines import small
from tests.widgets import sheet_field

MEASURED = {"kind": "previous check", "copper_sulfate": "220 ± 3 g/L", "sulfuric_acid": "52 ± 1 g/L"}


@pytest.fixture
def tapped(monkeypatch):
    """What a tap on the button does, by what the diagnosis holds."""

    def of(sheet):
        led = []
        monkeypatch.setattr(fault_ways.st, "button", lambda words, **more: led.append(words) or True)
        monkeypatch.setattr(fault_ways.st, "switch_page", lambda page, **more: led.append(page.name))
        monkeypatch.setattr(fault_ways.guided, "begin_test", led.append)
        monkeypatch.setattr(fault_ways.guided, "begin", lambda: led.append("guided check"))
        fault_ways.show(faults.diagnose(sheet), sheet)
        return led

    return of


@pytest.mark.parametrize(
    ("looks", "bath", "led"),
    [
        (
            ["dull"],
            {"additives": True, "throughput": "500 A*h"},
            ["Check the bath", "guided check", "Fill in what the jar test shows", "keep_or_remake.py"],
        ),
        (["pits"], {}, ["Check the bath", "guided check"]),
        (
            ["burnt edges", "pits"],
            {},
            ["Work out the right current", "plating_run.py", "Check the bath", "guided check"],
        ),
        (["rough"], {}, ["Look for sludge: what do you see?", "Check the bath", "guided check"]),
    ],
)
def test_a_test_leads_to_where_it_is_filled_in(tapped, looks, bath, led):
    assert tapped(read_sheet({"bath": bath, "deposit": {"looks": looks}}, needs_volume=False)) == led


@pytest.mark.parametrize("look", LOOKS)
def test_no_treatment_is_offered_for_a_cause_that_the_answer_does_not_name(monkeypatch, look):
    offered = []
    monkeypatch.setattr(fault_ways.st, "button", lambda words, **_: offered.append(words))
    found = faults.diagnose(read_sheet({"bath": {}, "deposit": {"looks": [look]}}, needs_volume=False))
    fault_ways.treatments(found)
    (named,) = (block.lines for block in found.sections() if block.title.startswith("Most likely causes"))
    causes = [cause for cause in found.causes if any(faults.cause_line(cause) == text for text in named)]
    called_for = {fault_ways.TREATED[cause.name] for cause in causes if cause.name in fault_ways.TREATED}
    assert len(offered) == min(len(called_for), fault_ways.MOST)
    assert all(any(f"If {small(cause.in_short)}: " in words for cause in causes) for words in offered)


def test_what_is_known_is_mended(tapped):
    dull = {**parse_toml(example_text("dull").encode()), "deposit": {"looks": ["dull"]}}
    assert tapped(read_sheet(dull)) == ["Correct it", "correct.py"]


@pytest.mark.parametrize(("looks", "what"), [("brittle", "carbon"), ("rough", "filtering")])
def test_a_cause_that_calls_for_a_treatment_leads_to_its_card(app_test, looks, what):
    app = app_test("deposit_faults.py")
    app.session_state["sheet"] = {"bath": {"volume": "5.6 L"}, "deposit": {"looks": [looks]}}
    offered = {button.label.partition(": ")[2]: button for button in app.run().button}
    offered[f"{fault_ways.CALLED[what]} →"].click().run()
    assert not app.exception
    assert app.title[0].value == "Anodes and care"
    assert app.session_state["sheet"]["treat"] == {"what": what}
    assert "What it does" in [heading.value for heading in app.subheader]


def test_each_treatment_that_is_offered_is_one():
    assert {*fault_ways.TREATED.values()} == {*fault_ways.CALLED} < {*TREATMENTS}
    assert {*fault_ways.TREATED} < {row["cause"] for row in tables.rows("fault_causes")}


@pytest.mark.parametrize(
    ("cause", "have", "led"),
    [
        ("acid low", [], ["Measure it: acid titration", "acid titration"]),
        (
            "acid low",
            ["conductivity pen"],
            ["Measure it: conductivity of the thinned bath", "thinned conductivity"],
        ),
        ("copper low", [], ["Measure it: hydrometer, if you have one", "hydrometer"]),
        ("copper low", ["hydrometer", "EDTA"], ["Measure it: hydrometer", "hydrometer"]),
        ("copper low", ["EDTA"], ["Measure it: copper titration", "copper titration"]),
    ],
)
def test_a_reading_that_can_be_taken_is_begun(tapped, monkeypatch, cause, have, led):
    raw = {"bath": {}, "deposit": {"looks": ["thin recesses"]}, "gear": {"have": have}}
    sheet = read_sheet(raw, needs_volume=False)
    found = faults.diagnose(sheet)
    monkeypatch.setattr(
        faults,
        "diagnose",
        lambda sheet: faults.replace(found, test=faults.NextTest("", "", cause), causes=found.open_causes),
    )
    assert tapped(sheet) == led


@pytest.mark.parametrize(
    ("cause", "known", "readings", "led"),
    [
        (
            "passive anode",
            False,
            [],
            ["Look at the anodes", "treatments.py", "Check the bath", "guided check"],
        ),
        ("passive anode", True, [], ["Check the bath", "guided check"]),
        (
            "current too high",
            False,
            [],
            ["Work out the right current", "plating_run.py", "Check the bath", "guided check"],
        ),
        ("current too high", False, [MEASURED], ["Work out the right current", "plating_run.py"]),
    ],
)
def test_what_is_known_or_measured_needs_no_look_and_no_check(tapped, monkeypatch, cause, known, readings, led):
    """A cause that is known is mended, at the tank where no page does; who has measured is sent to no check."""
    raw = {"bath": {"volume": "5 L"}, "deposit": {"looks": ["dull"]}, "reading": readings}
    sheet = read_sheet(raw)
    found = faults.diagnose(sheet)
    causes = (replace(found.causes[0], name=cause, known=known),)
    test = faults.NextTest("", "", cause)
    monkeypatch.setattr(faults, "diagnose", lambda sheet: replace(found, test=test, causes=causes))
    assert tapped(sheet) == led


def test_from_dull_to_the_first_question_of_the_check(app_test):
    app = app_test("deposit_faults.py")
    app.session_state["check_way"] = "all"  # as of an earlier check
    app.session_state["sheet"] = {"deposit": {"looks": ["dull"]}}
    app.run()
    filled = [button.label for button in app.button if button.proto.type == "primary"]
    assert filled == ["Check the bath"]
    app.button(key="faults_check").click().run()
    assert app.title[0].value == "How much bath is in the tank?"
    assert app.session_state["sheet"]["deposit"] == {"looks": ["dull"]}


def test_once_the_bath_is_measured_the_jar_test_is_the_one_way(app_test):
    """Inside the window: what the bath holds is not to blame."""
    app = app_test("deposit_faults.py")
    bath = {"volume": "5.6 L", "additives": True, "throughput": "500 A*h"}
    app.session_state["sheet"] = {"bath": bath, "deposit": {"looks": ["dull"]}, "reading": [MEASURED]}
    app.run()
    filled = [button.label for button in app.button if button.proto.type == "primary"]
    assert filled == ["Fill in what the jar test shows"]


def test_what_a_look_into_the_tank_shows_has_its_field_opened(app_test):
    app = app_test("deposit_faults.py")
    app.session_state["sheet"] = {"deposit": {"looks": ["rough"]}}
    app.run()
    assert [button.key for button in app.button if button.proto.type == "primary"] == ["faults_look"]
    app.button(key="faults_look").click().run()
    assert app.session_state[fault_ways.BATH_FOLD]
    assert sheet_field(app.button_group, "sheet_bath_condition")


def test_the_check_of_another_bath_begins_at_its_first_question(app_test):
    """Whatever question the check was left at that a fault led to."""
    app = app_test("deposit_faults.py")
    app.session_state["sheet"] = {"deposit": {"looks": ["pits"]}}
    app.run().button(key="faults_check").click().run()
    app.switch_page(str(PAGES / "check.py")).run()
    sheet_field(app.text_input, "sheet_bath_volume").input("5").run()
    app.button(key="guided_next").click().run()
    assert app.title[0].value == "What do you have to hand?"
    app.switch_page(str(PAGES / "home.py")).run().button(key="home_own").click().run()
    assert app.title[0].value == "How much bath is in the tank?"


def test_the_tools_of_the_last_check_are_remembered_on_the_way_to_the_next(app_test):
    sheet = parse_sheet(example_text("dull").replace(MARK, "").encode())
    Logbook().record_check(sheet, advise(sheet))
    app = app_test("deposit_faults.py")
    app.session_state["sheet"] = {"deposit": {"looks": ["pits"]}}
    app.run().button(key="faults_check").click().run()
    assert app.session_state["sheet"]["gear"] == {"have": list(sheet.gear.have)}
