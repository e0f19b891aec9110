"""US units stand beside the metric ones where they were chosen, and nowhere else."""

import json
import re

from advisor.basis.places import PAGES
from advisor.ui.look import printing
from advisor.ui.look.own_units import BOTH
from advisor.words import report


def test_the_choice_is_kept_shown_on_the_cards_and_printed(app_test, monkeypatch):
    printed = []
    monkeypatch.setattr(printing, "page", lambda *parts: printed.append(report.page(*parts)) or printed[-1])
    app = app_test("home.py")
    app.radio(key="home_units").set_value(BOTH).run()
    app.button(key="home_example_dull").click().run()
    assert not app.exception
    told = "\n".join(block.proto.body for block in app.get("html"))
    assert "Add 256 g (9.03 oz) crystals" in told.replace("\N{NO-BREAK SPACE}", " ")
    assert "192 ± 9 g/L<br><small>" in told
    assert re.search(r"window \d+ to \d+ g/L \(\d+\.\d to \d+\.\d oz/gal\)", told)
    app.switch_page(str(PAGES / "correct.py")).run()
    assert any("256 g (9.03 oz)" in box.label for box in app.checkbox)
    assert "256 g (9.03 oz) of copper sulfate crystals" in printed[-1]
    app.switch_page(str(PAGES / "home.py")).run()
    assert app.radio(key="home_units").value == BOTH


def test_without_the_choice_all_stays_metric(app_test):
    app = app_test("check.py")
    app.button(key="bench_example_dull").click().run()
    assert "°F" not in json.dumps([block.proto.body for block in app.get("html") if "glance" in block.proto.body])
    assert " oz" not in json.dumps([block.proto.body for block in app.get("html") if "glance" in block.proto.body])
