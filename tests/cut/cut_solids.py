"""Solids with known answers, and a stand under them."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import trimesh

from partline.geometry.surface import Surface


def solid(*parts: trimesh.Trimesh) -> Surface:
    mesh = trimesh.boolean.union(list(parts)) if len(parts) > 1 else parts[0]
    return Surface(mesh.vertices, mesh.faces)


def cylinder(radius: float, low: float, high: float, x: float = 0.0, sections: int = 256):
    mesh = trimesh.creation.cylinder(radius, high - low, sections=sections)
    mesh.apply_translation([x, 0.0, (low + high) / 2])
    return mesh


def ball(radius: float, middle: float, level: int = 5):
    mesh = trimesh.creation.icosphere(level, radius)
    mesh.apply_translation([0.0, 0.0, middle])
    return mesh


def turned(profile: np.ndarray, sections: int = 96) -> Surface:
    """A solid of revolution from (k, 2) radius and height, rising, closed by flat ends."""
    angle = np.arange(sections) * 2 * np.pi / sections
    k = len(profile)
    rings = np.stack(
        [
            np.outer(profile[:, 0], np.cos(angle)),
            np.outer(profile[:, 0], np.sin(angle)),
            np.outer(profile[:, 1], np.ones(sections)),
        ],
        axis=2,
    ).reshape(-1, 3)
    ends = [[0, 0, profile[0, 1]], [0, 0, profile[-1, 1]]]
    points = np.concatenate([rings, ends])
    i, j = np.meshgrid(np.arange(k - 1), np.arange(sections), indexing="ij")
    a, b = i * sections + j, i * sections + (j + 1) % sections
    c, d = a + sections, b + sections
    sides = np.concatenate(
        [np.stack([a, b, d], 2).reshape(-1, 3), np.stack([a, d, c], 2).reshape(-1, 3)]
    )
    ring = np.arange(sections)
    nxt = (ring + 1) % sections
    bottom = np.column_stack([nxt, ring, np.full(sections, len(rings))])
    last = (k - 1) * sections
    top = np.column_stack([last + ring, last + nxt, np.full(sections, len(rings) + 1)])
    return Surface(points, np.concatenate([sides, bottom, top]))


def bollard(sections: int = 96) -> Surface:
    """A post of radius 8 that swells to a knob of radius 14: 60 mm high, all smooth."""
    height = np.linspace(0, 60, 90)
    radius = 8 + 6 * np.exp(-(((height - 42) / 9) ** 2))
    return turned(np.column_stack([radius, height]), sections)


def standing(piece: Surface, *, seat: float = 15.0, wall: float = 12.0, headroom: float = 12.0):
    """A stand under a piece whose flat underside is its lowest point."""
    low = piece.bounds[0, 2]
    lift = np.eye(4)
    lift[2, 3] = seat - low
    piece = piece.moved(lift)
    flat = (np.abs(piece.vertices[piece.faces][:, :, 2] - seat) < 1e-9).all(axis=1)
    top = float(piece.bounds[1, 2])
    master = SimpleNamespace(
        from_file=lambda p: np.atleast_2d(np.asarray(p, dtype=float)),
        file_faces=np.arange(len(piece.faces)) + 100,
    )
    return SimpleNamespace(
        master=master,
        piece=piece,
        piece_faces=np.where(flat, -1, np.arange(len(piece.faces))),
        lift_mm=seat - low,
        seat_mm=seat,
        top_mm=top,
        wall_mm=wall,
        headroom_mm=headroom,
        block_height_mm=top + headroom,
    )


def detail_of(piece: Surface, weight: np.ndarray | None = None, hard: np.ndarray | None = None):
    pairs = np.zeros((0, 2), dtype=np.int32) if hard is None else hard
    return SimpleNamespace(
        weight=np.zeros(len(piece.vertices)) if weight is None else weight,
        hard_edges=pairs,
        hard_convex=np.ones(len(pairs), dtype=bool),
        noise_mm=0.0,
    )


def around(piece: Surface, low: float, high: float, bearing: float, half: float) -> np.ndarray:
    """Vertices between two heights and within `half` degrees of a bearing from the front mark."""
    x, y, z = piece.vertices.T
    way = np.degrees(np.arctan2(x, -y)) % 360
    off = np.abs((way - bearing + 180) % 360 - 180)
    return (z >= low) & (z <= high) & (off <= half)
