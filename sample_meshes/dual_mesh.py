"""From a signed distance to clean triangles standing on a flat base at z = 0.

One vertex per grid cell that the surface crosses, one quad per crossed grid edge; then vertices
slide along the surface towards the middle of their neighbours and are put back on it. There are
no slivers to clean up afterwards, as there would be from the classic cell-by-cell tables.

References
----------
Gibson, S. F. F. (1998), "Constrained elastic surface nets", MICCAI.
Field, D. A. (1988), "Laplacian smoothing and Delaunay triangulations", Communications in
Applied Numerical Methods 4.
"""

from __future__ import annotations

import numpy as np
from distance_shapes import Floats, Shape
from numpy.typing import NDArray

Ints = NDArray[np.int64]


def _sampled(shape: Shape, box: Floats, step: float) -> tuple[Floats, Floats]:
    """Values at the nodes, and the first node; the plane z = 0 lies half-way between nodes."""
    low = np.array([*(np.floor(box[0, :2] / step) - 2), -1.5]) * step
    low[:2] += step * 0.37  # off the plane of symmetry, or whole rows would lie on nodes
    counts = np.ceil((box[1] - low) / step).astype(int) + 3
    x, y, z = (low[k] + step * np.arange(counts[k]) for k in range(3))
    level = np.empty(counts)
    flat = np.stack(np.meshgrid(x, y, indexing="ij"), axis=-1).reshape(-1, 2)
    for k, height in enumerate(z):
        points = np.column_stack([flat, np.full(len(flat), height)])
        level[:, :, k] = np.maximum(shape(points), -height).reshape(counts[:2])
    return level, low


def _well_composed(level: Floats) -> Floats:
    """Fill the least certain node wherever a cell's surface would touch itself.

    Without two like signs on a diagonal only, the net is a manifold (Latecki, Eckhardt and
    Rosenfeld 1995, "Well-composed sets"). Nodes are only ever filled, so this ends.
    """
    values = level.ravel().copy()
    while True:
        found = _diagonals(values.reshape(level.shape) < 0)
        if not len(found):
            return values.reshape(level.shape)
        outside = np.where(values[found] < 0, np.inf, values[found])
        values[found[np.arange(len(found)), outside.argmin(axis=1)]] = -1e-6


def _diagonals(inside: NDArray[np.bool_]) -> Ints:
    """Nodes (n, 8) of the grid faces and cells whose like signs meet on a diagonal only."""
    number = np.arange(inside.size).reshape(inside.shape)

    def at(grid: NDArray, offset: tuple[int, ...]) -> NDArray:
        return grid[tuple(slice(o, n - 1 + o) for o, n in zip(offset, inside.shape, strict=True))]

    found = []
    for one, two in ((0, 1), (0, 2), (1, 2)):
        u, v = np.eye(3, dtype=int)[[one, two]]
        corners = [(0, 0, 0), tuple(u), tuple(v), tuple(u + v)]
        a, b, c, d = (at(inside, corner) for corner in corners)
        bad = (a == d) & (b == c) & (a != b)
        found.append(np.stack([at(number, corner)[bad] for corner in corners * 2], axis=1))
    cube = [(i, j, k) for i in (0, 1) for j in (0, 1) for k in (0, 1)]
    total = np.sum([at(inside, corner) for corner in cube], axis=0)
    for corner in cube[:4]:
        a, b = at(inside, corner), at(inside, tuple(1 - k for k in corner))
        bad = (a == b) & (np.where(a, total, 8 - total) == 2)
        found.append(np.stack([at(number, each)[bad] for each in cube], axis=1))
    return np.vstack(found)


def _net(level: Floats, low: Floats, step: float) -> tuple[Floats, Ints, Ints]:
    """Vertices (n, 3), quads (q, 4) wound outward, and the cell (n, 3) of each vertex."""
    inside = level < 0
    total = np.zeros((*(np.array(level.shape) - 1), 3))
    crossings = np.zeros(total.shape[:3])
    for axis in range(3):
        others = [a for a in range(3) if a != axis]
        first = np.moveaxis(level, axis, 0)[:-1]
        second = np.moveaxis(level, axis, 0)[1:]
        crossed = (first < 0) != (second < 0)
        share = np.where(crossed, first / np.where(crossed, first - second, 1.0), 0.0)
        crossed, share = (np.moveaxis(a, 0, axis) for a in (crossed, share))
        for i in (0, 1):
            for j in (0, 1):
                cut = [slice(None)] * 3
                cut[others[0]] = slice(i, i + total.shape[others[0]])
                cut[others[1]] = slice(j, j + total.shape[others[1]])
                hit = crossed[tuple(cut)]
                crossings += hit
                total[..., axis] += share[tuple(cut)]
                total[..., others[0]] += hit * i
                total[..., others[1]] += hit * j
    cells = np.argwhere(crossings > 0)
    number = np.full(crossings.shape, -1)
    number[tuple(cells.T)] = np.arange(len(cells))
    mean = total[tuple(cells.T)] / crossings[tuple(cells.T)][:, None]
    quads = [_quads(inside, number, axis) for axis in range(3)]
    return low + step * (cells + mean), np.vstack(quads), cells


