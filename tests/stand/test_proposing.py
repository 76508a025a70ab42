"""How a piece stands is found from its shape alone, however it lies in the file."""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest
import trimesh
from manifold3d import Manifold
from scipy.spatial.transform import Rotation
from shapely.geometry import Polygon
from standing import master_of

from partline.faces.standing import proposed
from partline.geometry.solids import area, to_solid
from partline.geometry.surface import Surface
from partline.samples import sample
from partline.stand.placing import place
from partline.stand.proposing import off_base, propose_stand, touching

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
    assert found[4].kind == "feet"
    assert found[4].is_flat
    assert found[4].words() == "It stands on 4 feet, together 8 % of its outline."
    # Set down level, or on its top, it is well stood; leaning by 20 degrees it is not.
    assert off_base(surface(table)) is None
    leaning = table.copy()
    leaning.apply_transform(trimesh.transformations.rotation_matrix(np.radians(20), (1, 0, 0)))
    found = off_base(surface(leaning))
    assert found.off_deg == pytest.approx(20.0, abs=1e-6)
    assert found.feet == 4


def on_paws() -> trimesh.Trimesh:
    """A body on four feet with toes that rise forward: on average the soles look backward."""
    parts = [trimesh.creation.box((44, 130, 40)).apply_translation((0, 0, 60))]
    for x in (-14.0, 14.0):
        for y in (-45.0, 45.0):
            sole = [(y - 6, 0), (y + 6, 0), (y + 6, 60), (y - 6, 60)]
            if y < 0:
                # The toes curve up from the floor to 20 degrees over 5 mm.
                turn = np.linspace(0.0, np.radians(20.0), 12)
                sole = [(y - 6 - 15 * np.sin(a), 15 * (1 - np.cos(a))) for a in turn[::-1]]
                sole += [(y + 6, 0), (y + 6, 60), (y - 6 - 15 * np.sin(turn[-1]), 60)]
            paw = trimesh.creation.extrude_polygon(Polygon(sole), 10.0)
            # The outline lies in y and z; it is as thick as the foot is wide.
            axes = np.array([[0, 0, 1, x - 5], [1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 0, 1]], float)
            parts.append(paw.apply_transform(axes))
    return trimesh.boolean.union(parts, engine="manifold")


@pytest.mark.parametrize("turn", [(0, 0, 0), (12, -7, 0)])
def test_feet_with_round_toes_stand_on_all_their_soles(turn):
    paws = on_paws()
    way = Rotation.from_euler("xyz", turn, degrees=True).as_matrix()
    best = propose_stand(Surface(paws.vertices @ way.T, paws.faces))[0]
    assert best.feet == 4
    assert angle(best.up, way[:, 2]) < 1e-5
    # So stood, the foot block holds every foot.
    stand = place(master_of(to_solid(surface(paws))))
    assert stand.feet == 4


@pytest.mark.parametrize("radius", [0.8, 2.0])
def test_of_a_table_top_and_its_legs_the_stated_up_decides(radius):
    # Thin legs together bear on 0.7 % of its outline, the top on all of it.
    legs = [
        trimesh.creation.cylinder(radius, 40).apply_translation((x, y, 0))
        for x in (-25, 25)
        for y in (-15, 15)
    ]
    top = trimesh.creation.box((60, 40, 6)).apply_translation((0, 0, 22))
    table = surface(trimesh.boolean.union([*legs, top], engine="manifold"))
    for up in ((0, 0, 1), (0.3, 0, 1), (0, 0, -1)):
        assert angle(propose_stand(table, up=up)[0].up, (0, 0, np.sign(up[2]))) < 1e-6
    assert propose_stand(table)[0].feet == 4
    # What is neither way up is laid on the larger.
    assert angle(propose_stand(table, up=(0, 1, 0))[0].up, (0, 0, -1)) < 1e-6


