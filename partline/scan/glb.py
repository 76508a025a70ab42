"""Read GLB (binary glTF 2.0): the triangles of its scene; pictures and other files are never
opened.

The general readers open whatever a file names and ask for memory before they look; this one
takes positions and corners from the file's own block alone, each length checked first.
"""

from __future__ import annotations

import json
import struct
from dataclasses import dataclass
from typing import Any

import numpy as np

from partline.errors import ScanError
from partline.geometry.surface import Floats
from partline.scan.draft import Draft
from partline.scan.edges import Longs
from partline.scan.limits import check_counts
from partline.scan.placing_parts import Parts, from_quaternion

# glTF 2.0 (Khronos 2017, ISO/IEC 12113:2022): lengths are metres, +Y is up, +Z the front.
UNIT = "m"
# A header names parts and counts; the mesh itself lies behind it.
LARGEST_HEADER = 1 << 24
_TYPES: dict[int, np.dtype[Any]] = {
    5120: np.dtype("<i1"), 5121: np.dtype("<u1"), 5122: np.dtype("<i2"), 5123: np.dtype("<u2"),
    5125: np.dtype("<u4"), 5126: np.dtype("<f4"),
}  # fmt: skip
_WIDTHS = {"SCALAR": 1, "VEC3": 3}
_UNREADABLE = {
    "KHR_draco_mesh_compression": "is packed with Draco",
    "EXT_meshopt_compression": "is packed with meshopt",
}


@dataclass(frozen=True, eq=False)
class _Glb:
    name: str
    tree: dict[str, Any]
    block: bytes

    def fault(self, words: str) -> ScanError:
        return ScanError(f"{self.name} cannot be read as GLB: {words}. Export it again.")

    def item(self, kind: str, number: object) -> dict[str, Any]:
        """Return one entry of a list of the file, by its number."""
        held = self.tree.get(kind)
        if isinstance(held, list) and type(number) is int and 0 <= number < len(held):
            found = held[number]
            if isinstance(found, dict):
                return found
        raise self.fault(f"it has no entry {number!r} of {kind}")

    def whole(self, entry: dict[str, Any], key: str, default: int | None = None) -> int:
        """Return a count or an offset."""
        value = entry.get(key, default)
        if type(value) is not int or not 0 <= value < 1 << 40:
            raise self.fault(f"{key} is {value!r}")
        return value


def read_glb(text: bytes, name: str) -> Draft:
    """Read the bytes of a GLB file: every triangle of its scene, in its place [m].

    Raises
    ------
    ScanError
        If it is cut short, packed in a way that is not read, leans on other files, or promises
        more than it holds.
    """
    glb = _Glb(name, *_blocks(text, name))
    for extension in glb.tree.get("extensionsRequired") or ():
        if extension in _UNREADABLE:
            raise ScanError(
                f"{name} {_UNREADABLE[extension]}. Export it again without compression."
            )
    parts = Parts(name, len(text))
    for root in _roots(glb):
        _walk(glb, root, np.eye(4), parts, 0)
    return parts.draft()


def _blocks(text: bytes, name: str) -> tuple[dict[str, Any], bytes]:
    if text[:4] != b"glTF" or len(text) < 20:
        raise ScanError(f"{name} is not a GLB file, whatever its name says. Export it again.")
    version, length = struct.unpack_from("<II", text, 4)
    if version != 2:
        raise ScanError(f"{name} is GLB version {version}; version 2 is read. Export it again.")
    if length > len(text):
        raise ScanError(
            f"{name} is cut short: it promises {length} bytes and has {len(text)}. Copy or export "
            "it again."
        )
    size, kind = struct.unpack_from("<I4s", text, 12)
    if kind != b"JSON" or 20 + size > length:
        raise ScanError(f"{name} is cut short in its header. Copy or export it again.")
    if size > LARGEST_HEADER:
        raise ScanError(
            f"{name} has a header of {size / 1e6:.0f} MB; {LARGEST_HEADER / 1e6:.0f} MB is the "
            "most that is read. Export the piece as one mesh."
        )
    try:
        tree = json.loads(text[20 : 20 + size].decode("utf-8"))
    except (ValueError, RecursionError) as fault:
        raise ScanError(
            f"{name}: its header makes no sense, as it is not JSON. Export it again."
        ) from fault
    if not isinstance(tree, dict):
        raise ScanError(f"{name}: its header makes no sense. Export it again.")
    start = 20 + size
    block = b""
    if start + 8 <= length:
        held, kind = struct.unpack_from("<I4s", text, start)
        if kind == b"BIN\x00":
            block = text[start + 8 : start + 8 + held]
    return tree, block


def _roots(glb: _Glb) -> list[object]:
    if not glb.tree.get("scenes"):
        raise glb.fault("it has no scene")
    scene = glb.item("scenes", glb.tree.get("scene", 0))
    return _list(glb, scene, "nodes")


def _list(glb: _Glb, entry: dict[str, Any], key: str) -> list[Any]:
    value = entry.get(key, [])
    if not isinstance(value, list):
        raise glb.fault(f"{key} is no list")
    return value


