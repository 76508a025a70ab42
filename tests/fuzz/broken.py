"""Small meshes that are broken in their topology: one from each random generator."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import trimesh

from partline.geometry.surface import Floats
from partline.scan.edges import Longs

Mesh = tuple[Floats, Longs]
Rng = np.random.Generator

BODIES = (
    trimesh.creation.icosphere(1, radius=10),
    trimesh.creation.box((10, 8, 6)),
    trimesh.creation.torus(10, 3, major_sections=12, minor_sections=8),
    trimesh.creation.cylinder(4, 9, sections=8),
)


def broken(rng: Rng) -> Mesh:
    """Return the (n, 3) vertices [mm] and (m, 3) faces of a mesh with up to five faults."""
    vertices, faces = SHAPES[int(rng.choice(len(SHAPES), p=SHARES))](rng)
    for _ in range(int(rng.integers(0, 6))):
        vertices, faces = FAULTS[int(rng.integers(len(FAULTS)))](rng, vertices, faces)
        if not len(faces):
            faces = np.array([[0, 1, 2]])
    return vertices, faces


def heap(rng: Rng) -> Mesh:
    """One to three bodies, squashed, mirrored, moved onto one another, inside out."""
    points, faces, count = [], [], 0
    for _ in range(int(rng.integers(1, 4))):
        body = BODIES[int(rng.integers(len(BODIES)))]
        size = rng.choice([1, 1, 1, -1, 0.5, 0], 3)
        points.append(np.array(body.vertices) * size + rng.choice([0, 0, 5, 10], 3))
        faces.append(np.array(body.faces)[:, :: rng.choice([1, 1, -1])] + count)
        count += len(points[-1])
    return np.vstack(points), np.vstack(faces)


def soup(rng: Rng, count: int = 0, corners: int = 0) -> Mesh:
    """Triangles anywhere, some with corners in common."""
    count = count or int(rng.integers(1, 400))
    if not corners and rng.random() < 0.5:
        return rng.normal(size=(3 * count, 3)) * 10, np.arange(3 * count).reshape(-1, 3)
    corners = corners or int(rng.integers(3, 60))
    return rng.normal(size=(corners, 3)) * 10, rng.integers(0, corners, (count, 3))


def book(rng: Rng, count: int = 0) -> Mesh:
    """Pages that share one edge, wound either way."""
    count = count or int(rng.integers(2, 120))
    angle = rng.uniform(0, 2 * np.pi, count)
    tips = np.column_stack([10 * np.cos(angle), 10 * np.sin(angle), rng.uniform(0, 10, count)])
    pages = np.column_stack([np.full(count, 0), np.full(count, 1), 2 + np.arange(count)])
    turned = rng.random(count) < 0.5
    pages[turned] = pages[turned][:, ::-1]
    return np.vstack([[[0, 0, 0], [0, 0, 10]], tips]), pages


def band(rng: Rng) -> Mesh:
    """A strip closed with any number of half twists, Moebius's among them."""
    count, twists = int(rng.integers(4, 40)), int(rng.integers(0, 4))
    turn = np.arange(count) * 2 * np.pi / count
    lean = 0.5 * twists * turn
    points = [
        np.column_stack(
            [
                (10 + side * np.cos(lean)) * np.cos(turn),
                (10 + side * np.cos(lean)) * np.sin(turn),
                side * np.sin(lean),
            ]
        )
        for side in (-3, 3)
    ]
    a = np.arange(count)
    b = (a + 1) % count
    near, far = a + count, b + count
    if twists % 2:
        near, far = near.copy(), far.copy()
        b[-1], far[-1] = count, 0
    faces = np.vstack([np.column_stack([a, b, near]), np.column_stack([b, far, near])])
    return np.vstack(points), faces


def complete(rng: Rng) -> Mesh:
    """Every triangle over a few points."""
    count = int(rng.integers(3, 9))
    faces = [(i, j, k) for i in range(count) for j in range(i) for k in range(j)]
    return rng.normal(size=(count, 3)) * 10, np.array(faces)


SHAPES: tuple[Callable[[Rng], Mesh], ...] = (heap, soup, book, band, complete)
SHARES = (0.6, 0.1, 0.1, 0.1, 0.1)


def _some(rng: Rng, faces: Longs) -> Longs:
    return faces[rng.integers(0, len(faces), 5)]


def missing(rng: Rng, vertices: Floats, faces: Longs) -> Mesh:
    return vertices, faces[rng.random(len(faces)) > rng.choice([0.02, 0.1, 0.9])]


def twice(rng: Rng, vertices: Floats, faces: Longs) -> Mesh:
    return vertices, np.vstack([faces, _some(rng, faces)])


def back_to_back(rng: Rng, vertices: Floats, faces: Longs) -> Mesh:
    more = faces if rng.random() < 0.3 else _some(rng, faces)
    return vertices, np.vstack([faces, more[:, ::-1]])


def on_a_grid(rng: Rng, vertices: Floats, faces: Longs) -> Mesh:
    step = rng.choice([1, 3, 10])
    return np.round(vertices / step) * step, faces


def wrong_corners(rng: Rng, vertices: Floats, faces: Longs) -> Mesh:
    faces = faces.copy()
    faces[rng.integers(0, len(faces), 6), rng.integers(0, 3, 6)] = rng.integers(0, len(vertices), 6)
    return vertices, faces


def shaken(rng: Rng, vertices: Floats, faces: Longs) -> Mesh:
    return vertices + rng.normal(size=vertices.shape) * rng.choice([1e-9, 1e-3, 1]), faces


def turned(rng: Rng, vertices: Floats, faces: Longs) -> Mesh:
    faces, some = faces.copy(), rng.random(len(faces)) < 0.3
    faces[some] = faces[some][:, ::-1]
    return vertices, faces


def flattened(rng: Rng, vertices: Floats, faces: Longs) -> Mesh:
    size = np.ones(3)
    size[rng.integers(0, 3, int(rng.integers(1, 3)))] = rng.choice([0, 1e-12, 1e-6, 1e-3])
    return vertices * size, faces


def far_away(rng: Rng, vertices: Floats, faces: Longs) -> Mesh:
    return vertices * 10.0 ** rng.integers(-6, 7) + 10.0 ** rng.integers(-3, 9), faces


def one_spike(rng: Rng, vertices: Floats, faces: Longs) -> Mesh:
    vertices = vertices.copy()
    vertices[int(rng.integers(len(vertices)))] *= 10.0 ** rng.integers(1, 8)
    return vertices, faces


def own_corners(rng: Rng, vertices: Floats, faces: Longs) -> Mesh:
    """Each face with corners of its own, as in an STL file, a little apart or not at all."""
    points = vertices[faces].reshape(-1, 3)
    points = points + rng.normal(size=points.shape) * rng.choice([0, 1e-12, 1e-7, 1e-4])
    return points, np.arange(len(points)).reshape(-1, 3)


FAULTS: tuple[Callable[[Rng, Floats, Longs], Mesh], ...] = (
    missing, twice, back_to_back, on_a_grid, wrong_corners, shaken, turned, flattened, far_away,
    one_spike, own_corners,
)  # fmt: skip


def as_obj(mesh: Mesh) -> bytes:
    """The mesh as the text of an OBJ file, to the last bit."""
    points = "".join(f"v {x!r} {y!r} {z!r}\n" for x, y, z in mesh[0].astype(float).tolist())
    faces = "".join(f"f {a} {b} {c}\n" for a, b, c in (mesh[1] + 1).tolist())
    return (points + faces).encode()