def _quads(inside: NDArray[np.bool_], number: Ints, axis: int) -> Ints:
    """One quad round each crossed grid edge along an axis."""
    one, two = (axis + 1) % 3, (axis + 2) % 3
    sides = np.moveaxis(inside, axis, 0)
    where = np.argwhere(np.moveaxis(sides[:-1] != sides[1:], 0, axis))
    start_inside = inside[tuple(where.T)]
    around = []
    for back_one, back_two in ((1, 1), (0, 1), (0, 0), (1, 0)):
        cell = where.copy()
        cell[:, one] -= back_one
        cell[:, two] -= back_two
        around.append(number[tuple(cell.T)])
    quad = np.stack(around, axis=1)
    return np.where(start_inside[:, None], quad, quad[:, ::-1])


def _split(vertices: Floats, quads: Ints) -> Ints:
    """Two triangles per quad, along its shorter diagonal."""
    a, b, c, d = (vertices[quads[:, k]] for k in range(4))
    short = np.linalg.norm(a - c, axis=1) <= np.linalg.norm(b - d, axis=1)
    first = np.where(short[:, None], quads[:, [0, 1, 2]], quads[:, [1, 2, 3]])
    second = np.where(short[:, None], quads[:, [0, 2, 3]], quads[:, [1, 3, 0]])
    return np.vstack([first, second])


def gradient(shape: Shape, points: Floats, reach: float) -> Floats:
    """(n, 3) slope of the distance by central differences over `reach` [mm]."""
    slopes = []
    for axis in range(3):
        offset = np.zeros(3)
        offset[axis] = reach
        slopes.append((shape(points + offset) - shape(points - offset)) / (2 * reach))
    return np.stack(slopes, axis=1)


def onto(shape: Shape, points: Floats, flat: NDArray[np.bool_], limit: float) -> Floats:
    """Take points to the surface by Newton steps no longer than `limit`; `flat` keep their z."""
    level = shape(points)
    slope = gradient(shape, points, 0.05)
    slope[flat, 2] = 0
    step = -slope * (level / np.maximum(np.einsum("ij,ij->i", slope, slope), 0.05))[:, None]
    length = np.linalg.norm(step, axis=1, keepdims=True)
    return points + step * np.minimum(1.0, limit / np.maximum(length, 1e-12))


def _vertex_normals(vertices: Floats, faces: Ints) -> Floats:
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    cross = np.cross(b - a, c - a)
    normals = np.zeros_like(vertices)
    for k in range(3):
        for axis in range(3):
            normals[:, axis] += np.bincount(faces[:, k], cross[:, axis], len(vertices))
    return normals / np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-12)


def _neighbour_mean(vertices: Floats, pairs: Ints) -> Floats:
    count = np.bincount(pairs[:, 0], minlength=len(vertices))
    sums = [np.bincount(pairs[:, 0], vertices[pairs[:, 1], k], len(vertices)) for k in range(3)]
    return np.stack(sums, axis=1) / np.maximum(count, 1)[:, None]


def meshed(shape: Shape, box: Floats, *, step: float, rounds: int = 12) -> tuple[Floats, Ints]:
    """Triangles of a solid, cut off flat at z = 0.

    Parameters
    ----------
    shape : callable
        Signed distance [mm]; it should reach below z = 0, where it is cut off sharply.
    box : (2, 3) float64, [mm]
        Holds the whole solid above z = 0.
    step : float, [mm]
        Grid spacing; edges come out about as long.
    rounds : int
        Rounds of sliding and putting back.

    Returns
    -------
    vertices : (n, 3) float64, [mm]
    faces : (m, 3) int64
        Wound outward.
    """
    level, low = _sampled(shape, np.asarray(box, dtype=float), step)
    level = _well_composed(level)
    vertices, quads, cells = _net(level, low, step)
    base = cells[:, 2] == 1  # the layer of cells that z = 0 halves
    over = level[:, :, 2] < 0
    corners = sum(
        over[cells[:, 0] + i, cells[:, 1] + j].astype(int) for i in (0, 1) for j in (0, 1)
    )
    rim = base & (corners < 4)
    inner = base & ~rim
    vertices[base, 2] = 0.0
    ring = np.vstack([quads[:, [0, 1]], quads[:, [1, 2]], quads[:, [2, 3]], quads[:, [3, 0]]])
    pairs = np.unique(np.vstack([ring, ring[:, ::-1]]), axis=0)
    pairs = pairs[~rim[pairs[:, 0]] | rim[pairs[:, 1]]]  # the rim slides along itself only
    free = ~inner
    for turn in range(rounds):
        pull = _neighbour_mean(vertices, pairs) - vertices
        normals = _vertex_normals(vertices, _split(vertices, quads))
        pull -= normals * np.einsum("ij,ij->i", pull, normals)[:, None] * (~base)[:, None]
        pull[base, 2] = 0.0
        vertices = vertices + 0.5 * pull
        vertices[free] = onto(shape, vertices[free], base[free], 0.4 * step)
        if turn >= rounds - 2:
            vertices[free] = onto(shape, vertices[free], base[free], 0.4 * step)
    return vertices, _split(vertices, quads)
