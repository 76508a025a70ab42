"""A closed net of triangles round the nodes of a grid that lie inside.

One vertex per cell that the boundary crosses, one quad per crossed grid edge (Gibson 1998,
"Constrained elastic surface nets"). Where cells would touch themselves the least certain node is
filled first, so the net is a manifold (Latecki, Eckhardt and Rosenfeld 1995, "Well-composed
sets").
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import product

import numpy as np
from numpy.typing import NDArray

from partline.geometry.surface import Floats
from partline.scan.edges import Longs

Grid = NDArray[np.bool_]
Crossing = Callable[[Longs, Longs], Floats]


def well_composed(number: NDArray[np.float32]) -> Grid:
    """Return which nodes lie inside (above one half), nodes filled where sheets would touch.

    Parameters
    ----------
    number : (i, j, k) float32
        Winding number of each node.
    """
    values = number.ravel().copy()
    while True:
        inside = values.reshape(number.shape) > 0.5
        found = _diagonals(inside)
        if not len(found):
            return inside
        outside = np.where(values[found] > 0.5, -np.inf, values[found])
        # Nodes are only ever filled, so this ends.
        values[found[np.arange(len(found)), outside.argmax(axis=1)]] = 1.0


def _diagonals(inside: Grid) -> Longs:
    """(n, 8) nodes of the grid faces and cells whose like signs meet on a diagonal only."""
    near = _mixed_cells(inside)
    step = _steps(inside.shape)
    corner = np.array(list(product((0, 1), repeat=3)), dtype=np.int64)
    nodes = near[:, None] + corner @ step
    sign = inside.ravel()[nodes]
    found = []
    for axis, side in product(range(3), (0, 1)):
        # The four corners of one face of the cell, in an order whose ends lie on a diagonal.
        face = np.flatnonzero(corner[:, axis] == side)
        a, b, c, d = (sign[:, k] for k in face)
        bad = (a == d) & (b == c) & (a != b)
        found.append(nodes[bad][:, np.tile(face, 2)])
    total = sign.sum(axis=1)
    for k in range(4):
        a, b = sign[:, k], sign[:, 7 - k]
        bad = (a == b) & (np.where(a, total, 8 - total) == 2)
        found.append(nodes[bad])
    return np.vstack(found)


def _steps(shape: tuple[int, ...]) -> Longs:
    return np.array([shape[1] * shape[2], shape[2], 1], dtype=np.int64)


def _mixed_cells(inside: Grid) -> Longs:
    """First node of each cell that has nodes inside and outside."""
    low, high = inside, inside
    for axis in range(3):
        one = [slice(None)] * 3
        two = [slice(None)] * 3
        one[axis], two[axis] = slice(0, -1), slice(1, None)
        low = low[tuple(one)] & low[tuple(two)]
        high = high[tuple(one)] | high[tuple(two)]
    cells = np.argwhere(high & ~low)
    return cells @ _steps(inside.shape)


def net(inside: Grid, crossing: Crossing) -> tuple[Floats, Longs]:
    """Return the (n, 3) vertices, in steps of the grid, and (m, 3) outward triangles.

    Parameters
    ----------
    inside : (i, j, k) bool
        Well-composed, and false all over the outside of the grid.
    crossing : callable
        Takes (e, 3) nodes and (e,) axes of the crossed edges that run from there, and returns
        (e,) where on the edge the boundary is, 0 to 1.
    """
    shape = inside.shape
    step = _steps(shape)
    starts, axes = _crossed(inside)
    share = crossing(starts, axes)
    cells = _mixed_cells(inside)
    number = np.full(inside.size, -1, dtype=np.int64)
    number[cells] = np.arange(len(cells))
    total = np.zeros((len(cells), 3))
    count = np.zeros(len(cells))
    quads = []
    flat = starts @ step
    place = starts + share[:, None] * np.eye(3)[axes]
    forward = inside.ravel()[flat]
    for axis in range(3):
        here = axes == axis
        one, two = step[(axis + 1) % 3], step[(axis + 2) % 3]
        back = np.array([one + two, two, 0, one])
        quad = number[flat[here][:, None] - back]
        for k in range(4):
            for coordinate in range(3):
                total[:, coordinate] += np.bincount(
                    quad[:, k], place[here][:, coordinate], len(cells)
                )
            count += np.bincount(quad[:, k], minlength=len(cells))
        quads.append(np.where(forward[here][:, None], quad, quad[:, ::-1]))
    vertices = total / count[:, None]
    return vertices, _split(vertices, np.vstack(quads))


def _crossed(inside: Grid) -> tuple[Longs, Longs]:
    """(e, 3) first nodes and (e,) axes of the grid's edges with one end inside."""
    starts, axes = [], []
    for axis in range(3):
        one = [slice(None)] * 3
        two = [slice(None)] * 3
        one[axis], two[axis] = slice(0, -1), slice(1, None)
        found = np.argwhere(inside[tuple(one)] != inside[tuple(two)])
        starts.append(found)
        axes.append(np.full(len(found), axis))
    return np.vstack(starts), np.concatenate(axes)


def _split(vertices: Floats, quads: Longs) -> Longs:
    """Two triangles per quad, along its shorter diagonal."""
    a, b, c, d = (vertices[quads[:, k]] for k in range(4))
    short = np.linalg.norm(a - c, axis=1) <= np.linalg.norm(b - d, axis=1)
    first = np.where(short[:, None], quads[:, [0, 1, 2]], quads[:, [1, 2, 3]])
    second = np.where(short[:, None], quads[:, [0, 2, 3]], quads[:, [1, 3, 0]])
    return np.vstack([first, second])
