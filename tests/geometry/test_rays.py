"""Ray casts: no ray slips between two triangles."""

from __future__ import annotations

import numpy as np
import pytest

from partline.geometry.rays import Rays
from partline.geometry.surface import Surface


def ball(rings: int, sides: int) -> Surface:
    a = np.linspace(0, np.pi, rings + 2)[1:-1]
    b = 2 * np.pi * np.arange(sides) / sides
    points = np.stack(
        [np.outer(np.sin(a), np.cos(b)), np.outer(np.sin(a), np.sin(b)),
         np.repeat(np.cos(a)[:, None], sides, axis=1)], axis=2,
    ).reshape(-1, 3)  # fmt: skip
    i = np.arange(sides)
    j = (i + 1) % sides
    north, south = len(points), len(points) + 1
    faces = [np.column_stack([np.full(sides, north), i, j])]
    for k in range(rings - 1):
        p, q = k * sides, (k + 1) * sides
        faces += [np.column_stack([p + i, q + i, q + j]), np.column_stack([p + i, q + j, p + j])]
    last = (rings - 1) * sides
    faces.append(np.column_stack([np.full(sides, south), last + j, last + i]))
    return Surface(np.vstack([points, [[0, 0, 1], [0, 0, -1]]]), np.vstack(faces))


def test_distance_to_a_fine_ball() -> None:
    surface = ball(60, 121)
    rng = np.random.default_rng(1)
    rays = rng.normal(size=(2000, 3))
    rays /= np.linalg.norm(rays, axis=1, keepdims=True)
    distance, face = Rays(surface).first([0.0, 0.0, 0.0], rays)
    assert (face >= 0).all()
    assert (distance <= 1 + 1e-12).all()
    assert (distance > np.cos(np.pi / 55)).all()


def test_rays_at_corners_and_edges_always_hit() -> None:
    surface = ball(40, 77)
    rays = Rays(surface)
    origin = np.array([0.1, -0.2, 0.05])
    a, b = surface.vertices[surface.edges[:, 0]], surface.vertices[surface.edges[:, 1]]
    rng = np.random.default_rng(2)
    targets = np.vstack(
        [surface.vertices] + [a + s * (b - a) for s in rng.uniform(0, 1, (6, len(a), 1))]
    )
    distance, face = rays.first(origin, targets - origin)
    assert (face >= 0).all()
    assert distance == pytest.approx(1.0, abs=1e-9)


@pytest.mark.parametrize("faces", [2, 3, 5, 17, 100, 1001])
def test_the_tree_finds_what_every_face_asked_alone_finds(faces: int) -> None:
    rng = np.random.default_rng(faces)
    corners = rng.uniform(-1, 1, (faces, 1, 3)) + rng.normal(0, 0.2, (faces, 3, 3))
    surface = Surface(corners.reshape(-1, 3), np.arange(3 * faces).reshape(-1, 3))
    origins, ways = rng.uniform(-2, 2, (200, 3)), rng.normal(size=(200, 3))
    ways[:60] = np.eye(3)[rng.integers(3, size=60)]
    distance, face = Rays(surface).first(origins, ways)
    # Every triangle by Cramer's rule (Moeller and Trumbore 1997).
    best = np.full(200, np.inf)
    which = np.full(200, -1)
    for f, (p, q, r) in enumerate(surface.vertices[surface.faces]):
        normal = np.cross(q - p, r - p)
        with np.errstate(divide="ignore", invalid="ignore"):
            t = (p - origins) @ normal / (ways @ normal)
            hit = origins + t[:, None] * ways - p
            u = np.cross(hit, r - p) @ normal / (normal @ normal)
            v = np.cross(q - p, hit) @ normal / (normal @ normal)
        good = (u >= 0) & (v >= 0) & (u + v <= 1) & (t > 1e-9) & (t < best)
        best[good], which[good] = t[good], f
    assert (face == which).all()
    assert distance == pytest.approx(best, rel=1e-9)


def test_a_ray_leaves_the_face_it_starts_on() -> None:
    surface = ball(10, 20)
    middle = surface.vertices[surface.faces].mean(axis=1)
    out, _ = Rays(surface).first(middle, surface.face_normals)
    assert np.isinf(out).all()
    inward, face = Rays(surface).first(middle, -surface.face_normals)
    assert (face != np.arange(len(face))).all()
    assert (inward > 1.0).all()
    assert not (Rays(surface).first([0, 0, 3], [0, 0, 1])[1] >= 0).any()


def test_a_ray_through_a_ball_goes_in_and_comes_out() -> None:
    rays = Rays(ball(10, 20))
    ways = np.random.default_rng(4).normal(size=(50, 3))
    for start, goes_in in ((-9.0 * ways, True), (0.01 * ways, False)):
        _, face = rays.first(start, ways)
        assert (face >= 0).all()
        assert (rays.entering(face, ways) == goes_in).all()


def test_boxes_beyond_the_last_face_let_no_ray_in() -> None:
    """17 faces fill 5 of 8 leaves; an oblique ray past them all must not walk the empty ones."""
    from partline.geometry.rays import build_tree, first_hit

    tree = build_tree(Surface(ball(3, 6).vertices, ball(3, 6).faces[:17]))
    empty = tree.low[:, 0] > tree.high[:, 0]
    assert empty.sum() > 1
    # Faces put into an empty leaf are found only by a ray that walks it.
    leaf = int(np.flatnonzero(empty)[-1]) - len(tree.low) // 2
    rows = 4 * leaf + 4
    wall = np.array([[-9.0, -9.0, 5.0], [9.0, -9.0, 5.0], [0.0, 9.0, 5.0]])
    corners = np.concatenate([tree.corners, np.tile(wall, (rows - 17, 1, 1))])
    order = np.arange(rows, dtype=np.int32)
    faces = np.zeros((rows, 3), dtype=np.int32)
    padded = tree._replace(corners=corners, order=order, faces=faces)
    assert first_hit(padded, 0.0, 0.0, 3.0, 0.1, 0.2, 1.0, 0.0, np.inf, -1)[1] == -1
