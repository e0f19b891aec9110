"""Molar masses, the volume of a mole of gas, and the factors between the ways in which copper sulfate is stated.

Constants in g/mol from the standard atomic weights (IUPAC Commission on Isotopic Abundances and Atomic
Weights, 2021, conventional values); `reference_tables/molar_masses.csv` holds the same figures and a test
compares them.
"""

# Computed from the standard atomic weights (see above).
COPPER = 63.546
IRON = 55.845
NICKEL = 58.693
ZINC = 65.38
CHLORINE = 35.45
OXYGEN = 15.999
COPPER_SULFATE = 159.60  # anhydrous, CuSO4
COPPER_SULFATE_PENTAHYDRATE = 249.68  # CuSO4.5H2O
IRON_SULFATE = 151.90  # FeSO4
SULFURIC_ACID = 98.07
WATER = 18.015
SODIUM_HYDROXIDE = 39.997
SODIUM_BICARBONATE = 84.006
SODIUM_CARBONATE = 105.988
SODIUM_CHLORIDE = 58.44
SODIUM_SULFATE = 142.04
HYDROGEN_CHLORIDE = 36.46

MOLAR_VOLUME = 24.055  # [L/mol] of an ideal gas at 20 degC and 1 atm (computed)

ANHYDROUS_PER_PENTAHYDRATE = COPPER_SULFATE / COPPER_SULFATE_PENTAHYDRATE  # [g/g]
COPPER_PER_PENTAHYDRATE = COPPER / COPPER_SULFATE_PENTAHYDRATE  # [g/g]
PENTAHYDRATE_PER_COPPER = COPPER_SULFATE_PENTAHYDRATE / COPPER  # [g/g], 3.929
ACID_PER_COPPER = SULFURIC_ACID / COPPER  # [g/g], used or freed where copper dissolves or plates, 1.543
