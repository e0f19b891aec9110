"""Acid strength against rows of the printed table, typed in to their printed digits."""

import pytest

from advisor.solution.stock import acid_density, acid_strength

# CRC Handbook of Chemistry and Physics, 102nd ed. (2021), Concentrative Properties of Aqueous Solutions, sulfuric acid:
# mass percent and density at 20 degC.
PRINTED = {
    2: 1.0116,
    10: 1.0661,
    20: 1.1398,
    30: 1.2191,
    36: 1.2685,
    38: 1.2855,
    40: 1.3028,
    50: 1.3952,
    60: 1.4987,
    70: 1.6105,
    80: 1.7272,
    90: 1.8144,
    92: 1.8240,
    94: 1.8312,
    96: 1.8355,
    98: 1.8361,
    100: 1.8305,
}


@pytest.mark.parametrize("percent", PRINTED)
def test_printed_cells(percent):
    assert acid_density(percent / 100) == pytest.approx(PRINTED[percent], abs=1e-12)
    if percent <= 93:
        assert acid_strength(PRINTED[percent]) == pytest.approx(percent / 100, abs=1e-9)
