"""A usual bath for tests of the questions, with tables and readings to be changed."""

from advisor.sheet import Sheet, read_sheet


def usual(copper_sulfate="200 ± 2 g/L", sulfuric_acid="60 ± 1 g/L", chloride=None, bath=None, **tables) -> Sheet:
    """Return the sheet of 5.6 L at 20 °C with a check of these contents; tables replace or join the sheet's own."""
    held = {"copper_sulfate": copper_sulfate, "sulfuric_acid": sulfuric_acid, "chloride": chloride}
    reading = {"kind": "previous check", "since": "evaporation only", **{k: v for k, v in held.items() if v}}
    raw = {
        "bath": {
            "volume": "5.6 L",
            "temperature": "20 degC",
            "soda_added": "0 g",
            "touched": ["nothing"],
            **(bath or {}),
        },
        "reading": [reading],
        **tables,
    }
    return read_sheet(raw)
