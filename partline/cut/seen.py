"""What is seen from where: the piece by people who look at it, and its skin by a straight blade."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numba import njit
from numpy.typing import NDArray
from scipy.spatial import ConvexHull, cKDTree

from partline.errors import JobError
from partline.geometry.cores import in_parts
from partline.geometry.stopping import stopped
from partline.geometry.surface import Floats, Surface
from partline.progress import Progress, silent

LOOKING = "looking at the piece from where people stand"
SHOWS = ("front", "front and sides", "all round")
# Rays are cast from every vertex up to so many, then from as many spread over the skin.
SAMPLES = 120_000
# A blade is held within so much of straight out from the skin, sideways, and of level, up and
# down [degrees]; common practice, no source.
BLADE_SWING = 45.0
BLADE_RISE = 30.0
# A ray that leaves the skin flatter than this sees along it, not out: sine of the angle [1].
_GRAZING = 0.02
# Spots that one core looks from at a time: some tens of milliseconds.
_AT_A_TIME = 4096


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
    enough: float = 1.0,
    progress: Progress = silent,
    words: str = LOOKING,
) -> Floats:
    """Return (n,) the share of directions from which each vertex is seen, by ray casts [1].

    Where rays are cast from spots, `SAMPLES` over the skin when left out, the edge of a shadow is
    off by up to their spacing. A vertex is looked at no longer once it is known that it is seen
    from a share of `enough`, or that it is not: then its share is right only in being so or less.
    """
    over = spots or spots_of(piece)
    points, normals = piece.vertices[over.chosen], piece.vertex_normals[over.chosen]
    lift = 1e-4 * float(np.linalg.norm(piece.extents))
    seen = np.zeros(len(points))
    least = int(np.ceil(enough * len(directions) - 1e-9))
    rays = piece.rays
    in_parts(lambda a, b: _seen(rays.tree, points, normals, directions, lift, rays.least, least,
                                seen, a, b),
             len(points), _AT_A_TIME, progress=progress, words=words)  # fmt: skip
    return (seen / len(directions))[over.nearest]


@njit(nogil=True, cache=True)
def _unseen(tree, points, normals, at, direction, lift, nearest):  # type: ignore[no-untyped-def]
    """Tell whether the surface stops a ray from just above one of its points."""
    x = points[at, 0] + lift * normals[at, 0]
    y = points[at, 1] + lift * normals[at, 1]
    z = points[at, 2] + lift * normals[at, 2]
    return stopped(tree, x, y, z, direction[0], direction[1], direction[2], nearest)


@njit(nogil=True, cache=True)
def _facing(normals, at, direction):  # type: ignore[no-untyped-def]
    return (
        normals[at, 0] * direction[0]
        + normals[at, 1] * direction[1]
        + normals[at, 2] * direction[2]
    )  # fmt: skip


@njit(nogil=True, cache=True)
def _seen(tree, points, normals, directions, lift, nearest, least, seen, start, stop):  # type: ignore[no-untyped-def]
    for at in range(start, stop):
        left = 0
        for k in range(len(directions)):
            left += _facing(normals, at, directions[k]) > _GRAZING
        # Straight out first: there a vertex is seen soonest.
        for turn in range(2):
            for k in range(len(directions)):
                facing = _facing(normals, at, directions[k])
                if facing <= _GRAZING or (facing > 0.5) == (turn == 1):
                    continue
                if seen[at] >= least or seen[at] + left < least < len(directions):
                    break
                left -= 1
                seen[at] += not _unseen(tree, points, normals, at, directions[k], lift, nearest)


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
    bearing = np.radians(np.arange(0.0, 360.0, 30.0))
    fan = _fan(bearing, np.radians([-BLADE_RISE, 0.0, BLADE_RISE]))
    over = spots or spots_of(piece)
    points, normals = piece.vertices[over.chosen], piece.vertex_normals[over.chosen]
    lift = 1e-4 * float(np.linalg.norm(piece.extents))
    outline = piece.vertices[ConvexHull(piece.vertices[:, :2]).vertices, :2]
    sides = _far_sides(outline, fan)
    middle = piece.bounds[:, :2].mean(axis=0)
    found = np.zeros(len(points)), np.zeros(len(points))
    rays = piece.rays
    in_parts(lambda a, b: _reached(rays.tree, (points, normals), fan, sides, middle,
                                   (lift, rays.least), (wall_mm, height_mm), found, a, b),
             len(points), _AT_A_TIME, progress=progress,
             words="looking where a blade gets")  # fmt: skip
    shut, deep = (values[over.nearest] for values in found)
    return Reach(shut, deep)


def _far_sides(outline: Floats, fan: Floats) -> tuple[NDArray[np.int64], Floats, Floats]:
    """Return the far side of a convex (h, 2) outline along each of (k, 3) directions.

    The outline runs counterclockwise, so its far side runs to the left of the way. What is given
    is where the corners for each direction begin, (k + 1,), and how far to the left and how far
    along the way each lies.
    """
    begin, lefts, aheads = [0], [], []
    for way in fan[:, :2] / np.linalg.norm(fan[:, :2], axis=1, keepdims=True):
        left = np.array([-way[1], way[0]])
        across = outline @ left
        start = int(np.lexsort((-(outline @ way), across))[0])
        far = np.roll(outline, -start, axis=0)
        far = far[: int(np.argmax(far @ left)) + 1]
        begin.append(begin[-1] + len(far))
        lefts.append(far @ left)
        aheads.append(far @ way)
    return np.array(begin), np.concatenate(lefts), np.concatenate(aheads)


@njit(nogil=True, cache=True)
def _run(across, ahead, first, last, left, at):  # type: ignore[no-untyped-def]
    """Return how far a point lies within an outline along a way [mm]."""
    if left <= across[first]:
        far = ahead[first]
    elif left >= across[last - 1]:
        far = ahead[last - 1]
    else:
        while last - first > 2:
            middle = (first + last - 1) // 2
            if across[middle] <= left:
                first = middle
            else:
                last = middle + 1
        slope = (ahead[first + 1] - ahead[first]) / (across[first + 1] - across[first])
        far = ahead[first] + slope * (left - across[first])
    return max(far - at, 0.0)


@njit(nogil=True, cache=True)
def _straight_out(points, normals, middle, at):  # type: ignore[no-untyped-def]
    """Return the level unit vector straight out from the skin at a point; 0, 0 for none."""
    x, y = points[at, 0] - middle[0], points[at, 1] - middle[1]
    size = max(np.sqrt(x * x + y * y), 1e-9)
    # Where the skin is level, out is away from the middle.
    x, y = normals[at, 0] + 0.3 * x / size, normals[at, 1] + 0.3 * y / size
    size = np.sqrt(x * x + y * y)
    return (x / size, y / size) if size > 1e-9 else (0.0, 0.0)


@njit(nogil=True, cache=True)
def _reached(tree, spots, fan, sides, middle, above, block, found, start, stop):  # type: ignore[no-untyped-def]
    """Fill in how a blade gets to some of the spots; `above` is lift and `nearest` of the rays."""
    points, normals = spots
    begin, across, ahead = sides
    lift, nearest = above
    wall, height = block
    shut, deep = found
    swing = np.cos(np.radians(BLADE_SWING)) - 1e-9
    for at in range(start, stop):
        out_x, out_y = _straight_out(points, normals, middle, at)
        held, free, least, any_least = 0, 0, np.inf, np.inf
        for k in range(len(fan)):
            size = np.sqrt(fan[k, 0] ** 2 + fan[k, 1] ** 2)
            x, y = fan[k, 0] / size, fan[k, 1] / size
            level = out_x * x + out_y * y
            if level < swing and (out_x != 0.0 or out_y != 0.0):
                continue
            if _facing(normals, at, fan[k]) <= _GRAZING:
                continue
            held += 1
            within = _run(across, ahead, begin[k], begin[k + 1],
                          points[at, 1] * x - points[at, 0] * y,
                          points[at, 0] * x + points[at, 1] * y)  # fmt: skip
            any_least = min(any_least, within)
            out = points[at, 2] + (within + wall) * fan[k, 2] / size
            if not 0.0 < out < height:
                continue
            if _unseen(tree, points, normals, at, fan[k], lift, nearest):
                continue
            free += 1
            least = min(least, within)
        shut[at] = 1.0 - free / max(held, 1)
        deep[at] = least if free > 0 else any_least if any_least < np.inf else 0.0
