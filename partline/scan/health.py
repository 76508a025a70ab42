"""The health of a mesh file: everything that was found, in numbers and in sentences."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from partline.scan.draft import Place


@dataclass(frozen=True)
class Hole:
    """One hole.

    Attributes
    ----------
    length : float
        Length of its rim [unit of the health].
    place : tuple of float
        Middle of its rim.
    edges : int
        Edges of the rim.
    is_flat : bool
        Whether the rim stays within a fiftieth of its width of a plane.
    faces : str
        Which way it faces: up, down, front, back, left or right.
    """

    length: float
    place: Place
    edges: int
    is_flat: bool
    faces: str


@dataclass(frozen=True)
class Mark:
    """A numbered place, for a picture.

    Attributes
    ----------
    number : int
        As it stands before the sentence in the words.
    place : tuple of float
        [unit of the health], in the pose that was asked for.
    words : str
    """

    number: int
    place: Place
    words: str


@dataclass(frozen=True)
class Health:
    """What a mesh file holds, counted before any mending but the joining of vertices.

    Counts are made after vertices at one place are joined and faces that name a vertex twice
    are set aside. Lengths and places are in `unit`, in the pose that was asked for.

    Attributes
    ----------
    path, sha256 : str
        Name and hash of the file.
    unit : str
        "mm", or "file units" when no size was stated.
    size : tuple of float
        Width, depth and height.
    size_words : str
    vertices, faces : int
        Vertices after joining; triangles in the file.
    joined_vertices : int
        Vertices that were joined with others (for STL the format itself repeats them).
    bodies : int
        Shells, joined across edges.
    open_edges : int
        Edges with one face.
    seam_edges : int
        Those of them along seams, which close as vertices a rounding apart are joined.
    holes : tuple of Hole
        What stays open besides, the longest first.
    crowded_edges : int
        Edges with more than two faces (non-manifold).
    pinched_vertices : int
        Vertices with more than one fan of faces (non-manifold).
    disagreeing_edges : int
        Edges whose two faces disagree which side is outside.
    flipped_faces : int
        The fewest faces to turn so that neighbours agree.
    duplicate_faces : int
        Faces on the same three vertices as a face before them, whichever way they are wound.
    degenerate_faces : int
        Faces that name a vertex twice.
    flat_faces : int
        Faces with three different vertices but no area.
    crossing_faces : int
        Faces that pass through others.
    inside_out_bodies : int
        Closed bodies with negative volume that lie in no other.
    nested_bodies : int
        Bodies that lie wholly inside another.
    overlapping_bodies : int
        Bodies that lie partly inside another, or another in them.
    volume : float or None
        Enclosed volume as the file has it, signed: what bodies share is in it once for each, and
        the words say so. None when it is not closed, its faces disagree or are there twice.
    master_volume : float or None
        Volume of the solid that it is once mended; None when it cannot be one.
    master_volume_low, master_volume_high : float or None
        The least and the most that is likely, as holes were filled or a new surface was drawn.
    grid_step : float
        Step of the grid its coordinates lie on; 0 if they lie on none that was found.
    up, front : tuple of float
        Unit vectors of the pose, in the coordinates of the file.
    scale : float
        Length of one unit of the file [unit of the health].
    marks : tuple of Mark
        Where the holes, the first of each kind of fault and the stray specks are.
    is_solid : bool
        Whether it can be a master, mended or not.
    repairs : tuple of str
        What is mended to make it one.
    warnings : tuple of str
    refusal : str
        Why it cannot be one; empty if it can.
    words : tuple of str
        All of it for a person.
    """

    path: str
    sha256: str
    unit: str
    size: tuple[float, float, float]
    size_words: str
    vertices: int
    faces: int
    joined_vertices: int
    bodies: int
    open_edges: int
    seam_edges: int
    holes: tuple[Hole, ...]
    crowded_edges: int
    pinched_vertices: int
    disagreeing_edges: int
    flipped_faces: int
    duplicate_faces: int
    degenerate_faces: int
    flat_faces: int
    crossing_faces: int
    inside_out_bodies: int
    nested_bodies: int
    overlapping_bodies: int
    volume: float | None
    master_volume: float | None
    master_volume_low: float | None
    master_volume_high: float | None
    grid_step: float
    up: Place
    front: Place
    scale: float
    marks: tuple[Mark, ...]
    is_solid: bool
    repairs: tuple[str, ...]
    warnings: tuple[str, ...]
    refusal: str
    words: tuple[str, ...]

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain numbers, strings, lists and dictionaries, ready for JSON."""
        plain = asdict(self)
        return {
            key: list(value) if isinstance(value, tuple) else value for key, value in plain.items()
        }
