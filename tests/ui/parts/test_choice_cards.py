"""The choices of Keep or remake as cards: every choice with its numbers, the advised one marked in words."""

import pytest
from streamlit.testing.v1 import AppTest

from advisor.examples import EXAMPLE_VARIABLE


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
