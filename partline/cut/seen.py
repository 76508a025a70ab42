"""What is seen from where: the piece by people who look at it, and its skin by a straight blade."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import ConvexHull, cKDTree

from partline.errors import JobError
from partline.geometry.surface import Floats, Surface
from partline.progress import Progress, silent

SHOWS = ("front", "front and sides", "all round")
# Rays are cast from every vertex up to so many, then from as many spread over the skin.
SAMPLES = 120_000
# A blade is held within so much of straight out from the skin, sideways, and of level, up and
# down [degrees]; common practice, no source.
BLADE_SWING = 45.0
BLADE_RISE = 30.0


@dataclass(frozen=True, eq=False)
class Spots:
    """Vertices spread over a piece that stand for all of them.

    Attributes
    ----------
    chosen : (k,) int64
        Their numbers.
    nearest : (n,) int64
        Which of them stands for each vertex.
    """

    chosen: NDArray[np.int64]
    nearest: NDArray[np.int64]


def spots_of(piece: Surface, samples: int = SAMPLES) -> Spots:
    """Return every vertex of a piece that has no more than so many, or spots over its skin."""
    normals, points = piece.vertex_normals, piece.vertices
    if len(points) <= samples:
        every = np.arange(len(points))
        return Spots(every, every)
    spacing = float(np.sqrt(piece.face_areas.sum() / samples))
    # A turn of the normal by 90 degrees counts as three spacings: both sides of a thin wall and
    # both flanks of an edge keep their own share.
    place = np.column_stack([points, 3 * spacing * normals])
    # In order of place, so that the choice does not hang on how the mesh is numbered.
    order = np.lexsort(points.T)
    cells = np.floor(place[order] / spacing / [1, 1, 1, 1.5, 1.5, 1.5]).astype(np.int64)
    cells -= cells.min(axis=0)
    size = cells.max(axis=0) + 1
    if float(np.prod(size.astype(float))) < 2**62:
        key = np.ravel_multi_index(cells.T, size)
        _, first = np.unique(key, return_index=True)
    else:
        _, first = np.unique(cells, axis=0, return_index=True)
    chosen = np.sort(order[first])
    _, nearest = cKDTree(place[chosen]).query(place, workers=2)
    return Spots(chosen, np.asarray(nearest))


def show_directions(show: str) -> Floats:
    """Return (k, 3) unit vectors towards where people stand who look at the piece.

    Raises
    ------
    JobError
        If the piece is on show from nowhere known.
    """
    if show not in SHOWS:
        raise JobError(f"On show can be {', '.join(SHOWS)}; it is '{show}'.")
    reach, step = {"front": (30, 15), "front and sides": (90, 30), "all round": (180, 30)}[show]
    bearing = np.radians(np.arange(-reach, reach + 1, step, dtype=np.float64))
    if show == "all round":
        bearing = bearing[:-1]
    return _fan(bearing, np.radians([0.0, 30.0]))


def _fan(bearing: Floats, rise: Floats) -> Floats:
    """Return (k, 3) unit vectors at bearings from the front and rises above level [rad]."""
    a, e = (grid.ravel() for grid in np.meshgrid(bearing, rise))
    return np.column_stack([np.sin(a) * np.cos(e), -np.cos(a) * np.cos(e), np.sin(e)])


def seen_from(
    piece: Surface,
    directions: Floats,
    *,
    spots: Spots | None = None,
    progress: Progress = silent,
    words: str = "looking at the piece from where people stand",
) -> Floats:
    """Return (n,) the share of directions from which each vertex is seen, by ray casts [1].

    Where rays are cast from spots, `SAMPLES` over the skin when left out, the edge of a shadow is
    off by up to their spacing.
    """
    over = spots or spots_of(piece)
    points, normals = piece.vertices[over.chosen], piece.vertex_normals[over.chosen]
    lift = 1e-4 * float(np.linalg.norm(piece.extents))
    seen = np.zeros(len(points))
    for k, direction in enumerate(directions):
        progress(k / len(directions), words)
        at = np.flatnonzero(normals @ direction > 0.02)
        seen[at] += ~piece.rays.hits(points[at] + lift * normals[at], direction)
    return (seen / len(directions))[over.nearest]


@dataclass(frozen=True, eq=False)
class Reach:
    """How a straight blade gets to the skin from the side of the block.

    Attributes
    ----------
    shut : (n,) float64
        Share of the fan in which a blade is held in which it does not get there [1].
    deep_mm : (n,) float64
        How far past the outline of the whole piece, seen from above, it goes in at least: by the
        directions in which it gets there, by any of the fan where it does in none [mm].
    """

    shut: Floats
    deep_mm: Floats


def reach_of(
    piece: Surface,
    *,
    wall_mm: float = 0.0,
    height_mm: float = np.inf,
    spots: Spots | None = None,
    progress: Progress = silent,
) -> Reach:
    """Return how a straight blade gets to each vertex through rubber a wall thick, by ray casts.

    The fan lies within `BLADE_SWING` sideways of straight out from the skin, seen from above, and
    within `BLADE_RISE` of level. A direction is shut where the piece is in its way, or where it
    comes out through the mouth face or the far face instead of the side.

    Parameters
    ----------
    piece : Surface
        Standing on z = 0 or above it.
    wall_mm : float
        Rubber outside the outline of the piece [mm].
    height_mm : float
        Of the block [mm].
    spots : Spots, optional
    progress : Progress
    """
    fan = _fan(np.radians(np.arange(0.0, 360.0, 30.0)), np.radians([-BLADE_RISE, 0.0, BLADE_RISE]))
    over = spots or spots_of(piece)
    points, normals = piece.vertices[over.chosen], piece.vertex_normals[over.chosen]
    lift = 1e-4 * float(np.linalg.norm(piece.extents))
    held = _held(piece, fan)[over.chosen] & (normals @ fan.T > 0.02)
    outline = piece.vertices[ConvexHull(piece.vertices[:, :2]).vertices, :2]
    free, deep, any_deep = np.zeros(len(points)), *np.full((2, len(points)), np.inf)
    for k, (direction, asked) in enumerate(zip(fan, held.T, strict=True)):
        progress(k / len(fan), "looking where a blade gets")
        at = np.flatnonzero(asked)
        size = float(np.linalg.norm(direction[:2]))
        within = _run(outline, points[at, :2], direction[:2] / size)
        any_deep[at] = np.minimum(any_deep[at], within)
        out = points[at, 2] + (within + wall_mm) * direction[2] / size
        may = (out > 0.0) & (out < height_mm)
        at, within = at[may], within[may]
        seen = ~piece.rays.hits(points[at] + lift * normals[at], direction)
        at, within = at[seen], within[seen]
        free[at] += 1
        deep[at] = np.minimum(deep[at], within)
    shut = 1.0 - free / np.maximum(held.sum(axis=1), 1)
    deep = np.where(free > 0, deep, np.where(np.isfinite(any_deep), any_deep, 0.0))
    return Reach(shut[over.nearest], deep[over.nearest])


def _run(outline: Floats, points: Floats, way: Floats) -> Floats:
    """Return (k,) how far (k, 2) points lie within a convex outline along a unit vector [mm].

    `outline` is (h, 2) and runs counterclockwise, so its far side runs to the left of the way.
    """
    left = np.array([-way[1], way[0]])
    across = outline @ left
    start = int(np.lexsort((-(outline @ way), across))[0])
    far = np.roll(outline, -start, axis=0)
    far = far[: int(np.argmax(far @ left)) + 1]
    return np.maximum(np.interp(points @ left, far @ left, far @ way) - points @ way, 0.0)


def _held(piece: Surface, fan: Floats) -> NDArray[np.bool_]:
    """Return (n, k) bool: the directions of a fan in which a blade is held at each vertex."""
    flat = piece.vertex_normals[:, :2]
    middle = piece.bounds[:, :2].mean(axis=0)
    out = piece.vertices[:, :2] - middle
    out = out / np.maximum(np.linalg.norm(out, axis=1, keepdims=True), 1e-9)
    # Where the skin is level, out is away from the middle.
    ahead = flat + 0.3 * out
    size = np.linalg.norm(ahead, axis=1, keepdims=True)
    ahead = np.divide(ahead, size, out=np.zeros_like(ahead), where=size > 1e-9)
    level = fan[:, :2] / np.linalg.norm(fan[:, :2], axis=1, keepdims=True)
    return np.asarray((ahead @ level.T >= np.cos(np.radians(BLADE_SWING)) - 1e-9) | (size <= 1e-9))
