"""The answer in one glance: what the rows and the bar say, and that no number parts from its unit."""

from advisor.check.advise import advise
from advisor.check.headline import SHAPES, Tone
from advisor.examples import example_text
from advisor.sheet import parse_sheet
from advisor.ui.look.own_units import unparted
from advisor.ui.parts import glance
from tests.widgets import said, sheet_field

SHEET = parse_sheet(example_text("dull").encode())


def dull():
    return advise(SHEET)


def drawn(monkeypatch, show, *shown):
    said = []
    monkeypatch.setattr(glance.st, "html", said.append)
    show(*shown)
    return said[0]


def test_a_row_says_state_value_and_window_in_words(monkeypatch):
    rows = drawn(monkeypatch, glance.holds, dull(), SHEET).split("<dt>")[1:]
    assert [row.partition("<")[0] for row in rows] == ["Copper sulfate", "Sulfuric acid", "Chloride"]
    assert "window 30_to_75_g/L".replace("_", "\N{NO-BREAK SPACE}") in rows[1]
    assert "20.9_±_1.3_g/L".replace("_", "\N{NO-BREAK SPACE}") in rows[1]
    assert "▼ too low" in rows[1]
    assert "○ not measured" in rows[2]


def test_the_news_stands_first_and_no_number_parts_from_its_unit(monkeypatch):
    shown = drawn(monkeypatch, glance.show, dull())
    assert "▼ Too little acid" in shown
    assert "256\N{NO-BREAK SPACE}g crystals" in shown
    assert "(37\N{NO-BREAK SPACE}%)" in shown
    assert "acid into the liquid, never liquid into acid" in shown  # a dose of acid never stands without it


def test_only_too_little_has_the_mark_of_too_little():
    assert set(glance.SHAPES) == set(Tone)
    assert not set(glance.SHAPES.values()) & {SHAPES[state][0] for state in ("low", "high")}


def test_the_bar_leads_to_the_answer(monkeypatch):
    bar = drawn(monkeypatch, glance.bar, dull(), None).replace("\N{NO-BREAK SPACE}", " ")
    assert 'href="#answer"' in bar
    assert "Acid ▼" in bar
    assert "mL" not in bar  # a dose without its caution has no place here
    assert "Too little acid" in bar
    of_before = drawn(monkeypatch, glance.bar, dull(), None, False)
    assert "<b>Not up to date yet ↑</b>" in of_before
    assert "Too little acid" not in of_before


def test_the_place_of_a_run_says_before_its_answer_how_to_begin_and_what_comes(app_test):
    app = app_test("plating_run.py")
    assert "Say how large the part is" in said(app)
    assert "at what to go on, and how long it takes" in said(app)
    sheet_field(app.text_input, "sheet_plate_area").input("85").run()
    sheet_field(app.text_input, "sheet_plate_thickness").input("100").run()
    assert "Start at 0.23" in said(app).replace("\N{NO-BREAK SPACE}", " ")
    assert "Say how large the part is" not in said(app)


def test_what_was_typed_is_escaped():
    assert unparted("5 <b>mL</b> & more") == "5\N{NO-BREAK SPACE}&lt;b&gt;mL&lt;/b&gt; &amp; more"
