"""One line up a side and over the floor of the mould, hinged on the other side."""

from __future__ import annotations

from functools import partial

import numpy as np
import pytest
import trimesh
from cut_solids import around, bollard, cylinder, detail_of, solid, standing

from partline.cut.alternatives import cut_rows
from partline.cut.choosing import OVER_FLOOR
from partline.cut.planning import plan_cut as whole_plan_cut
from partline.errors import NoPath

plan_cut = partial(whole_plan_cut, prove=False)


@pytest.fixture(scope="module")
def post():
    return standing(bollard(sections=72))


@pytest.fixture(scope="module")
def over(post):
    return plan_cut(post, detail_of(post.piece), cuts=OVER_FLOOR)


def test_the_line_runs_up_the_back_and_over_the_top(post, over) -> None:
    (line,) = over.lines
    assert (line.side, line.over.hinge, over.count) == ("back", "front", 1)
    z = line.points[:, 2]
    assert z[0] == pytest.approx(post.seat_mm)
    assert z.max() == pytest.approx(post.top_mm, abs=0.01)
    # It goes over the middle and ends short of the hinge, whose rubber is no thinner than the wall.
    end = line.points[-1] @ np.array(line.over.toward)
    assert end == pytest.approx(line.over.likely_mm, abs=0.01)
    assert 0 < end <= line.over.never_past_mm
    wall = post.piece.bounds[1, 0] + post.wall_mm  # as wide to the front as to the right
    assert over.web_mm == line.over.web_mm == pytest.approx(wall - end, abs=0.05)
    assert over.web_mm >= post.wall_mm
    assert line.marks.never_past_mm == post.block_height_mm
    assert any("front stays whole from mouth to floor" in words for words in over.words)


def test_across_the_floor_the_knob_is_a_ring_round_the_middle(over) -> None:
    """Past the middle every section narrows toward the hinge: nothing there is undercut."""
    assert over.stretch == pytest.approx(0.0, abs=1e-9)
    assert over.curve.cut_to_mm.min() < 0 < over.curve.cut_to_mm.max()


def test_it_is_weighed_among_the_others_and_they_among_it(post, over) -> None:
    plain = plan_cut(post, detail_of(post.piece), cuts=1)
    assert "up the back" in cut_rows(plain)[0].name
    assert sum("over the floor" in row.name for row in cut_rows(plain)) == 1
    rows = cut_rows(over)
    assert rows[0].chosen
    assert "over the floor" in rows[0].name
    assert {row.count for row in rows[1:]} == {0, 1, 2}


def test_detail_on_the_back_sends_it_up_a_side(post) -> None:
    busy = around(post.piece, 0, 80, 180, 50).astype(float)
    line = plan_cut(post, detail_of(post.piece, busy), cuts=OVER_FLOOR).lines[0]
    assert line.side in ("left", "right")
    assert line.over.hinge == {"left": "right", "right": "left"}[line.side]
    assert line.worst_detail < 0.5


def test_a_ball_beyond_the_end_of_the_cut_must_pass_the_ring_that_stays_closed() -> None:
    """A bar lies from back to front with a ball at its front: 2 pi 12 has to pass 2 pi 6."""
    bar = trimesh.creation.cylinder(6.0, 60.0, sections=96)
    bar.apply_transform(trimesh.transformations.rotation_matrix(np.pi / 2, [1, 0, 0]))
    ball = trimesh.creation.icosphere(3, 12.0)
    ball.apply_translation([0, -38.0, 0])
    post = cylinder(5.0, -30.0, 0.0, sections=96)
    post.apply_translation([0, 20.0, 0])
    foot = trimesh.creation.box((20.0, 20.0, 4.0))
    foot.apply_translation([0, 20.0, -30.0])
    piece = solid(bar, ball, post, foot)
    fine = trimesh.Trimesh(piece.vertices, piece.faces).subdivide_to_size(4.0)
    stand = standing(type(piece)(fine.vertices, fine.faces))
    cut = plan_cut(stand, detail_of(stand.piece), cuts=OVER_FLOOR, elongation_percent=100.0)
    assert cut.lines[0].side == "back"
    # A cut that ends on the bar leaves the ball behind a ring of the bar.
    at = np.searchsorted(cut.curve.cut_to_mm, 10.0)
    assert cut.curve.snaking[at] == pytest.approx(1.0, abs=0.06)
    # The cut goes on to where the ball no longer has to pass anything tight.
    assert cut.stretch <= 0.25


def test_where_nothing_faces_the_floor_it_is_refused_in_words(post) -> None:
    off = [zone for zone in (_cap(post),)]
    with pytest.raises(NoPath, match="over the floor"):
        plan_cut(post, detail_of(post.piece), cuts=OVER_FLOOR, zones=off)


def _cap(stand):
    from types import SimpleNamespace

    # In the file's coordinates the piece stands lower by the lift.
    place = (0.0, 0.0, stand.top_mm - stand.lift_mm)
    return SimpleNamespace(kind="stay off", point=place, radius_mm=25.0, faces=())
