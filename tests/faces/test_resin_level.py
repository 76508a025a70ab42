"""How high resin stands: volumes against closed forms, the lid level whatever the tip."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan, turned

from partline.faces.resin_level import level_at, level_plane, resin_lid, volume_above
from partline.faces.scene import actors
from partline.faces.tipping import up_of
from partline.faces.view import View
from partline.geometry.volume import area, volume

PLAN = fake_plan()
UP = np.array([0.0, 0.0, 1.0])


def test_the_volume_above_a_level_of_a_cone_goes_with_the_cube_of_its_height() -> None:
    # Similar solids: the tip above a level holds (h / H)^3 of the whole.
    cone = turned(np.array([[0.0, 0.0], [12.0, 0.0], [0.0, 30.0]]))
    whole = volume(cone)
    for level in (0.0, 7.0, 15.0, 29.0):
        want = whole * ((30.0 - level) / 30.0) ** 3
        assert volume_above(cone, UP, level) == pytest.approx(want, rel=1e-9)
    assert volume_above(cone, UP, 31.0) == 0.0
    assert volume_above(cone, UP, -5.0) == pytest.approx(whole)


@pytest.mark.parametrize("tip", [None, (90.0, 20.0), (230.0, 45.0)])
@pytest.mark.parametrize("share", [0.2, 0.6, 0.93])
def test_so_much_lies_below_the_level_and_its_top_is_level(tip, share) -> None:
    view = View(pour="resin").tipped(tip)
    surface, up = PLAN.stand.cavity.surface, up_of(view)
    level = level_at(PLAN, view, share)
    below = 1 - volume_above(surface, up, level) / PLAN.stand.cavity.volume_mm3
    assert below == pytest.approx(share, abs=0.02)
    lid = resin_lid(PLAN, view, share)
    np.testing.assert_allclose(lid.vertices @ up, level, atol=1e-9)
    # The area of the lid is how fast the volume grows with the level.
    step = 1e-3
    grown = volume_above(surface, up, level - step) - volume_above(surface, up, level + step)
    assert area(lid) == pytest.approx(grown / (2 * step), rel=2e-2)


def test_in_the_picture_the_resin_is_flat_whatever_way_the_mould_is_tipped() -> None:
    view = View(pour="resin", filled=0.6).tipped((90.0, 25.0))
    shown = {a.name: a for a in actors(PLAN, view)}
    low, high = shown["resin top"].reach(UP[None])[:, 0]
    assert high - low < 1e-6
    origin, normal = shown["resin"].clipped()
    np.testing.assert_allclose(normal, UP, atol=1e-9)
    assert origin[2] == pytest.approx(low)
    assert shown["piece"].opacity < 0.3
    plane = level_plane(PLAN, view, 0.6)
    np.testing.assert_allclose(plane.origin, shown["resin"].clip[0])


def test_empty_full_and_not_shown() -> None:
    names = {share: {a.name for a in actors(PLAN, View(pour="resin", filled=share))}
             for share in (None, 0.0, 1.0)}  # fmt: skip
    assert not names[None] & {"resin", "resin top"}
    assert not names[0.0] & {"resin", "resin top"}
    assert "resin" in names[1.0]
    assert "resin top" not in names[1.0]
    assert View(pour="resin", filled=0.5).entered("air", planned=True).filled is None
