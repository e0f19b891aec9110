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
