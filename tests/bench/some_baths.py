"""The baths that tests of plans are made for."""

from advisor.bench.predicted import Expected
from advisor.check.known import Value, independent
from advisor.readings.model import Surroundings

HERE = Surroundings(20.0, 5.0, 0.025, None)
CONTENTS = {"copper_sulfate": Value(200.0, 6.0), "sulfuric_acid": Value(60.0, 3.0), "chloride": Value(70.0, 10.0)}
USUAL = Expected(independent(CONTENTS, CONTENTS, 5.0, 0.005), "test", HERE, frozenset())


def expect(copper_sulfate=200.0, sulfuric_acid=60.0, spread=0.05):
    values = {"copper_sulfate": copper_sulfate, "sulfuric_acid": sulfuric_acid}
    return USUAL.holding(**{name: Value(value, spread * value) for name, value in values.items()})