def stool(lengths, places, seat=60.0, radius=4.0) -> trimesh.Trimesh:
    """A seat 8 thick, a ball on it, over legs: its edge is the largest flat there is."""
    top = trimesh.creation.box((seat, seat, 8)).apply_translation((0, 0, 4))
    ball = trimesh.creation.icosphere(3, radius=18).apply_translation((0, 0, 20))
    legs = [
        trimesh.creation.cylinder(radius, length + 2).apply_translation((x, y, 1 - length / 2))
        for length, (x, y) in zip(lengths, places, strict=True)
    ]
    return trimesh.boolean.union([top, ball, *legs], engine="manifold")


SQUARE = [(-24, -24), (24, -24), (24, 24), (-24, 24)]
TRIANGLE = [(-24, -20), (24, -20), (0, 24)]


@pytest.mark.parametrize("is_said", [False, True])
def test_what_stands_well_as_stated_stays_whatever_larger_sides_it_has(is_said):
    pieces = {
        "four feet": stool([40] * 4, SQUARE),
        "one leg short": stool([40, 40, 40, 36], SQUARE),
        "slab": trimesh.creation.box((30, 12, 45)),
        "plate": trimesh.creation.box((2, 3, 4)),
        "obelisk": trimesh.creation.cone(1, 80, sections=4).apply_scale((11, 11, 1)),
    }
    for name, mesh in pieces.items():
        for lean in (0.0, 2.0):
            way = Rotation.from_euler("x", lean, degrees=True).as_matrix()
            best = propose_stand(Surface(mesh.vertices @ way.T, mesh.faces), is_said=is_said)[0]
            assert angle(best.up, way[:, 2]) < 1e-5, name
            assert best.off_deg == pytest.approx(lean, abs=1e-5)
            assert best.is_flat, name
    feet = propose_stand(surface(pieces["four feet"]), is_said=is_said)[0]
    assert feet.words() == "It stands on 4 feet, together 6 % of its outline."
    assert off_base(surface(pieces["obelisk"])) is None


def test_what_falls_over_at_a_touch_does_not_stand_well():
    # 40 tall on an edge of 1: it is tipped over by 1.4 degrees.
    plate = surface(trimesh.creation.box((30, 1, 40)))
    best = propose_stand(plate)[0]
    assert angle(best.up, (0, 1, 0)) < 1e-5 or angle(best.up, (0, -1, 0)) < 1e-5


def test_level_feet_are_found_however_they_lie_by_what_they_stand_around():
    mesh = stool([40] * 4, SQUARE)
    for seed in range(4):
        way = Rotation.random(rng=np.random.default_rng(seed)).as_matrix()
        best = propose_stand(Surface(mesh.vertices @ way.T, mesh.faces), is_said=False)[0]
        assert angle(best.up, way[:, 2]) < 1e-5
        assert (best.kind, best.feet) == ("feet", 4)


def lowest_plane(lengths, places, radius) -> np.ndarray:
    """Upward normal of the plane under three round legs, by moving each touching rim point."""
    up = np.array([0.0, 0.0, 1.0])
    for _ in range(50):
        flat = -up[:2] / max(1e-12, float(np.linalg.norm(up[:2])))
        feet = np.array([
            (x + radius * flat[0], y + radius * flat[1], -length)
            for length, (x, y) in zip(lengths, places, strict=True)
        ])  # fmt: skip
        up = np.cross(feet[1] - feet[0], feet[2] - feet[0])
        up /= np.linalg.norm(up)
    return up


