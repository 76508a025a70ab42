"""A body of trapped air as something to look at: its ceiling, and the lid at its spill level."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from manifold3d import triangulate

from partline.air.trapped_air import TrappedAir
from partline.geometry.normals_at import normals_at
from partline.geometry.surface import Floats, Ints, Surface


@dataclass(frozen=True, eq=False)
class AirBody:
    """One pocket, closed: the ceiling that holds the air and the flat lid below it.

    Attributes
    ----------
    ceiling : Surface
        The part of the cavity's wall above the spill level, outward from the air [mm].
    lid : Surface
        The filled lid at the spill level; without faces for a body that has no outlet [mm].
    """

    ceiling: Surface
    lid: Surface


def air_bodies(
    surface: Surface, air: TrappedAir, *, most: int | None = None, lift_mm: float = 0.0
) -> tuple[AirBody, ...]:
    """Return the body of every visible pocket, looking only at the faces near one.

    Parameters
    ----------
    most : int, optional
        Only of so many pockets, from the first on.
    lift_mm : float
        How far out of the surface the ceilings are drawn, so that they are seen on it [mm].
    """
    inside = air.pocket_of >= 0
    a, b, c = surface.faces.T
    near = surface.faces[inside[a] | inside[b] | inside[c]]
    used, faces = _renumbered(len(surface.vertices), near)
    small = Surface(surface.vertices[used], faces)
    here = replace(air, pocket_of=air.pocket_of[used])
    drawn = small.vertices
    if lift_mm:
        drawn = drawn + lift_mm * normals_at(surface, np.flatnonzero(used))
    return tuple(air_body(small, here, k, drawn) for k in range(len(air.pockets[:most])))


def air_body(surface: Surface, air: TrappedAir, index: int, drawn: Floats | None = None) -> AirBody:
    """Return the body of one pocket, cut exactly at its spill level.

    Parameters
    ----------
    surface : Surface
        The cavity's surface that `air` was found on.
    index : int
        Which pocket of `air.pockets`.
    drawn : (n, 3) float64, optional
        Where the ceiling is drawn; by default at the surface's own vertices [mm].
    """
    drawn = surface.vertices if drawn is None else drawn
    up, level = air.up, air.pockets[index].spill_level_mm
    inside = air.pocket_of == index
    count = inside[surface.faces].sum(axis=1)
    whole = surface.faces[count == 3]
    if not np.isfinite(level):
        return AirBody(Surface(drawn, whole), Surface(np.zeros((0, 3)), whole[:0]))
    height = surface.vertices @ up - level
    crossing = _turned_to_lone(surface.faces[(count == 1) | (count == 2)], inside)
    low, high, share, rim = _cut_edges(height, crossing)
    lone_in = inside[crossing[:, 0]]
    left, right = rim[:, 0], rim[:, 1]
    a, b, c = crossing.T
    parts = [
        whole,
        np.column_stack([a, left, right])[lone_in],
        np.column_stack([left, b, c])[~lone_in],
        np.column_stack([left, c, right])[~lone_in],
    ]
    points, edge = (v[low] + share * (v[high] - v[low]) for v in (surface.vertices, drawn))
    # The rim runs along the ceiling's own faces, so the lid's runs against it.
    steps = np.where(lone_in[:, None], rim[:, ::-1], rim) - len(drawn)
    ceiling = _compact(np.vstack([drawn, edge]), np.vstack(parts))
    return AirBody(ceiling, _lid(points, steps, up))


def _turned_to_lone(faces: Ints, inside: np.ndarray) -> Ints:
    """Turn each face so that its first corner is the one alone on its side of the level."""
    flags = inside[faces]
    alone = np.where(flags.sum(axis=1) == 1, flags.argmax(axis=1), (~flags).argmax(axis=1))
    turn = (alone[:, None] + np.arange(3)) % 3
    return np.take_along_axis(faces, turn, axis=1)


def _cut_edges(height: Floats, faces: Ints) -> tuple[np.ndarray, np.ndarray, Floats, np.ndarray]:
    """Return what the level cuts of the edges a-b and a-c of faces.

    The lower and the higher numbered end of each edge, (k, 1) how far along it is cut, and (m, 2)
    the numbers of each face's two cuts, which follow those of the vertices.
    """
    n = len(height)
    pairs = np.vstack([faces[:, [0, 1]], faces[:, [0, 2]]]).astype(np.int64)
    pairs.sort(axis=1)
    keys, numbers = np.unique(pairs[:, 0] * n + pairs[:, 1], return_inverse=True)
    low, high = np.divmod(keys, n)
    span = height[low] - height[high]
    share = np.divide(height[low], span, out=np.full(len(keys), 0.5), where=np.abs(span) > 1e-15)
    share = np.clip(share, 0.0, 1.0)[:, None]
    return low, high, share, numbers.reshape(2, -1).T + n


def _lid(points: Floats, steps: np.ndarray, up: Floats) -> Surface:
    """Fill the closed rim given as directed steps between point numbers, facing down."""
    loops = _loops(steps)
    if not loops:
        return Surface(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int32))
    axis = np.eye(3)[int(np.argmin(np.abs(up)))]
    right = np.cross(axis, up) / np.linalg.norm(np.cross(axis, up))
    plane = np.column_stack([right, np.cross(up, right)])
    flat = [points[loop] @ plane for loop in loops]
    turned = sum(_signed_area(loop) for loop in flat) < 0
    if turned:
        loops, flat = [loop[::-1] for loop in loops], [loop[::-1] for loop in flat]
    corners = np.asarray(triangulate(flat), dtype=np.int64).reshape(-1, 3)
    numbers = np.concatenate(loops)
    # Counter-clockwise in this plane looks up; the air's outside is below its lid.
    return _compact(points, numbers[corners][:, ::-1])


def _signed_area(loop: Floats) -> float:
    x, y = loop.T
    return 0.5 * float(x @ np.roll(y, -1) - y @ np.roll(x, -1))


def _loops(steps: np.ndarray) -> list[np.ndarray]:
    """Follow directed steps into closed loops of three points or more."""
    onward: dict[int, list[int]] = {}
    for start, stop in steps.tolist():
        onward.setdefault(start, []).append(stop)
    loops = []
    while onward:
        first = next(iter(onward))
        loop, here = [first], first
        while here in onward:
            after = onward[here].pop()
            if not onward[here]:
                del onward[here]
            if after == first:
                break
            loop.append(after)
            here = after
        if len(loop) > 2:
            loops.append(np.array(loop))
    return loops


def _compact(vertices: Floats, faces: np.ndarray) -> Surface:
    """Return a surface of only the vertices that the faces use."""
    used, faces = _renumbered(len(vertices), faces)
    return Surface(vertices[used], faces)


def _renumbered(count: int, faces: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return which of `count` vertices the faces use, (count,) bool, and the faces among those."""
    used = np.zeros(count, dtype=bool)
    used[faces] = True
    return used, (np.cumsum(used, dtype=np.int32) - 1)[faces]
