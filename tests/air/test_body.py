"""Bodies of air found from their tops outward, against the whole merge tree's labels."""

from __future__ import annotations

import numpy as np
import pytest
from serpentine import serpentine

from partline.air.body import air, holds, level_for, skin
from partline.air.holding import Holding
from partline.air.kernels import workspace
from partline.air.turning import pose


def some_poses() -> list[Holding]:
    rng = np.random.default_rng(4)
    ups = rng.normal(size=(4, 3))
    return [pose(serpentine(k), up, capped=k > 1) for k, up in zip((1, 2, 3, 2), ups, strict=True)]


@pytest.mark.parametrize("at", some_poses())
def test_a_body_is_what_the_labels_of_its_leaves_say(at: Holding) -> None:
    heights, label = at.work.heights, at.work.label
    for node in range(len(at.parent)):
        leaves = at.leaves(node)
        level = max(float(at.leave[node]), float(heights.min()))
        tops = at.work.tops[leaves]
        own = np.flatnonzero(np.isin(label, leaves) & (heights > level))
        assert np.array_equal(np.sort(skin(at.fans, heights, tops, level)), own)
        listed = at.vertices_above(node, level)
        assert np.array_equal(listed, own[np.argsort(label[own], kind="stable")])


@pytest.mark.parametrize("at", some_poses())
def test_so_much_air_reaches_down_to_the_level_that_is_named(at: Holding) -> None:
    heights = at.work.heights
    for node in range(len(at.parent)):
        room, low = at.room(node), max(float(at.leave[node]), float(heights.min()))
        tops = at.work.tops[at.leaves(node)]
        for volume in (0.01 * room, 0.3 * room, 0.99 * room):
            if volume <= 1e-6:
                continue
            level = level_for(at.fans, at.up, heights, tops, low, volume, 1e-9)
            assert at.air_above(node, level) == pytest.approx(volume, rel=1e-5)
            known, held, some = holds(at.fans, at.up, heights, tops, low, volume)
            assert low <= known <= level
            assert held > volume
            assert held == pytest.approx(air(at.fans, at.up, heights, some, known).sum())


@pytest.mark.parametrize("at", some_poses())
def test_whether_there_is_room_is_told_as_by_measuring_it(at: Holding) -> None:
    other = Holding(at.fans, at.up, workspace(at.fans), at.capped)
    for node in range(len(at.parent)):
        room = at.room(node)
        for volume in (0.0, 0.5 * room, 0.999 * room, 1.001 * room + 1e-6, 0.9 * room):
            assert other.has_room(node, volume) == (volume <= room)
        assert other.room(node) == pytest.approx(room, abs=1e-9)
