"""Time of the air analysis against one argsort of the heights, on a real scan, in one run.

Times are never compared with a clock: the machine may be slow or busy. The least of many
repeats is taken of each, and only ratios are asserted.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from time import perf_counter

import numpy as np
import pytest
import trimesh

from partline.air.cavity import Cavity
from partline.air.kernels import workspace
from partline.air.pockets import trapped_air
from partline.air.sweep import _measure
from partline.geometry.surface import Surface

pytestmark = [pytest.mark.scans, pytest.mark.slow]


@pytest.fixture(scope="module")
def eagle() -> Cavity:
    folder = os.environ.get("PARTLINE_SCANS")
    if not folder or not (path := Path(folder) / "eagle.ply").exists():
        pytest.skip("PARTLINE_SCANS does not name a folder with eagle.ply")
    mesh = trimesh.load(path, process=False)
    points = np.asarray(mesh.vertices) * (70.0 / np.ptp(mesh.vertices[:, 2]))
    points -= points.min(axis=0)
    return Cavity(Surface(points, mesh.faces), np.flatnonzero(points[:, 2] < 0.5))


def least(work: Callable[[], object], repeats: int = 60) -> float:
    times = []
    for _ in range(repeats):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return min(times)


@pytest.mark.parametrize("up", [(0.0, 0.0, -1.0), (0.6, 0.0, -0.8)])
def test_one_direction_against_argsort(eagle: Cavity, up: tuple[float, float, float]) -> None:
    fans, u = eagle.fans, np.array(up)
    heights = fans.vertices @ u
    near = u + np.array([0.02, 0.015, 0.0])
    near /= np.linalg.norm(near)
    work = workspace(fans)

    def afresh() -> None:
        work.guess[:] = np.arange(len(heights))
        _measure(fans, u, 0.0, work)

    turn = iter(np.tile([u, near], (1000, 1)))

    sort = least(lambda: np.argsort(heights))
    rows = {
        "V @ u": least(lambda: fans.vertices @ u),
        "from scratch": least(afresh),
        "next direction, 1.4 degrees on": least(lambda: _measure(fans, next(turn), 0.0, work)),
        "the same with its bound": least(lambda: _measure(fans, u, 0.02, work)),
        "trapped_air, all of it": least(lambda: trapped_air(eagle, u)),
    }
    print(f"\nargsort of {len(heights)} heights: {1e3 * sort:.2f} ms")
    for name, seconds in rows.items():
        print(f"{name:32s} {seconds / sort:5.2f} x")
    # A fifth to a half of slack for a busy machine.
    assert rows["from scratch"] < 3.0 * sort
    assert rows["next direction, 1.4 degrees on"] < 2.2 * sort
    assert rows["trapped_air, all of it"] < 6.0 * sort
