"""How a piece stands is found from its shape alone, however it lies in the file."""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest
import trimesh
from manifold3d import Manifold
from scipy.spatial.transform import Rotation
from standing import master_of

from partline.faces.standing import proposed
from partline.geometry.solids import area
from partline.geometry.surface import Surface
from partline.samples import sample
from partline.stand.placing import place
from partline.stand.proposing import propose_stand

SCANS = os.environ.get("PARTLINE_SCANS")


def surface(mesh: trimesh.Trimesh) -> Surface:
    return Surface(mesh.vertices, mesh.faces)


def angle(one, two) -> float:
    return float(np.degrees(np.arccos(np.clip(np.dot(one, two), -1, 1))))


@pytest.mark.parametrize("seed", range(8))
def test_a_tilted_cone_stands_on_its_base(seed):
    turn = Rotation.random(rng=np.random.default_rng(seed)).as_matrix()
    cone = trimesh.creation.cone(radius=10, height=30)
    best = propose_stand(Surface(cone.vertices @ turn.T, cone.faces))[0]
    assert angle(best.up, turn[:, 2]) < 1e-5
    assert best.kind == "flat base"
    assert best.share == pytest.approx(1.0, abs=1e-9)
    assert best.feet == 1


def test_among_equal_sides_the_stated_up_decides():
    box = surface(trimesh.creation.box((20, 20, 20)))
    for up in np.vstack([np.eye(3), -np.eye(3)]):
        np.testing.assert_allclose(propose_stand(box, up=up)[0].up, up, atol=1e-12)


def test_legs_are_feet():
    legs = [
        trimesh.creation.cylinder(2, 20).apply_translation((x, y, 0))
        for x in (-9, 9)
        for y in (-6, 6)
    ]
    top = trimesh.creation.box((30, 20, 6)).apply_translation((0, 0, 12))
    table = trimesh.boolean.union([*legs, top], engine="manifold")
    found = {p.feet: p for p in propose_stand(surface(table))}
    assert angle(found[4].up, (0, 0, 1)) < 1e-6
    assert found[4].share == pytest.approx(4 * np.pi * 4 / 600, rel=0.02)


def test_an_open_underside_is_stood_on_its_rim():
    ball = trimesh.creation.icosphere(4, radius=10)
    bowl = trimesh.intersections.slice_mesh_plane(ball, (0, 0, 1), (0, 0, -4))
    bowl.merge_vertices()
    turn = Rotation.from_euler("x", 11, degrees=True).as_matrix()
    best = propose_stand(Surface(bowl.vertices @ turn.T, bowl.faces))[0]
    assert best.kind == "open underside"
    assert angle(best.up, turn[:, 2]) < 0.1
    # the rim's circle against the ball's, exactly 1 - 0.4^2
    assert best.share == pytest.approx(0.84, abs=0.01)


def test_a_ball_has_no_base_and_is_told_what_to_cut():
    best = propose_stand(surface(trimesh.creation.icosphere(5, radius=10)))[0]
    assert best.kind == "none"
    np.testing.assert_allclose(best.up, (0, 0, 1))
    # a cut of a tenth of the outline is r^2 = 10 = 2 R h - h^2: h = 0.513 of 20
    assert best.cut_share == pytest.approx(0.0257, abs=0.003)
    assert "sink" in best.words()


def test_cutting_what_is_proposed_gives_a_plane_base():
    """The sink that is proposed, asked for: a flat seat of a tenth of the outline."""
    ball = Manifold.sphere(20.0, 200)
    master = master_of(ball)
    best = propose_stand(master.surface)[0]
    stand = place(master, sink_mm=best.cut_share * master.height_mm)
    assert area(stand.footprint) == pytest.approx(0.1 * np.pi * 20.0**2, rel=0.1)
    low = stand.piece.vertices[:, 2].min()
    flat = (stand.piece.vertices[stand.piece.faces][:, :, 2] < low + 1e-6).all(axis=1)
    assert stand.piece.face_areas[flat].sum() == pytest.approx(area(stand.footprint), rel=1e-3)
    assert (stand.piece_faces[flat] == -1).all()


@pytest.mark.parametrize("is_open", [False, True])
def test_a_scan_inside_out_stands_like_one_that_is_not(tmp_path, is_open):
    mesh = trimesh.creation.cone(radius=10, height=30, sections=64).subdivide().subdivide()
    if is_open:  # its tip is missing: the base is there
        mesh.update_faces(mesh.triangles_center[:, 2] < 25)
    mesh.apply_transform(trimesh.transformations.rotation_matrix(0.6, (1, 0.3, 0)))
    mesh.export(tmp_path / "plain.ply")
    mesh.invert()
    mesh.export(tmp_path / "over.ply")
    plain, over = (proposed(tmp_path / f"{name}.ply") for name in ("plain", "over"))
    assert over.words == plain.words
    assert "flat base" in over.words


def test_the_samples_stand_as_they_were_made():
    for name in ("ram.ply", "tile.ply", "pull.ply"):
        pose = proposed(sample(name))
        assert (pose.up, pose.front) == ("+z", "-y"), name


@pytest.mark.scans
@pytest.mark.skipif(not SCANS, reason="PARTLINE_SCANS names no folder of real scans")
def test_tilted_bases_of_real_scans():
    """Reference: the readme beside the files, base normal (0, -0.904, -0.428)."""
    folder = Path(SCANS or "")
    skull = proposed(folder / "celtic_skull_flatbase.ply")
    assert angle(skull.up, (0, 0.904, 0.428)) < 0.3
    assert "tilted 25" in skull.words
    assert proposed(folder / "eagle.ply").up == "+y"
    assert proposed(folder / "koala.obj").proposal.feet == 4


@pytest.mark.slow
@pytest.mark.scans
@pytest.mark.skipif(not SCANS, reason="PARTLINE_SCANS names no folder of real scans")
def test_a_base_hardly_off_level_is_levelled():
    """Reference: the readme beside the files, 1.3 degrees; the base is rough, so to 0.6."""
    pose = proposed(Path(SCANS or "") / "theodoric.ply", up="+y")
    assert pose.proposal.off_deg == pytest.approx(1.3, abs=0.6)
