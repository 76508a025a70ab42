"""The mesh without vertices that shape nothing: one form, however finely it is cut up."""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

from partline.detail.thinning import faces_left
from partline.geometry.normals import lengths
from partline.geometry.surface import Ints, Surface
from partline.progress import Progress, silent

# A face keeps its plane if its normal turns by less [radians]: the rounding of a file's numbers.
_FLAT = 1e-4
# Where a vertex may go, no triangle becomes flatter than this, or than this share of the flattest
# round it: twice its area over the square of its longest side.
_FLATTEST, _FLATTER = 0.2, 0.1
# Nor does an edge become longer than so many times the longest round the vertex: a plane stays a
# mesh, and shows that it is plain.
_LONGEST = 4.2
# A mesh of which less is needless is left as it is: it was not cut up, it has flat places.
_LEAST = 0.5
_SAME = 1e-9
_ROUNDS = 40
_LAST = 1e-3  # a round in which fewer go, as a share of all that might, is the last
_MOST_FACES = 32
_PART = 1 << 15


def without_needless(surface: Surface, progress: Progress = silent) -> tuple[Surface, Ints]:
    """Return the surface without needless vertices, and (n,) the vertex that stands for each.

    A vertex is needless if it can go over to a neighbour and every face left round it stays in
    its plane: the middle of a side, or of a flat face. Triangles cut into four become one again.
    The form is not changed, so nothing that is measured on it may hang on such vertices: a scan's
    noise is told by the vertices it has, and each counts as one that strays by itself.

    Parameters
    ----------
    surface : Surface
    progress : Progress

    Returns
    -------
    surface : Surface
        The same one if less than half of them are needless.
    into : (n,) int32
    """
    points, faces = surface.vertices, surface.faces
    every = np.arange(len(points), dtype=np.int32)
    doubtful = in_two_planes(surface)
    if doubtful.sum() < _LEAST * len(points):
        return surface, every
    least, longest = _shapes(points, faces, len(points))
    longest *= _LONGEST
    away = lengths(points - points.mean(axis=0))
    # From the middle outward, by place: renumbering or turning the mesh changes nothing.
    order = np.flatnonzero(doubtful)
    order = order[np.argsort(away[order], kind="stable")]
    into, starts, fans = every, *surface.fans_unkept
    enough = _LAST * len(order)
    for number in range(_ROUNDS):
        moved, shut, many = every.copy(), np.zeros(len(every), dtype=bool), 0
        for start in range(0, len(order), _PART):
            progress(number / _ROUNDS, "noise of the scan")
            part = order[start : start + _PART]
            many += _move(points, faces, part, starts, fans, least, longest, moved, shut)
        if many == 0:
            break
        into = moved[into]
        faces = faces_left(moved, faces)
        order = order[moved[order] == order]
        if many < enough:
            break
        starts, fans = _fans(faces, len(points))
    kept = into == every
    named = np.cumsum(kept, dtype=np.int32) - np.int32(1)
    if kept.sum() > (1.0 - _LEAST) * len(kept):
        return surface, every
    return Surface(points[kept], named[faces]), named[into]


def in_two_planes(surface: Surface) -> NDArray[np.bool_]:
    """Return (n,) the vertices whose faces lie in two planes at most: needless, as a rule."""
    found: NDArray[np.bool_] = _in_two_planes(
        surface.faces, surface.face_normals, len(surface.vertices)
    )
    return found


@njit(nogil=True, cache=True)
def _in_two_planes(faces, normals, count):  # type: ignore[no-untyped-def]
    """Which vertices have faces in two planes at most, all with an area."""
    first = np.full(count, -1, dtype=np.int32)
    second = np.full(count, -1, dtype=np.int32)
    doubtful = np.zeros(count, dtype=np.bool_)
    for f in range(len(faces)):
        for k in range(3):
            at = faces[f, k]
            if first[at] < 0:
                first[at] = f
                doubtful[at] = True
    least = 1.0 - 0.5 * (2.0 * _FLAT) ** 2
    for f in range(len(faces)):
        for k in range(3):
            at = faces[f, k]
            one = first[at]
            if _dot(normals, f, one) >= least:
                continue
            two = second[at]
            if two < 0:
                second[at] = f
            elif _dot(normals, f, two) < least:
                doubtful[at] = False
    return doubtful


@njit(nogil=True, cache=True)
def _dot(normals, f, g):  # type: ignore[no-untyped-def]
    return (
        normals[f, 0] * normals[g, 0]
        + normals[f, 1] * normals[g, 1]
        + normals[f, 2] * normals[g, 2]
    )


