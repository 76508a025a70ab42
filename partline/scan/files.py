"""Open a mesh file safely: is it there, how big is it, what is in it."""

from __future__ import annotations

import gzip
import hashlib
import io
import lzma
import re
import zlib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from partline.errors import ScanError
from partline.scan.draft import Draft, Place, at
from partline.scan.edges import Mask
from partline.scan.formats import UPS, kind_of, unpacked_limit
from partline.scan.glb import UNIT, read_glb
from partline.scan.obj import read_obj
from partline.scan.ply import read_ply
from partline.scan.stl import read_stl
from partline.scan.threemf import read_3mf

# Each takes the bytes and the name of a file; where the format has a unit, it returns that too,
# and in words what it left out.
READERS: dict[str, Callable[[bytes, str], tuple[Draft, str, str]]] = {
    ".stl": lambda text, name: (read_stl(text, name), "", ""),
    ".obj": lambda text, name: (read_obj(text, name), "", ""),
    ".ply": lambda text, name: (read_ply(text, name), "", ""),
    ".glb": lambda text, name: (read_glb(text, name), UNIT, ""),
    ".3mf": read_3mf,
}
# As far as anything is read or unpacked: about ten million triangles of binary STL.
LARGEST_BYTES = 1 << 29
_SOMETHING = re.compile(rb"[^\x00 \t\r\n]")
# Faces looked at together, so that no more memory is asked for than a small part of the file's.
_AT_A_TIME = 1 << 19


@dataclass(frozen=True, eq=False)
class MeshFile:
    """What a mesh file holds, nothing moved or joined: numbers of faces are the file's own.

    Attributes
    ----------
    draft : Draft
        Vertices in the file's unit; a polygon is cut into triangles that keep its number. Without
        the triangles that have two corners at one place, as they are no part of a surface; where
        all have, the first is left to speak of.
    face_count : int
        Faces in the file, polygons counted once.
    name : str
        Name of the file.
    sha256 : str
        Hash of the file as it lies on the disk.
    unit : str
        Unit of its coordinates where the format has one (GLB, 3MF), else empty.
    up : str
        Which way is up where the format says so, else empty.
    left_out : str
        What the file holds that is no part of the piece by its own word; else empty.
    collapsed : int
        Triangles left out of the draft.
    collapsed_at : tuple of float, optional
        Where the first of them is.
    """

    draft: Draft
    face_count: int
    name: str
    sha256: str
    unit: str = ""
    up: str = ""
    left_out: str = ""
    collapsed: int = 0
    collapsed_at: Place | None = None

    @property
    def triangles(self) -> int:
        """Triangles in the file, those left out among them."""
        return len(self.draft.faces) + self.collapsed


def read_file(path: str | Path) -> MeshFile:
    """Read an STL, OBJ, PLY, GLB or 3MF file, also packed as .xz or .gz.

    Raises
    ------
    ScanError
        If the file is missing, empty, of another kind, cut short, has no faces, names vertices
        that do not exist, or has coordinates that are not numbers.
    """
    path = Path(path)
    _look_for(path)
    kind, packed = kind_of(path)
    raw = _bytes_of(path)
    text = _unpacked(raw, packed, path.name) if packed else raw
    if not _SOMETHING.search(text):
        raise ScanError(f"{path.name} is empty. Export the mesh again.")
    draft, unit, left_out = READERS[kind](text, path.name)
    _check(draft, path.name)
    count = int(draft.file_faces.max()) + 1
    gone = _collapsed(draft)
    place = at(draft.vertices[draft.faces[int(np.argmax(gone)), 0]]) if gone.any() else None
    gone[0] &= not gone.all()
    kept = draft.kept(~gone).compacted() if gone.any() else draft
    return MeshFile(
        kept, count, path.name, hashlib.sha256(raw).hexdigest(), unit, UPS.get(kind, ""),
        left_out=left_out, collapsed=int(gone.sum()), collapsed_at=place,
    )  # fmt: skip


def _look_for(path: Path) -> None:
    if path.is_dir():
        raise ScanError(f"{path} is a folder. Name the mesh file in it.")
    if not path.exists():
        raise ScanError(f"There is no file {path}. Check the name and the folder.")
    if not path.is_file():
        raise ScanError(f"{path} is not an ordinary file. Name a mesh file.")


def _bytes_of(path: Path) -> bytes:
    try:
        size = path.stat().st_size
        if size > LARGEST_BYTES:
            raise ScanError(
                f"{path.name} is {size / 1e9:.1f} GB; {LARGEST_BYTES / 1e9:.1f} GB is the most "
                "that is read, about ten million triangles. Thin it first in the program it comes "
                "from."
            )
        return path.read_bytes()
    except OSError as fault:
        raise ScanError(f"{path} cannot be read: {fault.strerror}.") from fault


def _unpacked(raw: bytes, packed: str, name: str) -> bytes:
    most = unpacked_limit(len(raw), LARGEST_BYTES)
    try:
        if packed == ".xz":
            unpacker = lzma.LZMADecompressor(memlimit=1 << 28)
            text = unpacker.decompress(raw, max_length=most + 1)
            whole = unpacker.eof
        else:
            with gzip.GzipFile(fileobj=io.BytesIO(raw)) as unzipped:
                text = unzipped.read(most + 1)
            whole = True
    except (lzma.LZMAError, zlib.error, EOFError, OSError, ValueError) as fault:
        raise ScanError(f"{name} cannot be unpacked: {fault}. Copy or pack it again.") from fault
    if len(text) > most:
        raise ScanError(
            f"{name} unpacks to more than {most / 1e6:.0f} MB, the most that is read of a file "
            f"packed into {len(raw)} bytes. Unpack it yourself if you trust it, or reduce the mesh."
        )
    if not whole:
        raise ScanError(f"{name} is cut short: the packed data ends early. Copy it again.")
    return text


def _check(draft: Draft, name: str) -> None:
    n = len(draft.vertices)
    if not len(draft.faces):
        raise ScanError(
            f"{name} has no faces{f', only {n} points' if n else ''}. Export it as a triangle mesh."
        )
    bad = np.flatnonzero(~np.isfinite(draft.vertices).all(axis=1))
    if len(bad):
        raise ScanError(
            f"{name}: {len(bad)} of {n} vertices have a coordinate that is not a number "
            f"(the first is vertex {bad[0] + 1}). Export the mesh again."
        )
    if max(draft.vertices.max(), -draft.vertices.min()) > 1e30:
        raise ScanError(f"{name} has coordinates beyond 1e30. Export the mesh again.")
    wrong = ((draft.faces < 0) | (draft.faces >= n)).any(axis=1)
    if wrong.any():
        first = draft.file_faces[np.flatnonzero(wrong)[0]]
        raise ScanError(
            f"{name}: {int(wrong.sum())} of {len(draft.faces)} faces name a vertex that does not "
            f"exist (the first is face {first + 1}; there are {n} vertices). Export the mesh again."
        )


def _collapsed(draft: Draft) -> Mask:
    """(m,) whether a face has two corners at one place."""
    found = np.zeros(len(draft.faces), dtype=bool)
    for start in range(0, len(found), _AT_A_TIME):
        part = slice(start, start + _AT_A_TIME)
        a, b, c = (draft.vertices[draft.faces[part, k]] for k in range(3))
        for one, two in ((a, b), (b, c), (c, a)):
            found[part] |= (one == two).all(axis=1)
    return found
