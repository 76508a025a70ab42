"""The mouth: where the resin goes in, found on the master from a point or face numbers."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from partline.errors import StandError
from partline.geometry.directions import turn_between
from partline.geometry.nearest import nearest_face
from partline.geometry.surface import Floats, Surface
from partline.scan.master import Master

# Faces round a picked point belong to the mouth while they lean less than this from it.
LEAN_DEG = 25.0


@dataclass(frozen=True, eq=False)
class MouthPatch:
    """A patch of the master that becomes the mouth.

    Attributes
    ----------
    faces : (k,) int64
        Faces of the master.
    centre : (3,) float64
        Its middle [mm].
    normal : (3,) float64
        Its mean outward normal.
    """

    faces: np.ndarray
    centre: Floats
    normal: Floats


def patch_at_point(master: Master, point: ArrayLike) -> MouthPatch:
    """Return the even patch of the master round a point of the file.

    Parameters
    ----------
    master : Master
    point : (3,) float
        In the file's own coordinates.

    Raises
    ------
    StandError
        If the point is farther from the master than a tenth of its size.
    """
    surface = master.surface
    p = master.from_file(point)[0]
    seed, distance = nearest_face(surface, p)
    size = float(np.linalg.norm(surface.extents))
    if distance > 0.1 * size:
        raise StandError(
            f"The point given for the mouth is {distance:.1f} mm away from the piece. "
            "Give a point on it, in the mesh file's own coordinates."
        )
    like = surface.face_normals @ surface.face_normals[seed] > np.cos(np.radians(LEAN_DEG))
    return _patch(surface, _connected(surface, np.flatnonzero(like), seed))


def patch_of_faces(master: Master, numbers: ArrayLike) -> MouthPatch:
    """Return the patch made of the file's faces with these numbers.

    Raises
    ------
    StandError
        If one of them is not a face of the master, or they face all ways.
    """
    wanted = np.unique(np.asarray(numbers, dtype=np.int64))
    missing = np.setdiff1d(wanted, master.file_faces)
    if len(missing):
        raise StandError(
            f"{len(missing)} of {len(wanted)} face numbers given for the mouth are not on the "
            f"piece, the first of them {int(missing[0])}. They count from 0, in the file's order."
        )
    return _patch(master.surface, np.flatnonzero(np.isin(master.file_faces, wanted)))


def _connected(surface: Surface, faces: np.ndarray, seed: int) -> np.ndarray:
    """Return those of `faces` that hang together with face `seed` over vertices."""
    n = len(surface.vertices)
    rows = np.repeat(faces, 3)
    columns = surface.faces[faces].ravel()
    size = len(surface.faces) + n
    graph = coo_array(
        (np.ones(len(rows), np.int8), (rows, columns + len(surface.faces))), shape=(size, size)
    )
    _, label = connected_components(graph, directed=False)
    return faces[label[faces] == label[seed]]


def _patch(surface: Surface, faces: np.ndarray) -> MouthPatch:
    vectors = surface.face_vectors[faces]
    areas = surface.face_areas[faces]
    total = vectors.sum(axis=0)
    if np.linalg.norm(total) < 0.5 * 2.0 * areas.sum():
        raise StandError(
            f"The {len(faces)} faces given for the mouth face all ways; a mouth is one even place. "
            "Pick faces of one side."
        )
    middles = surface.vertices[surface.faces[faces]].mean(axis=1)
    return MouthPatch(
        faces,
        (middles * areas[:, None]).sum(axis=0) / areas.sum(),
        total / np.linalg.norm(total),
    )


def turned_onto(master: Master, patch: MouthPatch) -> Master:
    """Return the master turned so that the patch faces down, its front kept toward -Y.

    The lowest point is at z = 0 again and the middle of the bounding box over x = y = 0.
    """
    turn = turn_between(patch.normal, [0.0, 0.0, -1.0])
    front = turn @ np.array([0.0, -1.0, 0.0])
    if np.hypot(front[0], front[1]) > 1e-6:
        # About the upright axis, so that the old front is toward -Y again.
        angle = -np.pi / 2 - np.arctan2(front[1], front[0])
        c, s = np.cos(angle), np.sin(angle)
        turn = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]]) @ turn
    matrix = np.eye(4)
    matrix[:3, :3] = turn
    moved = master.surface.moved(matrix)
    low, high = moved.bounds
    shift = np.array([-(low[0] + high[0]) / 2, -(low[1] + high[1]) / 2, -low[2]])
    matrix[:3, 3] = shift
    return replace(master, surface=master.surface.moved(matrix), to_pose=matrix @ master.to_pose)
