"""Principal curvatures of a noisy surface, by least squares over a length that noise decides."""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import ArrayLike, NDArray

from partline.errors import InternalError
from partline.geometry.cores import in_parts
from partline.geometry.operators import edge_lengths
from partline.geometry.surface import Floats, Ints, Surface
from partline.progress import Progress, silent

# Of a quadric fitted over a disc of radius r: what vertex noise of deviation s on edges h makes of
# its mean curvature is _CHANCE s h / r^3 (3.6 from the variance of an even disc's second-order
# term; the weights add a tenth), and what the next term of a form of radius R makes of it is
# about _LOST r^2 / R^3 (measured on a torus).
_CHANCE = 4.0
_LOST = 0.03
# A quadric wants six points; fewer rings than this of clean skin would fit chance exactly.
_LEAST_EDGES = 2.5
# And more points than these add time, not truth.
_MOST_EDGES = 12.0
# Of the part's width: the forms that are looked for where nobody says which.
_PILOT_SHARE = 0.25
_PILOT_VERTICES = 2000
_BLOCK = 20_000


def fit_radius(noise_mm: float, edge_mm: float, form_mm: float) -> float:
    """Return the radius over which a quadric tells a form's curvature best [mm].

    Over a wider disc noise weighs less, s h / r^3, but the form bends away more, r^2 / R^3; their
    sum is least at r^5 ~ s h R^3.

    Parameters
    ----------
    noise_mm : float
        Deviation of the vertices along the normal, by chance [mm].
    edge_mm : float
        Median edge [mm].
    form_mm : float
        Radius of the forms whose curvature is wanted [mm].
    """
    best = (1.5 * _CHANCE * noise_mm * edge_mm * form_mm**3 / _LOST) ** 0.2
    return float(np.clip(best, _LEAST_EDGES * edge_mm, _MOST_EDGES * edge_mm))


def principal_curvatures(
    surface: Surface,
    *,
    noise_mm: float,
    form_mm: float | None = None,
    at: ArrayLike | None = None,
    progress: Progress = silent,
) -> Floats:
    """Return the (k, 2) principal curvatures, the more concave first; a ball is positive [1/mm].

    Estimate: a quadric is fitted by least squares to the vertices that can be reached over the
    surface within a radius, in two rounds; the second stands on the first one's normal and takes
    off what a circle has beyond a parabola, so that balls and tubes bear a wide radius.

    Parameters
    ----------
    surface : Surface
    noise_mm : float
        Deviation of the vertices along the normal, by chance; it decides the radius [mm].
    form_mm : float, optional
        Radius of the forms whose curvature is wanted; when left out, that of the surface itself,
        found in a first look at a few vertices [mm].
    at : (k,) int, optional
        Vertices to fit at; all of them when left out.
    progress : Progress

    Raises
    ------
    InternalError
        If the noise or the form is no length.

    References
    ----------
    Cazals and Pouget 2005, "Estimating differential quantities using polynomial fitting of
    osculating jets".
    """
    if not (np.isfinite(noise_mm) and noise_mm >= 0 and (form_mm is None or form_mm > 0)):
        raise InternalError(f"Noise of {noise_mm} mm and forms of {form_mm} mm are no lengths.")
    edge = float(np.median(edge_lengths(surface)))
    ring = surface.ring
    if form_mm is None:
        width = float(np.linalg.norm(surface.extents)) / np.sqrt(3.0)
        some = np.unique(np.linspace(0, len(surface.vertices) - 1, _PILOT_VERTICES).astype(int))
        first = np.zeros((len(some), 2))
        _fit(surface, ring, some, fit_radius(noise_mm, edge, _PILOT_SHARE * width), first)
        form_mm = 1.0 / max(float(np.median(np.abs(first).max(axis=1))), 1.0 / width)
    radius = fit_radius(noise_mm, edge, form_mm)
    chosen = np.arange(len(surface.vertices)) if at is None else np.asarray(at, dtype=np.int64)
    found = np.zeros((len(chosen), 2))
    in_parts(lambda a, b: _fit(surface, ring, chosen[a:b], radius, found[a:b]),
             len(chosen), _BLOCK, progress=progress, words="curvature")  # fmt: skip
    progress(1.0, "curvature")
    return found


def _fit(
    surface: Surface,
    ring: tuple[NDArray[np.int64], Ints],
    chosen: NDArray[np.int64],
    radius: float,
    out: Floats,
) -> None:
    _fit_all(
        surface.vertices, surface.vertex_normals, ring[0], ring[1], chosen, radius, out,
        np.full(len(surface.vertices), -1, dtype=np.int64),
        np.empty(len(surface.vertices), dtype=np.int32),
    )  # fmt: skip


