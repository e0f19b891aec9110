"""The named working windows as printed, and that each can be made."""

import pytest

from advisor.basis import tables
from advisor.solution.solubility import saturation

PRINTED = {
    # Metal Finishing Guidebook 2011-12 p. 206 and 2013 pp. 284, 286, Tables VIII and IX.
    "standard": ("195", "248", "30", "75", "50", "120"),
    "high throw": ("60", "75", "187", "225", "50", "100"),
    # ASTM B832 (from memory); no chloride stated.
    "electroforming": ("205", "248", "45", "75", "", ""),
    # Judgement, from the bright variants with 11 and 30 g/L acid in Table VIII.
    "low acid": ("195", "248", "10", "30", "50", "120"),
}
LIMITS = [f"{part}_{end}" for part in ("copper_sulfate", "sulfuric_acid", "chloride") for end in ("low", "high")]


def _unit(limit: str) -> str:
    return f"{limit}_mg_L" if limit.startswith("chloride") else f"{limit}_g_L"


def test_windows_are_the_printed_ones():
    ours = {row["name"]: tuple(row[_unit(limit)] for limit in LIMITS) for row in tables.rows("windows")}
    assert ours == PRINTED


@pytest.mark.parametrize("name", PRINTED)
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
