"""The answer in one glance: what the rows and the bar say, and that no number parts from its unit."""

import re
from dataclasses import replace
from functools import cache

import pytest

from advisor.check.advise import advise
from advisor.check.headline import SHAPES, Headline, Tone
from advisor.examples import example_text
from advisor.sheet import parse_sheet
from advisor.ui.look.own_units import unparted
from advisor.ui.parts import glance
from advisor.ui.session.state import Typed
from advisor.words.lines import Amount, Units, line
from advisor.words.sections import Section
from tests.widgets import said, sheet_field

SHEET = parse_sheet(example_text("dull").encode())


@cache
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


def test_what_has_gone_in_since_is_said_in_place_of_the_answer(monkeypatch):
    since = Headline(Tone.INSIDE, "All is in", line("Measure again"), ())
    shown = drawn(monkeypatch, glance.show, dull(), since)
    assert "● All is in" in shown
    assert "Too little acid" not in shown
    assert "<b>All is in ↑</b>" in drawn(monkeypatch, glance.bar, dull(), since)


@pytest.mark.parametrize(
    ("begun", "current", "button"),
    [
        (False, True, ("Start correcting", False)),
        (True, True, ("Go on correcting", False)),
        (False, False, ("Start correcting", True)),
    ],
)
def test_the_way_to_the_steps_is_open_while_the_answer_is_of_what_stands_in_the_fields(
    monkeypatch, begun, current, button
):
    buttons = []
    monkeypatch.setattr(glance.st, "button", lambda words, disabled, **_: buttons.append((words, disabled)))
    glance.work_from_it(dull(), begun, current)
    assert buttons == [button]
    glance.work_from_it(replace(dull(), steps=()), begun, current)
    assert buttons == [button]


def test_why_says_in_full_what_the_glance_shortens_and_nothing_where_it_shortens_nothing(monkeypatch):
    said = []
    monkeypatch.setattr(glance.cards, "sections", said.extend)
    for lines in ((line("It is saturated."),), ()):
        monkeypatch.setattr(glance, "in_full", lambda advice, lines=lines: lines)
        glance.rests_on(dull())
    assert said == [Section("Why", (line("It is saturated."),))]


def test_a_row_says_its_window_as_it_was_typed_or_that_there_is_none():
    judged = dull().verdict["sulfuric_acid"]
    no_limits = glance._row("sulfuric_acid", None, replace(judged, limits=None))
    assert "<small>no limits</small>" in no_limits
    own = glance._row("sulfuric_acid", None, replace(judged, limits=(30.25, 75.125)))
    assert "window 30.25 to 75.125 g/L" in own.replace("\N{NO-BREAK SPACE}", " ")


def test_in_us_units_the_metric_amount_stands_in_small_below(monkeypatch):
    """120 g/L · 3.785 L/gal / 28.35 g/oz = 16.0 oz/gal."""
    large = glance._in_large(Amount(120.0, "g/L")).replace("\N{NO-BREAK SPACE}", " ")
    assert large == "120 g/L"
    monkeypatch.setattr(glance, "chosen", lambda: Units.US_FIRST)
    large = glance._in_large(Amount(120.0, "g/L")).replace("\N{NO-BREAK SPACE}", " ")
    assert re.fullmatch(r"16(\.\d*)? oz/gal<br><small>120 g/L</small>", large)


@pytest.mark.parametrize(("current", "marked"), [(True, False), (False, True)])
def test_an_answer_of_before_is_marked_and_stands_in_no_bar(monkeypatch, current, marked):
    said, shown = [], []
    monkeypatch.setattr(glance.st, "html", shown.append)
    monkeypatch.setattr(glance.cards, "outdated", said.append)
    entry = Typed(SHEET if current else None, {}, "found", SHEET)
    told = Headline(Tone.INSIDE, "It is inside", line("Nothing to do"), ("See below.",))
    assert glance.answer(entry, lambda found: told) == "found"
    assert (said == [entry]) == marked
    assert any('class="bar"' in block for block in shown) == (not marked)
    assert any("See" in block for block in shown) == (not marked)


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
