"""Operators on a triangle surface: vertex areas, Laplacian, heat smoothing."""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import ArrayLike
from scipy import sparse
from scipy.sparse.linalg import splu

from partline.errors import InternalError
from partline.geometry.cores import in_parts
from partline.geometry.surface import Floats, Ints, Surface
from partline.progress import Progress, silent

# Share of the mean edge by which a triangle must miss being a line (Sharp and Crane 2020).
_LEAST_SLACK = 1e-5
# Steps of a solver between two reports: a tenth of a second on a million triangles.
_TOLD = 4
# Rows of a system that one core does at a time.
_ROWS = 1 << 17
# Two unknowns hang on each other strongly when their entry is more than this share of the mean
# (geometric) of their diagonals: a sixth in a net of equal triangles. And how many of all may.
_BOUND = 0.4
_FEW = 0.1


def edge_lengths(surface: Surface) -> Floats:
    """Return the (e,) lengths of `surface.edges` [mm]."""
    ends = surface.vertices[surface.edges]
    return np.linalg.norm(ends[:, 0] - ends[:, 1], axis=1)


def vertex_areas(surface: Surface) -> Floats:
    """Return the (n,) third of the area round each vertex [mm^2]."""
    thirds = np.repeat(surface.face_areas / 3.0, 3)
    n = len(surface.vertices)
    areas: Floats = np.bincount(surface.faces.ravel(), thirds, n).astype(np.float64)
    return areas


def _safe_sides(surface: Surface) -> Floats:
    """(m, 3) side lengths, side k opposite corner k, stretched so that none is a line [mm].

    One length is added to every edge, the least with which each triangle keeps the triangle
    inequality with some slack: then the cotangents of a sliver stay finite and those of one
    triangle still belong together, which keeps the Laplacian positive.
    """
    corners = surface.vertices[surface.faces]
    sides = np.stack(
        [
            np.linalg.norm(corners[:, (k + 2) % 3] - corners[:, (k + 1) % 3], axis=1)
            for k in range(3)
        ],
        axis=1,
    )
    slack = sides.sum(axis=1) - 2.0 * sides.max(axis=1)
    added = max(0.0, _LEAST_SLACK * float(sides.mean()) - float(slack.min()))
    return sides + added


def mass_and_laplacian(surface: Surface) -> tuple[Floats, sparse.csr_array]:
    """Return the lumped mass and the cotangent Laplacian.

    Parameters
    ----------
    surface : Surface
        Open or closed; slivers and even faces without area are borne.

    Returns
    -------
    mass : (n,) float64
        A third of the area round each vertex [mm^2]; a vertex without area gets a tiny share.
    laplacian : (n, n) sparse
        Positive semi-definite: f . L f is the Dirichlet energy of f [1].

    Raises
    ------
    InternalError
        If the surface has no face.

    References
    ----------
    Pinkall and Polthier 1993 (cotangents); Sharp and Crane 2020 (lengthened edges).
    """
    if not len(surface.faces):
        raise InternalError("A surface without a face has no Laplacian.")
    n = len(surface.vertices)
    sides = _safe_sides(surface)
    a, b, c = np.sort(sides, axis=1).T[::-1]
    # Heron's formula in the order that keeps its digits on slivers (Kahan 2014).
    area4 = np.sqrt(np.maximum((a + (b + c)) * (c - (a - b)) * (c + (a - b)) * (a + (b - c)), 0.0))
    area4 = np.maximum(area4, np.finfo(float).tiny)
    squares = sides**2
    cot = (squares.sum(axis=1, keepdims=True) - 2.0 * squares) / area4[:, None]
    mass = np.bincount(surface.faces.ravel(), weights=np.repeat(area4 / 12.0, 3), minlength=n)
    mass = np.maximum(mass, 1e-9 * mass.mean())
    rows = surface.faces[:, [1, 2, 0]].ravel()
    columns = surface.faces[:, [2, 0, 1]].ravel()
    weights = 0.5 * cot.ravel()
    off = sparse.coo_array((weights, (rows, columns)), shape=(n, n)).tocsr()
    off = off + off.T
    laplacian = sparse.diags_array(np.asarray(off.sum(axis=1)).ravel()) - off
    return mass, sparse.csr_array(laplacian)


