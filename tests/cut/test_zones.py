from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest
from cut_solids import bollard, standing

from partline.cut.zones import laid_on
from partline.errors import JobError


def zone(kind, point=None, radius_mm=None, faces=()):
    return SimpleNamespace(kind=kind, point=point, radius_mm=radius_mm, faces=faces)


def test_a_point_and_a_radius_cover_a_ball_round_it() -> None:
    stand = standing(bollard())
    found = laid_on(stand, [zone("stay off", (0.0, 14.0, 42.0), 5.0)])
    away = np.linalg.norm(stand.piece.vertices - [0, 14.0, 42.0 + stand.lift_mm], axis=1)
    np.testing.assert_array_equal(found.stay_off, away <= 5)
    assert not found.go_here.any()


def test_a_vertex_knows_which_zone_shuts_it() -> None:
    stand = standing(bollard())
    found = laid_on(stand, [zone("go here", (0.0, 14.0, 42.0), 5.0),
                            zone("stay off", (0.0, 14.0, 42.0), 5.0),
                            zone("stay off", (0.0, -14.0, 42.0), 5.0)])  # fmt: skip
    behind = stand.piece.vertices[:, 1] > 0
    assert set(found.shut_by[found.stay_off & behind]) == {2}
    assert set(found.shut_by[found.stay_off & ~behind]) == {3}
    assert set(found.shut_by[~found.stay_off]) == {0}


def test_faces_are_numbered_as_in_the_file() -> None:
    stand = standing(bollard())
    found = laid_on(stand, [zone("go here", faces=(100, 107))])
    want = np.unique(stand.piece.faces[[0, 7]])
    np.testing.assert_array_equal(np.flatnonzero(found.go_here), want)


def test_each_place_to_pass_through_is_kept_apart() -> None:
    stand = standing(bollard())
    spots = [zone("pass through", (0.0, 8.0, z), 3.0) for z in (5.0, 25.0)]
    found = laid_on(stand, spots)
    assert len(found.pass_through) == 2
    assert not set(found.pass_through[0]) & set(found.pass_through[1])


@pytest.mark.parametrize(
    ("bad", "words"),
    [
        (zone("avoid", (0, 0, 0), 3.0), "can be stay off"),
        (zone("stay off"), "has no place"),
        (zone("stay off", (0.0, 0.0, 0.0)), "has no place"),
        (zone("stay off", (500.0, 0.0, 0.0), 3.0), "covers nothing"),
        (zone("go here", faces=(999999,)), "covers nothing"),
    ],
)
def test_a_zone_that_cannot_be_is_named(bad, words) -> None:
    with pytest.raises(JobError, match=words):
        laid_on(standing(bollard()), [bad])
