"""Rims that are a little rounded, as every scan's are: where two plain sides would meet."""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

from partline.detail.face_patches import faces_beside, patches
from partline.detail.long_chains import long_chains
from partline.geometry.heap import TAKEN, UNSEEN, put, take
from partline.geometry.surface import Floats, Ints, Surface
from partline.progress import Progress, silent

Bools = NDArray[np.bool_]

# All from trying on real scans and on blocks with round rims, no source.
_PLAIN_DEG = 10.0  # how far the skin round a plain face may lean: less takes noise for form
_PLAIN_ROUNDS = 4  # of means of neighbours: a patch some three edges across
_REACH_EDGES = 2.75  # how far a plain side is grown: half of the widest rounding, and of a patch
_LEAST_EDGES = 50.0  # a chain shorter than this may be a beak's ridge, a toe or a wing's tip
_WIDE_ROUNDS = 64  # a patch some ten edges across: a plain side, not the flank of a feather
_STRAIGHTENED = 8  # rounds; the line then turns no more
# With other lines as near as this share of the piece's width on both sides a line is crowded: that
# is half the longest wave that counts as detail, along its flank. Grooves side by side are detail.
_ALONE = 0.06
_FACING = 0.8  # two lines face each other if the way between them is so straight
_LEAST_APART = 2.0  # edges; what is nearer is the same line