def heat_smoothed(
    mass: Floats,
    laplacian: sparse.csr_array,
    time_mm2: float,
    values: ArrayLike,
    *,
    tolerance: ArrayLike,
    start: ArrayLike | None = None,
    progress: Progress = silent,
    words: str = "smoothing",
) -> Floats:
    """Smooth values by one implicit step of the heat equation: (M + tL)^-1 M f.

    On a plane a wave of wave number k keeps exactly 1 / (1 + k^2 t) of itself.

    Parameters
    ----------
    mass, laplacian
        From `mass_and_laplacian`.
    time_mm2 : float
        t; its root is the length over which is smoothed [mm^2].
    values : (n,) or (n, k) float
        f, in any unit.
    tolerance : float or (k,) float
        Greatest root-mean-square error over the surface, in the unit of the values. Since
        M + tL >= M the error is at most the residual measured in M^-1, so this is kept.
    start : (n,) or (n, k) float, optional
        A guess; the values themselves when left out.
    progress : Progress
    words : str
        What it is told.

    Raises
    ------
    InternalError
        If the conjugate gradients do not get there.

    References
    ----------
    Desbrun, Meyer, Schroder and Barr 1999, "Implicit fairing of irregular meshes using
    diffusion and curvature flow"; Hestenes and Stiefel 1952 (conjugate gradients).
    """
    given = np.asarray(values, dtype=np.float64)
    flat = np.ascontiguousarray(given.reshape(len(mass), -1))
    guess = flat if start is None else np.asarray(start, dtype=np.float64).reshape(flat.shape)
    system = sparse.csr_array(sparse.diags_array(mass) + time_mm2 * laplacian)
    allowed = np.broadcast_to(np.asarray(tolerance, dtype=np.float64), flat.shape[1:])
    right = mass[:, None] * flat
    solved = _conjugate_gradients(system, mass, right, guess, allowed, progress, words)
    return solved.reshape(given.shape)


@njit(nogil=True, cache=True)
def _times(
    starts: Ints, columns: Ints, entries: Floats, p: Floats, q: Floats, first: int, stop: int
) -> Floats:
    """q = A p in some rows, for all columns of p at once; returns p . q of each."""
    many = p.shape[1]
    dots = np.zeros(many)
    for i in range(first, stop):
        # Four columns at a time, their sums kept out of memory, then one by one.
        k = 0
        while k + 4 <= many:
            a = b = c = d = 0.0
            for at in range(starts[i], starts[i + 1]):
                weight = entries[at]
                other = columns[at]
                a += weight * p[other, k]
                b += weight * p[other, k + 1]
                c += weight * p[other, k + 2]
                d += weight * p[other, k + 3]
            q[i, k], q[i, k + 1], q[i, k + 2], q[i, k + 3] = a, b, c, d
            dots[k] += a * p[i, k]
            dots[k + 1] += b * p[i, k + 1]
            dots[k + 2] += c * p[i, k + 2]
            dots[k + 3] += d * p[i, k + 3]
            k += 4
        while k < many:
            value = 0.0
            for at in range(starts[i], starts[i + 1]):
                value += entries[at] * p[columns[at], k]
            q[i, k] = value
            dots[k] += value * p[i, k]
            k += 1
    return dots


@njit(nogil=True, cache=True)
def _advance(
    x: Floats, r: Floats, p: Floats, q: Floats, alpha: Floats, inverse: Floats, mass: Floats,
    first: int, stop: int,
) -> tuple[Floats, Floats]:  # fmt: skip
    """One step along p in some rows; returns r . D^-1 r and r . M^-1 r of each column."""
    new = np.zeros(p.shape[1])
    size = np.zeros(p.shape[1])
    for i in range(first, stop):
        for k in range(p.shape[1]):
            x[i, k] += alpha[k] * p[i, k]
            r[i, k] -= alpha[k] * q[i, k]
            square = r[i, k] * r[i, k]
            new[k] += inverse[i] * square
            size[k] += square / mass[i]
    return new, size


@njit(nogil=True, cache=True)
def _turn(p: Floats, r: Floats, beta: Floats, inverse: Floats, first: int, stop: int) -> None:
    """p = D^-1 r + beta p in some rows."""
    for i in range(first, stop):
        for k in range(p.shape[1]):
            p[i, k] = inverse[i] * r[i, k] + beta[k] * p[i, k]


