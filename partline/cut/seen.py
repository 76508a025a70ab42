"""What is seen from where: the piece by people who look at it, and its skin by a straight blade."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from partline.errors import JobError
from partline.geometry.surface import Floats, Surface

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


def seen_from(piece: Surface, directions: Floats, *, spots: Spots | None = None) -> Floats:
    """Return (n,) the share of directions from which each vertex is seen, by ray casts [1].

    Where rays are cast from spots, `SAMPLES` over the skin when left out, the edge of a shadow is
    off by up to their spacing.
    """
    asked = np.ones((len(piece.vertices), len(directions)), dtype=bool)
    return _free(piece, directions, asked, spots or spots_of(piece), behind_counts=True)


def shut_to_blade(piece: Surface, *, spots: Spots | None = None) -> Floats:
    """Return (n,) how much of the fan in which a blade is held is barred by the piece [1].

    The fan lies within `BLADE_SWING` sideways of straight out from the skin, seen from above, and
    within `BLADE_RISE` of level. 0: a straight blade gets there from the side wall however it is
    held; 1: it does not get there at all.
    """
    fan = _fan(np.radians(np.arange(0.0, 360.0, 30.0)), np.radians([-BLADE_RISE, 0.0, BLADE_RISE]))
    flat = piece.vertex_normals[:, :2]
    middle = piece.bounds[:, :2].mean(axis=0)
    out = piece.vertices[:, :2] - middle
    out = out / np.maximum(np.linalg.norm(out, axis=1, keepdims=True), 1e-9)
    # Where the skin is level, out is away from the middle.
    ahead = flat + 0.3 * out
    size = np.linalg.norm(ahead, axis=1, keepdims=True)
    ahead = np.divide(ahead, size, out=np.zeros_like(ahead), where=size > 1e-9)
    level = fan[:, :2] / np.linalg.norm(fan[:, :2], axis=1, keepdims=True)
    asked = (ahead @ level.T >= np.cos(np.radians(BLADE_SWING)) - 1e-9) | (size <= 1e-9)
    return 1.0 - _free(piece, fan, asked, spots or spots_of(piece), behind_counts=False)


def _free(
    piece: Surface,
    directions: Floats,
    asked: NDArray[np.bool_],
    spots: Spots,
    *,
    behind_counts: bool,
) -> Floats:
    """Return (n,) the share of the directions asked for in which a vertex sees out [1]."""
    normals, points, chosen = piece.vertex_normals, piece.vertices, spots.chosen
    lift = 1e-4 * float(np.linalg.norm(piece.extents))
    free = np.zeros(len(chosen))
    count = np.zeros(len(chosen))
    for k, direction in enumerate(directions):
        facing = normals[chosen] @ direction > 0.02
        wanted = asked[chosen, k]
        count += wanted & (facing | behind_counts)
        cast = np.flatnonzero(wanted & facing)
        at = chosen[cast]
        free[cast] += ~piece.rays.hits(points[at] + lift * normals[at], direction)
    share = np.divide(free, count, out=np.zeros_like(free), where=count > 0)
    return share[spots.nearest]