def test_legs_of_unequal_length_stand_on_the_plane_through_them(tmp_path):
    lengths = [40, 34, 28]
    mesh, plane = stool(lengths, TRIANGLE), lowest_plane(lengths, TRIANGLE, 4.0)
    natural = angle(plane, (0, 0, 1))
    assert natural == pytest.approx(13.5, abs=0.5)
    one = surface(mesh)
    # Somebody says what is up: the three legs come before the edge of the seat.
    best = propose_stand(one)[0]
    assert (best.kind, best.feet) == ("feet", 3)
    assert angle(best.up, plane) < 1.0  # the legs are polygons
    assert touching(one, (0, 0, 1)) == 1
    assert off_base(one).up == pytest.approx(best.up)
    # Said so, it stands.
    np.testing.assert_allclose(propose_stand(one, up=best.up)[0].up, best.up, atol=1e-9)
    mesh.export(tmp_path / "tri.stl")
    said = proposed(tmp_path / "tri.stl", up="+z").words
    assert "It has 3 feet, on which it would stand with up [" in said
    assert f"as stated it is {best.off_deg:.1f}° off that and touches the floor with one" in said
    # Nobody says it: it is laid on the edge, the feet are named, and it is asked.
    unsaid = proposed(tmp_path / "tri.stl")
    assert unsaid.proposal.kind == "flat base"
    assert "It would also stand on 3 feet with up [" in unsaid.words
    assert "Is that how it stands?" in unsaid.words


def beast(lengths) -> trimesh.Trimesh:
    """A long round body with a head, on four legs."""
    body = trimesh.creation.icosphere(4, radius=1).apply_scale((30, 14, 14))
    head = trimesh.creation.icosphere(3, radius=11).apply_translation((34, 0, 15))
    legs = [
        trimesh.creation.cylinder(5, length).apply_translation((x, y, -4 - length / 2))
        for length, (x, y) in zip(lengths, [(18, 8), (18, -8), (-18, 8), (-18, -8)], strict=True)
    ]
    return trimesh.boolean.union([body, head, *legs], engine="manifold")


@pytest.mark.parametrize("is_said", [False, True])
def test_a_beast_with_one_leg_short_stands_on_the_other_three(is_said):
    best = propose_stand(surface(beast([36, 36, 33, 30])), is_said=is_said)[0]
    assert (best.kind, best.feet) == ("feet", 3)
    # Two legs of 36 at the front, 36 mm before one of 33: a plane tilted by their difference.
    assert best.off_deg == pytest.approx(np.degrees(np.arctan2(3, 36)), abs=0.3)
    assert best.is_stable


@pytest.mark.parametrize("is_said", [False, True])
def test_a_curved_skin_is_no_flat_base(is_said):
    ball = trimesh.creation.icosphere(5, radius=20)
    x, y, _ = ball.vertices.T
    lump = ball.vertices * (1 + 0.15 * np.sin(x / 3) + 0.1 * np.cos(y / 4))[:, None]
    log = trimesh.creation.cylinder(10, 40, sections=512)
    log.apply_transform(trimesh.transformations.rotation_matrix(np.pi / 2, (1, 0, 0)))
    dome = trimesh.creation.icosphere(5, radius=1).apply_scale((40, 40, 5))
    for one in (Surface(lump, ball.faces), surface(dome)):
        best = propose_stand(one, is_said=is_said)[0]
        assert best.kind in ("curved", "none")
        assert not best.is_flat
        assert best.cut_share > 0
    # A log as it lies touches with 15 % of its outline and has its flats at its ends.
    assert propose_stand(surface(log), is_said=False)[0].off_deg == pytest.approx(90.0)
    lying = propose_stand(surface(dome))[0]
    assert lying.kind == "curved"
    assert lying.words().startswith("It has no flat base but rests on a curved place; ")


def test_three_points_by_chance_are_no_feet_where_nobody_says_what_is_up():
    mesh = stool([40, 34, 28], TRIANGLE)
    up = propose_stand(surface(mesh))[0].up
    turn = trimesh.geometry.align_vectors(up, (0, 0, 1))[:3, :3]
    level = Surface(mesh.vertices @ turn.T, mesh.faces)
    assert propose_stand(level, is_said=True)[0].feet == 3
    assert propose_stand(level, is_said=False)[0].feet == 1


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