@njit(nogil=True, cache=True)
def _bound(starts: Ints, columns: Ints, entries: Floats, inverse: Floats) -> np.ndarray:
    """Tell which unknowns are bound to a neighbour more strongly than any in a sound triangle."""
    bound = np.zeros(len(inverse), dtype=np.bool_)
    for i in range(len(inverse)):
        for at in range(starts[i], starts[i + 1]):
            j = columns[at]
            if i != j and entries[at] ** 2 * inverse[i] * inverse[j] > _BOUND**2:
                bound[i] = True
    return bound


class _Preconditioner:
    """The diagonal, and among the few corners of slivers the system itself, solved.

    Slivers, as a trimmed base has them, make a few unknowns hang on each other so strongly that
    with the diagonal alone three times as many steps are needed. Additive Schwarz without
    overlap (Dryja and Widlund 1987, from memory).
    """

    def __init__(self, system: sparse.csr_array) -> None:
        self.inverse: Floats = 1.0 / system.diagonal()
        bound = _bound(system.indptr, system.indices, system.data, self.inverse)
        some = np.flatnonzero(bound)
        self.some = some if len(some) <= _FEW * len(bound) else some[:0]
        if len(self.some):
            self._solve = splu(sparse.csc_array(system[self.some][:, self.some])).solve

    def more(self, r: Floats) -> Floats:
        """Return what is to be added to D^-1 r at `some`."""
        if not len(self.some):
            return np.zeros((0, r.shape[1]))
        here = r[self.some]
        solved: Floats = self._solve(here)
        return solved - self.inverse[self.some, None] * here


def _conjugate_gradients(
    system: sparse.csr_array, mass: Floats, right: Floats, start: Floats, allowed: Floats,
    progress: Progress, words: str,
) -> Floats:  # fmt: skip
    """Solve for all columns at once until each column is good.

    Each pass over memory does as much as it can: the vectors are larger than the caches.
    """
    near = _Preconditioner(system)
    inverse, some = near.inverse, near.some
    limit = allowed**2 * mass.sum()
    x = np.array(start, order="C")
    r = np.ascontiguousarray(right - system @ x)
    p = np.zeros_like(r)
    q = np.zeros_like(r)
    rows = system.indptr, system.indices, system.data

    def advanced(alpha: Floats) -> tuple[Floats, Floats, Floats]:
        parts = in_parts(
            lambda a, b: _advance(x, r, p, q, alpha, inverse, mass, a, b), len(x), _ROWS
        )
        new, size = np.sum(parts, axis=0)
        more = near.more(r)
        return new + (r[some] * more).sum(axis=0), size, more

    def onward(beta: Floats, more: Floats) -> Floats:
        in_parts(lambda a, b: _turn(p, r, beta, inverse, a, b), len(x), _ROWS)
        p[some] += more
        return np.sum(in_parts(lambda a, b: _times(*rows, p, q, a, b), len(x), _ROWS), axis=0)

    beta = np.zeros(x.shape[1])
    rz, size, more = advanced(beta)
    begun, done = np.log(np.maximum(size / limit, 1.0) + 1e-300), 0.0
    for step in range(20_000):
        if (size <= limit).all():
            return x
        if step % _TOLD == 0:
            # The error falls by about as many powers of ten a step from start to end.
            left = np.log(np.maximum(size / limit, 1.0)) / np.maximum(begun, 1e-9)
            done = max(done, 1.0 - float(left.max()))
            progress(done, words)
        pq = onward(beta, more)
        new, size, more = advanced(np.divide(rz, pq, out=np.zeros_like(rz), where=pq > 0))
        beta = np.divide(new, rz, out=np.zeros_like(rz), where=rz > 0)
        rz = new
    raise InternalError("Heat smoothing did not converge in 20 000 steps.")


def area_normals(points: Floats, faces: Ints) -> Floats:
    """Return (n, 3) unit normals of moved points, faces weighted by area; zero where none."""
    a, b, c = (points[faces[:, k]] for k in range(3))
    vectors = np.cross(b - a, c - a)
    normals = np.stack(
        [
            np.bincount(
                faces.ravel(), weights=np.repeat(vectors[:, axis], 3), minlength=len(points)
            )
            for axis in range(3)
        ],
        axis=1,
    )
    length = np.linalg.norm(normals, axis=1, keepdims=True)
    return np.divide(normals, length, out=np.zeros_like(normals), where=length > 0)
