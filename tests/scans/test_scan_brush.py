"""Narrow dead ends and vents of real scans and of the sample, checked by another library.

Source: signed distances of libigl (Jacobson, Panozzo and others, "libigl: a simple C++ geometry
processing library"), which shares no code with ours.
"""

from __future__ import annotations

import os
from pathlib import Path

import igl
import numpy as np
import pytest

from partline.air.brush import DeadEnd, dead_ends
from partline.air.cavity import Cavity
from partline.geometry.directions import turn_between
from partline.geometry.surface import Surface
from partline.samples import sample
from partline.scan.reading import read_master

SCANS = Path(os.environ.get("PARTLINE_SCANS", ""))
pytestmark = [
    pytest.mark.scans,
    pytest.mark.skipif(not (SCANS / "goblet.stl").exists(), reason="PARTLINE_SCANS has no scans"),
]
GAP = 3.0
# File, which way is up in it, height [mm], how many narrow ends at least and at most.
PIECES = {
    "ram": (sample("ram.ply"), "+z", 62.0, 4, 12),
    "goblet": (SCANS / "goblet.stl", "+z", 99.0, 0, 0),
    "dancing_girl": (SCANS / "dancing_girl.stl", "+y", 120.0, 4, 30),
    "koala": (SCANS / "koala.obj", "+y", 70.0, 0, 0),
}


@pytest.fixture(scope="module", params=PIECES)
def found(request) -> tuple[str, Surface, tuple[DeadEnd, ...]]:
    file, up, height, _, _ = PIECES[request.param]
    front = "-y" if up == "+z" else "+z"
    surface = read_master(file, height_mm=height, up=up, front=front).surface
    low = surface.vertices[:, 2] < surface.vertices[:, 2].min() + 0.5
    return request.param, surface, dead_ends(Cavity(surface, np.flatnonzero(low)), gap_mm=GAP)


def depths(surface: Surface, points: np.ndarray) -> np.ndarray:
    """How far inside the points lie [mm], by the other library."""
    faces = surface.faces.astype(np.int64)
    return -np.asarray(igl.signed_distance(points, np.array(surface.vertices), faces)[0])


def test_as_many_as_such_a_piece_has(found) -> None:
    name, _, ends = found
    least, most = PIECES[name][3:]
    assert least <= len(ends) <= most
    deep = [e.depth_mm for e in ends]
    assert deep == sorted(deep, reverse=True)
    if name == "ram":
        # Its ears, thinner than the gap, one as deep as the other on either side.
        first, second = ends[:2]
        assert first.depth_mm == pytest.approx(second.depth_mm, rel=0.05)
        assert first.tip[0] == pytest.approx(-second.tip[0], abs=1.0)
        assert abs(first.tip[0]) > 15.0


def test_no_ball_as_wide_as_the_gap_comes_near_a_tip(found) -> None:
    _, surface, ends = found
    if not ends:
        pytest.skip("it has none")
    rng = np.random.default_rng(0)
    spread = rng.normal(size=(60, 3))
    spread *= 0.5 * GAP * rng.uniform(0, 1, (60, 1)) / np.linalg.norm(spread, axis=1)[:, None]
    inside = depths(surface, np.concatenate([end.tip + spread for end in ends[:3]]))
    assert inside.max() < 0.5 * GAP
    # Of plain skin next to none is narrow: most places have room for such a ball below them.
    some = rng.choice(len(surface.vertices), 60, replace=False)
    below = surface.vertices[some] - 0.5 * GAP * surface.vertex_normals[some]
    named = np.isin(some, np.concatenate([end.vertices for end in ends]))
    roomy = depths(surface, below) > 0.48 * GAP
    assert not (named & roomy).any()


def test_turning_the_piece_changes_nothing(found) -> None:
    name, surface, ends = found
    if name not in ("dancing_girl", "ram"):
        pytest.skip("two are enough")
    spin = turn_between([0, 0, 1], [0.6, -0.3, 0.4])
    low = surface.vertices[:, 2] < surface.vertices[:, 2].min() + 0.5
    turned = Surface(surface.vertices @ spin.T, surface.faces)
    again = dead_ends(Cavity(turned, np.flatnonzero(low)), gap_mm=GAP)
    assert [e.depth_mm for e in again] == pytest.approx([e.depth_mm for e in ends])
    for one, other in zip(again, ends, strict=True):
        assert one.tip == pytest.approx(spin @ other.tip)
