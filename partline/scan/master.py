"""The master: one closed solid of known size, turned the way it stands."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from partline.geometry.surface import Floats, Ints, Surface

# The interval that a filled scan leaves is wide from this share of the volume on. A choice of
# this tool, no source.
MOST_OPEN = 0.005


@dataclass(frozen=True)
class Repair:
    """One thing that was mended on the way from file to master.

    Attributes
    ----------
    kind : str
        Short name: "seam", "gap", "degenerate", "duplicate", "folded", "two-sided", "turned",
        "crowded edge", "pinch", "speck", "hole", "open base", "uneven base", "plinth",
        "inside out", "overlap", "rebuilt".
    count : int
        How many.
    words : str
        One sentence for a person.
    size_mm : float
        Size of the largest of them [mm]: length round a hole, width of a speck; 0 if it has none.
    place_mm : tuple of float or None
        Where the largest one is, in the master's pose [mm].
    """

    kind: str
    count: int
    words: str
    size_mm: float = 0.0
    place_mm: tuple[float, float, float] | None = None


@dataclass(frozen=True, eq=False)
class Master:
    """A closed solid in its standing pose: +Z up, the front toward -Y, lowest point at z = 0,
    the middle of its bounding box over x = y = 0.

    Attributes
    ----------
    surface : Surface
        Closed, outward, one or more shells [mm].
    volume_mm3 : float
        Enclosed volume [mm^3].
    area_mm2 : float
        Surface area [mm^2].
    file_faces : (m,) int32
        Number of each face in the file it was read from; -1 for a face added by a repair.
    to_pose : (4, 4) float64
        Takes a point in the file's own coordinates to the master's pose [mm].
    repairs : tuple of Repair
        What was mended, in order.
    warnings : tuple of str
        What a person should know before trusting it, e.g. "only 3.1 mm tall".
    path : str
        Name of the file it came from.
    sha256 : str
        Hash of that file.
    size_words : str
        How the size was set, e.g. "height 62 mm, as stated".
    volume_doubt_mm3 : float
        How far the volume may be off either way because holes were filled or a new surface was
        drawn [mm^3]. A base that the skin meets at an edge is not in doubt: the piece is what was
        closed.
    """

    surface: Surface
    volume_mm3: float
    area_mm2: float
    file_faces: Ints
    to_pose: Floats
    repairs: tuple[Repair, ...]
    warnings: tuple[str, ...]
    path: str
    sha256: str
    size_words: str
    volume_doubt_mm3: float = 0.0

    @property
    def volume_low_mm3(self) -> float:
        """Least volume that the filled holes leave likely [mm^3]."""
        return self.volume_mm3 - self.volume_doubt_mm3

    @property
    def volume_high_mm3(self) -> float:
        """Greatest volume that the filled holes leave likely [mm^3]."""
        return self.volume_mm3 + self.volume_doubt_mm3

    def open_g(self, density: float) -> float:
        """Return by how many grams of a density [g/cm^3] it may hold more or less."""
        return 1e-3 * self.volume_doubt_mm3 * density

    @property
    def is_wide_open(self) -> bool:
        """Whether more of the volume is open than holes leave that are filled unasked."""
        return 2.0 * self.volume_doubt_mm3 > MOST_OPEN * self.volume_mm3

    @property
    def height_mm(self) -> float:
        """Height as it stands [mm]."""
        return float(self.surface.extents[2])

    def from_file(self, points: ArrayLike) -> Floats:
        """Take (k, 3) points in the file's coordinates to the master's pose [mm]."""
        p = np.atleast_2d(np.asarray(points, dtype=np.float64))
        return p @ self.to_pose[:3, :3].T + self.to_pose[:3, 3]
