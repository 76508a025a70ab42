"""Octaves: gains against their closed forms."""

from itertools import pairwise

import numpy as np
import pytest

from partline.detail.octaves import Octave, octave_ladder, slope_factor


@pytest.mark.parametrize(("ratio", "peak"), [(2, 1 / 3), (3, 1 / 2), (4, 3 / 5)])
def test_peak_is_at_the_geometric_middle(ratio, peak):
    # Closed form: (sqrt(q) - 1) / (sqrt(q) + 1) at k^2 t1 = 1 / sqrt(q), q = t2 / t1.
    octave = Octave(0.7, 0.7 * ratio)
    assert octave.peak == pytest.approx(peak)
    assert octave.gain(octave.scale_mm) == pytest.approx(peak)
    assert octave.gain(octave.scale_mm * np.array([0.9, 1.1])).max() < peak
    assert (2 * np.pi / octave.scale_mm) ** 2 * octave.fine_mm2 == pytest.approx(1 / ratio)


def test_nesting_index_is_the_wavelength_that_keeps_one_half():
    # ISO 25178-2, from memory: the cut-off keeps one half.
    octave = Octave(0.5, 1.0)
    assert 1 / (1 + (2 * np.pi / 0.5) ** 2 * octave.fine_mm2) == pytest.approx(0.5)
    assert 1 / (1 + (2 * np.pi / 1.0) ** 2 * octave.coarse_mm2) == pytest.approx(0.5)


def test_ladder_joins_up_and_hangs_on_the_two_lengths():
    ladder = octave_ladder(0.3, 5.0)
    assert [octave.s_mm for octave in ladder] == pytest.approx([0.3, 0.6, 1.2, 2.4])
    assert all(a.l_mm == b.s_mm for a, b in pairwise(ladder))
    assert len(octave_ladder(0.3, 0.31)) == 1


def test_slopes_of_a_long_ladder_are_sdq():
    # Closed form: the root-mean-square slope of a cos(kx) is a k / sqrt(2).
    for wavelength in (1.0, 1.3, 1.7):
        ladder = [Octave(2.0**k, 2.0 ** (k + 1)) for k in range(-15, 15)]
        squares = sum((o.gain(wavelength) / np.sqrt(2) / o.scale_mm) ** 2 for o in ladder)
        found = slope_factor() * np.sqrt(squares)
        assert found == pytest.approx(2 * np.pi / wavelength / np.sqrt(2), rel=1e-3)
