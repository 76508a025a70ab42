"""Pieces of simple shape on a foot block, with only what the container needs."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import trimesh

from partline.geometry.surface import Surface
from partline.geometry.volume import volume


def surface_of(mesh: trimesh.Trimesh) -> Surface:
    return Surface(mesh.vertices, mesh.faces)


def cylinder(radius: float, height: float, low: float, sections: int = 256) -> Surface:
    """A many-sided prism whose corners lie on the circle."""
    mesh = trimesh.creation.cylinder(radius, height, sections=sections)
    mesh.apply_translation([0, 0, low + height / 2])
    return surface_of(mesh)


def block(x: float, y: float, z: float, low: float) -> Surface:
    mesh = trimesh.creation.box((x, y, z))
    mesh.apply_translation([0, 0, low + z / 2])
    return surface_of(mesh)


def ball(radius: float, low: float) -> Surface:
    mesh = trimesh.creation.icosphere(4, radius)
    mesh.apply_translation([0, 0, low + radius])
    return surface_of(mesh)


def standing(
    piece: Surface, *, foot: Surface | None = None, wall: float = 10.0, headroom: float = 13.0
) -> Any:
    """Return a stand with the attributes that `choose_container` reads."""
    solid = volume(piece) + (volume(foot) if foot is not None else 0.0)
    return SimpleNamespace(
        piece=piece,
        foot_block=SimpleNamespace(surface=foot) if foot is not None else None,
        cavity=SimpleNamespace(volume_mm3=solid),
        wall_mm=wall,
        headroom_mm=headroom,
        block_height_mm=float(piece.bounds[1, 2]) + headroom,
    )


def cut_at(*points: tuple[float, float, float]) -> Any:
    line = SimpleNamespace(points=np.array(points, dtype=float))
    return SimpleNamespace(lines=(line,))


def inscribed(radius: float, sections: int = 256) -> float:
    """Area of the many-sided outline that `cylinder` has."""
    return sections / 2 * radius**2 * math.sin(2 * math.pi / sections)
