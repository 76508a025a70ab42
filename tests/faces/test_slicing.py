"""The block cut open: the faces laid bare are exact for the mesh, whatever way it is cut."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import FILL, fake_plan

from partline.faces.scene import actors
from partline.faces.slicing import caps, plane_of, section_words, side_toward
from partline.faces.view import View
from partline.geometry.volume import area, volume

PLAN = fake_plan()


def _areas(view: View) -> dict[str, float]:
    return {name: area(surface) for name, surface in caps(PLAN, view).items()}


def test_nothing_is_laid_open_where_nothing_is_cut() -> None:
    assert plane_of(PLAN, View()) is None
    assert caps(PLAN, View()) == {}
    assert section_words(View()) == ""


@pytest.mark.parametrize("pour", ["rubber", "resin"])
@pytest.mark.parametrize("turn", [0.0, 45.0, -120.0])
def test_the_faces_fill_the_block_and_lie_in_the_plane(pour: str, turn: float) -> None:
    view = View(pour=pour, section=(turn, 0.2))
    plane, found = plane_of(PLAN, view), caps(PLAN, view)
    assert plane is not None
    # A plane beside the middle of a round block lays a rectangle open: chord times height.
    cup = PLAN.container
    low, high = cup.floor_width_mm / 2, cup.rim_width_mm / 2
    z = np.linspace(0, FILL, 400)
    radius = low + (high - low) * z / cup.height_mm
    off = 0.2 * (low + (high - low) * FILL / cup.height_mm)
    chord = 2 * np.sqrt(radius**2 - off**2)
    whole = float(((chord[1:] + chord[:-1]) / 2 * np.diff(z)).sum())
    assert sum(area(s) for s in found.values()) == pytest.approx(whole, rel=3e-3)
    for actor in actors(PLAN, view):
        if actor.name.startswith("cap "):
            away = (actor.vertices - plane.origin) @ plane.normal
            assert np.abs(away).max() < 1e-9


def test_planes_across_the_piece_add_up_to_its_volume() -> None:
    # Cavalieri: the sum of the areas times the step, by the midpoint rule.
    shares = (np.arange(40) + 0.5) / 20 - 1
    plane = plane_of(PLAN, View(section=(30.0, 1.0)))
    middle = plane_of(PLAN, View(section=(30.0, 0.0)))
    assert plane is not None
    assert middle is not None
    step = float(np.linalg.norm(plane.origin - middle.origin)) / 20
    total = step * sum(_areas(View(section=(30.0, s))).get("piece", 0.0) for s in shares)
    assert total == pytest.approx(volume(PLAN.stand.piece), rel=0.01)


def test_the_piece_is_the_same_in_both_pours_seen_from_the_other_side() -> None:
    # Rolled over sideways, what lay at 30 degrees to the right lies to the left.
    one, other = _areas(View(section=(30.0, 0.3))), _areas(View(pour="resin", section=(-30.0, 0.3)))
    assert one == pytest.approx(other)


@pytest.mark.parametrize("section", [(30.0, 0.3), (-75.0, -0.2)])
def test_while_it_is_moved_it_is_the_same_to_the_eye(section) -> None:
    held, let_go = _areas(View(section=section, moving=True)), _areas(View(section=section))
    for name, exact in let_go.items():
        # As if every outline were off by half a dot all along: some 6 heights of the block.
        assert held[name] == pytest.approx(exact, abs=6e-4 * FILL * 6 * FILL)
        assert held[name] == pytest.approx(exact, rel=0.03)


def test_the_scene_is_clipped_and_its_air_and_words_are_not() -> None:
    view = replace(View(section=(0.0, 0.0)), layers=View().layers | {"air"})
    shown = {a.name: a for a in actors(PLAN, view)}
    assert {"cap rubber", "cap piece", "cap foot block"} <= set(shown)
    assert shown["piece"].clip is not None
    assert shown["piece"].opacity == 1.0
    assert all(a.clip is None for name, a in shown.items() if name.startswith(("air", "words")))
    tipped = {a.name: a for a in actors(PLAN, view.tipped((90.0, 20.0)))}
    origin, normal = tipped["piece"].clipped()
    reach = tipped["cap rubber"].reach(normal[None])
    assert np.abs(reach - origin @ normal).max() < 1e-9


def test_it_opens_toward_the_eye_and_says_so() -> None:
    assert side_toward((0.0, -1.0, 0.3)) == 0.0
    assert side_toward((1.0, 0.0, 0.2)) == 90.0
    assert side_toward((-1.0, 0.02, 0.2)) == -90.0
    assert section_words(View(section=(90.0, 0.0))) == (
        "Cut open upright: the half at its right is taken away.")  # fmt: skip
    assert "less than half at its back" in section_words(View(section=(180.0, 0.4)))
    assert "more than half at its left" in section_words(View(section=(-90.0, -0.4)))
