"""Real scans get a container that a mould-maker would choose; walls looked for all over.

Common practice, no source: the smallest that leaves the wall; a block of one piece takes a few
times the piece's own volume in rubber, and no box is built that saves little.
"""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest

from partline.scan.reading import read_master
from partline.stand.placing import place
from partline.stand.stand import Stand
from partline.workshop.choosing import choose_container
from partline.workshop.container import Container
from partline.workshop.fitting import turned_axes
from partline.workshop.materials import wall_for
from partline.workshop.offcuts import samples

FOLDER = os.environ.get("PARTLINE_SCANS")
pytestmark = [
    pytest.mark.scans,
    pytest.mark.skipif(not FOLDER, reason="PARTLINE_SCANS names no folder of real scans"),
]
# file, height [mm], up, front, most rubber [g]
SCANS = [
    ("dancing_girl.stl", 70.0, "+y", "+z", 400),
    ("eagle.ply", 80.0, "+y", "+z", 900),
    ("koala.obj", 70.0, "+z", "-y", 500),
    ("skull.obj", 70.0, "+z", "-y", 900),
    ("goblet.stl", 99.0, "+z", "-y", 1500),
    ("celtic_skull_flatbase.ply", 103.0, "+z", "-y", 2500),
    ("bust_man_wreath.stl", 90.0, "+y", "+z", 800),
]


def wall(box: Container, points: np.ndarray) -> float:
    """Least distance to the inner wall, worked out apart from the product's own way."""
    lean = np.arctan2((box.rim_width_mm - box.floor_width_mm) / 2, box.height_mm)
    p = points[:, :2] - box.centre_mm
    if box.kind == "box":
        p = np.abs(p @ turned_axes(box.turn_deg).T)
        gap = np.minimum(box.floor_width_mm / 2 - p[:, 0], box.floor_depth_mm / 2 - p[:, 1])
    else:
        gap = box.floor_width_mm / 2 - np.hypot(*p.T)
    return float((gap * np.cos(lean) + points[:, 2] * np.sin(lean)).min())


def stand_of(file: str, height: float, up: str, front: str) -> Stand:
    master = read_master(Path(str(FOLDER)) / file, height_mm=height, up=up, front=front)
    return place(master, wall_mm=wall_for(float(master.surface.extents.max())).value)


@pytest.mark.parametrize(("file", "height", "up", "front", "most"), SCANS, ids=lambda v: str(v))
def test_a_container_for_a_real_scan(
    file: str, height: float, up: str, front: str, most: float
) -> None:
    stand = stand_of(file, height, up, front)
    box = choose_container(stand)
    assert box.rubber_g < most
    assert wall(box, samples(stand.piece)) >= stand.wall_mm - 1e-5
    assert stand.foot_block is not None
    assert wall(box, samples(stand.foot_block.surface)) >= 0.6 * stand.wall_mm - 1e-5
    assert box.height_mm >= box.fill_height_mm >= stand.top_mm + stand.headroom_mm - 1e-9
    better = [grams for _, grams in box.others if grams < 0.7 * box.rubber_g]
    assert not better
    # Nothing is more than a sheet box would have to be, a wall round its outline.
    wide, deep = np.ptp(stand.piece.vertices[:, :2], axis=0) + 2 * stand.wall_mm + 2
    built = wide * deep * box.fill_height_mm - stand.cavity.volume_mm3
    assert box.rubber_volume_mm3 <= 1.45 * built