def rounded_rims(
    surface: Surface,
    sides: Ints,
    sharp: Ints,
    sharp_convex: Bools,
    *,
    edge_mm: float,
    finer: float,
    least_turn_rad: float,
    sides_rad: float,
    progress: Progress = silent,
) -> tuple[Ints, Bools]:
    """Return the edges along which two plain sides meet that a rounding joins.

    Faces are plain where the skin round them is. Each face that is not takes the normal of the
    nearest plain one, as if both sides of a rim were drawn on to where they meet. The rim made
    sharp so is a hard edge if it is long, if the skin to both sides is plain a good deal further,
    and if it does not run amid others.

    Parameters
    ----------
    surface : Surface
    sides : (e, 2) int32
        From `face_patches.two_sides`.
    sharp : (k,) int32
        Numbers of the edges in `surface.edges` that are known to be hard.
    sharp_convex : (k,) bool
        Which of them stand out.
    edge_mm : float
        Median edge length, of the mesh without needless vertices [mm].
    finer : float
        How many times longer that is than of the mesh as it is [1].
    least_turn_rad : float
        Least turn from side to side [radians].
    sides_rad : float
        How far the faces of both sides together may lean from their mean [radians].
    progress : Progress

    Returns
    -------
    edges : (r,) int32
        Numbers of more edges.
    convex : (r,) bool
        Which of them stand out.
    """
    words, count, areas = "hard edges", len(surface.faces), surface.face_areas
    least, step = np.cos(least_turn_rad), finer**2
    closed = np.zeros(len(sides), dtype=bool)
    closed[sharp] = True

    def beside(edges: Ints) -> Ints:
        shut = closed.copy()
        shut[edges] = True
        return faces_beside(sides, shut, count)

    def long(edges: Ints, convex: Bools, crowded: Bools) -> tuple[Ints, Bools]:
        pairs = surface.edges[np.concatenate([sharp, edges])]
        amid = np.concatenate([np.zeros(len(sharp), dtype=bool), crowded])
        out = np.concatenate([sharp_convex, convex])
        kept = long_chains(surface, pairs, out, _LEAST_EDGES * edge_mm, amid)[len(sharp) :]
        return edges[kept], convex[kept]

    around = beside(sharp)
    near = patches(around, surface.face_normals, areas, round(_PLAIN_ROUNDS * step))
    plain = near.lean_rad <= np.radians(_PLAIN_DEG)
    middles = _middles(surface.vertices, surface.faces)
    source, _ = _grown(middles, around, plain, _REACH_EDGES * edge_mm)
    _straighten(around, plain, near.normals, source, least, round(_STRAIGHTENED * finer))
    progress(0.5, words)
    edges = np.flatnonzero(_met(sides, closed, near.normals, source, least)).astype(np.int32)
    one, two = source[sides[edges] // 3].T
    apart = near.normals[one] - near.normals[two]
    convex = np.einsum("ij,ij->i", middles[one] - middles[two], apart) > 0.0
    edges, convex = long(edges, convex, np.zeros(len(edges), dtype=bool))
    if not len(edges):
        return edges, convex
    sharpened = _taken(surface.face_normals, near.normals, source)
    wide = patches(beside(edges), sharpened, areas, round(_WIDE_ROUNDS * step))
    progress(0.8, words)
    a, b = sides[edges].T // 3
    good = wide.lean_rad[a] + wide.lean_rad[b] <= sides_rad
    good &= np.einsum("ij,ij->i", wide.normals[a], wide.normals[b]) <= np.cos(0.8 * least_turn_rad)
    edges, convex = edges[good], convex[good]
    squares = ((middles - np.average(middles, axis=0, weights=areas)) ** 2).sum(axis=1)
    reach = _ALONE * 2.0 * float(np.sqrt(np.average(squares, weights=areas)))
    lines = sides[np.concatenate([sharp, edges])] // 3
    crowded = _crowded(middles, beside(edges), lines, reach, _LEAST_APART * edge_mm)
    return long(edges, convex, crowded[sides[edges] // 3].all(axis=1))


def _crowded(middles: Floats, beside: Ints, faces: Ints, reach: float, least: float) -> Bools:
    """Return (m,) the faces along a line that another line faces within reach on their side."""
    along = np.zeros(len(beside), dtype=bool)
    along[faces] = True
    source, away = _grown(middles, beside, along, reach)
    found: Bools = _faced(middles, beside, source, away, reach, least)
    return found


@njit(nogil=True, cache=True)
def _faced(middles, beside, source, away, reach, least):  # type: ignore[no-untyped-def]
    found = np.zeros(len(beside), dtype=np.bool_)
    for f in range(len(beside)):
        if source[f] < 0:
            continue
        for k in range(3):
            g = beside[f, k]
            if g <= f or source[g] < 0 or source[g] == source[f]:
                continue
            apart = _distance(middles, source[f], source[g])
            if least <= apart <= reach and apart >= _FACING * (away[f] + away[g]):
                found[source[f]] = found[source[g]] = True
    return found


@njit(nogil=True, cache=True)
def _middles(points, faces):  # type: ignore[no-untyped-def]
    found = np.empty((len(faces), 3))
    for f in range(len(faces)):
        for axis in range(3):
            a, b, c = (
                points[faces[f, 0], axis],
                points[faces[f, 1], axis],
                points[faces[f, 2], axis],
            )
            found[f, axis] = (a + b + c) / 3.0
    return found


@njit(nogil=True, cache=True)
def _met(sides, closed, normals, source, least):  # type: ignore[no-untyped-def]
    """Return which open edges have plain sides grown up to them that turn by enough."""
    found = np.zeros(len(sides), dtype=np.bool_)
    for edge in range(len(sides)):
        if closed[edge] or sides[edge, 0] < 0:
            continue
        one, two = source[sides[edge, 0] // 3], source[sides[edge, 1] // 3]
        if one >= 0 and two >= 0 and one != two:
            found[edge] = _cosine(normals, one, two) <= least
    return found


@njit(nogil=True, cache=True)
def _taken(own, normals, source):  # type: ignore[no-untyped-def]
    """Return the normal that each face takes from its plain one; its own where there is none."""
    found = np.empty_like(own)
    for f in range(len(own)):
        for axis in range(3):
            found[f, axis] = own[f, axis] if source[f] < 0 else normals[source[f], axis]
    return found


@njit(nogil=True, cache=True)
def _cosine(normals, a, b):  # type: ignore[no-untyped-def]
    found = 0.0
    for axis in range(3):
        found += normals[a, axis] * normals[b, axis]
    return found


@njit(nogil=True, cache=True)
def _distance(points, a, b):  # type: ignore[no-untyped-def]
    squared = 0.0
    for axis in range(3):
        squared += (points[a, axis] - points[b, axis]) ** 2
    return np.sqrt(squared)


@njit(nogil=True, cache=True)
def _grown(middles, beside, plain, reach):  # type: ignore[no-untyped-def]
    """Return the plain face that each face is nearest to, -1 beyond reach, and how far that is."""
    count = len(beside)
    source = np.full(count, -1, dtype=np.int32)
    away = np.full(count, np.inf)
    place = np.full(count, UNSEEN, dtype=np.int32)
    heap = np.empty(count, dtype=np.int32)
    size = 0
    for f in range(count):
        if plain[f]:
            source[f] = f
            away[f] = 0.0
    for f in range(count):
        if plain[f]:
            for k in range(3):
                if beside[f, k] >= 0 and not plain[beside[f, k]]:
                    size = put(heap, place, away, size, f)
                    break
    while size > 0:
        f = take(heap, place, away, size)
        size -= 1
        for k in range(3):
            g = beside[f, k]
            if g < 0 or plain[g] or place[g] == TAKEN:
                continue
            # Straight from where it began: a sum of steps from face to face would be too long.
            far = max(away[f], _distance(middles, source[f], g))
            if far < away[g] and far <= reach:
                away[g] = far
                source[g] = source[f]
                size = put(heap, place, away, size, g)
    return source, away


@njit(nogil=True, cache=True)
def _straighten(beside, plain, normals, source, least, rounds):  # type: ignore[no-untyped-def]
    """Let a face that the line goes round on two sides go over: one side is the shorter way."""
    for _ in range(rounds):
        moved = False
        for f in range(len(beside)):
            own = source[f]
            if plain[f] or own < 0:
                continue
            beyond, over = 0, -1
            for k in range(3):
                g = beside[f, k]
                if g < 0 or source[g] < 0:
                    continue
                other = source[g]
                if other != own and _cosine(normals, own, other) <= least:
                    beyond += 1
                    over = other
            if beyond >= 2:
                source[f] = over
                moved = True
        if not moved:
            break
