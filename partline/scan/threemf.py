"""Read 3MF: a zip with an XML model in it; pictures, print settings and other files are left.

The XML is heard element by element and never kept; document types and entities, which a model
has no use for, are refused (3MF Core Specification 1.3, chapter 2.3).
"""

from __future__ import annotations

import io
import zipfile
import zlib
from array import array
from dataclasses import dataclass, field
from typing import Any
from xml.parsers import expat

import numpy as np

from partline.errors import ScanError
from partline.geometry.surface import Floats
from partline.scan.draft import Draft
from partline.scan.formats import unpacked_limit
from partline.scan.placing_parts import MOST_PARTS, Parts
from partline.scan.wording import counted

# As far as the models of one file are unpacked, together: about 1.5 million triangles.
LARGEST_BYTES = 1 << 27
_MOST_ENTRIES = 10_000
_AT_A_TIME = 1 << 20
# Vertices, triangles and all else in one model: more than its bytes would honestly hold.
_MOST_ELEMENTS = 5_000_000
_PARTS = frozenset({"object", "component", "item"})
_ROOT = "3d/3dmodel.model"
# Names of the specification (chapter 3.4) and what this package calls them.
_UNITS = {
    "micron": "um", "millimeter": "mm", "centimeter": "cm", "inch": "in", "foot": "ft",
    "meter": "m",
}  # fmt: skip
_MODEL = "model"


@dataclass
class _Object:
    kind: str = _MODEL
    points: array[float] = field(default_factory=lambda: array("d"))
    corners: array[int] = field(default_factory=lambda: array("q"))
    parts: list[tuple[str, Floats]] = field(default_factory=list)


@dataclass
class _Model:
    """One model of the file: its objects by number, and what is to be built."""

    unit: str = "mm"
    objects: dict[str, _Object] = field(default_factory=dict)
    build: list[tuple[str, Floats]] = field(default_factory=list)


def read_3mf(text: bytes, name: str) -> tuple[Draft, str, str]:
    """Read what is model in a 3MF file; also return its unit, and in words what was left out.

    Objects of the types support, solidsupport, surface and other are no part of the piece (3MF
    Core Specification 1.3, chapter 4.1; from memory). Where nothing else is there, they are read.

    Raises
    ------
    ScanError
        If it is no zip, its model is missing, no XML, too large, or names what is not there.
    """
    models = _Models(text, name)
    root = models.model(models.start())
    parts = _Parts(Parts(name, len(text)), Parts(name, len(text)))
    for number, place in root.build:
        _build(models, models.start(), number, place, parts, _MODEL, 0)
    model, aside = parts.model.draft(), parts.aside.draft()
    if not len(model.faces):
        return aside, root.unit, ""
    return model, root.unit, parts.left_out(len(aside.faces))


@dataclass
class _Parts:
    """What is model and what is not, and of which types that is."""

    model: Parts
    aside: Parts
    kinds: list[str] = field(default_factory=list)

    def left_out(self, faces: int) -> str:
        """Return a sentence on what is no model; none where there is nothing."""
        if not self.kinds:
            return ""
        what = counted(len(self.kinds), "object is", "objects are")
        return (
            f"{what} no model by what the file itself says "
            f"({', '.join(sorted(set(self.kinds)))}) and left out: "
            f"{counted(faces, 'triangle', 'triangles')}."
        )


def _build(
    models: _Models, path: str, number: str, place: Floats, parts: _Parts, kind: str, depth: int
) -> None:
    parts.model.deeper(depth)
    if "|" in number:  # a part in another model of the same file
        path, number = number.split("|", 1)
    found = models.model(path).objects.get(number)
    if found is None:
        raise ScanError(f"{models.name}: there is no object {number!r} to build. Export it again.")
    # What is no model has none in it.
    kind = found.kind if kind == _MODEL else kind
    if found.corners:
        points = np.frombuffer(found.points, dtype=np.float64).reshape(-1, 3)
        if kind != _MODEL:
            parts.kinds.append(kind)
        into = parts.model if kind == _MODEL else parts.aside
        into.add(points, np.frombuffer(found.corners, dtype=np.int64).reshape(-1, 3), place)
    for child, own in found.parts:
        _build(models, path, child, place @ own, parts, kind, depth + 1)


