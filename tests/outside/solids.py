"""Random solids with tunnels and islands, and an exact count of their air by another way."""

from __future__ import annotations

from itertools import pairwise

import manifold3d as m3
import numpy as np
from skimage.measure import marching_cubes
from trimesh.triangles import closest_point

from partline.air.cavity import Cavity
from partline.geometry.surface import Surface
from partline.geometry.volume import volume


def boolean_solid(seed: int) -> Surface:
    """Return a block with balls and boxes taken out of it and others left floating inside.

    Coordinates are rounded to halves half of the time, so that equal heights and flat ceilings
    are common.
    """
    rng = np.random.default_rng(seed)

    def piece() -> m3.Manifold:
        size = rng.uniform(1.0, 4.0, 3)
        place = rng.uniform(-4.5, 4.5, 3)
        if seed % 2:
            size, place = np.ceil(size * 2) / 2, np.round(place * 2) / 2
        kind = rng.integers(3)
        if kind == 0:
            body = m3.Manifold.cube(size, True)
        elif kind == 1:
            body = m3.Manifold.sphere(float(size[0]) / 1.5, int(rng.integers(6, 14)))
        else:
            body = m3.Manifold.cylinder(
                float(size[2]),
                float(size[0]) / 2,
                float(size[1]) / 2,
                int(rng.integers(5, 12)),
                True,
            )
        if not seed % 2:
            body = body.rotate(rng.uniform(0, 360, 3))
        return body.translate(place)

    solid = m3.Manifold.cube([9.0, 9.0, 9.0], True)
    for _ in range(int(rng.integers(4, 14))):
        solid = solid - piece()
    for _ in range(int(rng.integers(2, 10))):
        solid = solid + (piece() ^ m3.Manifold.cube([9.0, 9.0, 9.0], True))
    return solid_of(solid)


def with_outlets(surface: Surface, seed: int) -> Cavity:
    """Return the cavity with a few random outlet vertices."""
    rng = np.random.default_rng(seed + 1)
    count = int(rng.integers(1, 5))
    return Cavity(surface, rng.choice(len(surface.vertices), count, replace=False))


def smooth_solid(seed: int, *, cells: int = 12) -> Surface:
    """Return where a sum of random waves is positive, inside a box; tunnels and islands abound."""
    rng = np.random.default_rng(seed)
    grid = np.stack(np.meshgrid(*[np.linspace(0, 1, cells)] * 3, indexing="ij"), axis=-1)
    field = np.full(grid.shape[:3], 0.15)
    for _ in range(10):
        wave = rng.normal(0, 5.0, 3)
        field += 0.35 * np.sin(grid @ wave + rng.uniform(0, 2 * np.pi))
    field = np.pad(field, 1, constant_values=-1.0)
    vertices, faces, _, _ = marching_cubes(field, 0.0)
    return solid_of(manifold_of(outward(vertices.astype(float) / cells, faces)))


def outward(vertices: np.ndarray, faces: np.ndarray) -> Surface:
    """Return the surface with its faces flipped if it is inside out."""
    surface = Surface(vertices, faces)
    return surface if volume(surface) > 0 else Surface(vertices, np.asarray(faces)[:, ::-1])


def manifold_of(surface: Surface) -> m3.Manifold:
    """Return the surface for manifold3d, in double precision."""
    body = m3.Manifold(m3.Mesh64(np.array(surface.vertices), surface.faces.astype(np.uint64)))
    assert body.status() == m3.Error.NoError
    return body


def solid_of(body: m3.Manifold) -> Surface:
    """Return a manifold as a surface."""
    mesh = body.to_mesh64()
    return Surface(np.asarray(mesh.vert_properties)[:, :3], np.asarray(mesh.tri_verts))


