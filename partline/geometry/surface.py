"""A triangle surface: vertices and faces, checked once and read-only from then on."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, TypeVar

import numpy as np
from numba import njit
from numpy.typing import ArrayLike, NDArray

from partline.errors import ScanError
from partline.geometry.grouping import grouped
from partline.geometry.neighbours import edges_of, ring_of
from partline.geometry.normals import face_vectors, unit_vectors, vertex_normals

if TYPE_CHECKING:
    from partline.geometry.rays import Rays

Number = TypeVar("Number", bound=np.integer)
Floats = NDArray[np.float64]
Ints = NDArray[np.int32]


@dataclass(frozen=True, eq=False)
class Surface:
    """Triangles with outward winding.

    Attributes
    ----------
    vertices : (n, 3) float64, [mm]
        Points; kept read-only.
    faces : (m, 3) int32
        Vertex numbers of each triangle, counter-clockwise seen from outside; kept read-only.

    Raises
    ------
    ScanError
        If the shapes are wrong, a coordinate is not finite, or a face names a vertex that
        does not exist.
    """

    vertices: Floats
    faces: Ints

    def __init__(self, vertices: ArrayLike, faces: ArrayLike) -> None:
        points = np.array(vertices, dtype=np.float64, order="C")
        corners = np.asarray(faces)
        if points.ndim != 2 or points.shape[1] != 3:
            raise ScanError(f"Vertices must be an (n, 3) array; this one is {points.shape}.")
        if corners.ndim != 2 or corners.shape[1] != 3:
            raise ScanError(f"Faces must be an (m, 3) array; this one is {corners.shape}.")
        bad = int(np.count_nonzero(~np.isfinite(points).all(axis=1)))
        if bad:
            raise ScanError(
                f"{bad} of {len(points)} vertices have a coordinate that is not a number. "
                "Export the mesh again."
            )
        if len(corners) and (corners.min() < 0 or corners.max() >= len(points)):
            wrong = int(((corners < 0) | (corners >= len(points))).any(axis=1).sum())
            raise ScanError(
                f"{wrong} of {len(corners)} faces name a vertex that does not exist "
                f"(there are {len(points)}). Export the mesh again."
            )
        triangles = np.array(corners, dtype=np.int32, order="C")
        points.setflags(write=False)
        triangles.setflags(write=False)
        object.__setattr__(self, "vertices", points)
        object.__setattr__(self, "faces", triangles)

    def __getstate__(self) -> dict[str, Floats | Ints]:
        """Return what is pickled: what can be made anew is left out."""
        return {"vertices": self.vertices, "faces": self.faces}

    @cached_property
    def face_vectors(self) -> Floats:
        """(m, 3) cross products of the faces' edges; length is twice the area [mm^2]."""
        return face_vectors(self.vertices, self.faces)

    @cached_property
    def face_areas(self) -> Floats:
        """(m,) areas [mm^2]."""
        return np.asarray(_areas(self.vertices, self.faces))

    @cached_property
    def face_normals(self) -> Floats:
        """(m, 3) outward unit normals; zero for a face without area."""
        return unit_vectors(self.face_vectors)

    @cached_property
    def vertex_normals(self) -> Floats:
        """(n, 3) unit normals weighted by the corner angles.

        The angle weight makes the sign of a point beside a vertex exact (Baerentzen and Aanaes
        2005, "Signed distance computation using the angle weighted pseudonormal").
        """
        return vertex_normals(self.vertices, self.faces, *self.fans_unkept)

    @cached_property
    def edges(self) -> Ints:
        """(e, 2) undirected edges, each once, smaller vertex number first, sorted."""
        return edges_of(self.faces, *self.fans_unkept)

    @cached_property
    def face_edges(self) -> NDArray[np.int64]:
        """(m, 3) which of `edges` each side of a face is, side k from corner k to the next."""
        rows = np.searchsorted(self.edges[:, 0], np.arange(len(self.vertices) + 1))
        return _side_numbers(self.faces, np.ascontiguousarray(self.edges[:, 1]), rows)

    @cached_property
    def fans(self) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Where the faces round each vertex start in a list, (n + 1,), and the list, (3 m,)."""
        return self.fans_unkept

    @property
    def fans_unkept(self) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """The fans, made anew unless they are kept already: they are large and quick to make."""
        if "fans" in self.__dict__:
            return self.fans
        starts, order = grouped(self.faces.ravel(), len(self.vertices))
        order //= 3
        return starts, order

    @cached_property
    def ring(self) -> tuple[NDArray[np.int64], Ints]:
        """Where each vertex's neighbours start in a list, (n + 1,), and the list, (2 e,)."""
        return ring_of(self.edges, len(self.vertices))

    @cached_property
    def rays(self) -> Rays:
        """What rays are cast with; several stages ask the same surface, and its tree is dear."""
        from partline.geometry.rays import Rays

        return Rays(self)

    @cached_property
    def bounds(self) -> Floats:
        """(2, 3) lowest and highest coordinates [mm]."""
        from partline.geometry.points import span

        return span(self.vertices, np.eye(3))

    def forget(self) -> None:
        """Let go of all but vertices and faces; what is asked for again is made anew."""
        for name in [name for name in self.__dict__ if name not in ("vertices", "faces")]:
            del self.__dict__[name]

    @property
    def extents(self) -> Floats:
        """(3,) size along x, y and z [mm]."""
        return self.bounds[1] - self.bounds[0]

    def moved(self, matrix: ArrayLike) -> Surface:
        """Return the surface after a (4, 4) rigid motion or uniform scaling.

        Normals that were asked for before turn along, instead of being computed again.
        """
        from partline.geometry.points import moved

        m = np.asarray(matrix, dtype=np.float64)
        turn = m[:3, :3]
        there = Surface(moved(self.vertices, turn, m[:3, 3]), self.faces)
        normals = self.__dict__.get("vertex_normals")
        if normals is not None:
            turned = moved(normals, turn / np.cbrt(np.linalg.det(turn)))
            there.__dict__["vertex_normals"] = turned
        # What hangs on the faces alone is the same; a cached property lives in the dictionary.
        for name in ("edges", "face_edges", "fans", "ring"):
            if name in self.__dict__:
                there.__dict__[name] = self.__dict__[name]
        return there


