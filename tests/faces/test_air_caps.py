"""The drawn body of air is the pocket itself: closed, with the lid flat at the spill level."""

from __future__ import annotations

import numpy as np
import pytest
from fake_plan import fake_plan, turned

from partline.air.trapped_air import Pocket, TrappedAir
from partline.faces.air_caps import air_bodies, air_body
from partline.geometry.surface import Surface
from partline.geometry.volume import is_closed, volume


def _dome(radius: float, level: float, around: int) -> tuple[Surface, TrappedAir]:
    turn = np.linspace(-np.pi / 2, np.pi / 2, around // 2)
    ball = turned(radius * np.column_stack([np.cos(turn), np.sin(turn)]).round(12), around=around)
    inside = ball.vertices[:, 2] > level
    top = int(np.argmax(ball.vertices[:, 2]))
    pocket = Pocket(
        1.0,
        ball.vertices[top],
        level,
        radius - level,
        5.0,
        True,
        1.0,
        np.array([top], dtype=np.int32),
    )
    up = np.array([0.0, 0.0, 1.0])
    return ball, TrappedAir(
        up, 1.0, 0.0, 1.0, 0.0, 0.0, (pocket,), "brim", np.where(inside, 0, -1).astype(np.int32)
    )


def _volume(body_ceiling: Surface, lid: Surface) -> float:
    faces = np.vstack([body_ceiling.faces, lid.faces + len(body_ceiling.vertices)])
    return volume(Surface(np.vstack([body_ceiling.vertices, lid.vertices]), faces))


def test_a_spherical_cap_has_the_volume_of_the_book():
    """V = pi h^2 (3r - h) / 3, the spherical cap (Bronstein, Handbook of Mathematics)."""
    radius, level = 10.0, 4.0
    ball, air = _dome(radius, level, 240)
    body = air_body(ball, air, 0)
    h = radius - level
    # An inscribed ball is smaller than the true one, always.
    found, truth = _volume(body.ceiling, body.lid), np.pi * h**2 * (3 * radius - h) / 3
    assert 0.998 * truth < found < truth
    assert np.allclose(body.lid.vertices[:, 2], level)
    assert (body.lid.face_normals[body.lid.face_areas > 1e-9] @ air.up < -0.999).all()


def test_a_ring_of_air_gets_a_lid_with_a_hole():
    plan = fake_plan()
    for pour, cavity in (
        (plan.rubber_pour, plan.stand.rubber_cavity),
        (plan.resin_pour, plan.stand.cavity),
    ):
        body = air_body(cavity.surface, pour.level, 0)
        radius = np.hypot(*body.lid.vertices[:, :2].T)
        assert body.lid.face_areas.sum() < 0.9 * np.pi * radius.max() ** 2
        assert radius.min() > 8.9
        assert np.allclose(body.lid.vertices @ pour.level.up, pour.level.pockets[0].spill_level_mm)
        assert _volume(body.ceiling, body.lid) > 0


def test_ceiling_and_lid_close_up():
    ball, air = _dome(10.0, 4.05, 40)
    body = air_body(ball, air, 0)
    points = np.vstack([body.ceiling.vertices, body.lid.vertices])
    faces = np.vstack([body.ceiling.faces, body.lid.faces + len(body.ceiling.vertices)])
    _, first, number = np.unique(points.round(9), axis=0, return_index=True, return_inverse=True)
    assert is_closed(Surface(points[first], number.ravel()[faces]))


def test_a_body_without_an_outlet_is_shown_whole():
    ball, air = _dome(10.0, 4.0, 40)
    shut = air.pockets[0]
    pocket = Pocket(shut.volume_mm3, shut.apex, -np.inf, np.inf, 0.0, True, 1.0, shut.tops)
    whole = TrappedAir(
        air.up, 1.0, 0.0, 1.0, 1.0, 0.0, (pocket,), "brim", np.zeros_like(air.pocket_of)
    )
    body = air_body(ball, whole, 0)
    assert len(body.ceiling.faces) == len(ball.faces)
    assert len(body.lid.faces) == 0
    assert volume(body.ceiling) == pytest.approx(volume(ball))


def test_a_ceiling_is_drawn_off_the_skin_and_cut_where_the_air_ends():
    ball, air = _dome(10.0, 4.0, 60)
    (there,) = air_bodies(ball, air)
    (lifted,) = air_bodies(ball, air, lift_mm=0.5)
    assert np.array_equal(lifted.ceiling.faces, there.ceiling.faces)
    off = lifted.ceiling.vertices - there.ceiling.vertices
    outward = there.ceiling.vertices / np.linalg.norm(there.ceiling.vertices, axis=1)[:, None]
    assert np.einsum("ij,ij->i", off, outward) == pytest.approx(0.5, abs=0.01)
    assert np.array_equal(lifted.lid.vertices, there.lid.vertices)
    assert (there.ceiling.vertices @ air.up).min() == pytest.approx(4.0)
