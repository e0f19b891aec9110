"""The sRGB curve: its printed corners, and that its two directions undo each other."""

import numpy as np
import pytest

from advisor.basis.srgb import from_linear, to_linear


def test_printed_points():
    # IEC 61966-2-1: 0, 255 and the corner at 0.04045; middle grey 188 is about half of the light.
    assert to_linear([0, 255, 188]) == pytest.approx([0.0, 1.0, 0.5029], abs=1e-3)
    below, above = to_linear(0.04044 * 255), to_linear(0.04046 * 255)
    assert above - below == pytest.approx(2e-5 / 12.92, rel=0.1)


def test_both_ways_undo_each_other():
    values = np.arange(256.0)
    assert from_linear(to_linear(values)) == pytest.approx(values, abs=1e-2)


def test_light_beyond_the_range_is_cut():
    assert from_linear([-0.5, 1.5]) == pytest.approx([0.0, 255.0])
