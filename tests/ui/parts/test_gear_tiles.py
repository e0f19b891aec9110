"""Every tool that a sheet knows has a drawing of its own, on its own button."""

from xml.etree import ElementTree

import pytest

from advisor.sheet import GEAR
from advisor.ui.parts import gear_tiles


def test_every_tool_is_drawn_and_nothing_else():
    assert tuple(gear_tiles.SHAPES) == GEAR


@pytest.mark.parametrize("tool", GEAR)
def test_a_drawing_is_sound_and_fetches_nothing(tool):
    root = ElementTree.fromstring(gear_tiles._svg(gear_tiles.SHAPES[tool]))
    assert root.get("viewBox") == "0 0 48 48"
    assert {part.tag.rpartition("}")[2] for part in root.iter()} <= {"svg", "style", "g", "path", "circle"}


def test_the_kitchen_scale_is_called_so_and_written_as_the_sheet_has_it(app_test):
    app = app_test("check.py")
    (gear,) = [group for group in app.button_group if group.label == "What you have to hand"]
    assert "1 g kitchen scale" in gear.options
    gear.select("1 g scale").run()
    assert app.session_state["sheet"]["gear"]["have"] == ["1 g scale"]
