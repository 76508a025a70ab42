"""Read PLY, text or binary."""

from __future__ import annotations

import io
from typing import Any

import numpy as np

from partline.errors import ScanError
from partline.scan.draft import Draft
from partline.scan.edges import Longs
from partline.scan.limits import check_counts, check_lines, check_polygons
from partline.scan.polygons import fanned, flattened

_BYTES = {
    "char": 1, "uchar": 1, "int8": 1, "uint8": 1, "short": 2, "ushort": 2, "int16": 2,
    "uint16": 2, "int": 4, "uint": 4, "int32": 4, "uint32": 4, "float": 4, "float32": 4,
    "double": 8, "float64": 8,
}  # fmt: skip
# Remarks, empty lines and line ends of two characters are no fault.
_MORE_LINES = 1000


def read_ply(text: bytes, name: str) -> Draft:
    """Read the bytes of a PLY file; textures and other files are never opened.

    Raises
    ------
    ScanError
        If the header is wrong, promises more than the file holds, or the data cannot be read.
    """
    # Here, for the program would wait for this library at every start.
    from trimesh.exchange.ply import load_ply

    counts = _check_header(text, name)
    check_counts(name, triangles=counts.get("face", 0), vertices=counts["vertex"])
    # NameError: the library's reader trips over its own variables on some broken headers.
    try:
        # A number too large for a vertex number is cast to one that no vertex has.
        with np.errstate(invalid="ignore"):
            loaded = load_ply(io.BytesIO(text), fix_texture=False, skip_materials=True)
        elements = loaded["metadata"]["_ply_raw"]
        vertices = np.array(loaded["vertices"], dtype=np.float64).reshape(-1, 3)
        corners, sizes = _polygons(elements.get("face"), name)
    except (
        ValueError,
        LookupError,
        TypeError,
        ArithmeticError,
        AttributeError,
        NameError,
    ) as fault:
        raise ScanError(
            f"{name} cannot be read as PLY: its header does not fit what follows. Export it again."
        ) from fault
    if len(vertices) != counts["vertex"] or len(sizes) != counts.get("face", 0):
        raise ScanError(
            f"{name} is cut short: {len(vertices)} of {counts['vertex']} vertices and "
            f"{len(sizes)} of {counts.get('face', 0)} faces can be read. Copy or export it again."
        )
    if len(sizes) and sizes.min() < 3:
        raise ScanError(
            f"{name}: face {int(np.argmin(sizes)) + 1} has fewer than three corners. "
            "Export it again."
        )
    faces, numbers = fanned(corners, sizes)
    return Draft(vertices, faces.reshape(-1, 3), numbers)


def _polygons(element: Any, name: str) -> tuple[Longs, Longs]:
    """Corners and sizes of the faces as the reader keeps them: a block, or ragged lists."""
    empty = np.zeros(0, dtype=np.int64)
    if element is None or not element["length"]:
        return empty, empty
    data = element["data"]
    names = ("vertex_indices", "vertex_index")
    if isinstance(data, dict):
        data = next(data[key] for key in names if key in data)
    elif isinstance(data, np.ndarray) and data.dtype.names:
        fields = data.dtype.names
        data = data[next((key for key in names if key in fields), fields[0])]["f1"]
    if isinstance(data, np.ndarray) and data.ndim == 2:
        sizes = np.full(len(data), data.shape[1], dtype=np.int64)
        check_polygons(name, sizes)
        check_counts(name, triangles=len(data) * (data.shape[1] - 2))
        return np.ascontiguousarray(data, dtype=np.int64).ravel(), sizes
    corners, sizes = flattened(data)
    check_polygons(name, sizes)
    check_counts(name, triangles=int((sizes - 2).sum()))
    return corners, sizes


def _check_header(text: bytes, name: str) -> dict[str, int]:
    """Return the counts of the header, checked against the length of the file before memory is
    asked for."""
    end = text[:65536].find(b"end_header")
    if not text.lstrip()[:3].lower() == b"ply" or end < 0:
        raise ScanError(f"{name} is not a PLY file, whatever its name says. Export it again.")
    binary = False
    least = 0
    count = 0
    counts: dict[str, int] = {}
    lists: list[str] = []
    for line in text[:end].decode("ascii", "replace").splitlines():
        words = line.split()
        try:
            if words[:1] == ["format"]:
                binary = words[1].startswith("binary")
            elif words[:1] == ["element"]:
                count = counts[words[1]] = int(words[2])
                if count < 0:
                    raise ValueError(f"{count} of {words[1]}")
            elif words[:1] == ["property"]:
                if words[1] == "list" and "face" in counts and len(counts) == 2:
                    lists.append(words[4])
                # A list holds at least its own length; in text, a character and a space each.
                least += count * (_BYTES[words[2] if words[1] == "list" else words[1]]
                                  if binary else 2)  # fmt: skip
        except (LookupError, ValueError) as fault:
            raise ScanError(f"{name}: the header line {line!r} makes no sense.") from fault
    if "vertex" not in counts:
        raise ScanError(f"{name} has no vertices. Export it as a triangle mesh.")
    if counts.get("face") and not {"vertex_index", "vertex_indices"} & set(lists):
        raise ScanError(f"{name}: its faces have no list of vertex numbers. Export it again.")
    if least > len(text) - end + 1:
        raise ScanError(
            f"{name} is cut short: its header promises {counts.get('vertex', 0)} vertices and "
            f"{counts.get('face', 0)} faces, more than its {len(text)} bytes can hold. "
            "Copy or export it again."
        )
    if not binary:
        # The text is cut into lines, and all of them into numbers, before any is looked at.
        body = text[end:]
        check_lines(name, body)
        lines = body.count(b"\n") + body.count(b"\r")
        if lines > 2 * sum(counts.values()) + _MORE_LINES:
            raise ScanError(
                f"{name}: {lines} lines follow its header, which promises {sum(counts.values())}. "
                "Export it again."
            )
    return counts
