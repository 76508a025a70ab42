"""Coarser meshes for the coarse octaves: a heat step costs as much as it has vertices and edges."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import sparse

from partline.detail.thinning import quartered
from partline.geometry.operators import edge_lengths, mass_and_laplacian
from partline.geometry.surface import Floats, Ints, Surface
from partline.progress import Progress, silent

# An octave whose shortest wave spans so many edges is looked at on a mesh of a quarter of the
# triangles: half as many edges a wave, still the six that are trusted elsewhere.
THIN_EDGES = 12.0


@dataclass(frozen=True, eq=False)
class Level:
    """A mesh of the piece, and what is known on it.

    Attributes
    ----------
    surface : Surface
    mass, laplacian
        From `geometry.operators.mass_and_laplacian`.
    columns : (k, c) float64
        What is smoothed: places about the middle [mm], one random number [1].
    edge_distance_mm : (k,) float64
        To the nearest hard edge [mm].
    edge_mm : float
        Median edge [mm].
    back : (n,) int32
        Which of its vertices stands for each vertex of the piece.
    """

    surface: Surface
    mass: Floats
    laplacian: sparse.csr_array
    columns: Floats
    edge_distance_mm: Floats
    edge_mm: float
    back: Ints

    def thinned(self, progress: Progress = silent, words: str = "") -> Level:
        """Return a level of a quarter of the triangles; means over what each vertex took in."""
        before = self.surface
        # The library's thresholds are lengths without a unit: here they count in edges.
        points, faces, into = quartered(
            before.vertices / self.edge_mm, np.array(before.faces), progress=progress, words=words
        )
        surface = Surface(points * self.edge_mm, faces)
        n = len(surface.vertices)
        weight = np.maximum(np.bincount(into, self.mass, n), np.finfo(float).tiny)
        columns = np.column_stack(
            [np.bincount(into, self.mass * column, n) / weight for column in self.columns.T]
        )
        distance = np.full(n, np.inf)
        np.minimum.at(distance, into, self.edge_distance_mm)
        mass, laplacian = mass_and_laplacian(surface)
        return Level(surface, mass, laplacian, columns, distance,
                     float(np.median(edge_lengths(surface))), into[self.back])  # fmt: skip
