"""The named windows that do not stand in print, that each can be made, and that only what was read is called read."""

import pytest

from advisor.basis import tables
from advisor.sheet import WINDOW_NAMES
from advisor.solution.solubility import saturation

NOT_PRINTED = {
    # ASTM B832 (from memory); no chloride stated.
    "electroforming": ("205", "248", "45", "75", "", ""),
    # Judgement, from the bright variants with 11 and 30 g/L acid in Table VIII of the Metal Finishing Guidebook.
    "low acid": ("195", "248", "10", "30", "50", "120"),
}
UNITS = {"copper_sulfate": "g_L", "sulfuric_acid": "g_L", "chloride": "mg_L"}
LIMITS = [f"{part}_{end}_{unit}" for part, unit in UNITS.items() for end in ("low", "high")]


def test_windows_from_memory_and_judgement_are_these():
    ours = {row["name"]: tuple(row[limit] for limit in LIMITS) for row in tables.rows("windows")}
    assert {name: ours[name] for name in NOT_PRINTED} == NOT_PRINTED


@pytest.mark.parametrize("name", WINDOW_NAMES)
def test_middle_of_each_window_stays_dissolved_at_room_temperature(name):
    middle = {
        part: sum(tables.column("windows", f"{part}_{end}_g_L", name=name)[0] for end in ("low", "high")) / 2
        for part in ("copper_sulfate", "sulfuric_acid")
    }
    assert middle["copper_sulfate"] < 0.9 * saturation(18.0, middle["sulfuric_acid"])


def test_only_what_was_read_is_called_read():
    status = {row["name"]: row["status"] for row in tables.rows("windows")}
    assert status == {
        "standard": "read",
        "high throw": "read",
        "electroforming": "memory",
        "low acid": "judgement",
    }
