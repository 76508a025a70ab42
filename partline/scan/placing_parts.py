"""The parts of a scene put together into one mesh, with guards against scenes without end."""

from __future__ import annotations

import numpy as np

from partline.errors import ScanError
from partline.geometry.surface import Floats
from partline.scan.draft import Draft
from partline.scan.edges import Longs
from partline.scan.limits import MOST_TRIANGLES

# Parts within parts, at most, and parts in all: a small file can name one part a million times
# over. Nor can it honestly hold more triangles than these, or one for every so many bytes.
DEEPEST = 32
MOST_PARTS = 20_000
MOST_FACES = 200_000
BYTES_PER_FACE = 4


class Parts:
    """Parts that are added one by one, each in its place.

    Parameters
    ----------
    name : str
        Name of the file, for errors.
    size : int
        Bytes of the file.
    """

    def __init__(self, name: str, size: int) -> None:
        self.name = name
        self._most = min(max(MOST_FACES, size // BYTES_PER_FACE), MOST_TRIANGLES)
        self._points: list[Floats] = []
        self._faces: list[Longs] = []
        self._count = 0
        self._total = 0
        self._looked = 0

    def deeper(self, depth: int) -> None:
        """Count one more part looked at; raise ScanError where they have no end."""
        self._looked += 1
        if depth > DEEPEST or self._looked > MOST_PARTS:
            raise ScanError(
                f"{self.name} has parts within parts, more than {DEEPEST} deep or "
                f"{MOST_PARTS} in all. Export the piece as one mesh."
            )

    def add(self, points: Floats, faces: Longs, place: Floats) -> None:
        """Add (n, 3) points and (m, 3) faces moved by a (4, 4) matrix; a mirror turns faces."""
        self._total += max(len(faces), len(points) // 3)
        if self._total > self._most:
            raise ScanError(
                f"{self.name} has, or repeats its parts to, more than {self._most} triangles. "
                "Export the piece as one mesh, thinned if it has as many."
            )
        if len(faces) and (faces.min() < 0 or faces.max() >= len(points)):
            wrong = int(((faces < 0) | (faces >= len(points))).any(axis=1).sum())
            raise ScanError(
                f"{self.name}: {wrong} of {len(faces)} faces name a vertex that does not exist. "
                "Export the mesh again."
            )
        with np.errstate(over="ignore", invalid="ignore"):  # found by the check of the whole
            self._points.append(points @ place[:3, :3].T + place[:3, 3])
            mirrored = np.linalg.det(place[:3, :3]) < 0
        self._faces.append((faces[:, ::-1] if mirrored else faces) + self._count)
        self._count += len(points)

    def draft(self) -> Draft:
        """Return all parts as one mesh."""
        if not self._faces:
            empty = np.zeros(0, dtype=np.int64)
            return Draft(np.zeros((0, 3)), empty.reshape(0, 3), empty)
        faces = np.vstack(self._faces).astype(np.int64)
        return Draft(np.vstack(self._points), faces, np.arange(len(faces)))


def from_quaternion(q: Floats) -> Floats:
    """Return the (3, 3) rotation of a quaternion x, y, z, w (Shoemake 1985)."""
    length = float(np.linalg.norm(q))
    x, y, z, w = q / length if 0 < length < np.inf else np.array([0.0, 0.0, 0.0, 1.0])
    return np.array(
        [
            [1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)],
            [2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)],
            [2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)],
        ]
    )
