"""No page is a closed door: each answers with what it cannot do without, and asks for that in its first field."""

import pytest

from tests.widgets import said, sheet_field


def test_the_causes_of_a_fault_need_no_volume(app_test):
    app = app_test("deposit_faults.py")
    sheet_field(app.button_group, "sheet_deposit_looks_0").select("dull").run()
    assert "%" in said(app)
    assert "10 L" not in said(app)  # what stands in for the volume is not shown


def test_current_and_time_need_no_volume(app_test):
    app = app_test("plating_run.py")
    sheet_field(app.text_input, "sheet_plate_area").input("120").run()
    sheet_field(app.text_input, "sheet_plate_thickness").input("100").run()
    assert "depends on how much bath there is" in said(app)
    assert "10 L" not in said(app)


def test_mixing_takes_the_bath_wanted_alone(app_test):
    app = app_test("mix.py")
    asked = sheet_field(app.text_input, "sheet_mix_volume_asked")
    assert "One thing is missing" in said(app)
    asked.input("4").run()
    assert sheet_field(app.text_input, "sheet_mix_volume").value == "4 L"
    assert "crystals" in said(app)
    assert not [field for field in app.text_input if field.key == "sheet_mix_volume_asked"]


@pytest.mark.parametrize("page", ["keep_or_remake.py", "check.py"])
def test_an_empty_answer_holds_the_field_that_it_waits_for(app_test, page):
    app = app_test(page)
    sheet_field(app.text_input, "sheet_bath_volume_asked").input("5").run()
    assert sheet_field(app.text_input, "sheet_bath_volume").value == "5 L"
    assert "One thing is missing" not in said(app)
