"""The choices of Keep or remake as cards: every choice with its numbers, the advised one marked in words."""

import pytest
from streamlit.testing.v1 import AppTest

from advisor.check.advise import advise
from advisor.examples import EXAMPLE_VARIABLE, example_text
from advisor.record.logbook import Logbook
from advisor.sheet import parse_sheet, raw_sheet
from tests.record.some_entries import DONE_OF_DULL
from tests.widgets import text_of


@pytest.fixture
def page(monkeypatch: pytest.MonkeyPatch, app_test) -> AppTest:
    monkeypatch.setenv(EXAMPLE_VARIABLE, "old")
    return app_test("keep_or_remake.py")


def test_each_choice_has_a_card_and_one_is_advised(page: AppTest) -> None:
    drawn = next(block.proto.body for block in page.get("html") if 'class="cards"' in block.proto.body)
    drawn = drawn.replace("\N{NO-BREAK SPACE}", " ")
    assert drawn.count('class="card') == 1 + 3
    assert drawn.count("● advised") == 1
    assert drawn.index("Remake") < drawn.index("● advised")  # what the example's jar test comes to
    assert "9.5 L of copper waste" in drawn


def test_the_sentence_on_when_remaking_pays_stays(page: AppTest) -> None:
    lines = [block.proto.body for block in page.get("html")]
    assert any("Replacing a part does not pay" in text for text in lines)
    assert not any("Correct in place: cost" in text for text in lines)


def test_a_correction_that_the_record_holds_is_not_called_for_again(app_test) -> None:
    sheet = parse_sheet(example_text("dull").encode())
    Logbook().record_check(sheet, advise(sheet))

    def visit() -> AppTest:
        app = app_test("keep_or_remake.py")
        app.session_state["sheet"] = raw_sheet(sheet)
        return app.run()

    assert "Follow the steps of the bath check, then plate a strip" in text_of(visit())
    crystals, acid = DONE_OF_DULL
    Logbook().record(sheet.bath.name, crystals)
    assert "nothing to pay" not in text_of(app := visit())  # its acid is still to go in
    assert "To the correction that you began →" in [link.proto.label for link in app.get("page_link")]
    Logbook().record(sheet.bath.name, acid)
    app = visit()
    assert "Measure again before you add more, then plate a strip before you plate a piece." in text_of(app)
    assert "ollow the steps" not in text_of(app)
