"""Faults, current and time are answered where nobody says how much bath there is, and nothing of a stand-in is shown."""

import pytest

from advisor.basis.fields import SheetError
from advisor.questions.faults import diagnose
from advisor.questions.plating import plate
from advisor.sheet import read_sheet
from advisor.words.lines import Units
from advisor.words.report import terminal

RUN = {"plate": {"area": "85 cm²", "thickness": "100 um"}}
LOOK = {"deposit": {"looks": ["dull"]}}
HYDROMETER = {"kind": "hydrometer", "value": "1.165", "scale": "SG 20/20"}


@pytest.mark.parametrize(("question", "raw"), [(plate, RUN), (diagnose, LOOK)])
def test_it_is_answered_and_the_stand_in_stays_unseen(question, raw):
    sheet = read_sheet(raw, needs_volume=False)
    assert not sheet.bath.volume_known
    assert "10 L" not in terminal("", question(sheet).sections(), Units.METRIC)


def test_current_and_time_do_not_hang_on_the_volume():
    without = plate(read_sheet({**RUN, "reading": [HYDROMETER]}, needs_volume=False))
    for volume in ("2 L", "200 L"):
        given = plate(read_sheet({**RUN, "reading": [HYDROMETER], "bath": {"volume": volume}}))
        assert (given.current, given.time, given.limit) == (without.current, without.time, without.limit)
    assert without.to_dict()["bath_after"]["anodes_feed"]["volume_L"] is None


def test_soda_and_charge_a_litre_are_not_worked_out_with_a_stand_in():
    bath = {"soda_added": "500 g", "throughput": "900 A*h"}
    sheet = read_sheet({**LOOK, "bath": bath}, needs_volume=False)
    assert "from each litre" not in terminal("", diagnose(sheet).sections(), Units.METRIC)
    assert sheet.bath.left_by_soda() is None


def test_who_needs_a_volume_asks_for_it():
    scaled = {"kind": "previous check", "copper_sulfate": "212 ± 12 g/L", "volume": "5 L"}
    for raw, needs in ((RUN, True), ({**RUN, "reading": [scaled]}, False)):
        with pytest.raises(SheetError) as caught:
            read_sheet(raw, needs_volume=needs)
        assert caught.value.errors[0].place == "bath: volume"