@njit(nogil=True, cache=True)
def _areas(vertices, faces):  # type: ignore[no-untyped-def]
    found = np.empty(len(faces))
    for f in range(len(faces)):
        a, b, c = faces[f, 0], faces[f, 1], faces[f, 2]
        squared = 0.0
        for axis in range(3):
            i, j = (axis + 1) % 3, (axis + 2) % 3
            across = (vertices[b, i] - vertices[a, i]) * (vertices[c, j] - vertices[a, j])
            across -= (vertices[b, j] - vertices[a, j]) * (vertices[c, i] - vertices[a, i])
            squared += across * across
        found[f] = 0.5 * np.sqrt(squared)
    return found


@njit(nogil=True, cache=True)
def _side_numbers(faces, seconds, rows):  # type: ignore[no-untyped-def]
    """Return the number of the edge along each side of each face."""
    found = np.empty((faces.shape[0], 3), dtype=np.int64)
    for f in range(faces.shape[0]):
        for k in range(3):
            a, b = faces[f, k], faces[f, (k + 1) % 3]
            small, large = min(a, b), max(a, b)
            low, high = rows[small], rows[small + 1]
            while low < high:
                middle = (low + high) // 2
                if seconds[middle] < large:
                    low = middle + 1
                else:
                    high = middle
            found[f, k] = low
    return found


def faces_round(surface: Surface, vertices: NDArray[np.integer]) -> NDArray[np.int64]:
    """Return the numbers of the faces that touch any of some vertices, each once, sorted."""
    starts, faces = surface.fans
    low, count = starts[vertices], starts[vertices + 1] - starts[vertices]
    before = np.cumsum(count) - count
    return distinct(faces[np.repeat(low - before, count) + np.arange(count.sum())])


def distinct(numbers: NDArray[Number]) -> NDArray[Number]:
    """Return numbers from 0 up sorted, each once; sooner than by a table of hashes."""
    rising = np.sort(numbers, axis=None)
    return rising[np.diff(rising, prepend=-1) > 0]


def used_only(vertices: Floats, faces: ArrayLike) -> Surface:
    """Return the surface of some faces, without the vertices that none of them uses."""
    corners = np.asarray(faces)
    used = np.zeros(len(vertices), dtype=bool)
    used[corners.ravel()] = True
    number = np.cumsum(used, dtype=np.int64) - 1
    return Surface(vertices[used], number[corners])
