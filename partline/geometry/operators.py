"""Operators on a triangle surface: vertex areas, Laplacian, heat smoothing."""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import ArrayLike
from scipy import sparse

from partline.errors import InternalError
from partline.geometry.conjugate_gradients import padded, solve
from partline.geometry.cores import in_parts
from partline.geometry.cotangents import corner_weights, gathered
from partline.geometry.normals import face_vectors, unit_vectors
from partline.geometry.surface import Floats, Ints, Surface
from partline.progress import Progress, silent

# Rows that one core does at a time.
_ROWS = 1 << 16


def edge_lengths(surface: Surface) -> Floats:
    """Return the (e,) lengths of `surface.edges` [mm]."""
    points, edges = surface.vertices, surface.edges
    found = np.empty(len(edges))
    in_parts(lambda a, b: _lengths(points, edges, found, a, b), len(edges), _ROWS)
    return found


@njit(nogil=True, cache=True)
def _lengths(points: Floats, edges: Ints, found: Floats, first: int, stop: int) -> None:
    for k in range(first, stop):
        square = 0.0
        for axis in range(3):
            square += (points[edges[k, 0], axis] - points[edges[k, 1], axis]) ** 2
        found[k] = np.sqrt(square)


def vertex_areas(surface: Surface) -> Floats:
    """Return the (n,) third of the area round each vertex [mm^2]."""
    thirds = np.repeat(surface.face_areas / 3.0, 3)
    n = len(surface.vertices)
    areas: Floats = np.bincount(surface.faces.ravel(), thirds, n).astype(np.float64)
    return areas


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
    mass, laplacian = gathered(surface, *corner_weights(surface))
    return np.maximum(mass, 1e-9 * mass.mean()), laplacian


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
    flat = given.reshape(len(mass), -1)
    many = flat.shape[1]
    wide = padded(many)
    right, answer = np.zeros((len(mass), wide)), np.zeros((len(mass), wide))
    np.multiply(mass[:, None], flat, out=right[:, :many])
    answer[:, :many] = flat if start is None else np.reshape(start, flat.shape)
    allowed = np.full(wide, np.inf)
    allowed[:many] = tolerance
    entries = np.empty(laplacian.nnz)
    rows = laplacian.indptr, laplacian.indices, laplacian.data
    in_parts(lambda a, b: _stepped(*rows, time_mm2, mass, entries, a, b), len(mass), _ROWS)
    system = sparse.csr_array((entries, laplacian.indices, laplacian.indptr), laplacian.shape)
    solve(system, mass, right, answer, allowed, progress=progress, words=words)
    return np.ascontiguousarray(answer[:, :many]).reshape(given.shape)


@njit(nogil=True, cache=True)
def _stepped(starts, columns, laplacian, time, mass, entries, first, stop):  # type: ignore[no-untyped-def]
    """Fill in the entries of M + tL in some rows; each row of L holds its diagonal."""
    for i in range(first, stop):
        left = mass[i]
        for at in range(starts[i], starts[i + 1]):
            entries[at] = time * laplacian[at]
            if columns[at] == i:
                entries[at] += left
                left = 0.0


def area_normals(points: Floats, surface: Surface) -> Floats:
    """Return (n, 3) normals of moved vertices, faces weighted by area; zero where none [1]."""
    vectors = face_vectors(points, surface.faces)
    sums = np.empty_like(points)
    fans = surface.fans_unkept
    in_parts(lambda a, b: _sums(vectors, *fans, sums, a, b), len(points), _ROWS)
    return unit_vectors(sums)


@njit(nogil=True, cache=True)
def _sums(vectors, starts, fan, sums, first, stop):  # type: ignore[no-untyped-def]
    """Sum of the vectors of the faces round each vertex."""
    for v in range(first, stop):
        sums[v] = 0.0
        for k in range(starts[v], starts[v + 1]):
            for axis in range(3):
                sums[v, axis] += vectors[fan[k], axis]
