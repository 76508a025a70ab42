"""The scan's own noise: how far each vertex strays along the normal by chance."""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

from partline.geometry.cores import in_parts
from partline.geometry.normals import lengths
from partline.geometry.surface import Floats, Surface
from partline.progress import Progress, silent

# Of so many patches of skin, two rings each, the quieter quarter is known to one or two per cent.
_PATCHES = 2_000
_QUIET = 0.25
_LEAST_IN_PATCH = 8
_BLOCK = 1_000
_TERMS = 15  # of a polynomial of the fourth degree in two variables
_SPARE = 3  # points beyond those a fit would pass through all of
_MOST_POINTS = 120
# A vertex that the fit follows nearly all the way tells nothing.
_LEAST_FREE = 0.05
# Skin whose normals round a vertex have a mean at least so long lies one way, as a fit needs it; of
# the 17 scans tried 70 of 100 vertices or more do, of parts drawn with few large triangles 38 at
# most, of nearly all none.
_ONE_WAY = 0.85
_LEAST_SHARE = 0.5
NO_NOISE = 1e-4
"""Noise less than this share of an edge is none: rounding of the file, or of the fit."""


def random_per_vertex(surface: Surface, seed: int) -> Floats:
    """Return (n,) standard normal numbers, dealt out by distance from the middle.

    Dealing by place instead of by vertex number keeps them with their vertices when the mesh
    is renumbered, turned or moved.
    """
    points = surface.vertices
    distance = lengths(points - points.mean(axis=0))
    numbers = np.empty(len(points))
    numbers[np.argsort(distance, kind="stable")] = np.random.default_rng(seed).standard_normal(
        len(points)
    )
    return numbers


def vertex_noise(
    surface: Surface,
    random: Floats,
    *,
    leaving: NDArray[np.bool_] | None = None,
    progress: Progress = silent,
) -> float | None:
    """Return the standard deviation of the vertices along the normal [mm]; None: cannot be told.

    Estimate: to the vertices of patches of skin drawn by chance a polynomial of the fourth degree
    is fitted by least squares, each with two rings of neighbours or more. What it leaves of a
    vertex is its noise times a factor known from the fit; a curved body, however unevenly meshed,
    it follows. Noise is what the quieter quarter of the patches shows, against what the same fits
    leave of random numbers there: creases and texture shorter than about six edges, which nothing
    tells from noise, make the rest of the skin livelier, and noise is everywhere. Where most rings
    reach round corners, as on a part of few large triangles, there is no skin to fit and nothing is
    said.

    Parameters
    ----------
    surface : Surface
    random : (n,) float
        From `random_per_vertex`; it draws the patches and stands for noise of 1 [1].
    leaving : (n,) bool, optional
        Vertices that are none of the scan's: left out.
    progress : Progress
    """
    mine = np.ones(len(random), dtype=bool) if leaving is None else ~leaving
    starts, ring = surface.ring
    centres = _drawn(random, mine)
    patches = np.full((len(centres), _MOST_POINTS), -1, dtype=np.int32)
    _patches(starts, ring, centres, patches)
    wanted = np.zeros(len(random), dtype=bool)
    wanted[patches[patches >= 0]] = True
    at = np.flatnonzero(wanted & mine)
    strays = np.full((len(random), 2), np.nan)
    one_way = np.zeros(len(at))
    points, normals = surface.vertices, surface.vertex_normals
    in_parts(lambda a, b: _strays(points, normals, starts, ring, at[a:b], random, strays,
                                  one_way[a:b]),
             len(at), _BLOCK, progress=progress, words="noise of the scan")  # fmt: skip
    known = np.isfinite(strays[at, 0])
    if (known & (one_way >= _ONE_WAY)).sum() < max(1.0, _LEAST_SHARE * len(at)):
        return None
    spreads = _spreads(patches, strays)
    spreads = spreads[np.isfinite(spreads[:, 0])]
    if not len(spreads):
        return None
    shown, chance = np.quantile(spreads, _QUIET, axis=0)
    return float(shown / chance)


def _drawn(random: Floats, mine: NDArray[np.bool_]) -> NDArray[np.int64]:
    """Return the middles of the patches; by digits of the numbers, which leaves them random."""
    digits = np.where(mine, np.mod(np.abs(random) * 1e4, 1.0), np.inf)
    return np.argsort(digits, kind="stable")[: min(_PATCHES, int(mine.sum()))]


@njit(nogil=True, cache=True)
def _patches(starts, ring, centres, patches):  # type: ignore[no-untyped-def]
    near = np.empty(_MOST_POINTS, dtype=np.int32)
    for k in range(len(centres)):
        count = _rings(starts, ring, centres[k], near)
        patches[k, :count] = near[:count]


