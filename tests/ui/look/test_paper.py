"""Every answer has a page to print, from the command line as from its page, with its pictures and lines to write on."""

import re

import pytest

from advisor.__main__ import QUESTIONS, main
from advisor.basis.places import PAGES
from advisor.examples import example_text
from tests.test_command_line import US_ASKED as ASKED


@pytest.mark.parametrize("command", QUESTIONS)
@pytest.mark.parametrize("units", ["metric", "us"])
def test_the_command_line_prints_every_answer(command, units, tmp_path):
    sheet, file = tmp_path / "sheet.toml", tmp_path / "page.html"
    sheet.write_text(example_text("dull").replace("12 °C", "0 °C") + ASKED, "utf-8")
    assert main([command, str(sheet), "--units", units, "--html", str(file)]) == 0
    text = file.read_text("utf-8")
    assert ("<img" in text) is (command in ("check", "keep"))
    assert text.count('class="write"') == 2
    assert not re.search(r"[^\d]-0 °", text)
    assert "prefers-color-scheme" not in text
    assert not re.search(r"""(src|href)=["'](?!data:)""", text)


@pytest.mark.parametrize(
    ("file", "key"),
    [
        ("correct.py", "correction"),
        ("keep_or_remake.py", "decision"),
        ("mix.py", "mixture"),
        ("plating_run.py", "plating_run"),
    ],
)
def test_every_answer_of_a_page_can_be_printed(app_test, monkeypatch, file, key):
    monkeypatch.setenv("ADVISOR_EXAMPLE", "dull")
    app = app_test("check.py")
    app.session_state["sheet"] |= {"mix": {"volume": "5 L"}, "plate": {"area": "85 cm^2", "thickness": "150 um"}}
    app.switch_page(str(PAGES / file)).run()
    assert not app.exception
    assert f"{key}_print" in {button.key for button in app.get("download_button")}