def _walk(glb: _Glb, number: object, above: Floats, parts: Parts, depth: int) -> None:
    parts.deeper(depth)
    node = glb.item("nodes", number)
    here = above @ _placed(glb, node)
    if "mesh" in node:
        for k, primitive in enumerate(_list(glb, glb.item("meshes", node["mesh"]), "primitives")):
            if k:
                parts.deeper(depth)
            if not isinstance(primitive, dict):
                raise glb.fault("a mesh is no mesh")
            faces = _faces(glb, primitive)
            if faces is not None:
                parts.add(_positions(glb, primitive), faces, here)
    for child in _list(glb, node, "children"):
        _walk(glb, child, here, parts, depth + 1)


def _numbers(glb: _Glb, node: dict[str, Any], key: str, default: list[float]) -> Floats:
    value = node.get(key, default)
    plain = isinstance(value, list) and all(
        isinstance(v, int | float) and not isinstance(v, bool) for v in value
    )
    if not plain or len(value) != len(default):
        raise glb.fault(f"the {key} of a part is {str(value)[:60]}")
    try:
        return np.array(value, dtype=np.float64)
    except OverflowError as fault:
        raise glb.fault(f"the {key} of a part is {str(value)[:60]}") from fault


def _placed(glb: _Glb, node: dict[str, Any]) -> Floats:
    """(4, 4) where a part is, within the one it belongs to."""
    if "matrix" in node:
        return _numbers(glb, node, "matrix", [0.0] * 16).reshape(4, 4).T
    place = np.eye(4)
    turn = from_quaternion(_numbers(glb, node, "rotation", [0.0, 0.0, 0.0, 1.0]))
    place[:3, :3] = turn * _numbers(glb, node, "scale", [1.0, 1.0, 1.0])
    place[:3, 3] = _numbers(glb, node, "translation", [0.0, 0.0, 0.0])
    return place


def _positions(glb: _Glb, primitive: dict[str, Any]) -> Floats:
    attributes = primitive.get("attributes")
    if not isinstance(attributes, dict) or "POSITION" not in attributes:
        raise glb.fault("a mesh has no positions")
    accessor = glb.item("accessors", attributes["POSITION"])
    found = _array(glb, accessor, "VEC3")
    if accessor.get("normalized") and found.dtype.kind in "iu":
        return np.maximum(found / float(np.iinfo(found.dtype).max), -1.0)
    return found.astype(np.float64)


def _faces(glb: _Glb, primitive: dict[str, Any]) -> Longs | None:
    """(m, 3) corners, None for points and lines."""
    mode = primitive.get("mode", 4)
    if mode in (0, 1, 2, 3):
        return None
    if "indices" in primitive:
        accessor = glb.item("accessors", primitive["indices"])
        corners = _array(glb, accessor, "SCALAR").ravel()
        if corners.dtype.kind == "f":
            raise glb.fault("corners are not whole numbers")
        corners = corners.astype(np.int64)
    else:
        corners = np.arange(len(_positions(glb, primitive)), dtype=np.int64)
    if mode == 4:
        if len(corners) % 3:
            raise glb.fault(f"{len(corners)} corners do not make triangles")
        return corners.reshape(-1, 3)
    if mode == 5:  # a strip: every other triangle runs the other way round
        faces = np.column_stack([corners[:-2], corners[1:-1], corners[2:]])
        faces[1::2] = faces[1::2][:, [1, 0, 2]]
        return faces
    if mode == 6:
        first = np.full(max(len(corners) - 2, 0), corners[0] if len(corners) else 0)
        return np.column_stack([first, corners[1:-1], corners[2:]])
    raise glb.fault(f"its meshes are of an unknown kind ({mode!r})")


def _array(glb: _Glb, accessor: dict[str, Any], shape: str) -> np.ndarray:
    """Return the numbers of an accessor, checked against the block before any are made."""
    if accessor.get("type") != shape or accessor.get("componentType") not in _TYPES:
        raise glb.fault(f"numbers are of an unknown kind ({accessor.get('componentType')!r})")
    if "sparse" in accessor or "bufferView" not in accessor:
        raise glb.fault("its positions are given as changes to others, which is not read")
    dtype = _TYPES[accessor["componentType"]]
    width = _WIDTHS[shape]
    count = glb.whole(accessor, "count")
    view = glb.item("bufferViews", accessor["bufferView"])
    buffer = glb.item("buffers", view.get("buffer"))
    if "uri" in buffer or view["buffer"] != 0:
        raise ScanError(
            f"{glb.name} leans on another file, which is never opened. Export it as one GLB file "
            "with everything in it."
        )
    held = glb.whole(view, "byteLength")
    start = glb.whole(view, "byteOffset", 0) + glb.whole(accessor, "byteOffset", 0)
    step = glb.whole(view, "byteStride", 0) or dtype.itemsize * width
    inside = glb.whole(accessor, "byteOffset", 0) + (count - 1) * step + dtype.itemsize * width
    last = glb.whole(view, "byteOffset", 0) + held
    if count and (step < dtype.itemsize * width or inside > held or last > len(glb.block)):
        raise ScanError(
            f"{glb.name} is cut short: it promises {count} entries, more than its "
            f"{len(glb.block)} bytes hold. Copy or export it again."
        )
    if not count:
        return np.zeros((0, width), dtype=dtype)
    check_counts(glb.name, vertices=count)
    return np.ndarray((count, width), dtype, glb.block, start, (step, dtype.itemsize))
