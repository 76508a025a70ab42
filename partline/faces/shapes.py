"""Plain shapes for drawing: containers, blocks, rings, balls; vertices and faces, no toolkit."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from partline.geometry.surface import Floats, Surface
from partline.workshop.container import Container
from partline.workshop.fitting import turned_axes

_ROUND = 96


def outline_at(container: Container, height_mm: float) -> Floats:
    """Return the (k, 3) inner outline of a container at a height above its floor [mm]."""
    share = height_mm / container.height_mm
    width = container.floor_width_mm + share * (container.rim_width_mm - container.floor_width_mm)
    x, y = container.centre_mm
    if container.kind == "box":
        depth = container.floor_depth_mm + width - container.floor_width_mm
        corners = 0.5 * np.array([[-width, -depth], [width, -depth], [width, depth],
                                  [-width, depth]])  # fmt: skip
        after = np.roll(corners, -1, axis=0)
        ring = np.vstack([np.linspace(a, b, 24, endpoint=False)
                          for a, b in zip(corners, after, strict=True)])  # fmt: skip
        ring = ring @ turned_axes(container.turn_deg)
    else:
        angle = 2 * np.pi * np.arange(_ROUND) / _ROUND
        ring = 0.5 * width * np.column_stack([np.cos(angle), np.sin(angle)])
    return np.column_stack([ring + np.array([x, y]), np.full(len(ring), height_mm)])


def upright_ring(container: Container, toward: tuple[float, float, float], at_mm: float) -> Floats:
    """Return the closed (k, 3) outline of an upright plane through a block of rubber [mm].

    Parameters
    ----------
    toward : tuple of float
        Level unit vector square to the plane.
    at_mm : float
        Where the plane lies along it [mm]; past the block there is no outline.
    """
    ends: tuple[list[Floats], list[Floats]] = ([], [])
    across = np.cross([0.0, 0.0, 1.0], toward)
    # A wall that widens meets the plane in a curve: twelve heights of it.
    for height in np.linspace(0.0, container.fill_height_mm, 12):
        ring = closed_ring(outline_at(container, float(height)))
        past = ring @ np.array(toward) - at_mm
        where = np.flatnonzero((past[:-1] < 0) != (past[1:] < 0))
        if len(where) != 2:
            continue
        share = (past[where] / (past[where] - past[where + 1]))[:, None]
        met = ring[where] + share * (ring[where + 1] - ring[where])
        for side, point in zip(ends, met[np.argsort(met @ across)], strict=True):
            side.append(point)
    outline = np.array([*ends[0], *ends[1][::-1]]).reshape(-1, 3)
    return closed_ring(outline)


def container_wall(container: Container) -> Surface:
    """Return the inside of a container: its floor and its wall up to the rim, open at the top."""
    low, high = outline_at(container, 0.0), outline_at(container, container.height_mm)
    return _between(low, high, floor=True, roof=False)


def block(container: Container) -> Surface:
    """Return the block of rubber that comes out of a container: closed, up to the fill line."""
    low, high = outline_at(container, 0.0), outline_at(container, container.fill_height_mm)
    return _between(low, high, floor=True, roof=True)


def _between(low: Floats, high: Floats, *, floor: bool, roof: bool) -> Surface:
    n = len(low)
    here, there = np.arange(n), (np.arange(n) + 1) % n
    points = np.vstack([low, high, low.mean(axis=0), high.mean(axis=0)])
    faces = [
        np.column_stack([here, there, there + n]),
        np.column_stack([here, there + n, here + n]),
    ]
    if floor:
        faces.append(np.column_stack([there, here, np.full(n, 2 * n)]))
    if roof:
        faces.append(np.column_stack([here + n, there + n, np.full(n, 2 * n + 1)]))
    return Surface(points, np.vstack(faces))


def closed_ring(points: Floats) -> Floats:
    """Return the outline with its first point repeated at the end."""
    return np.vstack([points, points[:1]])


def rods(starts: Floats, stops: Floats, radius_mm: float) -> Surface:
    """Return thick lines from (k, 3) points to (k, 3) points as six-sided rods, open-ended [mm]."""
    along = stops - starts
    along = along / np.maximum(np.linalg.norm(along, axis=1), 1e-300)[:, None]
    across = np.cross(along, np.eye(3)[np.argmin(np.abs(along), axis=1)])
    across /= np.maximum(np.linalg.norm(across, axis=1), 1e-300)[:, None]
    beside = np.cross(along, across)
    angle = np.pi / 3 * np.arange(6)
    ring = np.cos(angle)[:, None] * across[:, None] + np.sin(angle)[:, None] * beside[:, None]
    # A little past both ends, so that rods that meet at an angle close up.
    past = 0.5 * radius_mm * along[:, None]
    ends = (starts[:, None] - past + radius_mm * ring, stops[:, None] + past + radius_mm * ring)
    points = np.concatenate(ends, axis=1).reshape(-1, 3)
    k = np.arange(6)
    after = (k + 1) % 6
    sides = np.vstack([np.column_stack([k, after, 6 + after]),
                       np.column_stack([k, 6 + after, 6 + k])])  # fmt: skip
    faces = (12 * np.arange(len(starts)))[:, None, None] + sides
    return Surface(points, faces.reshape(-1, 3).astype(np.int32))


def ball(centre: Floats, radius_mm: float, *, around: int = 24) -> Surface:
    """Return a ball for a mark [mm]."""
    unit = _unit_ball(around)
    return Surface(np.asarray(centre) + radius_mm * unit.vertices, unit.faces)


@lru_cache(maxsize=4)
def _unit_ball(around: int) -> Surface:
    turn = np.linspace(-np.pi / 2, np.pi / 2, around // 2 + 1)[1:-1]
    angle = 2 * np.pi * np.arange(around) / around
    x = np.outer(np.cos(turn), np.cos(angle)).ravel()
    y = np.outer(np.cos(turn), np.sin(angle)).ravel()
    z = np.repeat(np.sin(turn), around)
    points = np.vstack([np.column_stack([x, y, z]), [[0, 0, -1], [0, 0, 1]]])
    here = np.arange(around)
    there = (here + 1) % around
    faces = []
    for k in range(len(turn) - 1):
        a, b = k * around, (k + 1) * around
        faces.append(np.column_stack([a + here, a + there, b + there]))
        faces.append(np.column_stack([a + here, b + there, b + here]))
    last = (len(turn) - 1) * around
    faces.append(np.column_stack([there, here, np.full(around, len(points) - 2)]))
    faces.append(np.column_stack([last + here, last + there, np.full(around, len(points) - 1)]))
    return Surface(points, np.vstack(faces))


def cube(centre: Floats, half_mm: float) -> Surface:
    """Return a cube for a mark that must not look like a ball [mm]."""
    points = np.array([[x, y, z] for z in (-1, 1) for y in (-1, 1) for x in (-1, 1)], float)
    faces = [[0, 2, 1], [1, 2, 3], [4, 5, 6], [5, 7, 6], [0, 1, 4], [1, 5, 4],
             [2, 6, 3], [3, 6, 7], [0, 4, 2], [2, 4, 6], [1, 3, 5], [3, 7, 5]]  # fmt: skip
    return Surface(np.asarray(centre) + half_mm * points, np.array(faces))


def together(parts: Sequence[Surface]) -> Surface:
    """Return several surfaces as one."""
    first = np.cumsum([0, *(len(p.vertices) for p in parts)])
    faces = [p.faces + start for p, start in zip(parts, first, strict=False)]
    return Surface(np.vstack([p.vertices for p in parts]), np.vstack(faces).astype(np.int32))