@njit(nogil=True, cache=True)
def _fans(faces, count):  # type: ignore[no-untyped-def]
    """Return where the faces round each vertex start in a list, and the list."""
    starts = np.zeros(count + 1, dtype=np.int64)
    for f in range(len(faces)):
        for k in range(3):
            starts[faces[f, k] + 1] += 1
    starts = np.cumsum(starts)
    at = starts[:-1].copy()
    fans = np.empty(3 * len(faces), dtype=np.int64)
    for f in range(len(faces)):
        for k in range(3):
            fans[at[faces[f, k]]] = f
            at[faces[f, k]] += 1
    return starts, fans


@njit(nogil=True, cache=True)
def _shape(points, a, b, c):  # type: ignore[no-untyped-def]
    """Return the vector area doubled, and how flat the triangle is, of three vertices."""
    u = points[b] - points[a]
    v = points[c] - points[a]
    cross = np.cross(u, v)
    w = v - u
    longest = max((u**2).sum(), (v**2).sum(), (w**2).sum())
    size = np.sqrt((cross**2).sum())
    return cross, size / longest if longest > 0.0 else 0.0


@njit(nogil=True, cache=True)
def _shapes(points, faces, count):  # type: ignore[no-untyped-def]
    """Return how flat the flattest face round each vertex is, and how long its longest side."""
    least = np.full(count, np.inf)
    longest = np.zeros(count)
    for f in range(len(faces)):
        flat = _shape(points, faces[f, 0], faces[f, 1], faces[f, 2])[1]
        for k in range(3):
            at, to = faces[f, k], faces[f, (k + 1) % 3]
            long = np.sqrt(((points[to] - points[at]) ** 2).sum())
            least[at] = min(least[at], flat)
            longest[at], longest[to] = max(longest[at], long), max(longest[to], long)
    return least, longest


@njit(nogil=True, cache=True)
def _move(  # type: ignore[no-untyped-def]
    points, faces, order, starts, fans, least, longest, into, shut
):
    """Fill in where each vertex goes, none beside another, and return how many go."""
    many = 0
    for at in order:
        if shut[at] or starts[at + 1] - starts[at] > _MOST_FACES:
            continue
        own = fans[starts[at] : starts[at + 1]]
        best, where, nearest = -1.0, -1, np.inf
        for f in own:
            for k in range(3):
                # The next corner of each face round it: every neighbour once.
                if faces[f, k] != at:
                    continue
                to = faces[f, (k + 1) % 3]
                worst = _worst(points, faces, own, at, to, longest[at])
                away = ((points[to] - points[at]) ** 2).sum()
                # Of two as good the nearer.
                better = worst > best + _SAME or (worst > best - _SAME and away < nearest)
                if worst >= 0.0 and better and _parted(faces, own, starts, fans, at, to):
                    best, where, nearest = worst, to, away
        if where < 0 or best < min(_FLATTEST, _FLATTER * least[at]):
            continue
        into[at] = where
        many += 1
        for f in own:
            for k in range(3):
                shut[faces[f, k]] = True
    return many


@njit(nogil=True, cache=True)
def _worst(points, faces, own, at, to, longest):  # type: ignore[no-untyped-def]
    """Return how flat the flattest face is once a vertex has gone; -1 if one leaves its plane."""
    worst = np.inf
    gone = 0
    corner = np.empty(3, dtype=np.int64)
    for f in own:
        has = False
        for k in range(3):
            corner[k] = faces[f, k]
            has = has or corner[k] == to
        if has:
            gone += 1
            continue
        before, _ = _shape(points, corner[0], corner[1], corner[2])
        for k in range(3):
            if corner[k] == at:
                corner[k] = to
            elif ((points[corner[k]] - points[to]) ** 2).sum() > longest * longest:
                return -1.0
        after, flat = _shape(points, corner[0], corner[1], corner[2])
        sizes = np.sqrt((before**2).sum() * (after**2).sum())
        if sizes == 0.0 or (before * after).sum() < (1.0 - 0.5 * _FLAT**2) * sizes:
            return -1.0
        worst = min(worst, flat)
    return worst if gone == 2 else -1.0


@njit(nogil=True, cache=True)
def _parted(faces, own, starts, fans, at, to):  # type: ignore[no-untyped-def]
    """Tell if two neighbours share two neighbours only, so that joining them tears nothing."""
    shared = 0
    seen = np.empty(2 * _MOST_FACES, dtype=np.int64)
    count = 0
    for f in own:
        for k in range(3):
            other = faces[f, k]
            new = other != at and other != to
            for j in range(count):
                if seen[j] == other:
                    new = False
            if not new:
                continue
            seen[count] = other
            count += 1
            beside = False
            for g in fans[starts[to] : starts[to + 1]]:
                for m in range(3):
                    if faces[g, m] == other:
                        beside = True
            if beside:
                shared += 1
    return shared == 2