def rocker() -> trimesh.Trimesh:
    """Three balls of unlike size: it has no flat anywhere and lies steady on all three."""
    balls = [
        trimesh.creation.icosphere(4, radius).apply_translation(place)
        for radius, place in ((5, (0, 0, 0)), (4, (30, 0, 0)), (4.5, (12, 26, 0)))
    ]
    plate = (
        trimesh.creation.icosphere(4, 1.0).apply_scale((15, 13, 3)).apply_translation((14, 9, 0))
    )
    return trimesh.boolean.union([*balls, plate], engine="manifold")


def test_what_nothing_says_is_laid_as_it_lies_steadiest_and_asked():
    mesh = rocker()
    turn = Rotation.random(rng=np.random.default_rng(3)).as_matrix()
    one = Surface(mesh.vertices @ turn.T, mesh.faces)
    best = propose_stand(one, is_said=False)[0]
    assert best.kind == "rest"
    assert angle(turn.T @ best.up, np.sign((turn.T @ best.up)[2]) * np.array([0, 0, 1])) < 3
    assert best.tip_deg > 50
    assert f"must be tipped {best.tip_deg:.0f}°" in best.words()
    # Where somebody says what is up, it stays up.
    assert propose_stand(one, up=turn[:, 0])[0].kind != "rest"
    np.testing.assert_allclose(propose_stand(one, up=turn[:, 0])[0].up, turn[:, 0], atol=0.3)


def test_how_far_it_must_be_tipped_is_that_of_a_box():
    """Closed form: a box falls over its longer edge at the angle whose tangent is depth/height."""
    for way in propose_stand(surface(trimesh.creation.box((20, 10, 30)))):
        depth, tall = {0: (10, 20), 1: (20, 10), 2: (10, 30)}[int(np.argmax(np.abs(way.up)))]
        assert way.tip_deg == pytest.approx(np.degrees(np.arctan2(depth, tall)))


def test_the_words_say_what_is_a_default_and_ask(tmp_path):
    aslant = rocker()
    aslant.apply_transform(trimesh.transformations.rotation_matrix(np.radians(50), (1, 0.2, 0)))
    aslant.export(tmp_path / "rocker.stl")
    trimesh.creation.icosphere(4, radius=10).export(tmp_path / "ball.stl")
    rest, ball = (proposed(tmp_path / f"{name}.stl") for name in ("rocker", "ball"))
    assert rest.proposal.kind == "rest"
    assert "Is that how it stands?" in rest.words
    assert "Up in the file is +z, a default, as nothing says it." in ball.words
    assert "Is that how it stands?" in ball.words
    told = proposed(tmp_path / "ball.stl", up="+x")
    assert told.words.endswith("Up in the file is +x, as stated.")


def test_a_stated_up_is_kept_and_a_base_off_it_is_named(tmp_path):
    cone = trimesh.creation.cone(radius=10, height=30)
    cone.apply_transform(trimesh.transformations.rotation_matrix(np.radians(25), (1, 0, 0)))
    cone.export(tmp_path / "cone.ply")
    plain = proposed(tmp_path / "cone.ply")
    assert plain.to_dict()["off_deg"] == pytest.approx(25.0, abs=1e-3)
    assert "tilted 25.0° in the file" in plain.words
    stated = proposed(tmp_path / "cone.ply", up="+z")
    assert stated.up == "+z"
    assert "as stated it is 25.0° off that. Up in the file is +z, as stated." in stated.words
    assert stated.to_dict()["off_deg"] == pytest.approx(25.0, abs=1e-3)
    np.testing.assert_allclose(stated.to_dict()["best_up"], plain.up, atol=1e-4)
    # What the words print is read again.
    shown = plain.words.split("Up in the file is ")[1].rstrip(".")
    again = proposed(tmp_path / "cone.ply", up=shown)
    assert again.words.startswith("It stands on a flat base of 100 % of its outline. Up")


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
