"""The scene: which shapes there are for a view, where they lie, and that they do not mirror."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest
from fake_plan import CUP_RADIUS, FILL, SEAT, TOP, fake_plan

from partline.cut.cut import RubberLoop
from partline.faces import colours
from partline.faces.actor import turned_over
from partline.faces.painting import detail_weight
from partline.faces.scene import actors, bare_actors
from partline.faces.shapes import ball, block, container_wall, cube
from partline.faces.view import LAYERS, View
from partline.geometry.volume import is_closed, volume


@pytest.fixture(scope="module")
def plan():
    return fake_plan()


def _named(found):
    return {a.name: a for a in found}


def _all() -> View:
    return View(layers=frozenset(LAYERS))


def test_each_layer_brings_its_shapes_and_takes_them_away(plan):
    starts = {
        "piece": "piece",
        "cut": "cut ",
        "air": "air ",
        "cup": "cup",
        "foot block": "foot",
        "mouth": "mouth",
        "front": "front",
    }
    for layer, start in starts.items():
        on = {a.name for a in actors(plan, _all())}
        off = {a.name for a in actors(plan, _all().switched(layer, False))}
        assert any(n.startswith(start) for n in on), layer
        assert not any(n.startswith(start) for n in off), layer
    assert not any(a.labels for a in actors(plan, _all().switched("labels", False)))


def test_names_are_unique(plan):
    for pour in ("rubber", "resin"):
        names = [a.name for a in actors(plan, _all().poured(pour))]
        assert len(names) == len(set(names))


def test_extents_in_the_rubber_pour(plan):
    found = _named(actors(plan, _all()))
    assert found["piece"].vertices[:, 2].min() == pytest.approx(SEAT)
    assert found["piece"].vertices[:, 2].max() == pytest.approx(TOP)
    cup = found["cup"].vertices
    assert cup[:, 2].min() == 0.0
    assert cup[:, 2].max() == pytest.approx(plan.container.height_mm)
    assert np.hypot(*cup[:, :2].T).max() == pytest.approx(plan.container.rim_width_mm / 2)
    assert np.allclose(found["mouth 0"].vertices[:, 2], 0.0)
    for k in range(2):
        assert np.allclose(found[f"cut {k}"].vertices, plan.cut.lines[k].points)


def test_the_resin_pour_is_the_block_turned_over_and_not_mirrored(plan):
    found = _named(actors(plan, _all().poured("resin")))
    piece = found["piece"].vertices
    assert piece[:, 2].max() == pytest.approx(FILL - SEAT)
    assert piece[:, 2].min() == pytest.approx(FILL - TOP)
    assert np.allclose(found["mouth 0"].vertices[:, 2], FILL)
    three = turned_over(np.eye(3), plan, "resin") - turned_over(np.zeros((1, 3)), plan, "resin")
    assert np.linalg.det(three) == pytest.approx(1.0)
    # The front stays toward the viewer.
    assert np.allclose(three[1], [0, 1, 0])
    assert "cup" not in found
    assert "block" in found


def test_air_is_a_filled_lid_at_its_level_and_a_ceiling_lifted_off_the_skin(plan):
    for pour, level in (
        ("rubber", plan.rubber_pour.level.pockets[0].spill_level_mm),
        ("resin", FILL + plan.resin_pour.level.pockets[0].spill_level_mm),
    ):
        found = _named(actors(plan, _all().poured(pour)))
        lid = found["air lid"]
        assert np.allclose(lid.vertices[:, 2], level)
        assert len(lid.faces) > 10
        assert found["air ceiling"].vertices[:, 2].max() > level + 3.0


def test_labels_number_the_pockets_as_the_table_does(plan):
    words = [w for a in actors(plan, _all()) for w in a.labels]
    assert "1" in words
    assert {"front", "mouth"} <= set(words)
    behind = [w for a in actors(plan, _all().seen_from((0, 1, 0.1))) for w in a.labels]
    assert {"cut 1 starts", "cut 2 stops"} <= set(behind)


def test_bridges_to_slit_have_the_numbers_of_the_sheet(plan):
    holes = (RubberLoop((0.0, -9.0, 30.0), 20.0, 40.0, 5.0, True, 22.0, 0, 1.0),
             RubberLoop((0.0, -9.0, 40.0), 30.0, 50.0, 1.0, False, 22.0, 0, 1.0))  # fmt: skip
    holed = replace(plan, cut=replace(plan.cut, loops=holes))
    seen = [w for a in actors(holed, _all()) for w in a.labels]
    assert [w for w in seen if w.startswith("S")] == ["S1"]
    assert not any(w.startswith("S") for a in actors(plan, _all()) for w in a.labels)


def test_a_pocket_that_is_pointed_out_stands_out(plan):
    two = replace(plan.rubber_pour.level, pockets=plan.rubber_pour.level.pockets * 2)
    other = replace(plan, rubber_pour=replace(plan.rubber_pour, level=two))
    found = _named(actors(other, replace(_all(), selected=1)))
    assert found["air lid faint"].opacity < 0.5
    assert "air ceiling faint" in found


def test_detail_is_one_hue_from_stone_and_told_apart_in_grey(plan):
    tints = colours.detail_colours(np.linspace(0, 1, 50))
    grey = tints @ np.array([0.2126, 0.7152, 0.0722])
    assert (np.diff(grey) < 0).all()
    assert tints[0].tolist() == colours.rgb(colours.STONE).tolist()
    found = _named(actors(plan, _all()))
    assert found["piece"].colours.shape == plan.stand.piece.vertices.shape
    plain = _named(actors(plan, _all().switched("detail", False)))["piece"].colours
    assert (plain == colours.rgb(colours.STONE)).all()


def test_detail_of_the_whole_master_is_carried_to_the_trimmed_piece(plan):
    weight = plan.detail.weight
    keep = replace(
        plan,
        detail=replace(plan.detail, weight=np.append(weight, 9.0)),
        master=replace(
            plan.master,
            surface=type(plan.stand.piece)(
                np.vstack([plan.master.surface.vertices, [[500.0, 0, 0]]]),
                plan.master.surface.faces,
            ),
        ),
    )
    assert np.array_equal(detail_weight(keep), weight)


def test_unchanged_parts_keep_their_arrays_so_that_they_are_not_drawn_again(plan):
    first, second = _named(actors(plan, _all())), _named(actors(plan, _all()))
    for name in ("piece", "cup", "foot block"):
        assert first[name].faces is second[name].faces
        assert first[name].vertices is second[name].vertices


def test_a_bare_mesh_shows_what_was_pointed_at(plan):
    surface = plan.master.surface
    found = _named(bare_actors(surface, marked=[("front", np.array([5, 6]), colours.FRONT)]))
    assert set(found) >= {"piece", "picked front"}
    assert len(found["picked front"].faces) == 2


def test_a_box_container_is_drawn_square(plan):
    box = replace(
        plan.container,
        kind="box",
        floor_width_mm=70.0,
        rim_width_mm=70.0,
        floor_depth_mm=82.0,
        centre_mm=(3.0, -2.0),
    )
    wall = container_wall(box)
    assert wall.extents[:2] == pytest.approx([70.0, 82.0])
    assert volume(block(box)) == pytest.approx(70.0 * 82.0 * box.fill_height_mm)


def test_marks_are_closed_shapes_of_known_volume(plan):
    assert is_closed(cube(np.zeros(3), 2.0))
    assert volume(cube(np.ones(3), 2.0)) == pytest.approx(64.0)
    round_one = ball(np.zeros(3), 2.0, around=96)
    assert is_closed(round_one)
    assert 0.99 < volume(round_one) / (4 / 3 * np.pi * 8) < 1.0
    solid = block(plan.container)
    assert is_closed(solid)
    assert volume(solid) > 0
    assert CUP_RADIUS > 0


def test_the_scene_draws_nothing_by_itself():
    code = (
        "import sys, partline.faces.scene; print([m for m in sys.modules if "
        "m.split('.')[0] in ('pyvista', 'vtkmodules', 'PySide6', 'qtpy')])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_piece_without_a_foot_block_shows_its_own_mouth(plan):
    bare = replace(plan, stand=replace(plan.stand, foot_block=None))
    found = _named(actors(bare, _all()))
    assert "foot block" not in found
    assert np.hypot(*found["mouth 0"].vertices[:, :2].T) == pytest.approx(9.0)
