"""The holes of a mesh: their rims, how long, where, how flat, which way they face."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from partline.geometry.surface import Floats
from partline.scan.draft import Draft, Place, at
from partline.scan.edges import Longs


@dataclass(frozen=True, eq=False)
class Rim:
    """The rim of one hole.

    Attributes
    ----------
    loop : (k,) int64
        Vertex numbers in the order that a face filling the hole must run.
    length : float
        Length of the rim.
    width : float
        Twice the mean distance of the rim from its middle.
    area : float
        Area of the flat hole: length of the area vector.
    place : tuple of float
        Middle of the rim.
    normal : (3,) float64
        Unit vector out of the hole, square to its best plane in the sense of area.
    unevenness : float
        How far the rim leaves that plane, at most.
    fold_deg : float
        How sharply the skin round it would turn into a flat filling: 0 where it runs on
        smoothly, 90 at a wall, 180 under a sheet; below 0 where it turns in [degrees].
    """

    loop: Longs
    length: float
    width: float
    area: float
    place: Place
    normal: Floats
    unevenness: float
    fold_deg: float = 0.0

    @property
    def is_flat(self) -> bool:
        """Whether the rim stays within a fiftieth of its width of a plane."""
        return self.unevenness <= 0.02 * self.width


def rims(draft: Draft) -> list[Rim]:
    """Return the holes, the longest first; where rims touch at a vertex they are told apart."""
    table = draft.table
    single = table.order[table.starts[:-1][table.counts == 1]]
    start, stop = table.start_of(single), table.stop_of(single)
    # A filling face runs against the face that is there.
    loops = _loops(stop, start)
    third = draft.faces[single // 3].sum(axis=1) - start - stop
    inward = dict(zip(zip(stop.tolist(), start.tolist(), strict=True), third.tolist(), strict=True))
    found = (_rim(draft.vertices, loop, inward) for loop in loops)
    return sorted((rim for rim in found if rim.length > 0), key=lambda rim: -rim.length)


def _loops(start: Longs, stop: Longs) -> list[Longs]:
    """Chain directed edges into loops; one that meets itself is cut off there."""
    leaving: dict[int, list[int]] = {}
    for a, b in zip(start.tolist(), stop.tolist(), strict=True):
        leaving.setdefault(a, []).append(b)
    loops = []
    for first in list(leaving):
        while leaving.get(first):
            chain, where = [first], {first: 0}
            while leaving.get(chain[-1]):
                here = leaving[chain[-1]].pop()
                if here in where:
                    cut = where[here]
                    loops.append(np.array(chain[cut:], dtype=np.int64))
                    for gone in chain[cut + 1 :]:
                        del where[gone]
                    chain = chain[: cut + 1]
                else:
                    where[here] = len(chain)
                    chain.append(here)
    return loops


def _rim(vertices: Floats, loop: Longs, inward: dict[tuple[int, int], int]) -> Rim:
    points = vertices[loop]
    following = np.roll(points, -1, axis=0)
    step = np.linalg.norm(following - points, axis=1)
    length = float(step.sum())
    weight = step + np.roll(step, 1)
    middle = np.average(points, axis=0, weights=weight if length > 0 else None)
    vector = 0.5 * np.cross(points - middle, following - middle).sum(axis=0)
    area = float(np.linalg.norm(vector))
    normal = vector / area if area > 0 else np.zeros(3)
    uneven = float(np.abs((points - middle) @ normal).max())
    width = 2.0 * float(np.linalg.norm(points - middle, axis=1).mean())
    behind = [inward[a, b] for a, b in zip(loop.tolist(), np.roll(loop, -1).tolist(), strict=True)]
    fold = _fold_deg(points, following, vertices[np.array(behind)], normal)
    return Rim(loop, length, width, area, at(middle), normal, uneven, fold)


def _fold_deg(start: Floats, stop: Floats, behind: Floats, normal: Floats) -> float:
    """Angle from a flat filling to the way the skin runs on, mean over the (k, 3) edges.

    The mean is taken of the directions, by length: noise and a ragged rim cancel out.
    """
    run = stop - start
    length = np.linalg.norm(run, axis=1)
    along = run / np.maximum(length, 1e-300)[:, None]
    on = start - behind
    on = on - np.einsum("ij,ij->i", on, along)[:, None] * along
    on /= np.maximum(np.linalg.norm(on, axis=1), 1e-300)[:, None]
    across = np.cross(normal, along)
    across /= np.maximum(np.linalg.norm(across, axis=1), 1e-300)[:, None]
    ahead, out = np.einsum("ij,ij->i", on, across) @ length, (on @ normal) @ length
    return float(np.degrees(np.arctan2(out, ahead)))
