"""Bodies with known detail, for the tests of this folder."""

from __future__ import annotations

import numpy as np
from scipy.spatial import ConvexHull

from partline.geometry.surface import Surface


def grid_faces(rows: int, columns: int, *, around: bool = False, along: bool = False) -> np.ndarray:
    """Faces of a grid of vertices, diagonals alternating; closed around or along if asked."""
    r = np.arange(rows if along else rows - 1)
    c = np.arange(columns if around else columns - 1)
    r, c = (a.ravel() for a in np.meshgrid(r, c, indexing="ij"))
    r1, c1 = (r + 1) % rows, (c + 1) % columns
    a, b, d, e = r * columns + c, r * columns + c1, r1 * columns + c, r1 * columns + c1
    even = ((r + c) % 2 == 0)[:, None]
    first = np.where(even, np.column_stack([a, b, e]), np.column_stack([a, b, d]))
    second = np.where(even, np.column_stack([a, e, d]), np.column_stack([b, e, d]))
    return np.vstack([first, second])


def plate(width: float, height: float, step: float, relief) -> Surface:
    """A flat plate whose z is `relief(x, y)`; normals up."""
    x = np.linspace(0, width, round(width / step) + 1)
    y = np.linspace(0, height, round(height / step) + 1)
    gy, gx = np.meshgrid(y, x, indexing="ij")
    z = relief(gx, gy) + 0.0 * gx
    faces = grid_faces(len(y), len(x))
    return Surface(np.column_stack([gx.ravel(), gy.ravel(), z.ravel()]), faces)


def torus(big: float, small: float, step: float, relief=None) -> Surface:
    """A torus; `relief(u, v)` is added along the normal, u and v lengths on the middle circles."""
    nu, nv = round(2 * np.pi * big / step), round(2 * np.pi * small / step)
    u, v = np.meshgrid(
        np.arange(nu) * 2 * np.pi / nu, np.arange(nv) * 2 * np.pi / nv, indexing="ij"
    )
    u, v = u.ravel(), v.ravel()
    normal = np.column_stack([np.cos(v) * np.cos(u), np.cos(v) * np.sin(u), np.sin(v)])
    circle = np.column_stack([big * np.cos(u), big * np.sin(u), 0 * u])
    added = 0.0 if relief is None else relief(u * big, v * small)[:, None]
    faces = grid_faces(nu, nv, around=True, along=True)[:, ::-1]
    return Surface(circle + (small + added) * normal, faces)


def random_sphere(
    count: int, radius: float, seed: int = 0, points: np.ndarray | None = None
) -> Surface:
    """A sphere over random points, or those given: a mesh as uneven as meshes get."""
    if points is None:
        points = np.random.default_rng(seed).normal(size=(count, 3))
    points = points / np.linalg.norm(points, axis=1, keepdims=True)
    faces = ConvexHull(points).simplices.copy()
    a, b, c = (points[faces[:, k]] for k in range(3))
    inward = np.einsum("ij,ij->i", np.cross(b - a, c - a), a) < 0
    faces[inward] = faces[inward][:, ::-1]
    return Surface(points * radius, faces)


def roughened(surface: Surface, noise: float, seed: int = 5) -> Surface:
    """The surface with normal noise of a known deviation."""
    strays = np.random.default_rng(seed).normal(size=(len(surface.vertices), 1)) * noise
    return Surface(surface.vertices + strays * surface.vertex_normals, surface.faces)


