"""Bench sheets that tests of several rooms share."""

# A tank of which a litre has evaporated; what it held before is known as well as a hydrometer and soda tell it.
FALLEN = {
    "bath": {"volume": "4.6 L", "usual_volume": "5.6 L"},
    "reading": [
        {
            "kind": "previous check",
            "copper_sulfate": "190 ± 20 g/L",
            "sulfuric_acid": "50 ± 6 g/L",
            "volume": "5.6 L",
            "since": "evaporation only",
        }
    ],
}

ANSWERED = {"soda_added": "0 g", "touched": ["nothing"], "topped_up_with": "distilled water", "anodes": "copper"}


def checked(copper: str, acid: str, **bath: object) -> dict:
    """Return the sheet of a bath by what it held at its last check [g/L with ±]; nothing but water has left since."""
    reading = {"kind": "previous check", "since": "evaporation only"}
    reading |= {"copper_sulfate": f"{copper} g/L", "sulfuric_acid": f"{acid} g/L"}
    return {"bath": {"volume": "5.6 L", **ANSWERED, **bath}, "reading": [reading]}


# Every kind of answer, with the longest of each that turned up.
ANSWERS = {
    "nothing needed": checked("221 ± 6", "52 ± 4"),
    "chloride not measured": checked("221 ± 6", "52 ± 4", additives=True),
    "four doses": checked("120 ± 6", "10 ± 2", max_volume="5.6 L"),
    "level low": FALLEN,
    "crystals on the floor": checked(
        "330 ± 10", "120 ± 10", volume="4.6 L", usual_volume="5.6 L", temperature="10 degC"
    ),
    "too cold": checked("234 ± 6", "64 ± 4", coldest="3 degC"),
    "thinned for the cold": checked("240 ± 6", "60 ± 3", coldest="12 degC", max_volume="6.5 L"),
    "asking for room": checked("120 ± 6", "10 ± 2"),
    "another window": checked("63 ± 4", "199 ± 8"),
    "resting on one reading": checked("290 ± 6", "50 ± 4"),
    "little known": checked("120 ± 50", "52 ± 4"),
    "little known of both": checked("50 ± 40", "8 ± 8"),
    "short of crystals": checked("120 ± 5", "52 ± 3") | {"stock": {"crystals": {"on_hand": "20 g"}}},
    "no sound sample": checked("221 ± 6", "52 ± 4", condition=["crystals"]),
    "no sound sample, for two reasons": checked(
        "221 ± 6", "52 ± 4", name="Leafcast, big tank", condition=["crystals", "cloudy"]
    ),
}