class _Models:
    """The models of one file, each read when it is asked for, none unpacked beyond the limit."""

    def __init__(self, text: bytes, name: str) -> None:
        self.name = name
        self._most = self._left = unpacked_limit(len(text), LARGEST_BYTES)
        self._read: dict[str, _Model] = {}
        # The table of a zip is read whole, entry by entry.
        if text.count(b"PK\x01\x02") > _MOST_ENTRIES:
            raise ScanError(f"{name} holds too many files; a 3MF file has a handful.")
        try:
            self._zip = zipfile.ZipFile(io.BytesIO(text))
            entries = self._zip.infolist()
        except (zipfile.BadZipFile, ValueError, OSError, EOFError, NotImplementedError) as fault:
            raise ScanError(
                f"{name} is not a 3MF file, or is cut short ({fault}). Copy or export it again."
            ) from fault
        if len(entries) > _MOST_ENTRIES:
            raise ScanError(f"{name} holds {len(entries)} files; a 3MF file has a handful.")
        # Names of parts do not tell capitals apart (Open Packaging Conventions).
        self._entries = {entry.filename.lower().lstrip("/"): entry for entry in entries}

    def start(self) -> str:
        """Return the name of the model that is built."""
        if _ROOT in self._entries:
            return _ROOT
        found = sorted(path for path in self._entries if path.endswith(".model"))
        if not found:
            raise ScanError(f"{self.name} has no 3D model in it. Export it again as 3MF.")
        return found[0]

    def model(self, path: str) -> _Model:
        """Return one model, by its name in the zip: nothing else is ever opened."""
        key = path.lower().lstrip("/")
        if key not in self._read:
            if key not in self._entries:
                raise ScanError(f"{self.name} has no {path!r} in it. Export it again.")
            self._read[key] = self._parsed(self._entries[key])
        return self._read[key]

    def _parsed(self, entry: zipfile.ZipInfo) -> _Model:
        self._room_for(entry.file_size)
        hearing = _Hearing(self.name)
        try:
            with self._zip.open(entry) as packed:
                while chunk := packed.read(_AT_A_TIME):
                    self._left -= len(chunk)
                    self._room_for(0)
                    hearing.parser.Parse(chunk, False)
            hearing.parser.Parse(b"", True)
        except expat.ExpatError as fault:
            raise ScanError(
                f"{self.name}: its model is not XML ({fault}). Copy or export it again."
            ) from fault
        except (zipfile.BadZipFile, zlib.error, EOFError, OSError, RuntimeError, ValueError,
                NotImplementedError) as fault:  # fmt: skip
            raise ScanError(
                f"{self.name} cannot be unpacked: {fault}. Copy or export it again."
            ) from fault
        return hearing.model

    def _room_for(self, size: int) -> None:
        if size > self._left or self._left < 0:
            raise ScanError(
                f"{self.name} unpacks to more than {self._most / 1e6:.0f} MB, the most that is "
                "read of a 3MF file of that size. Reduce the mesh, or export it as binary STL."
            )


class _Hearing:
    """Hears the elements of one model."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.model = _Model()
        self._heard = self._placed = 0
        self._object = _Object()
        self.parser = expat.ParserCreate()
        self.parser.StartElementHandler = self._element
        self.parser.StartDoctypeDeclHandler = self._doctype
        self.parser.buffer_text = True

    def _doctype(self, *_: object) -> None:
        raise ScanError(f"{self.name}: its model declares a document type, which no 3MF has.")

    def _element(self, tag: str, given: dict[str, str]) -> None:
        kind = tag.rsplit(":", 1)[-1]
        self._heard += 1
        self._placed += kind in _PARTS
        for count, most, words in (
            (self._heard, _MOST_ELEMENTS, "entries"), (self._placed, MOST_PARTS, "parts"),
        ):  # fmt: skip
            if count > most:
                raise ScanError(
                    f"{self.name}: its model has more than {most} {words}. Export the piece as one "
                    "mesh, or as binary STL."
                )
        try:
            if kind == "vertex":
                self._object.points.extend((float(given["x"]), float(given["y"]),
                                            float(given["z"])))  # fmt: skip
            elif kind == "triangle":
                self._object.corners.extend((int(given["v1"]), int(given["v2"]),
                                             int(given["v3"])))  # fmt: skip
            elif kind == "object":
                kept = _Object(given.get("type", _MODEL))
                self._object = self.model.objects[given["id"]] = kept
            elif kind == "component":
                self._object.parts.append(_placed(given))
            elif kind == "item":
                self.model.build.append(_placed(given))
            elif kind == "model":
                self.model.unit = _UNITS[given.get("unit", "millimeter")]
        except (KeyError, ValueError, OverflowError) as fault:
            shown = " ".join(f'{key}="{value}"' for key, value in list(given.items())[:6])[:120]
            raise ScanError(
                f"{self.name}: <{tag} {shown}> makes no sense. Export it again."
            ) from fault


def _placed(given: dict[str, Any]) -> tuple[str, Floats]:
    """Which object, and the (4, 4) place it is put; in the file as twelve numbers by rows."""
    path = next((value for key, value in given.items() if key.rsplit(":", 1)[-1] == "path"), "")
    number = f"{path}|{given['objectid']}" if path else given["objectid"]
    place = np.eye(4)
    if "transform" in given:
        rows = np.array([float(word) for word in given["transform"].split()])
        if len(rows) != 12:
            raise ValueError("transform")
        place[:3] = rows.reshape(4, 3).T
    return number, place
