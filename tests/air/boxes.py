"""Cavities made of boxes, up is +z; volumes can be counted by hand."""

from __future__ import annotations

import manifold3d as m3
import numpy as np

from partline.geometry.surface import Surface


def block(low: tuple[float, float, float], high: tuple[float, float, float]) -> m3.Manifold:
    """Return the box between two corners."""
    return m3.Manifold.cube([b - a for a, b in zip(low, high, strict=True)]).translate(list(low))


def surface_of(body: m3.Manifold) -> Surface:
    """Return a manifold as a surface."""
    mesh = body.to_mesh64()
    return Surface(np.asarray(mesh.vert_properties)[:, :3], np.asarray(mesh.tri_verts))


def at(surface: Surface, **where: float) -> np.ndarray:
    """Return the vertices with the given coordinates, e.g. ``at(surface, z=0.0)``."""
    chosen = np.ones(len(surface.vertices), dtype=bool)
    for axis, value in where.items():
        chosen &= np.abs(surface.vertices[:, "xyz".index(axis)] - value) < 1e-9
    return np.flatnonzero(chosen)


def joined(*parts: Surface) -> Surface:
    """Return surfaces side by side as one, nothing merged."""
    start = np.cumsum([0] + [len(p.vertices) for p in parts])
    return Surface(
        np.vstack([p.vertices for p in parts]),
        np.vstack([p.faces + s for p, s in zip(parts, start, strict=False)]),
    )


def merged_points(surface: Surface) -> Surface:
    """Return the surface with equal points made one vertex."""
    points, back = np.unique(surface.vertices, axis=0, return_inverse=True)
    return Surface(points, back.reshape(-1)[surface.faces])


def cone(tip: tuple[float, float, float], height: float) -> Surface:
    """Return a square pyramid of base 2 x 2 that hangs down (height < 0) or stands on its tip."""
    t = np.array(tip)
    base = t + np.array([[1, 1, height], [-1, 1, height], [-1, -1, height], [1, -1, height]])
    faces = np.array([[0, 1, 2], [0, 1, 3], [0, 2, 4], [0, 3, 4], [0, 4, 1]])
    faces = np.array([[0, 1, 2], [0, 2, 3], [0, 3, 4], [0, 4, 1], [1, 3, 2], [1, 4, 3]])
    vertices = np.vstack([t, base])
    surface = Surface(vertices, faces)
    volume = np.linalg.det(vertices[faces] - vertices.mean(axis=0)).sum()
    return surface if volume > 0 else Surface(vertices, faces[:, ::-1])


def solid(surface: Surface) -> m3.Manifold:
    """Return a surface for manifold3d."""
    return m3.Manifold(m3.Mesh64(np.array(surface.vertices), surface.faces.astype(np.uint64)))