class _Body:
    """One connected region of a trimmed solid: an outer shell and the hollows inside it."""

    def __init__(self, shell: m3.Manifold) -> None:
        self.shells = [shell]
        self.triangles = [_triangles(shell)]

    def holds(self, point: np.ndarray) -> bool:
        """Tell whether a point lies inside the outer shell, by its winding number."""
        a, b, c = (self.triangles[0][:, k] - point for k in range(3))
        la, lb, lc = (np.linalg.norm(x, axis=1) for x in (a, b, c))
        turn = np.einsum("ij,ij->i", a, np.cross(b, c))
        dots = la * lb * lc
        for p, q, length in ((a, b, lc), (b, c, la), (c, a, lb)):
            dots = dots + np.einsum("ij,ij->i", p, q) * length
        return bool(2 * np.arctan2(turn, dots).sum() / (4 * np.pi) > 0.5)

    def distance(self, point: np.ndarray) -> float:
        """Return how far a point is from the region's skin."""
        triangles = np.concatenate(self.triangles)
        near = closest_point(triangles, np.broadcast_to(point, (len(triangles), 3)))
        return float(np.linalg.norm(near - point, axis=1).min())


def _triangles(shell: m3.Manifold) -> np.ndarray:
    surface = solid_of(shell)
    return surface.vertices[surface.faces]


def _bodies(solid: m3.Manifold) -> list[_Body]:
    """Return the connected regions of a solid."""
    shells = [s for s in solid.decompose() if not s.is_empty()]
    found = sorted((_Body(s) for s in shells if s.volume() > 0), key=lambda b: b.shells[0].volume())
    for hollow in (s for s in shells if s.volume() < 0):
        point = _triangles(hollow)[0, 0]
        owner = next(b for b in found if b.holds(point))
        owner.shells.append(hollow)
        owner.triangles.append(_triangles(hollow))
    return found


def air_by_slabs(cavity: Cavity, up: np.ndarray) -> float:
    """Return the trapped air from manifold booleans; shares no code with the analysis.

    Between two successive vertex heights the regions above a level stay the same, so a slab's
    part of a region is air exactly when the region above the slab's floor holds no outlet.
    """
    u = np.asarray(up, dtype=float) / np.linalg.norm(up)
    points = cavity.surface.vertices
    h = points @ u
    size = float(np.ptp(h))
    heights = np.unique(np.round(h / size, 9)) * size
    solid = manifold_of(cavity.surface)
    total = 0.0
    for low, high in pairwise(heights):
        floor = low + 1e-8 * size
        above = solid.trim_by_plane(list(u), floor)
        outlets = [points[v] for v in cavity.outlets if h[v] > floor]
        free: set[int] = set()
        bodies = _bodies(above)
        for point in outlets:
            free.add(int(np.argmin([b.distance(point) for b in bodies])))
        for i, body in enumerate(bodies):
            if i not in free:
                total += _slab(np.concatenate(body.triangles), u, low, high)
    return total


def _slab(triangles: np.ndarray, u: np.ndarray, low: float, high: float) -> float:
    """Return the volume of a region between two heights with no vertex between them.

    Its section is a quadratic in height: two Gauss points are exact.
    """
    middle, reach = (low + high) / 2, (high - low) / 2 / np.sqrt(3.0)
    return (high - low) / 2 * sum(_area(triangles, u, middle + s) for s in (-reach, reach))


def _area(triangles: np.ndarray, u: np.ndarray, level: float) -> float:
    """Return the signed area of a section, from the segment each triangle leaves in it."""
    g = triangles @ u - level
    above = g > 0
    cut = above.any(axis=1) & ~above.all(axis=1)
    triangles, g, above = triangles[cut], g[cut], above[cut]
    # Bring the corner that is alone on its side to the front.
    odd = np.where(above.sum(axis=1) == 1, above.argmax(axis=1), above.argmin(axis=1))
    rows = np.arange(len(odd))[:, None]
    turn = (odd[:, None] + np.arange(3)) % 3
    triangles, g = triangles[rows, turn], g[rows, turn]
    p, q = (
        triangles[:, 0]
        + (g[:, 0] / (g[:, 0] - g[:, k]))[:, None] * (triangles[:, k] - triangles[:, 0])
        for k in (1, 2)
    )
    # With the lone corner above, the triangle's boundary runs from q to p along its lower edge.
    sign = np.where(g[:, 0] > 0, -1.0, 1.0)
    origin = triangles.mean(axis=(0, 1)) if len(triangles) else 0.0
    return float(0.5 * (sign * (np.cross(q - origin, p - origin) @ u)).sum())
