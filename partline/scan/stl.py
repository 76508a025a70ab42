"""Read STL, binary or text."""

from __future__ import annotations

import re

import numpy as np

from partline.errors import ScanError
from partline.geometry.surface import Floats
from partline.scan.draft import Draft
from partline.scan.limits import blocks, check_counts

_CORNER = re.compile(rb"\bvertex\s+(\S+)\s+(\S+)\s+(\S+)")
_TRIANGLE = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])


def read_stl(text: bytes, name: str) -> Draft:
    """Read the bytes of an STL file; every triangle has three vertices of its own.

    A file is binary when its length fits the count in its header, whatever its first word
    says: some programs begin binary files with "solid".

    Raises
    ------
    ScanError
        If it is neither, or ends early.
    """
    count = int.from_bytes(text[80:84], "little") if len(text) >= 84 else -1
    if count >= 0 and len(text) == 84 + 50 * count:
        check_counts(name, triangles=count)
        return _soup(np.frombuffer(text, dtype=_TRIANGLE, offset=84)["corners"])
    head = text[:4096].lstrip().lower()
    # Not only the first word: a letter to somebody may begin with "solid" too.
    if head.startswith(b"solid") and b"\x00" not in head and b"facet" in text[:65536].lower():
        return _read_text(text, name)
    if count > 0 and b"\x00" in text[:4096] and len(text) < 84 + 50 * count:
        raise ScanError(
            f"{name} is cut short: its header promises {count} triangles, "
            f"its length holds {(len(text) - 84) // 50}. Copy or export it again."
        )
    if count > 0 and b"\x00" in text[:4096]:
        raise ScanError(
            f"{name}: its header promises {count} triangles, but its length would hold "
            f"{(len(text) - 84) / 50:.1f}. Export it again."
        )
    raise ScanError(f"{name} is not an STL file, whatever its name says. Export it again.")


def _read_text(text: bytes, name: str) -> Draft:
    lower = text.lower()
    facets = lower.count(b"endfacet")
    if b"endsolid" not in lower or facets != lower.count(b"facet normal"):
        raise ScanError(f"{name} is cut short after {facets} facets. Copy or export it again.")
    check_counts(name, triangles=facets)
    try:
        points = np.vstack([_points(part) for part in blocks(lower, b"endfacet")])
    except ValueError as fault:
        raise ScanError(f"{name} cannot be read as STL text: {fault}. Export it again.") from fault
    if len(points) != 3 * facets:
        raise ScanError(
            f"{name}: {facets} facets but {len(points)} corners that can be read. Export it again."
        )
    return _soup(points.reshape(-1, 3, 3))


def _points(lower: bytes) -> Floats:
    corners = _CORNER.findall(lower)
    return np.array(corners, dtype=np.bytes_).reshape(-1, 3).astype(np.float64)


def _soup(corners: np.ndarray) -> Draft:
    m = len(corners)
    points = np.ascontiguousarray(corners, dtype=np.float64).reshape(-1, 3)
    return Draft(points, np.arange(3 * m).reshape(-1, 3), np.arange(m))
