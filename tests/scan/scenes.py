"""GLB and 3MF files built by hand, from the words of their standards."""

from __future__ import annotations

import io
import json
import struct
import zipfile

import numpy as np

CORNERS = np.array([[x, y, z] for x in (0, 2) for y in (0, 3) for z in (0, 4)], dtype="<f4")
BOX = np.array(
    [[0, 1, 3], [0, 3, 2], [4, 7, 5], [4, 6, 7], [0, 5, 1], [0, 4, 5],
     [2, 3, 7], [2, 7, 6], [0, 2, 6], [0, 6, 4], [1, 5, 7], [1, 7, 3]], dtype="<u2",
)  # fmt: skip
VOLUME = 24.0


def glb(points: np.ndarray = CORNERS, faces: np.ndarray = BOX, **changes: object) -> bytes:
    """One box; changes replace whole lists of the header, like nodes=[...]."""
    block = points.astype("<f4").tobytes() + faces.astype("<u2").tobytes()
    size = len(points) * 12
    header: dict[str, object] = {
        "asset": {"version": "2.0"},
        "scene": 0,
        "scenes": [{"nodes": [0]}],
        "nodes": [{"mesh": 0}],
        "meshes": [{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1}]}],
        "accessors": [
            {"bufferView": 0, "componentType": 5126, "count": len(points), "type": "VEC3"},
            {"bufferView": 1, "componentType": 5123, "count": faces.size, "type": "SCALAR"},
        ],
        "bufferViews": [
            {"buffer": 0, "byteOffset": 0, "byteLength": size},
            {"buffer": 0, "byteOffset": size, "byteLength": len(block) - size},
        ],
        "buffers": [{"byteLength": len(block)}],
    } | changes
    return packed(json.dumps(header).encode(), block)


def packed(text: bytes, block: bytes) -> bytes:
    """The container: header, JSON and the block behind it, each on four bytes."""
    text += b" " * (-len(text) % 4)
    block += b"\x00" * (-len(block) % 4)
    body = struct.pack("<I4s", len(text), b"JSON") + text
    body += struct.pack("<I4s", len(block), b"BIN\x00") + block
    return b"glTF" + struct.pack("<II", 2, 12 + len(body)) + body


def model(
    items: str = '<item objectid="1"/>', *, unit: str = ' unit="millimeter"', more: str = "",
    head: str = "",
) -> str:  # fmt: skip
    """The XML of one 3MF model with a box as object 1."""
    points = "".join(f'<vertex x="{x:g}" y="{y:g}" z="{z:g}"/>' for x, y, z in CORNERS)
    faces = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in BOX)
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>{head}<model{unit} '
        'xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02" '
        'xmlns:p="http://schemas.microsoft.com/3dmanufacturing/production/2015/06">'
        f'<resources><object id="1" type="model"><mesh><vertices>{points}</vertices>'
        f"<triangles>{faces}</triangles></mesh></object>{more}</resources>"
        f"<build>{items}</build></model>"
    )


def threemf(files: dict[str, str] | None = None, **kind: str) -> bytes:
    """A zip of models; by default one with a box."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in (files or {"3D/3dmodel.model": model(**kind)}).items():
            archive.writestr(name, text)
    return out.getvalue()
