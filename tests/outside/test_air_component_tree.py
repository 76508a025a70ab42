"""Levels at which bodies of air become one, against scikit-image's tree of components.

Source of the check: `skimage.morphology.max_tree` (Salembier, Oliveras and Garrido 1998, from
memory) of a cubical body, each cell as high as its ceiling.
"""

from __future__ import annotations

import boxes
import numpy as np
import pytest
from manifold3d import Manifold, OpType
from scipy.ndimage import gaussian_filter, label
from skimage.morphology import max_tree

from partline.air.cavity import Cavity
from partline.air.holding import Holding
from partline.air.turning import pose


def cells(seed: int) -> np.ndarray:
    """Return one body of cells (bool), joined by sides; no two cells touch in an edge alone."""
    inside = gaussian_filter(np.random.default_rng(seed).normal(size=(9, 9, 9)), 0.9) > 0.02
    inside = np.pad(inside, 1)
    changed = True
    while changed:
        changed = False
        for a, b in ((0, 1), (0, 2), (1, 2)):
            p, q = np.roll(inside, 1, a), np.roll(inside, 1, b)
            both = np.roll(p, 1, b)
            # Of a square of four cells two across a corner: fill the other two.
            crossed = (inside & both & ~p & ~q) | (p & q & ~inside & ~both)
            if crossed.any():
                for shift_a, shift_b in ((0, 0), (-1, 0), (0, -1), (-1, -1)):
                    inside |= np.roll(np.roll(crossed, shift_a, a), shift_b, b)
                changed = True
    bodies, _ = label(inside)
    return bodies == np.bincount(bodies[inside]).argmax()


def joined_at(parent: np.ndarray, level: np.ndarray, x: int, y: int) -> float:
    """Return the level of the first node that two nodes are both under; -inf for none."""
    above, node = {x}, x
    while parent[node] != node and parent[node] >= 0:
        node = int(parent[node])
        above.add(node)
    node = y
    while node not in above:
        if parent[node] == node or parent[node] < 0:
            return -np.inf
        node = int(parent[node])
    return float(level[node])


def node_levels(at: Holding) -> np.ndarray:
    """Return the level at which each node came about: a leaf's top, or where two met."""
    found = np.empty(len(at.parent))
    found[: at.count] = at.work.heights[at.work.tops[: at.count]]
    for node in range(at.count, len(at.parent)):
        found[node] = at.leave[at.children(node)[0]]
    return found


@pytest.mark.parametrize("seed", range(6))
def test_ceilings_become_one_at_the_same_levels(seed: int) -> None:
    inside = cells(seed)
    body = Manifold.batch_boolean(
        [Manifold.cube((1, 1, 1)).translate(c) for c in np.argwhere(inside).astype(float)],
        OpType.Add,
    )
    surface = boxes.surface_of(body.refine_to_length(0.45))
    cavity = Cavity(surface, [0])
    at = pose(cavity, np.array([0.0, 0.0, 1.0]), capped=True)
    height = np.where(inside, np.indices(inside.shape)[2] + 1.0, 0.0)
    parent, _ = max_tree(height, connectivity=1)
    flat, value = parent.ravel(), height.ravel()
    below = np.argwhere(inside & ~np.roll(inside, -1, axis=2))
    level = node_levels(at)
    leaf = [int(at.work.label[near(cavity, c)]) for c in below]
    cell = np.ravel_multi_index(below.T, inside.shape)
    compared = 0
    for i in range(len(below)):
        for j in range(i):
            ours = joined_at(at.parent, level, leaf[i], leaf[j])
            theirs = joined_at(flat, value, cell[i], cell[j])
            assert min(ours, below[i][2] + 1, below[j][2] + 1) == pytest.approx(theirs)
            compared += ours < min(below[i][2], below[j][2]) + 1
    assert compared > 20


def near(cavity: Cavity, cell: np.ndarray) -> int:
    """Return the vertex of the ceiling over a cell that is nearest to its middle."""
    points = cavity.fans.vertices
    ceiling = np.flatnonzero(np.abs(points[:, 2] - (cell[2] + 1)) < 1e-9)
    off = np.linalg.norm(points[ceiling, :2] - (cell[:2] + 0.5), axis=1)
    assert off.min() < 0.5
    return int(ceiling[np.argmin(off)])
