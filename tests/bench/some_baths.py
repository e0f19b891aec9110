"""The baths that tests of plans are made for."""

from dataclasses import replace

from advisor.bench.predicted import Expected
from advisor.readings.model import Surroundings

HERE = Surroundings(20.0, 5.0, 0.025, None)
USUAL = Expected(200.0, 60.0, 70.0, 6.0, 3.0, 10.0, "test", HERE)


def expect(copper_sulfate=200.0, sulfuric_acid=60.0, spread=0.05):
    values = {"copper_sulfate": copper_sulfate, "sulfuric_acid": sulfuric_acid}
    return replace(USUAL, **values, **{f"{name}_spread": spread * value for name, value in values.items()})
