"""Fill one hole with well-shaped triangles, flat or carrying on the curvature round it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numba import njit
from scipy.sparse import coo_matrix, csr_matrix, diags
from scipy.sparse.linalg import spsolve

from partline.geometry.surface import Floats
from partline.scan.edges import Longs
from partline.scan.flipping import flipped, refined

# The triangulation of least area takes time with the cube of the rim's vertices.
LONGEST_RIM = 1200
# Smoothing and flipping in turn makes the triangles even.
EVENING = 2


@dataclass(frozen=True, eq=False)
class Patch:
    """A filled hole.

    Attributes
    ----------
    points : (k + j, 3) float64
        The k points of the rim, then j new ones.
    faces : (m, 3) int64
        Triangles over `points`.
    bulge : float
        Volume between this filling and a taut skin over the same rim, never negative.
    """

    points: Floats
    faces: Longs
    bulge: float = 0.0


def patched(
    rim: Floats, taken: set[tuple[int, int]], *, around: Floats | None = None, coarse: bool = False
) -> Patch:
    """Fill a rim: least area first (Liepa 2003), refined, then smoothed.

    Parameters
    ----------
    rim : (k, 3) float64
        Points in the order that the filling runs.
    taken : set of (int, int)
        Pairs of rim points that the mesh already joins by an edge, smaller first: the filling
        may not use that edge again.
    around : (k, 4) float64 or None
        Sum and number of the mesh's neighbours of each rim point that are on no rim. Given, the
        filling carries on the bend of the mesh (thin plate); None makes it a taut skin, which
        is flat where the rim is.
    coarse : bool
        Let triangles grow away from the rim, for a large flat base.

    References
    ----------
    Barequet and Sharir 1995; Liepa 2003, "Filling holes in meshes".
    """
    faces = least_area(np.ascontiguousarray(rim))
    points, faces = _chords_split(rim, faces, taken)
    points, faces = refined(points, faces, len(rim), growth=1.6 if coarse else 1.0)
    faces = flipped(points, faces, len(rim))
    if len(points) > len(rim):
        for _ in range(EVENING):
            points = _smoothed(points, faces, len(rim), None)
            faces = flipped(points, faces, len(rim))
        skin = points
        bulge = 0.0
        if around is not None:
            plate = _smoothed(points, faces, len(rim), around)
            # A thin plate may overshoot on a ragged rim: it may not bulge beyond a half ball.
            reach = float(np.linalg.norm(rim - rim.mean(axis=0), axis=1).mean())
            bulge = min(abs(_fan(plate, faces) - _fan(skin, faces)), 2.0 / 3.0 * np.pi * reach**3)
            if np.linalg.norm(plate - skin, axis=1).max() <= 0.5 * reach:
                points = plate
        faces = flipped(points, faces, len(rim))
        return Patch(points, faces, float(bulge))
    return Patch(points, faces)


def _fan(points: Floats, faces: Longs) -> float:
    """Signed volume between a filling and the first point of its rim."""
    a, b, c = (points[faces[:, k]] - points[0] for k in range(3))
    return float(np.einsum("ij,ij->", a, np.cross(b, c))) / 6.0


def plinth(rim: Floats, middle: Floats, normal: Floats) -> Patch:
    """Carry walls from an uneven rim along a direction to a plane beyond it, and close that flat.

    Parameters
    ----------
    rim : (k, 3) float64
        Points in the order that the filling runs.
    middle, normal : (3,) float64
        Middle of the rim and the unit vector along which the walls run.
    """
    k = len(rim)
    beyond = (rim - middle) @ normal
    step = float(np.linalg.norm(np.roll(rim, -1, axis=0) - rim, axis=1).mean())
    drop = beyond.max() + step - beyond
    rows = int(np.clip(np.ceil(drop.mean() / step), 1, 40))
    levels = [rim + np.outer(drop * r / rows, normal) for r in range(rows + 1)]
    here = np.arange(k)
    following = np.roll(here, -1)
    walls = [
        base
        + np.vstack(
            [
                np.column_stack([here, following, following + k]),
                np.column_stack([here, following + k, here + k]),
            ]
        )
        for base in range(0, rows * k, k)
    ]
    floor = patched(levels[-1], set(), coarse=True)
    number = np.concatenate([rows * k + here, (rows + 1) * k + np.arange(len(floor.points) - k)])
    points = np.vstack([*levels, floor.points[k:]])
    return Patch(points, np.vstack([*walls, number[floor.faces]]))


def least_area(rim: Floats) -> Longs:
    """Return the (k - 2, 3) triangles of least total area over a closed chain of (k, 3) points."""
    k = len(rim)
    split = _best_splits(rim)
    faces = []
    todo = [(0, k - 1)]
    while todo:
        i, j = todo.pop()
        if j - i < 2:
            continue
        middle = int(split[i, j])
        faces.append((i, middle, j))
        todo += [(i, middle), (middle, j)]
    return np.array(faces, dtype=np.int64)


@njit(nogil=True, cache=True)
def _best_splits(rim: Floats) -> Longs:
    k = len(rim)
    cost = np.zeros((k, k))
    split = np.zeros((k, k), np.int64)
    for gap in range(2, k):
        for i in range(k - gap):
            j = i + gap
            best = np.inf
            ax, ay, az = rim[j, 0] - rim[i, 0], rim[j, 1] - rim[i, 1], rim[j, 2] - rim[i, 2]
            for m in range(i + 1, j):
                bx, by, bz = rim[m, 0] - rim[i, 0], rim[m, 1] - rim[i, 1], rim[m, 2] - rim[i, 2]
                cx, cy, cz = ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx
                value = cost[i, m] + cost[m, j] + 0.5 * np.sqrt(cx * cx + cy * cy + cz * cz)
                if value < best:
                    best = value
                    split[i, j] = m
            cost[i, j] = best
    return split


def _chords_split(rim: Floats, faces: Longs, taken: set[tuple[int, int]]) -> tuple[Floats, Longs]:
    """Put a vertex in the middle of each chord that the mesh has as an edge already."""
    points = list(rim)
    k = len(rim)
    for a, b in sorted(taken):
        if (b - a) % k in (1, k - 1):
            continue
        has = np.flatnonzero(((faces == a).sum(axis=1) + (faces == b).sum(axis=1)) == 2)
        if not len(has):
            continue
        middle = len(points)
        points.append(0.5 * (rim[a] + rim[b]))
        first, second = faces[has].copy(), faces[has].copy()
        first[first == a] = middle
        second[second == b] = middle
        faces = np.vstack([np.delete(faces, has, axis=0), first, second])
    return np.array(points), faces


def _smoothed(points: Floats, faces: Longs, fixed: int, around: Floats | None) -> Floats:
    """Solve for the points behind the first `fixed`: a skin, or a plate that bends evenly."""
    n = len(points)
    average = _neighbour_mean(faces, n)
    steps = diags(np.ones(n)) - average
    if around is None:
        inner = steps.tocsr()[fixed:]
        right = -inner[:, :fixed] @ points[:fixed]
        free = spsolve(inner[:, fixed:].tocsc(), right)
        return np.vstack([points[:fixed], np.asarray(free).reshape(-1, 3)])
    # At the rim the mean is taken over the neighbours in the filling and in the mesh together.
    inside = _neighbour_count(faces, n)[:fixed]
    share = inside / (inside + around[:, 3])
    mix = np.concatenate([share, np.ones(n - fixed)])
    bend = diags(np.ones(n)) - diags(mix) @ average
    known = np.zeros((n, 3))
    known[:fixed] = -around[:, :3] / (inside + around[:, 3])[:, None]
    twice = steps.tocsr()[fixed:]
    system = (twice @ bend).tocsr()
    right = -twice @ known - system[:, :fixed] @ points[:fixed]
    free = spsolve(system[:, fixed:].tocsc(), right)
    return np.vstack([points[:fixed], np.asarray(free).reshape(-1, 3)])


def _pairs(faces: Longs) -> Longs:
    """Every edge both ways, once."""
    pairs = np.vstack([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    return np.unique(np.vstack([pairs, pairs[:, ::-1]]), axis=0)


def _neighbour_count(faces: Longs, n: int) -> Longs:
    return np.bincount(_pairs(faces)[:, 0], minlength=n)


def _neighbour_mean(faces: Longs, n: int) -> csr_matrix:
    """(n, n) matrix that takes the mean of each vertex's neighbours."""
    pairs = _pairs(faces)
    weight = 1.0 / _neighbour_count(faces, n)[pairs[:, 0]]
    return csr_matrix(coo_matrix((weight, (pairs[:, 0], pairs[:, 1])), shape=(n, n)))
