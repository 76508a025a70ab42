"""Coarser meshes for what is coarse: a heat step costs as much as it has vertices and edges."""

from __future__ import annotations

from dataclasses import dataclass
from threading import Lock

import numpy as np
from numba import njit
from scipy import sparse

from partline.detail.thinning import thinned
from partline.geometry.cores import in_parts
from partline.geometry.operators import edge_lengths, mass_and_laplacian
from partline.geometry.surface import Floats, Ints, Surface

# Rounds of neighbours' means in which what comes from a coarser mesh loses its steps.
_ROUNDS = 2
_ROWS = 1 << 16
# A mesh that loses more of its faces is falling apart: many small pieces, or bare triangles.
_LEAST_SHARE = 0.1


@dataclass(frozen=True, eq=False)
class Level:
    """A mesh of the piece.

    Attributes
    ----------
    surface : Surface
    mass : (k,) float64
        Of the finer mesh, put together: the same area is smoothed as there [mm^2].
    laplacian : (k, k) sparse
        From `geometry.operators.mass_and_laplacian`.
    edge_mm : float
        Median edge [mm].
    into : (n,) int32
        The vertex that took in each vertex of the finer mesh.
    """

    surface: Surface
    mass: Floats
    laplacian: sparse.csr_array
    edge_mm: float
    into: Ints


class Levels:
    """The mesh and, made when first asked for, ever coarser ones of a quarter of the triangles.

    Several threads may ask.

    Parameters
    ----------
    surface : Surface
    mass, laplacian
        From `geometry.operators.mass_and_laplacian`.
    edge_mm : float
        Median edge [mm].
    """

    def __init__(
        self, surface: Surface, mass: Floats, laplacian: sparse.csr_array, edge_mm: float
    ) -> None:
        self._making = Lock()
        every = np.arange(len(mass), dtype=np.int32)
        self._made = [Level(surface, mass, laplacian, edge_mm, every)]

    def __getitem__(self, number: int) -> Level:
        return self._made[number]

    def coarsest(self, edge_mm: float, least: int = 0) -> int:
        """Return the number of the coarsest mesh whose edges are so short, `least` or more."""
        number = least
        # Edges of a mesh of a quarter of the triangles are about twice as long.
        while edge_mm >= 1.8 * self._made[number].edge_mm and self._has(number + 1):
            if self._made[number + 1].edge_mm > edge_mm:
                break
            number += 1
        return number

    def _has(self, number: int) -> bool:
        """Tell if there is such a mesh; it is made if all before it are there."""
        with self._making:
            if number == len(self._made):
                fine = self._made[-1]
                surface, into = thinned(fine.surface, fine.mass)
                if len(surface.faces) < _LEAST_SHARE * len(fine.surface.faces):
                    return False
                mass = np.bincount(into, fine.mass).astype(np.float64)
                self._made.append(Level(surface, mass, mass_and_laplacian(surface)[1],
                                        float(np.median(edge_lengths(surface))), into))  # fmt: skip
            return True

    def down(self, values: Floats, start: int, stop: int) -> Floats:
        """Return the (k, c) means over what each vertex of a coarser mesh took in, of (n, c)."""
        for number in range(start, stop):
            fine, coarse = self._made[number], self._made[number + 1]
            sums = [np.bincount(coarse.into, fine.mass * column) for column in values.T]
            values = np.column_stack(sums) / coarse.mass[:, None]
        return values

    def up(self, values: Floats, start: int, stop: int) -> Floats:
        """Return (n, c) values on a finer mesh of (k, c) on a coarser one, evened out.

        Unknown values are NaN and take no part; a vertex knows nothing only where none of its
        neighbours does.
        """
        for number in range(start, stop, -1):
            fine = self._made[number - 1].laplacian
            values = values[self._made[number].into]
            for _ in range(_ROUNDS):
                values = _evened(fine, values)
        return values


def _evened(pattern: sparse.csr_array, values: Floats) -> Floats:
    """Return the mean of each row's known values, of all whom the row names."""
    found = np.empty_like(values)
    rows = pattern.indptr, pattern.indices
    in_parts(lambda a, b: _means(*rows, values, found, a, b), len(values), _ROWS)
    return found


@njit(nogil=True, cache=True)
def _means(
    starts: Ints, columns: Ints, values: Floats, found: Floats, first: int, stop: int
) -> None:
    for i in range(first, stop):
        for k in range(values.shape[1]):
            total, known = 0.0, 0
            for at in range(starts[i], starts[i + 1]):
                value = values[columns[at], k]
                if not np.isnan(value):
                    total += value
                    known += 1
            found[i, k] = total / known if known else np.nan