@njit(nogil=True, cache=True)
def _spreads(patches, strays):  # type: ignore[no-untyped-def]
    """Return (k, 2) median sizes of what is left in each patch, of the surface and of chance."""
    found = np.full((len(patches), 2), np.nan)
    left = np.empty((2, patches.shape[1]))
    for k in range(len(patches)):
        count = 0
        for at in patches[k]:
            if at >= 0 and not np.isnan(strays[at, 0]):
                left[0, count], left[1, count] = abs(strays[at, 0]), abs(strays[at, 1])
                count += 1
        if count >= _LEAST_IN_PATCH:
            found[k, 0], found[k, 1] = np.median(left[0, :count]), np.median(left[1, :count])
    return found


@njit(nogil=True, cache=True)
def _strays(points, normals, starts, ring, drawn, random, strays, one_way):  # type: ignore[no-untyped-def]
    near = np.empty(_MOST_POINTS, dtype=np.int32)
    terms = np.empty(_TERMS)
    matrix = np.empty((_TERMS, _TERMS))
    right, chance = np.empty(_TERMS), np.empty(_TERMS)
    for k in range(len(drawn)):
        at = drawn[k]
        count = _rings(starts, ring, at, near)
        if count < _TERMS + _SPARE:
            continue
        normal = np.zeros(3)
        reach = 0.0
        for j in range(count):
            normal += normals[near[j]]
            reach = max(reach, ((points[near[j]] - points[at]) ** 2).sum())
        size = np.sqrt((normal**2).sum())
        if size == 0.0 or reach == 0.0:
            continue
        normal /= size
        reach = np.sqrt(reach)
        one_way[k] = size / count
        least = np.argmin(np.abs(normal))
        side = -normal[least] * normal
        side[least] += 1.0
        side /= np.sqrt((side**2).sum())
        up = np.cross(normal, side)
        matrix[:] = 0.0
        right[:] = 0.0
        chance[:] = 0.0
        for j in range(count):
            d = (points[near[j]] - points[at]) / reach
            x, y, z = (d * side).sum(), (d * up).sum(), (d * normal).sum()
            number = random[near[j]] - random[at]
            place = 0
            xs = 1.0
            for p in range(5):
                ys = 1.0
                for _ in range(5 - p):
                    terms[place] = xs * ys
                    ys *= y
                    place += 1
                xs *= x
            for p in range(_TERMS):
                right[p] += terms[p] * z
                chance[p] += terms[p] * number
                for q in range(p + 1):
                    matrix[p, q] += terms[p] * terms[q]
        # The vertex lies at x = y = 0, z = 0: the fit's first term is all it has there.
        share = _first_column(matrix)
        free = 1.0 - share[0]
        if free > _LEAST_FREE:
            strays[at, 0] = -(share * right).sum() * reach / np.sqrt(free)
            strays[at, 1] = -(share * chance).sum() / np.sqrt(free)


@njit(nogil=True, cache=True)
def _rings(starts, ring, at, near):  # type: ignore[no-untyped-def]
    """Fill `near` with a vertex and whole rings round it, two and enough; return how many."""
    near[0] = at
    count = 1
    first = 0
    for step in range(4):
        last = count
        for k in range(first, last):
            for j in range(starts[near[k]], starts[near[k] + 1]):
                other = ring[j]
                new = True
                for m in range(count):
                    if near[m] == other:
                        new = False
                        break
                if new:
                    if count == len(near):
                        return count
                    near[count] = other
                    count += 1
        first = last
        if step >= 1 and count >= _TERMS + _SPARE:
            break
    return count


@njit(nogil=True, cache=True)
def _first_column(matrix):  # type: ignore[no-untyped-def]
    """Return the first column of the inverse of a positive matrix, lower half given; Cholesky."""
    n = len(matrix)
    for p in range(n):
        for q in range(p + 1):
            value = matrix[p, q]
            for r in range(q):
                value -= matrix[p, r] * matrix[q, r]
            if p == q:
                # Points in too few rows leave a term undecided: it is held at nothing.
                matrix[p, p] = np.sqrt(max(value, 0.0)) if value > 1e-12 else 1e6
            else:
                matrix[p, q] = value / matrix[q, q]
    found = np.zeros(n)
    for p in range(n):
        value = 1.0 if p == 0 else 0.0
        for r in range(p):
            value -= matrix[p, r] * found[r]
        found[p] = value / matrix[p, p]
    for p in range(n - 1, -1, -1):
        value = found[p]
        for r in range(p + 1, n):
            value -= matrix[r, p] * found[r]
        found[p] = value / matrix[p, p]
    return found
