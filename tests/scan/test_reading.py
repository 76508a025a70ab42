from __future__ import annotations

import dataclasses

import numpy as np
import pytest
import scenes
import trimesh

from partline import read_master
from partline.errors import NotSolid, PartlineError, ScanError, StandError, UnitError
from partline.geometry.volume import is_closed
from partline.scan.rebuilding import Rebuild
from partline.scan.turning import turned


@pytest.mark.parametrize("name", ["a b é.stl", "text.stl", "c.obj", "d.ply"])
def test_a_cube_in_every_format(saved, cube, name):
    master = read_master(saved(cube, name), height_mm=62)
    assert master.volume_mm3 == pytest.approx(62**3, rel=1e-6)
    assert master.area_mm2 == pytest.approx(6 * 62**2, rel=1e-6)
    assert master.height_mm == pytest.approx(62, rel=1e-14)
    assert not master.repairs
    assert not master.warnings
    assert master.path == name
    np.testing.assert_allclose(master.surface.bounds, [[-31, -31, 0], [31, 31, 62]], rtol=1e-6)
    np.testing.assert_array_equal(master.file_faces, np.arange(12))
    assert "62.0 mm (2.44 x 2.44 x 2.44 in)" in master.size_words


def test_the_three_ways_to_set_the_size_agree(saved, cube):
    path = saved(cube, "c.ply")
    one = read_master(path, height_mm=20)
    two = read_master(path, measured=((980, 480, 280), (1020, 480, 280), 20.0))
    three = read_master(path, units="mm")
    assert two.volume_mm3 == pytest.approx(one.volume_mm3, rel=1e-12)
    assert three.volume_mm3 == pytest.approx(8 * one.volume_mm3, rel=1e-12)
    inches = read_master(path, units="in")
    assert inches.volume_mm3 == pytest.approx(three.volume_mm3 * 25.4**3, rel=1e-12)


def test_file_points_go_where_the_surface_is(saved, ball):
    path = saved(ball, "ball.ply")
    master = read_master(path, height_mm=50, up=(0.2, 1, 0.1), front="+x")
    mesh = trimesh.load(path, process=False)
    corners = mesh.vertices[mesh.faces[master.file_faces]].reshape(-1, 3)
    np.testing.assert_allclose(
        master.from_file(corners), master.surface.vertices[master.surface.faces].reshape(-1, 3),
        atol=1e-9,
    )  # fmt: skip


def test_turning_moving_and_renumbering_change_no_volume(saved, ball):
    rng = np.random.default_rng(10)
    want = read_master(saved(ball, "a.ply"), units="mm").volume_mm3
    turn = trimesh.transformations.random_rotation_matrix(rng.random(3))
    turn[:3, 3] = [3, -4, 5]
    moved = ball.moved(turn)
    order, names = rng.permutation(len(ball.faces)), rng.permutation(len(ball.vertices))
    other = dataclasses.replace(
        moved, vertices=moved.vertices[np.argsort(names)], faces=names[moved.faces[order]]
    )
    text = "".join(f"v {x!r} {y!r} {z!r}\n" for x, y, z in other.vertices.tolist())
    text += "".join(f"f {a} {b} {c}\n" for a, b, c in (other.faces + 1).tolist())
    got = read_master(saved(text.encode(), "b.obj"), units="mm").volume_mm3
    assert got == pytest.approx(want, rel=1e-6)  # the PLY holds single precision
    exact = ball.face_volumes().sum()
    assert got == pytest.approx(exact, rel=1e-12)


def test_a_ball_against_the_closed_form_from_below(saved, ball):
    """An inscribed mesh is always too small; level 4 by 0.216 % (3/8 (h/R)^2)."""
    master = read_master(saved(ball, "ball.ply"), units="mm")
    short = 1 - master.volume_mm3 / (4000 * np.pi / 3)
    assert 0 < short == pytest.approx(0.00216, rel=0.01)


def test_a_missing_triangle_never_gives_another_volume(saved, cube):
    """The known trap: the sum of tetrahedra of an open box depends on where it lies."""
    for k in range(12):
        path = saved(cube.kept(np.arange(12) != k), f"open{k}.ply")
        if (cube.vertices[cube.faces[k]][:, 2] > 280).any():
            with pytest.raises(NotSolid, match=rf"open{k}\.ply: .*large hole"):
                read_master(path, units="mm")
        else:
            master = read_master(path, units="mm")
            assert master.volume_mm3 == pytest.approx(64000, rel=1e-6)
            assert [r.kind for r in master.repairs] == ["open base"]
            assert (master.file_faces < 0).sum() >= 1


def test_a_hollow_box_and_its_inside_out_twin(saved, cube, both):
    """Outer side 40, inner 20: 64 000 - 8 000."""
    middle = cube.vertices.mean(axis=0)
    every = np.ones(12, dtype=bool)
    inner = turned(dataclasses.replace(cube, vertices=middle + (cube.vertices - middle) / 2), every)
    hollow = both(cube, inner)
    master = read_master(saved(hollow, "hollow.ply"), units="mm")
    assert master.volume_mm3 == pytest.approx(56000, rel=1e-6)
    assert "hollow" in master.warnings[0]
    back = turned(hollow, np.ones(24, dtype=bool))
    twin = read_master(saved(back, "twin.ply"), units="mm")
    assert twin.volume_mm3 == pytest.approx(56000, rel=1e-6)
    assert [r.kind for r in twin.repairs] == ["inside out"]


