"""Moving the crossings of a path along the edges it crosses, and freeing it from its vertices.

Sliding is Snell's law found numerically, so it also holds where the cost changes along the way.
"""

from __future__ import annotations

import numpy as np
from numba import njit

from partline.geometry.paths import SurfacePath, make_path
from partline.geometry.surface import Floats, Surface

_LEVELS = 12  # halvings of the window in which each crossing is sought
_CHOICES = 9  # positions tried in each window


def slid(surface: Surface, density: Floats, path: SurfacePath) -> SurfacePath:
    """Free a path from the vertices it leans on and move each crossing to where it costs least.

    A vertex is replaced by the edges on the side of its smaller angle; a path held by the density
    goes back to it. The path given may be the cheaper one.

    Parameters
    ----------
    surface : Surface
    density : (n,) float64
        Cost per mm; infinite where no path may go [1].
    path : SurfacePath
        Begins and ends at a vertex.
    """
    starts, fan = surface.fans
    ends, share = _freed(
        surface.vertices, surface.faces, starts, fan, path.ends, path.share, path.points
    )
    loose = ends[:, 0] != ends[:, 1]
    share = _moved(surface.vertices[ends], density[ends], loose, share)
    for value, column in ((0.0, 0), (1.0, 1)):
        on = loose & (np.abs(share - value) < 1e-9)
        ends[on] = ends[on][:, [column]]
        share[on] = 0.0
    same = (ends[1:] == ends[:-1]).all(axis=1) & (np.abs(share[1:] - share[:-1]) < 1e-12)
    keep = np.concatenate([[True], ~same])
    return make_path(surface, density, ends[keep], share[keep])


@njit(nogil=True, cache=True)
def _freed(vertices, faces, starts, fan, ends, share, points):  # type: ignore[no-untyped-def]
    """Replace each vertex the path leans on by edges; return ends and share of the points."""
    most, widest = 2, 0
    for k in range(1, len(ends) - 1):
        round_ = starts[ends[k, 0] + 1] - starts[ends[k, 0]]
        most += max(round_, 1)
        widest = max(widest, round_)
    pair, part = np.empty((most, 2), dtype=np.int32), np.zeros(most)
    ring, at = np.empty(widest + 1, dtype=np.int32), np.empty(widest + 1)
    between = np.empty(widest + 1, dtype=np.int32)
    pair[0], part[0] = ends[0], share[0]
    size = 1
    for k in range(1, len(ends) - 1):
        count = 0
        if ends[k, 0] == ends[k, 1]:
            count = _side_step(vertices, faces, starts, fan, ends, share, points, k,
                               ring, at, between)  # fmt: skip
        for j in range(count):
            pair[size, 0], pair[size, 1] = ends[k, 0], between[j]
            size += 1
        if count == 0:
            pair[size], part[size] = ends[k], share[k]
            size += 1
    pair[size], part[size] = ends[-1], share[-1]
    return pair[: size + 1], part[: size + 1]


@njit(nogil=True, cache=True)
def _ring(faces, starts, fan, vertex, ring):  # type: ignore[no-untyped-def]
    """Fill in the neighbours of a vertex in order; return how many, 0 for a border or a pinch."""
    first, last = starts[vertex], starts[vertex + 1]
    count = last - first
    for j in range(count):
        ring[j] = -1
    start = -1
    for turn in range(count):
        here = start if turn == 0 else ring[turn - 1]
        found = -1
        for row in range(first, last):
            f = fan[row]
            k = 0 if faces[f, 0] == vertex else 1 if faces[f, 1] == vertex else 2
            if turn == 0 or faces[f, (k + 1) % 3] == here:
                if turn == 0:
                    start = faces[f, (k + 1) % 3]
                found = faces[f, (k + 2) % 3]
                break
        if found < 0 or (found == start and turn < count - 1):
            return 0
        ring[turn] = found
    return count if count > 0 and ring[count - 1] == start else 0


@njit(nogil=True, cache=True)
def _angle(vertices, vertex, x, y, z, other):  # type: ignore[no-untyped-def]
    """Return the angle at a vertex between an arm and the edge to another vertex."""
    a = vertices[other, 0] - vertices[vertex, 0]
    b = vertices[other, 1] - vertices[vertex, 1]
    c = vertices[other, 2] - vertices[vertex, 2]
    p, q, r = y * c - z * b, z * a - x * c, x * b - y * a
    return np.arctan2(np.sqrt(p * p + q * q + r * r), x * a + y * b + z * c)


