"""From a photograph or a strip to a reading in the sheet, and from an STL file to the area of the part."""

import io

import numpy as np
import pytest
import trimesh
from PIL import Image
from streamlit.testing.v1 import AppTest

from advisor.basis.srgb import from_linear
from advisor.ui.session.state import _SHEET

JARS = (0.6, 0.5, 0.45, 0.45, 0.4, 0.3)  # linear red: the bath in two jars between standards of 10, 13, 16, 20 g/L
GRAMS = {0: "10", 1: "13", 4: "16", 5: "20,0"}


def photographed(jars=JARS) -> bytes:
    light = np.full((300, 600, 3), 0.85)
    for number, red in enumerate(jars):
        light[100:200, 100 * number + 20 : 100 * number + 80] = (0.85 * red, 0.8, 0.85)
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


def texts(app) -> str:
    drawn = [block.value for block in app.markdown] + [block.proto.body for block in app.get("html")]
    return "\n".join(drawn).replace("\N{NO-BREAK SPACE}", " ")


def type_grams(app, grams=GRAMS) -> AppTest:
    for number, typed in grams.items():
        app.text_input(key=f"photo_1_grams_{number}").input(typed)
    return app.run()


def test_a_photograph_becomes_the_reading_once_the_standards_are_typed(check):
    upload(check, "photo_1_file", "jars.png", photographed())
    assert "6 jars are marked." in texts(check)
    assert "photo_1_use" not in [button.key for button in check.button]
    type_grams(check)
    assert "By this photograph the bath holds" in texts(check)
    check.button(key="photo_1_use").click().run()
    assert not check.exception
    reading = check.session_state[_SHEET]["reading"][0]
    assert [row[0] for row in reading["standards"]] == [10, 13, 16, 20]
    known = [JARS[number] for number in GRAMS]
    assert [row[1] for row in reading["standards"]] == pytest.approx(from_linear(0.85 * np.array(known)), abs=0.6)
    assert [row[0] for row in reading["samples"]] == pytest.approx([float(from_linear(0.85 * 0.45))] * 2, abs=0.6)
    assert reading["light_even_to"].endswith("%")
    assert reading["origin"] == "photograph"


def test_only_what_the_standards_hold_is_typed(check):
    before = {field.key for field in (*check.text_input, *check.number_input, *check.text_area)}
    upload(check, "photo_1_file", "jars.png", photographed())
    after = {field.key for field in (*check.text_input, *check.number_input, *check.text_area)}
    assert after - before == {f"photo_1_grams_{number}" for number in GRAMS}


def test_a_jar_that_is_not_sure_is_asked_about_and_nothing_is_read_before(check):
    upload(check, "photo_1_file", "jars.png", photographed((*JARS[:5], 0.86)))  # the last is as pale as 2 g/L
    assert "1 of them not sure" in texts(check)
    type_grams(check, GRAMS | {5: "2"})
    assert "photo_1_use" not in [button.key for button in check.button]
    check.button(key="photo_1_yes_5").click().run()
    assert "not sure" not in texts(check)
    assert "photo_1_use" in [button.key for button in check.button]


def test_a_mark_that_is_no_jar_goes(check):
    upload(check, "photo_1_file", "jars.png", photographed((*JARS[:5], 0.86)))
    check.button(key="photo_1_no_5").click().run()
    assert "5 jars are marked." in texts(check)


def test_a_jar_is_added_moved_and_dropped(check):
    """What the picture sends, and the button for who cannot tap."""
    upload(check, "photo_1_file", "jars.png", photographed((0.6, 0.5)))
    check.button(key="photo_1_add").click().run()
    assert "3 jars are marked" in texts(check)
    opened = check.session_state["photo_1_opened"]
    assert opened.jars[2].box.middle() == pytest.approx((0.5, 0.5))


def test_grams_that_are_no_number_are_said_at_their_field(check):
    upload(check, "photo_1_file", "jars.png", photographed())
    type_grams(check, GRAMS | {1: "many"})
    assert "Not usable" in texts(check)
    assert "photo_1_use" not in [button.key for button in check.button]


def test_what_is_no_photograph_is_said_at_its_field(check):
    upload(check, "photo_1_file", "jars.png", b"nonsense")
    assert "Not usable: it cannot be read" in "\n".join(block.proto.body for block in check.get("html"))


def test_the_pads_of_a_strip_are_asked_for_at_once(app_test):
    app = app_test("check.py")
    app.selectbox(key="reading_kind").select("chloride strip").run()
    app.button(key="reading_add").click().run()
    labels = [field.label for field in app.text_input]
    assert {"The next lower pad or mark", "The next higher pad or mark"} <= {label.split(" (")[0] for label in labels}


def test_an_stl_file_becomes_the_area(app_test):
    app = app_test("plating_run.py")
    app.selectbox(key="plating_way").select("Drawing of the part (STL file)").run()
    upload(app, "plating_solid_file", "part.stl", trimesh.creation.box((3.0, 2.0, 1.0)).export(file_type="stl"))
    assert "3 × 2 × 1 mm" in "\n".join(text.value for text in app.markdown)
    app.button(key="plating_take_area").click().run()
    assert app.session_state[_SHEET]["plate"]["area"] == "0.22 cm^2"
    upload(app, "plating_solid_file", "part.stl", b"nonsense")
    assert "it is no STL file" in "\n".join(block.proto.body for block in app.get("html"))
