"""Painting: touches in the scan's own coordinates, strokes, wiping, and what they colour."""

from __future__ import annotations

import numpy as np
import pytest
from fake_plan import SEAT, fake_plan

from partline.cut.zones import laid_on
from partline.faces import colours
from partline.faces.actor import turned_over
from partline.faces.painting import (
    dabbed,
    detail_weight,
    place_in_file,
    place_on_stand,
    tinted,
    zone_words,
)


@pytest.fixture(scope="module")
def plan():
    return fake_plan()


def test_detail_is_given_for_every_vertex_of_the_piece(plan):
    assert len(detail_weight(plan)) == len(plan.stand.piece.vertices)


@pytest.mark.parametrize("pour", ["rubber", "resin"])
def test_a_place_in_the_picture_is_found_again_on_the_stand(plan, pour):
    point = plan.stand.piece.vertices[200]
    shown = turned_over(point[None], plan, pour)[0]
    zones = dabbed((), "stay off", place_in_file(plan, shown, pour), 4.0, plan)
    assert place_on_stand(plan, zones[0]) == pytest.approx(point, abs=1e-6)


def test_what_is_coloured_is_what_the_cut_stays_off(plan):
    point = plan.stand.piece.vertices[400]
    zones = dabbed((), "stay off", place_in_file(plan, point, "rubber"), 5.0, plan)
    off = laid_on(plan.stand, zones).stay_off
    tints = tinted(plan, zones, False)
    plain = (tints == colours.rgb(colours.STONE)).all(axis=1)
    assert off.any()
    assert (plain == ~off).all()


def test_a_stroke_adds_few_touches_and_the_other_paint_gives_way(plan):
    start = np.array([0.0, -9.0, SEAT + 5.0])
    zones = ()
    for step in np.linspace(0.0, 8.0, 33):
        place = place_in_file(plan, start + np.array([0, 0, step]), "rubber")
        zones = dabbed(zones, "stay off", place, 4.0, plan)
    assert 4 <= len(zones) <= 5
    over = dabbed(zones, "go here", place_in_file(plan, start, "rubber"), 4.0, plan)
    assert [z.kind for z in over].count("go here") == 1
    assert sum(z.kind == "stay off" for z in over) < len(zones)
    wiped = dabbed(zones, "wipe", place_in_file(plan, start, "rubber"), 30.0, plan)
    assert wiped == ()
    assert "5 touches" in zone_words(zones) or "4 touches" in zone_words(zones)
    assert zone_words(()) == "Nothing is painted."