@njit(nogil=True, cache=True)
def _fit_all(points, normals, starts, ring, chosen, radius, out, seen, near):  # type: ignore[no-untyped-def]
    matrix = np.empty((6, 7))
    for k in range(len(chosen)):
        at = chosen[k]
        count = _reached(points, normals, starts, ring, at, radius, seen, near)
        normal = np.zeros(3)
        for j in range(count):
            normal += normals[near[j]]
        form = np.zeros(6)
        for turn in range(2):
            size = np.sqrt((normal**2).sum())
            if size == 0.0:
                break
            normal /= size
            side, up = _frame(normal)
            form = _quadric(points, near[:count], at, normal, side, up, radius, form, turn, matrix)
            normal = normal - form[3] * side - form[4] * up
        a, b, c = form[0], form[1], form[2]
        mean, half = 0.5 * (a + c), np.sqrt(0.25 * (a - c) ** 2 + b * b)
        out[k, 0] = -(mean + half) / radius
        out[k, 1] = -(mean - half) / radius


@njit(nogil=True, cache=True)
def _reached(points, normals, starts, ring, at, radius, seen, near):  # type: ignore[no-untyped-def]
    """Fill `near` with the vertices reached over the surface within a ball; return how many."""
    near[0] = at
    seen[at] = at
    count = 1
    done = 0
    while done < count:
        here = near[done]
        done += 1
        for j in range(starts[here], starts[here + 1]):
            other = ring[j]
            if seen[other] == at:
                continue
            seen[other] = at
            away = 0.0
            facing = 0.0
            for axis in range(3):
                away += (points[other, axis] - points[at, axis]) ** 2
                facing += normals[other, axis] * normals[at, axis]
            # The other side of a thin wall, reached round its edge, is another form.
            if away <= radius * radius and facing > 0.0:
                near[count] = other
                count += 1
    return count


@njit(nogil=True, cache=True)
def _frame(normal):  # type: ignore[no-untyped-def]
    """Return two unit vectors square to a unit normal and to each other."""
    least = np.argmin(np.abs(normal))
    side = -normal[least] * normal
    side[least] += 1.0
    side /= np.sqrt((side**2).sum())
    return side, np.cross(normal, side)


@njit(nogil=True, cache=True)
def _quadric(points, near, at, normal, side, up, radius, before, turn, matrix):  # type: ignore[no-untyped-def]
    """Return a, b, c, d, e, f of z = (a x^2 + 2 b x y + c y^2) / 2 + d x + e y + f, in radii.

    On the second turn what a circle of the curvature found `before` has beyond its parabola is
    taken off z first. Points weigh 1 - (distance / radius)^2 (Epanechnikov).
    """
    matrix[:] = 0.0
    row = np.empty(7)
    for j in range(len(near)):
        x = y = z = 0.0
        for axis in range(3):
            d = (points[near[j], axis] - points[at, axis]) / radius
            x += d * side[axis]
            y += d * up[axis]
            z += d * normal[axis]
        weight = 1.0 - 0.999 * (x * x + y * y + z * z)
        row[0], row[1], row[2] = 0.5 * x * x, x * y, 0.5 * y * y
        row[3], row[4], row[5] = x, y, 1.0
        if turn == 1:
            flat = x * x + y * y
            lift = before[0] * row[0] + before[1] * row[1] + before[2] * row[2]
            bent = min(4.0 * lift * lift / max(flat, 1e-12), 0.9)
            z -= 2.0 * lift / (1.0 + np.sqrt(1.0 - bent)) - lift
        row[6] = z
        for p in range(6):
            for q in range(p, 7):
                matrix[p, q] += weight * row[p] * row[q]
    return _solved(matrix)


@njit(nogil=True, cache=True)
def _solved(matrix):  # type: ignore[no-untyped-def]
    """Solve a symmetric (6, 7) system of which the upper half is given; a trace of ridge."""
    found = np.zeros(6)
    for p in range(6):
        matrix[p, p] += 1e-9 * matrix[5, 5] + 1e-300
    for p in range(6):
        for q in range(p + 1, 6):
            share = matrix[p, q] / matrix[p, p]
            for r in range(q, 7):
                matrix[q, r] -= share * matrix[p, r]
    for p in range(5, -1, -1):
        value = matrix[p, 6]
        for q in range(p + 1, 6):
            value -= matrix[p, q] * found[q]
        found[p] = value / matrix[p, p]
    return found
