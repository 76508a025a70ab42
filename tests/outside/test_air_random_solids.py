"""Trapped air of random solids with tunnels and islands against manifold booleans, slab by slab.

The check shares no code with the analysis: no surface tree, no rays, no clipping of triangles.
It is exact, so nothing but rounding may differ. Source: common practice, no source.
`PARTLINE_LONG=1` asks 300 solids.
"""

from __future__ import annotations

import os

import numpy as np
import pytest
from solids import air_by_slabs, boolean_solid, smooth_solid, with_outlets

from partline.air.pockets import trapped_air

LONG = bool(os.environ.get("PARTLINE_LONG"))


def up_for(seed: int) -> np.ndarray:
    """Return a random direction; for odd seeds, whose corners lie on a grid, one of the axes."""
    if seed % 2:
        return np.eye(3)[seed // 2 % 3] * (1 - 2 * (seed % 4 > 1))
    return np.random.default_rng(seed + 7).normal(size=3)


@pytest.mark.parametrize("seed", range(280 if LONG else 20))
def test_blocks_with_balls_and_boxes(seed: int) -> None:
    cavity = with_outlets(boolean_solid(seed), seed)
    found = trapped_air(cavity, up_for(seed)).volume_mm3
    assert found == pytest.approx(air_by_slabs(cavity, up_for(seed)), abs=1e-7 * cavity.volume_mm3)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(20 if LONG else 3))
def test_random_waves(seed: int) -> None:
    cavity = with_outlets(smooth_solid(seed), seed)
    found = trapped_air(cavity, up_for(seed)).volume_mm3
    assert found == pytest.approx(air_by_slabs(cavity, up_for(seed)), abs=1e-7 * cavity.volume_mm3)
