"""Numbers of zones: each points at skin of its zone that the eye sees, or there is none."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import trimesh
from fake_plan import fake_plan

from partline.detail.detail_map import Zone
from partline.faces.actor import turned_over
from partline.faces.tipping import tip_turn
from partline.faces.view import View
from partline.faces.zone_tags import sides_of_zones, zone_tags
from partline.geometry.surface import Surface
from partline.plan import Plan

FRONT, BACK = (0.0, -1.0, 0.0), (0.0, 1.0, 0.0)


@pytest.fixture(scope="module")
def plan() -> Plan:
    """A ball with a plate close before its front, and one zone that is all of the ball."""
    ball = trimesh.creation.icosphere(3, 10.0)
    plate = trimesh.creation.box((30.0, 1.0, 30.0)).subdivide().subdivide()
    plate.apply_translation((0.0, -12.0, 0.0))
    made = fake_plan()
    piece = Surface(
        np.vstack([ball.vertices, plate.vertices]) + np.array([0.0, 0.0, 20.0]),
        np.vstack([ball.faces, plate.faces + len(ball.vertices)]),
    )
    middle = int(np.argmin(ball.vertices[:, 1]))  # behind the plate, close to it
    whole = np.arange(len(ball.vertices), dtype=np.int32)
    rear = np.flatnonzero(ball.vertices[:, 1] > 8.0).astype(np.int32)
    zones = tuple(
        Zone(own, 100.0, tuple(piece.vertices[at].tolist()), 1.0, 0.1)
        for own, at in ((whole, middle), (rear, int(rear[0])))
    )
    return replace(
        made, stand=replace(made.stand, piece=piece), detail=replace(made.detail, zones=zones)
    )


def tags(plan: Plan, view: View, eye: tuple[float, float, float]) -> dict[str, np.ndarray]:
    return {tag.word: tag.place for tag in zone_tags(plan, view.seen_from(eye), 9)}


def test_behind_something_there_is_no_number(plan: Plan) -> None:
    # Square on, the plate hides all of the ball.
    assert tags(plan, View(), FRONT) == {}
    assert set(tags(plan, View(), BACK)) == {"D1", "D2"}


def test_it_points_at_what_is_seen_not_at_a_middle_that_is_not(plan: Plan) -> None:
    place = tags(plan, View(), (1.0, 0.0, 0.0))["D1"]
    x, y, z = place - (0.0, 0.0, 20.0)
    assert x > 0.9  # it faces the eye
    assert np.hypot(y, z) < 9.96


def test_only_so_many_have_a_number(plan: Plan) -> None:
    assert [tag.word for tag in zone_tags(plan, View().seen_from(BACK), 1)] == ["D1"]


def test_a_side_is_added_for_a_zone_that_is_seen_from_none(plan: Plan) -> None:
    # From the front the plate hides both; the back shows both.
    (eye,) = sides_of_zones(plan, View(), [FRONT], 9)
    assert set(tags(plan, View(), eye)) == {"D1", "D2"}
    assert sides_of_zones(plan, View(), [BACK], 9) == []
    assert sides_of_zones(plan, View(), [FRONT], 0) == []


@pytest.mark.parametrize("tip", [None, (70.0, 25.0)])
def test_turned_over_and_tipped_it_is_the_same_skin(
    plan: Plan, tip: tuple[float, float] | None
) -> None:
    view = replace(View().poured("resin"), tip=tip)
    spin = tip_turn(plan, view)
    # The eye that sees the piece, as it is then, from where BACK saw it before.
    way = np.array(BACK) * (-1.0, 1.0, -1.0)
    eye = way if spin is None else spin[:3, :3] @ way
    over = tags(plan, view, tuple(eye.tolist()))
    before = tags(plan, View(), BACK)
    assert set(over) == set(before)
    for name, place in before.items():
        np.testing.assert_allclose(over[name], turned_over(place[None], plan, "resin")[0])


def test_pictures_of_a_piece_number_what_they_show() -> None:
    made = fake_plan()
    piece = made.stand.piece
    at = int(np.argmin(np.abs(piece.vertex_normals[:, 2]) - 0.1 * piece.vertex_normals[:, 0]))
    outward = piece.vertex_normals[at] * (1.0, 1.0, 0.0)
    zone = Zone(np.array([at], dtype=np.int32), 9.0, tuple(piece.vertices[at].tolist()), 1.0, 0.1)
    made = replace(made, detail=replace(made.detail, zones=(zone,)))
    assert set(tags(made, View(), tuple(outward.tolist()))) == {"D1"}
    assert tags(made, View(), tuple((-outward).tolist())) == {}
