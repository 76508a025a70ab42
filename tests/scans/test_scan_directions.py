"""The tip found on real pieces against an exhaustive search of 8 000 directions.

Source: common practice, no source. `PARTLINE_LONG=1` runs it, some 10 s of a core each.
"""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest

from partline.air.cavity import Cavity
from partline.air.directions_search import search_directions
from partline.air.sweep import Sweep
from partline.geometry.directions import cone_cells, level_up
from partline.samples import sample
from partline.scan.reading import read_master
from partline.stand.placing import place

SCANS = Path(os.environ.get("PARTLINE_SCANS", ""))
pytestmark = [
    pytest.mark.scans,
    pytest.mark.slow,
    pytest.mark.skipif(not os.environ.get("PARTLINE_LONG"), reason="PARTLINE_LONG is not set"),
]
# File, which way is up and which the front in it, height [mm].
PIECES = {
    "ram": (sample("ram.ply"), "+z", "-y", 62.0),
    "eagle": (SCANS / "eagle.ply", "+y", "+z", 80.0),
    "koala": (SCANS / "koala.obj", "+z", "-y", 70.0),
    "skull": (SCANS / "skull.obj", "+y", "+z", 70.0),
}


@pytest.fixture(scope="module", params=PIECES)
def cavity(request) -> Cavity:
    file, up, front, height = PIECES[request.param]
    if not file.exists():
        pytest.skip(f"there is no {file.name}")
    return place(read_master(file, height_mm=height, up=up, front=front)).cavity


def test_no_direction_of_a_fine_map_is_better(cavity: Cavity) -> None:
    ups = cone_cells(level_up("resin"), 60.0, 6)[1]
    least = float(Sweep(cavity)(ups)[0].min())
    # As many as a plan tries, and as many as the search alone.
    for most in (1500, 7000):
        found = search_directions(cavity, within_deg=60.0, max_analyses=most)
        print(f"\n{len(ups)} directions {least:.3f}, search {found.best_volume_mm3:.3f} mm³ after "
              f"{len(found.volumes_mm3)}, gap {found.gap_mm3:.3f}")  # fmt: skip
        assert found.best_volume_mm3 <= least + max(0.1, 0.01 * least)
        assert least >= found.best_volume_mm3 - found.gap_mm3 - 1e-9
        assert found.best_volume_mm3 <= np.min(found.volumes_mm3) + 0.0655
