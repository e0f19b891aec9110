"""The named working windows that stand in print, typed in as printed."""

from advisor.basis import tables

# Metal Finishing Guidebook and Directory 2011-12, p. 206, and 2013, pp. 284 and 286, Tables VIII and IX: copper sulfate
# and acid in g/L, chloride in mg/L.
PRINTED = {
    "standard": ("195", "248", "30", "75", "50", "120"),
    "high throw": ("60", "75", "187", "225", "50", "100"),
}
UNITS = {"copper_sulfate": "g_L", "sulfuric_acid": "g_L", "chloride": "mg_L"}
LIMITS = [f"{part}_{end}_{unit}" for part, unit in UNITS.items() for end in ("low", "high")]


def test_windows_are_the_printed_ones():
    ours = {row["name"]: tuple(row[limit] for limit in LIMITS) for row in tables.rows("windows")}
    assert {name: ours[name] for name in PRINTED} == PRINTED
