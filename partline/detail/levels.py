"""Coarser meshes for the coarse octaves: a heat step costs as much as it has vertices and edges."""

from __future__ import annotations

from dataclasses import dataclass

import fast_simplification
import numpy as np
from scipy import sparse

from partline.geometry.operators import edge_lengths, mass_and_laplacian
from partline.geometry.surface import Floats, Ints, Surface
from partline.progress import Progress, silent, span

# An octave whose shortest wave spans so many edges is looked at on a mesh of a quarter of the
# triangles: half as many edges a wave, still the six that are trusted elsewhere.
THIN_EDGES = 12.0
# How fast the library lets dearer edges go: the slowest that halves a rough scan, too.
_PATIENT = 5


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
        points, faces = before.vertices / self.edge_mm, np.array(before.faces)
        into = np.arange(len(points), dtype=np.int32)
        for half in range(2):
            points, faces, taken = _halved(points, faces, span(progress, half / 2, 1.0), words)
            into = taken[into]
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


def _halved(
    points: Floats, faces: Ints, progress: Progress, words: str
) -> tuple[Floats, Ints, Ints]:
    """Return points and faces of a mesh of half the triangles, and what each vertex went into."""
    progress(0.0, words)
    _, _, collapses = fast_simplification.simplify(
        points, faces, target_reduction=0.5, agg=_PATIENT, return_collapses=True
    )
    progress(0.25, words)
    points, faces, into = fast_simplification.replay_simplification(points, faces, collapses)
    return points, faces, np.asarray(into, dtype=np.int32)