@njit(nogil=True, cache=True)
def _side_step(vertices, faces, starts, fan, ends, share, points, k, ring, at, between):  # type: ignore[no-untyped-def]
    """Fill in the neighbours of vertex k of the path between its two sides, in order; how many."""
    vertex = ends[k, 0]
    count = _ring(faces, starts, fan, vertex, ring)
    if count == 0:
        return 0  # a border or a pinched vertex: lean on it
    at[0] = 0.0
    for j in range(count):
        spoke = vertices[ring[j]] - vertices[vertex]
        at[j + 1] = at[j] + _angle(
            vertices, vertex, spoke[0], spoke[1], spoke[2], ring[(j + 1) % count]
        )
    whole = at[count]
    one = _bearing(vertices, ends, share, points, k - 1, vertex, ring, at, count)
    two = _bearing(vertices, ends, share, points, k + 1, vertex, ring, at, count)
    if one < 0.0 or two < 0.0:
        return 0
    turn = (two - one) % whole
    forward = turn <= whole - turn
    low, span = (one, turn) if forward else (two, whole - turn)
    if span >= np.pi - 1e-9:
        return 0
    found = 0
    ahead = np.empty(count)
    for j in range(count):
        away = (at[j] - low) % whole
        if 1e-12 < away < span - 1e-12:
            ahead[found], between[found] = away, ring[j]
            found += 1
    order = np.argsort(ahead[:found] if forward else -ahead[:found])
    between[:found] = between[:found][order]
    return found


@njit(nogil=True, cache=True)
def _bearing(vertices, ends, share, points, j, vertex, ring, at, count):  # type: ignore[no-untyped-def]
    """Return the angle round a vertex under which point j of the path is seen; -1 for none."""
    a, b = ends[j, 0], ends[j, 1]
    if share[j] <= 0:
        b = a
    elif share[j] >= 1:
        a = b
    if a == vertex:
        a = b
    if b == vertex:
        b = a
    one, two = -1, -1
    for i in range(count):
        if ring[i] == a:
            one = i
        if ring[i] == b:
            two = i
    if a == vertex or one < 0 or two < 0:
        return -1.0
    if one == two:
        return at[one]
    first = one if (one + 1) % count == two else two
    arm = points[j] - vertices[vertex]
    return at[first] + _angle(vertices, vertex, arm[0], arm[1], arm[2], ring[first])


@njit(nogil=True, cache=True)
def _moved(corners, density, loose, share):  # type: ignore[no-untyped-def]
    """Return where on its edge each crossing makes the whole path cheapest.

    Positions in a window are chosen together (dynamic programming along the path), then the
    windows are halved; the first window is the whole edge.
    """
    count = len(share)
    share = share.copy()
    tries, price = np.empty((count, _CHOICES)), np.empty((count, _CHOICES))
    points = np.empty((count, _CHOICES, 3))
    width = 1.0
    for level in range(_LEVELS):
        for k in range(count):
            low, high = density[k, 0], density[k, 1]
            for j in range(_CHOICES):
                t = share[k]
                # What stands now is always among the choices.
                if loose[k] and j < _CHOICES - 1:
                    middle = 0.5 if level == 0 else t
                    t = min(max(middle + width * (j / (_CHOICES - 1) - 0.5), 0.0), 1.0)
                tries[k, j] = t
                for axis in range(3):
                    points[k, j, axis] = corners[k, 0, axis] * (1 - t) + corners[k, 1, axis] * t
                # Touching a blocked edge at its free end is allowed: 0 times infinity is no price.
                if t <= 0.0:
                    price[k, j] = low
                elif t >= 1.0:
                    price[k, j] = high
                else:
                    price[k, j] = low * (1 - t) + high * t
        chosen = _best_chain(points, price)
        for k in range(count):
            share[k] = tries[k, chosen[k]]
        width *= 0.5
    return share


@njit(nogil=True, cache=True)
def _best_chain(points, price):  # type: ignore[no-untyped-def]
    """Return (k,) the choice at each point that makes the whole chain cheapest."""
    count, choices = price.shape
    total = np.zeros(choices)
    fresh = np.empty(choices)
    back = np.zeros((count, choices), np.int32)
    for k in range(1, count):
        for j in range(choices):
            best, which = np.inf, 0
            for i in range(choices):
                if total[i] >= best:
                    continue
                x = points[k, j, 0] - points[k - 1, i, 0]
                y = points[k, j, 1] - points[k - 1, i, 1]
                z = points[k, j, 2] - points[k - 1, i, 2]
                length = np.sqrt(x * x + y * y + z * z)
                # Standing still on a blocked point costs nothing times infinity: no way.
                value = total[i] + length * (price[k - 1, i] + price[k, j]) / 2
                if value < best:
                    best, which = value, i
            fresh[j] = best
            back[k, j] = which
        total[:] = fresh
    chosen = np.zeros(count, np.int32)
    chosen[-1] = int(np.argmin(total))
    for k in range(count - 1, 0, -1):
        chosen[k - 1] = back[k, chosen[k]]
    return chosen
