"""The mesh between file and master: arrays that are mended step by step, and what was found."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from partline.geometry.surface import Floats
from partline.scan.edges import EdgeTable, Longs, Mask

Place = tuple[float, float, float]


@dataclass(frozen=True, eq=False)
class Draft:
    """A triangle mesh on its way to a master; each step returns a new one.

    Attributes
    ----------
    vertices : (n, 3) float64
        Points, in the file's unit until the size is known, then [mm].
    faces : (m, 3) int64
        Vertex numbers.
    file_faces : (m,) int64
        Number of each face in the file; -1 for a face added by a repair.
    """

    vertices: Floats
    faces: Longs
    file_faces: Longs

    def kept(self, mask: Mask) -> Draft:
        """Return the draft with the faces of the (m,) mask only."""
        return Draft(self.vertices, self.faces[mask], self.file_faces[mask])

    def compacted(self) -> Draft:
        """Return the draft without the vertices that no face uses."""
        used = np.zeros(len(self.vertices), dtype=bool)
        used[self.faces.ravel()] = True
        if used.all():
            return self
        number = np.cumsum(used) - 1
        return Draft(self.vertices[used], number[self.faces], self.file_faces)

    def moved(self, matrix: Floats) -> Draft:
        """Return the draft after a (4, 4) motion with uniform scale."""
        points = self.vertices @ matrix[:3, :3].T + matrix[:3, 3]
        moved = Draft(points, self.faces, self.file_faces)
        if "table" in self.__dict__:
            moved.__dict__["table"] = self.table  # the same faces meet at the same edges
        return moved

    @cached_property
    def table(self) -> EdgeTable:
        """The half-edges, made when first asked for."""
        return EdgeTable.of(self.faces)

    @cached_property
    def diagonal(self) -> float:
        """Diagonal of the bounding box, in the unit of the vertices; 0 when empty."""
        if not len(self.vertices):
            return 0.0
        return float(np.linalg.norm(np.ptp(self.vertices, axis=0)))

    def face_vectors(self) -> Floats:
        """(m, 3) cross products of the faces' edges; length is twice the area."""
        a, b, c = (self.vertices[self.faces[:, k]] for k in range(3))
        return np.cross(b - a, c - a)

    def face_volumes(self) -> Floats:
        """(m,) signed volumes of the tetrahedra between each face and the middle of the box."""
        if not len(self.faces):
            return np.zeros(0)
        middle = 0.5 * (self.vertices.min(axis=0) + self.vertices.max(axis=0))
        a, b, c = (self.vertices[self.faces[:, k]] - middle for k in range(3))
        return np.einsum("ij,ij->i", a, np.cross(b, c)) / 6.0


@dataclass(frozen=True)
class Finding:
    """Something mended or found, in the unit and pose of the draft it was found on.

    Attributes
    ----------
    kind : str
        Name as in `Repair.kind`.
    count : int
        How many.
    size : float
        Size of the largest; 0 if it has none.
    place : tuple of float or None
        Where the largest is.
    note : str
        Words added at the end of the sentence.
    doubt : float
        Volume by which the enclosed volume may be wrong, either way.
    area : float
        Area that was made up.
    each : tuple of (size, place)
        The size and place of each, the largest first, where they are few and it is told.
    """

    kind: str
    count: int
    size: float = 0.0
    place: Place | None = None
    note: str = ""
    doubt: float = 0.0
    area: float = 0.0
    each: tuple[tuple[float, Place], ...] = ()

    def moved(self, matrix: Floats) -> Finding:
        """Return the finding after a (4, 4) motion with uniform scale."""
        scale = float(np.cbrt(np.linalg.det(matrix[:3, :3])))
        place = None if self.place is None else _moved(self.place, matrix)
        each = tuple((size * scale, _moved(one, matrix)) for size, one in self.each)
        return Finding(
            self.kind, self.count, self.size * scale, place, self.note,
            self.doubt * scale**3, self.area * scale**2, each,
        )  # fmt: skip


def _moved(place: Place, matrix: Floats) -> Place:
    return at(matrix[:3, :3] @ np.array(place) + matrix[:3, 3])


def at(point: Floats) -> Place:
    """Return a (3,) point as a tuple of floats."""
    return float(point[0]), float(point[1]), float(point[2])
