from __future__ import annotations

import numpy as np
import trimesh

from partline.scan.counting import bodies
from partline.scan.draft import Draft
from partline.scan.overlapping import closed_bodies, overlapping
from partline.scan.sharing import sharing
from partline.scan.turning import turned


def found_in(draft: Draft) -> list[int]:
    label = bodies(draft.table)
    return overlapping(draft, label, sharing(draft, label, closed_bodies(draft, label))).tolist()


def box(low, high) -> Draft:
    mesh = trimesh.creation.box(bounds=(low, high))
    return Draft(np.array(mesh.vertices), np.array(mesh.faces), np.arange(12))


def test_closed_is_what_has_as_many_faces_either_way(ball, both):
    beside = Draft(ball.vertices + np.array([30.0, 0, 0]), ball.faces, ball.file_faces)
    draft = both(ball, beside)
    label = bodies(draft.table)
    assert closed_bodies(draft, label).tolist() == [True, True]
    torn = draft.kept(np.arange(len(draft.faces)) > 0)
    assert closed_bodies(torn, bodies(torn.table)).tolist() == [False, True]


def test_only_those_that_share_volume(ball, both):
    """A mirror pair, a body apart, one wholly inside another."""
    moved = [np.array([6.0, 0, 0]), np.array([60.0, 0, 0])]
    pair = both(Draft(ball.vertices - moved[0], ball.faces, ball.file_faces),
                Draft((ball.vertices - moved[0]) * [-1, 1, 1], ball.faces[:, ::-1],
                      ball.file_faces))  # fmt: skip
    apart = Draft(ball.vertices + moved[1], ball.faces, ball.file_faces)
    core = Draft(0.5 * ball.vertices + moved[1], ball.faces, ball.file_faces)
    assert found_in(both(both(pair, apart), core)) == [0, 1]


def test_one_that_is_inside_out_overlaps_as_well(both):
    over = turned(box((5, 0, 0), (15, 10, 10)), np.ones(12, dtype=bool))
    assert found_in(both(box((0, 0, 0), (10, 10, 10)), over)) == [0, 1]


def test_a_rounding_is_no_overlap(both):
    """Ten thousandths of a millionth deep over a shared side; a thousandth is one."""
    for deep, expected in ((1e-10, []), (1e-3, [0, 1])):
        pair = both(box((0, 0, 0), (10, 10, 10)), box((10 - deep, 0, 0), (20, 10, 10)))
        assert found_in(pair) == expected