def cylinder(radius: float, height: float, step: float) -> Surface:
    """A closed cylinder, base at z = 0, evenly meshed, with clean rims."""
    around = round(2 * np.pi * radius / step)
    up = round(height / step)
    angle = np.arange(around) * 2 * np.pi / around
    ring = np.column_stack([np.cos(angle), np.sin(angle)]) * radius
    rows = [np.column_stack([ring, np.full(around, z)]) for z in np.linspace(0, height, up + 1)]
    wall = grid_faces(up + 1, around, around=True)
    points = [np.vstack(rows)]
    faces = [wall]
    count = len(points[0])
    for z, first, outward_up in ((0.0, 0, False), (height, up * around, True)):
        outer = np.arange(around) + first
        for radius_in in np.arange(radius - step, 0.5 * step, -step):
            keep = max(8, round(2 * np.pi * radius_in / step))
            inner_angle = np.arange(keep) * 2 * np.pi / keep
            scaled = np.column_stack(
                [
                    np.cos(inner_angle) * radius_in,
                    np.sin(inner_angle) * radius_in,
                    z + 0 * inner_angle,
                ]
            )
            inner = np.arange(keep) + count
            points.append(scaled)
            count += keep
            faces.append(_between(outer, inner, up=outward_up))
            outer = inner
        points.append(np.array([[0.0, 0.0, z]]))
        tip = np.column_stack([outer, np.roll(outer, -1), np.full(len(outer), count)])
        faces.append(tip if outward_up else tip[:, ::-1])
        count += 1
    return Surface(np.vstack(points), np.vstack(faces))


def _between(outer: np.ndarray, inner: np.ndarray, *, up: bool) -> np.ndarray:
    """Triangles of a flat ring between two circles of vertices that both start at angle 0."""
    i = j = 0
    n, m = len(outer), len(inner)
    out = []
    while i < n or j < m:
        if j == m or (i < n and (i + 1) * m <= (j + 1) * n):
            out.append((outer[i % n], outer[(i + 1) % n], inner[j % m]))
            i += 1
        else:
            out.append((outer[i % n], inner[(j + 1) % m], inner[j % m]))
            j += 1
    faces = np.array(out)
    return faces if up else faces[:, ::-1]


def rounded_block(size: tuple[float, float, float], radius: float, step: float) -> Surface:
    """A closed block round the origin, its rims and corners rounded; vertices strewn on its sides.

    Points of a sharp block are moved to the nearest place on the rounded one.
    """
    half, strewn = np.array(size) / 2, np.random.default_rng(3)
    points, faces, count = [], [], 0
    for axis in range(3):
        u, v = (axis + 1) % 3, (axis + 2) % 3
        rows, columns = (round(size[k] / step) + 1 for k in (u, v))
        along_u, along_v = np.linspace(-1, 1, rows), np.linspace(-1, 1, columns)
        for side in (-1.0, 1.0):
            grid = np.empty((rows, columns, 3))
            grid[..., u], grid[..., v] = half[u] * along_u[:, None], half[v] * along_v
            grid[..., axis] = side * half[axis]
            inner = grid[1:-1, 1:-1]
            for k in (u, v):
                inner[..., k] += strewn.uniform(-0.3 * step, 0.3 * step, inner.shape[:2])
            points.append(grid.reshape(-1, 3))
            own = grid_faces(rows, columns) + count
            faces.append(own if side < 0 else own[:, ::-1])
            count += rows * columns
    every = np.vstack(points)
    # Sides share the vertices of their rims.
    _, kept, number = np.unique(np.round(every, 6), axis=0, return_index=True, return_inverse=True)
    core = np.clip(every[kept], radius - half, half - radius)
    away = every[kept] - core
    away /= np.linalg.norm(away, axis=1, keepdims=True)
    return Surface(core + radius * away, number.reshape(-1)[np.vstack(faces)])


def grooved(wave: float, radius: float, step: float = 0.25) -> Surface:
    """A plate 30 mm wide with grooves in parallel, flanks at 35 degrees, crests rounded off.

    The zigzag is averaged over `radius` to both sides.
    """
    offsets = np.linspace(-radius, radius, 41)

    def height(x, _):
        return np.mean([0.7 * np.abs((x + d) % wave - wave / 2) for d in offsets], axis=0)

    return plate(30, 30, step, height)
