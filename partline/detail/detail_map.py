"""The detail map: relief per vertex in mm, a score against the scan's own noise, and zones."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from partline.geometry.surface import Floats, Ints

TERMS = {
    "relief_mm": "Sq: root-mean-square height about the mean, in a window, noise taken off",
    "slope": "Sdq: root-mean-square gradient, noise taken off",
    "source": "words of ISO 25178-2, from memory, its text not opened; the filters are heat steps "
    "on the mesh, not the standard's Gaussian filters on a plane",
}
"""What relief and slope are called where surfaces are measured, for a person or a program."""


@dataclass(frozen=True, eq=False)
class Zone:
    """A connected area of detail.

    Attributes
    ----------
    vertices : (k,) int32
        Its vertices.
    area_mm2 : float
        Area [mm^2].
    centre_mm : tuple of float
        A vertex near its middle [mm].
    finest_mm : float
        Scale that a tenth of it is liveliest at or below, of those the mesh can show [mm].
    relief_mm : float
        Greatest relief in it: Sq of ISO 25178-2, in a window, noise taken off [mm].
    slope : float
        Root-mean-square slope over it: Sdq of ISO 25178-2, noise taken off [1].
    """

    vertices: Ints
    area_mm2: float
    centre_mm: tuple[float, float, float]
    finest_mm: float
    relief_mm: float
    slope: float = 0.0

    def figures(self) -> dict[str, object]:
        """Return what other programs may read of it: all but its vertices."""
        return {
            "area_mm2": self.area_mm2,
            "place_mm": list(self.centre_mm),
            "finest_mm": self.finest_mm,
            "relief_mm": self.relief_mm,
            "slope": self.slope,
        }


@dataclass(frozen=True, eq=False)
class DetailMap:
    """Detail on a surface, per vertex.

    Attributes
    ----------
    relief_mm : (n,) float64
        Local spread of the relief, octaves put together, noise taken off; comparable with Sq
        of ISO 25178-2 [mm].
    slope : (n,) float64
        Relief divided by scale, octaves put together (root sum of squares), noise taken off;
        comparable with Sdq of ISO 25178-2 [1].
    score : (n,) float64
        Slope in the octave where it stands out most from that of plain form: 1 on bare noisy
        skin and on plain form, larger on detail [1].
    weight : (n,) float64
        The detail as the cut sees it, 0 (plain skin) to 1 (finest detail on the piece); hard
        edges and bare noise are 0 [1].
    noise_mm : float or None
        Standard deviation of the scan's vertex noise along the normal [mm]; None where it has
        too few and too large triangles to tell.
    scales_mm : (k,) float64
        Scale of each octave [mm].
    finest_mm : float
        Texture finer than this cannot be told from noise [mm].
    hard_edges : (h, 2) int32
        Edges (vertex pairs) where the surface has a sharp convex or concave crease.
    hard_convex : (h,) bool
        Which of them are convex.
    zones : tuple of Zone
        Connected areas above the threshold, largest first.
    words : tuple of str
        What a person should know, e.g. "nothing finer than 0.3 mm can be seen in this scan".
    """

    relief_mm: Floats
    slope: Floats
    score: Floats
    weight: Floats
    noise_mm: float | None
    scales_mm: Floats
    finest_mm: float
    hard_edges: Ints
    hard_convex: NDArray[np.bool_]
    zones: tuple[Zone, ...]
    words: tuple[str, ...]
