"""From an uploaded photograph to a reading in the sheet, and from an STL file to the area of the part."""

import io
import itertools

import numpy as np
import pytest
import trimesh
from PIL import Image
from streamlit.testing.v1 import AppTest

from advisor.basis.srgb import from_linear
from advisor.ui.parts import photo_parts
from advisor.ui.session.state import _SHEET

JARS = (0.6, 0.5, 0.4, 0.3, 0.45)  # linear red: standards of 10, 13, 16, 20 g/L and the bath


def photographed() -> bytes:
    light = np.full((200, 500, 3), 0.85)
    for number, red in enumerate(JARS):
        light[60:140, 100 * number + 20 : 100 * number + 80] = (0.85 * red, 0.8, 0.85)
    file = io.BytesIO()
    Image.fromarray(np.rint(from_linear(light)).astype(np.uint8)).save(file, "PNG")
    return file.getvalue()


@pytest.fixture
def check(app_test) -> AppTest:
    app = app_test("check.py")
    app.selectbox(key="reading_kind").select("photo colour").run()
    app.button(key="reading_add").click().run()
    assert not app.exception
    return app


def upload(app, key, name, content) -> AppTest:
    app.file_uploader(key=key).upload(name, content, "application/octet-stream").run()
    assert not app.exception
    return app


def test_a_photograph_becomes_the_reading(check):
    upload(check, "photo_1_file", "jars.png", photographed())
    for number, grams in enumerate(("10", "13", "16", "20,0"), 1):
        check.text_input(key=f"photo_1_standard_{number}_grams").input(grams)
    check.run()
    check.button(key="photo_1_use").click().run()
    assert not check.exception
    reading = check.session_state[_SHEET]["reading"][0]
    assert [row[0] for row in reading["standards"]] == [10, 13, 16, 20]
    assert [row[1] for row in reading["standards"]] == pytest.approx(from_linear(0.85 * np.array(JARS[:4])), abs=0.6)
    assert reading["samples"][0][0] == pytest.approx(float(from_linear(0.85 * JARS[4])), abs=0.6)
    assert reading["origin"] == "photograph"


def test_what_is_no_photograph_is_said_at_its_field(check):
    upload(check, "photo_1_file", "jars.png", b"nonsense")
    assert "the photograph: it cannot be read" in "\n".join(block.proto.body for block in check.get("html"))


def test_a_box_that_is_none_is_said_and_nothing_can_be_used(check):
    upload(check, "photo_1_file", "jars.png", photographed())
    for number in range(1, 5):
        check.text_input(key=f"photo_1_standard_{number}_grams").input(str(10 * number))
    check.number_input(key="photo_1_bath_1_left").set_value(99)
    check.run()
    assert not check.exception
    assert "bath 1" in "\n".join(block.proto.body for block in check.get("html"))
    assert "photo_1_use" not in [button.key for button in check.button]


@pytest.mark.parametrize("jars", [1, 3, 12])
def test_the_first_boxes_lie_on_the_photograph_beside_each_other(jars):
    counts = {"standard": jars - 1, "bath": 1, "white": 4}
    boxes = [photo_parts._start("standard", number, counts) for number in range(1, jars)]
    boxes.append(photo_parts._start("bath", 1, counts))
    assert all(0 <= left < right <= 100 for left, _, right, _ in boxes)
    assert all(one[2] <= other[0] for one, other in itertools.pairwise(boxes))


def test_an_stl_file_becomes_the_area(app_test):
    app = app_test("plating_run.py")
    app.selectbox(key="plating_way").select("Drawing of the part (STL file)").run()
    upload(app, "plating_solid_file", "part.stl", trimesh.creation.box((3.0, 2.0, 1.0)).export(file_type="stl"))
    assert "3 × 2 × 1 mm" in "\n".join(text.value for text in app.markdown)
    app.button(key="plating_take_area").click().run()
    assert app.session_state[_SHEET]["plate"]["area"] == "0.22 cm^2"
    upload(app, "plating_solid_file", "part.stl", b"nonsense")
    assert "it is no STL file" in "\n".join(block.proto.body for block in app.get("html"))