def test_repairs_are_told_in_the_pose(saved, ball, both):
    speck = dataclasses.replace(ball, vertices=ball.vertices * 0.01 + np.array([12.0, 0, 0]))
    master = read_master(saved(both(ball, speck), "s.ply"), height_mm=40)
    (repair,) = master.repairs
    assert repair.kind == "speck"
    np.testing.assert_allclose(repair.place_mm, [24, 0, 20], atol=1e-4)
    assert repair.size_mm == pytest.approx(0.02 * ball.diagonal, rel=1e-4)
    assert "near (24, 0, 20) mm" in repair.words
    # The speck does not count for the size: the ball alone is 40 mm high and in the middle.
    np.testing.assert_allclose(master.surface.bounds[:, 2], [0, 40], atol=1e-9)
    np.testing.assert_allclose(master.surface.bounds[:, 0], [-20, 20], atol=1e-4)


def test_small_and_large_pieces_are_warned_of(saved, cube):
    path = saved(cube, "c.stl")
    assert "only 4 mm" in read_master(path, height_mm=4.0).warnings[0]
    assert "40 m across" in read_master(path, units="m").warnings[0]


@pytest.mark.parametrize(
    ("arguments", "error"),
    [
        ({}, UnitError),
        ({"units": "mm", "height_mm": 3.0}, UnitError),
        ({"height_mm": 3.0, "up": "top"}, StandError),
        ({"height_mm": 3.0, "front": "+z"}, StandError),
    ],
)
def test_wrong_questions(saved, cube, arguments, error):
    with pytest.raises(error):
        read_master(saved(cube, "c.stl"), **arguments)


@pytest.mark.parametrize(
    ("text", "error"),
    [
        (b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n", NotSolid),
        (b"v 0 0 0\nv 0 0 0\nv 0 0 0\nf 1 2 3\n", NotSolid),
        (b"v 0 0 0\nv 1 0 0\nv 2 0 0\nf 1 2 3\n", NotSolid),
        (b"v 0 0 0\nv 1 0 0\nv 0 1 0\n", ScanError),
    ],
    ids=["one triangle", "one point", "a line", "no faces"],
)
def test_meshes_that_are_nothing(saved, text, error):
    with pytest.raises(error, match=r"none\.obj") as caught:
        read_master(saved(text, "none.obj"), units="mm")
    assert isinstance(caught.value, PartlineError)


def test_progress_runs_forward_to_one(saved, ball):
    heard: list[float] = []
    read_master(saved(ball, "b.ply"), height_mm=9, progress=lambda f, _: heard.append(f))
    assert heard == sorted(heard)
    assert heard[0] == 0
    assert heard[-1] == 1


def test_the_result_is_closed(saved, ball):
    assert is_closed(read_master(saved(ball, "b.stl"), height_mm=9).surface)


def test_a_scan_beyond_mending_is_rebuilt_only_when_asked(saved, ball):
    middle = ball.vertices[ball.faces].mean(axis=1)
    path = saved(ball.kept(middle[:, 0] < 6.0).compacted(), "open.ply")
    with pytest.raises(NotSolid, match=r"rebuild = true under \[scan\], or --rebuild"):
        read_master(path, units="mm")
    heard: list[float] = []
    master = read_master(
        path, units="mm", rebuild=Rebuild(0.5), progress=lambda share, _: heard.append(share)
    )
    assert heard == sorted(heard)
    assert [repair.kind for repair in master.repairs] == ["rebuilt"]
    assert "cells of 0.5 mm" in master.repairs[0].words
    assert "on average" in master.repairs[0].words
    truth = ball.face_volumes().sum()
    assert master.volume_low_mm3 < truth < master.volume_high_mm3
    assert any("of the volume open" in warning for warning in master.warnings)


def test_the_unit_of_the_file_is_honoured(saved):
    """glTF 2.0: metres. 3MF: the unit attribute of the model."""
    for name, text, side, words in (
        ("a.glb", scenes.glb(), 4000.0, "file in m, as the file itself says"),
        ("a.3mf", scenes.threemf(unit=' unit="inch"'), 101.6, "file in in, as the file itself"),
    ):
        master = read_master(saved(text, name))
        assert master.height_mm == pytest.approx(side)
        assert master.size_words.startswith(words)
    stated = read_master(saved(scenes.threemf(), "b.3mf"), units="cm")
    assert stated.height_mm == pytest.approx(40.0)
    assert "says it is in mm; it was taken to be in cm, as stated" in stated.warnings[0]
    assert read_master(saved(scenes.threemf(), "b.3mf"), height_mm=62).height_mm == 62.0
