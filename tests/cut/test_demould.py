from __future__ import annotations

import numpy as np
import pytest
import trimesh
from cut_solids import ball, cylinder, solid, turned

from partline.cut.demould import demould


def test_a_cone_pulls_straight_out() -> None:
    rings = demould(solid(trimesh.creation.cone(10, 30, sections=200)), 0.0)
    curve = rings.curve(bridges_cut=False)
    assert curve.snaking.max() == 0
    assert curve.straight.max() < 1e-12
    assert rings.bridges == ()


def test_a_ball_through_its_neck_stretches_it_by_the_ratio_of_girths() -> None:
    """Closed form D / d - 1 (girth criterion)."""
    piece = solid(cylinder(4, 0, 20), ball(10, 26))
    curve = demould(piece, 0.0).curve(bridges_cut=False)
    assert curve.snaking[0] == pytest.approx(10 / 4 - 1, rel=2e-3)
    assert curve.straight[0] == pytest.approx(10 / 4 - 1, rel=2e-3)
    # Cut half way up the lower half of the ball: the ring there has the ball's own radius.
    for height in (19.0, 22.0, 25.0):
        k = int(np.searchsorted(curve.cut_to_mm, height))
        radius = np.sqrt(100 - (curve.cut_to_mm[k] - 26) ** 2)
        assert curve.snaking[k] == pytest.approx(10 / radius - 1, abs=5e-3)
    assert curve.snaking[curve.cut_to_mm > 26.5].max() == 0


def test_a_mushroom_needs_no_more_once_the_cut_reaches_its_rim() -> None:
    profile = np.array([[5, 0], [5, 20], [15, 20.5], [15, 25], [0.5, 35]], dtype=float)
    curve = demould(turned(profile), 0.0).curve(bridges_cut=False)
    assert curve.snaking[0] == pytest.approx(15 / 5 - 1, rel=1e-6)
    assert (np.diff(curve.snaking) <= 1e-12).all()
    assert curve.snaking[curve.cut_to_mm > 21].max() < 1e-9


def test_legs_count_each_by_itself_until_the_bridge_between_them_is_cut() -> None:
    """Closed form: 2.6 - 1 = 160 % per leg, 29 % for the hull of both (a stadium)."""
    piece = solid(
        cylinder(5, 0, 30, x=-8), cylinder(5, 0, 30, x=8), cylinder(13, 30, 60, sections=512)
    )
    rings = demould(piece, 0.0)
    stadium = 2 * np.pi * 5 + 2 * 16
    assert rings.own.max() == pytest.approx(1.6, abs=2e-3)
    assert rings.bridged.max() == pytest.approx(2 * np.pi * 13 / stadium - 1, abs=2e-3)
    assert round(rings.bridged.max(), 2) == 0.29
    (bridge,) = rings.bridges
    assert bridge.low_mm == pytest.approx(0, abs=0.6)
    assert bridge.high_mm == pytest.approx(30, abs=0.6)
    assert bridge.stretch == pytest.approx(1.6, abs=2e-3)
    np.testing.assert_allclose(bridge.place_mm, [0, 0, 15], atol=0.6)


def test_what_only_hangs_is_no_ring() -> None:
    """A peg that hangs from an arm beside a post leaves every ring of the post as it was."""
    arm = trimesh.creation.box([30, 6, 6])
    arm.apply_translation([10, 0, 50])
    piece = solid(cylinder(10, 0, 60), arm, cylinder(2, 30, 50, x=20))
    rings = demould(piece, 0.0)
    assert rings.bridges == ()
    below = rings.levels < 29
    # Every ring of the post must let pass the widest section above: post and arm together.
    np.testing.assert_allclose(rings.own[below], rings.own[below][0])
    beside = (rings.levels > 31) & (rings.levels < 46)
    np.testing.assert_allclose(rings.own[beside], rings.own[below][0])
    assert rings.own.max() < 0.8  # the peg's own girth, 12.6 mm, would have given 700 %


def test_an_arm_on_the_hip_is_a_bridge() -> None:
    arm = trimesh.creation.torus(9, 2.5, major_sections=64, minor_sections=32)
    arm.apply_transform(trimesh.transformations.rotation_matrix(np.pi / 2, [1, 0, 0]))
    arm.apply_translation([9, 0, 30])
    rings = demould(solid(cylinder(8, 0, 60), arm), 0.0)
    assert len(rings.bridges) == 1
    bridge = rings.bridges[0]
    assert 20 < bridge.low_mm < 27
    assert 33 < bridge.high_mm < 40
    assert bridge.stretch > 1.5
    assert rings.bridged.max() < 0.8


def test_a_leaning_post_is_straight_only_if_it_snakes() -> None:
    profile = np.column_stack([np.full(60, 6.0), np.linspace(0, 60, 60)])
    post = turned(profile)
    sheared = post.vertices.copy()
    sheared[:, 0] += 0.5 * sheared[:, 2]
    rings = demould(type(post)(sheared, post.faces), 0.0)
    curve = rings.curve(bridges_cut=False)
    assert curve.snaking.max() < 1e-6
    # The hull of the projection: a stadium of length 0.5 x 60 seen along the pull.
    want = (2 * np.pi * 6 + 2 * 30) / (2 * np.pi * 6) - 1
    assert curve.straight[0] == pytest.approx(want, rel=0.02)
    assert (curve.straight >= curve.snaking).all()


def test_the_answer_scales_with_the_piece() -> None:
    piece = solid(cylinder(4, 0, 20), ball(10, 26, level=4))
    one = demould(piece, 0.0)
    two = demould(piece.moved(np.diag([2.0, 2.0, 2.0, 1.0])), 0.0)
    np.testing.assert_allclose(two.own, one.own, atol=1e-9)
    np.testing.assert_allclose(two.levels, 2 * one.levels)
