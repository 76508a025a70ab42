"""How much volume is counted twice: winding numbers along a grid of upright lines."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numba import njit

from partline.geometry.surface import Floats
from partline.scan.draft import Draft
from partline.scan.edges import Longs


@dataclass(frozen=True)
class Winding:
    """Volume by how often the surface goes round it; estimates from a grid of lines.

    Attributes
    ----------
    once : float
        Volume that it goes round once: solid without doubt.
    more : float
        Volume that it goes round more often: shells or folds overlap there.
    backwards : float
        Volume that it goes round the wrong way: inside-out.
    """

    once: float
    more: float
    backwards: float

    @property
    def doubtful_share(self) -> float:
        """Share of the volume that is doubtful."""
        doubtful = self.more + self.backwards
        return doubtful / max(self.once + doubtful, 1e-300)


def winding_volumes(draft: Draft, *, lines: int = 384) -> Winding:
    """Measure the volumes along about `lines` x `lines` upright lines (Jacobson et al. 2013).

    Each crossing of a line counts +1 where it enters and -1 where it leaves, and the number in
    between is the winding number. The lines miss every vertex and edge, so no count is lost.
    """
    low, high = draft.vertices.min(axis=0), draft.vertices.max(axis=0)
    span = high - low
    step = float(max(span[0], span[1])) / lines
    if step <= 0:
        return Winding(0.0, 0.0, 0.0)
    nx, ny = int(np.ceil(span[0] / step)), int(np.ceil(span[1] / step))
    # An irrational offset keeps the lines off the vertices of meshes that lie on a grid.
    origin = low[:2] + step * np.array([0.5 + 1e-4 * np.pi, 0.5 + 1e-4 * np.e])
    most = _count(draft.vertices, draft.faces, origin, step, nx, ny)
    column, height, sign = _hits(draft.vertices, draft.faces, origin, step, nx, ny, most)
    order = np.lexsort((height, column))
    column, height, sign = column[order], height[order], sign[order]
    if len(column) < 2:
        return Winding(0.0, 0.0, 0.0)
    first = np.flatnonzero(np.diff(column, prepend=-1))
    number = np.cumsum(sign)
    # The sum starts anew in each column.
    number -= np.repeat(number[first] - sign[first], np.diff(np.append(first, len(sign))))
    rise = np.where(column[1:] == column[:-1], np.diff(height), 0.0) * step * step
    here = number[:-1]
    return Winding(
        once=float(rise[here == 1].sum()),
        more=float(rise[here > 1].sum()),
        backwards=float(rise[here < 0].sum()),
    )


@njit(nogil=True, cache=True)
def _range(points: Floats, faces: Longs, f: int, origin: Floats, step: float, nx: int, ny: int):  # type: ignore[no-untyped-def]
    x0 = min(points[faces[f, 0], 0], points[faces[f, 1], 0], points[faces[f, 2], 0])
    x1 = max(points[faces[f, 0], 0], points[faces[f, 1], 0], points[faces[f, 2], 0])
    y0 = min(points[faces[f, 0], 1], points[faces[f, 1], 1], points[faces[f, 2], 1])
    y1 = max(points[faces[f, 0], 1], points[faces[f, 1], 1], points[faces[f, 2], 1])
    return (
        max(0, int(np.ceil((x0 - origin[0]) / step))),
        min(nx - 1, int(np.floor((x1 - origin[0]) / step))),
        max(0, int(np.ceil((y0 - origin[1]) / step))),
        min(ny - 1, int(np.floor((y1 - origin[1]) / step))),
    )


@njit(nogil=True, cache=True)
def _count(points: Floats, faces: Longs, origin: Floats, step: float, nx: int, ny: int) -> int:
    total = 0
    for f in range(len(faces)):
        i0, i1, j0, j1 = _range(points, faces, f, origin, step, nx, ny)
        if i1 >= i0 and j1 >= j0:
            total += (i1 - i0 + 1) * (j1 - j0 + 1)
    return total


@njit(nogil=True, cache=True)
def _hits(points: Floats, faces: Longs, origin: Floats, step: float, nx: int, ny: int, most: int):  # type: ignore[no-untyped-def]
    column = np.empty(most, np.int64)
    height = np.empty(most, np.float64)
    sign = np.empty(most, np.int64)
    found = 0
    for f in range(len(faces)):
        i0, i1, j0, j1 = _range(points, faces, f, origin, step, nx, ny)
        if i1 < i0 or j1 < j0:
            continue
        a, b, c = points[faces[f, 0]], points[faces[f, 1]], points[faces[f, 2]]
        turn = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
        if turn == 0.0:
            continue
        for i in range(i0, i1 + 1):
            for j in range(j0, j1 + 1):
                x, y = origin[0] + i * step, origin[1] + j * step
                u = ((b[0] - x) * (c[1] - y) - (b[1] - y) * (c[0] - x)) / turn
                v = ((c[0] - x) * (a[1] - y) - (c[1] - y) * (a[0] - x)) / turn
                w = ((a[0] - x) * (b[1] - y) - (a[1] - y) * (b[0] - x)) / turn
                if u >= 0.0 and v >= 0.0 and w >= 0.0:
                    column[found] = i * ny + j
                    height[found] = u * a[2] + v * b[2] + w * c[2]
                    sign[found] = -1 if turn > 0.0 else 1
                    found += 1
    return column[:found], height[:found], sign[:found]
