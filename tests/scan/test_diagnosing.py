from __future__ import annotations

import dataclasses
import json

import numpy as np
import pytest

from partline.errors import ScanError, UnitError
from partline.scan.diagnosing import diagnose
from partline.scan.draft import Draft
from partline.scan.rebuilding import Rebuild
from partline.scan.turning import turned


def test_a_sound_cube(saved, cube):
    health = diagnose(saved(cube, "c.stl"), units="mm")
    assert health.is_solid
    assert health.unit == "mm"
    assert health.volume == pytest.approx(64000, rel=1e-6)
    assert health.size == pytest.approx((40, 40, 40))
    assert (health.vertices, health.faces, health.bodies) == (8, 12, 1)
    assert "It can be a master as it is." in health.words


def test_without_a_size_lengths_are_the_files_own(saved, cube):
    health = diagnose(saved(cube.kept(np.arange(12) != 4), "c.ply"))
    assert health.unit == "file units"
    assert health.words[0].startswith("Size: no size stated")
    assert not any(" mm" in words for words in health.words)
    assert health.holes[0].length == pytest.approx(80 + 40 * np.sqrt(2))
    assert not health.is_solid
    assert health.volume is None
    assert "large hole" in health.refusal


def test_seams_between_turned_faces_are_no_holes(saved, ball):
    mask = ball.vertices[ball.faces].mean(axis=1)[:, 0] > 6.0
    health = diagnose(saved(turned(ball, mask), "t.ply"), units="mm")
    assert health.flipped_faces == mask.sum()
    assert health.open_edges == 0
    assert health.holes == ()
    assert "its faces disagree which side is outside." in " ".join(health.words)


def test_a_hole_of_a_scan_inside_out_faces_the_way_it_does(saved, ball):
    bowl = ball.kept(ball.vertices[ball.faces].mean(axis=1)[:, 2] > -6.0).compacted()
    every = np.ones(len(bowl.faces), dtype=bool)
    for k, draft in enumerate((bowl, turned(bowl, every))):
        assert [h.faces for h in diagnose(saved(draft, f"{k}.ply")).holes] == ["down"]


def test_faults_are_told_in_sentences_and_in_json(saved, ball):
    faces = np.vstack([ball.faces[1:], ball.faces[100], [[3, 3, 7]]])
    draft = Draft(ball.vertices, faces, np.arange(len(faces)))
    health = diagnose(saved(draft, "b.ply"), height_mm=60)
    assert health.duplicate_faces == 1
    assert health.degenerate_faces == 1
    assert len(health.holes) == 1
    assert health.is_solid
    text = " ".join(health.words)
    for words in ("Hole", "1 face on the same corners", "1 face naming a corner twice", "mended"):
        assert words in text
    again = json.loads(json.dumps(health.to_dict()))
    assert again["holes"][0]["length"] == health.holes[0].length
    assert again["words"] == list(health.words)


def test_the_volume_of_the_master_to_be_is_told(saved, cube, ball, both):
    """What is counted twice in the file is not; what a hole leaves open is an interval."""
    other = dataclasses.replace(cube, vertices=cube.vertices + np.array([20.0, 3.0, 0.0]))
    health = diagnose(saved(both(cube, other), "two.stl"), units="mm")
    union = 2 * 64_000 - 20 * 37 * 40
    assert health.volume == pytest.approx(128_000, rel=1e-6)
    assert health.master_volume == pytest.approx(union, rel=1e-6)
    assert health.master_volume_low == health.master_volume_high == health.master_volume
    assert "Volume as a master: 98.4 mL, exact for this mesh as mended." in health.words
    middle = ball.vertices[ball.faces].mean(axis=1) / 10
    holed = saved(ball.kept(middle[:, 0] < np.cos(0.15)).compacted(), "hole.stl")
    health = diagnose(holed, units="mm")
    truth = ball.face_volumes().sum()
    assert health.volume is None
    assert health.master_volume_low < truth < health.master_volume_high
    (words,) = (w for w in health.words if w.startswith("Volume as a master: between "))
    low, high = words.split("between ")[1].split(" mL")[0].split(" and ")
    assert float(low) < truth / 1000 < float(high)
    assert {"master_volume", "master_volume_low", "master_volume_high"} <= set(health.to_dict())
    tall = diagnose(holed, height_mm=40.0)
    assert tall.master_volume == pytest.approx(8 * health.master_volume, rel=1e-3)


@pytest.mark.parametrize("over", [False, True], ids=["outward", "one inside out"])
def test_what_mirror_images_share_is_said_whichever_way_they_are_turned(saved, ball, both, over):
    """Balls of radius 10, 15 apart: their union by the lens of two caps of height 2.5."""
    pair = both(ball, dataclasses.replace(ball, vertices=ball.vertices * [-1, 1, 1] + [15.0, 0, 0],
                                          faces=ball.faces[:, ::-1]))  # fmt: skip
    pair = turned(pair, np.arange(len(pair.faces)) >= len(ball.faces)) if over else pair
    health = diagnose(saved(pair, "pair.ply"), units="mm")
    assert (health.nested_bodies, health.overlapping_bodies) == (0, 2)
    assert health.inside_out_bodies == int(over)
    alone = ball.face_volumes().sum()
    assert health.volume == pytest.approx(0 if over else 2 * alone, abs=1e-3)
    exact = 2 * 4 / 3 * np.pi * 1000 - 2 * np.pi * 2.5**2 * (30 - 2.5) / 3
    assert health.master_volume == pytest.approx(exact, rel=0.01)
    text = " ".join(health.words)
    assert "2 bodies passing through another" in text
    assert "inside another" not in text
    own = "0" if over else f"{2 * alone / 1000:.4g}"
    assert f"{own} mL, each body by itself: what they share is counted" in text
    assert ("inside out or hollow is taken off" in text) == over


def test_a_body_all_of_it_inside_another_is_said_and_counted_once(saved, ball, both):
    core = dataclasses.replace(ball, vertices=0.5 * ball.vertices)
    health = diagnose(saved(both(ball, core), "in.ply"), units="mm")
    assert (health.nested_bodies, health.overlapping_bodies) == (1, 0)
    assert health.master_volume == pytest.approx(ball.face_volumes().sum())
    assert "what they share is counted more than once." in " ".join(health.words)


def test_skin_with_two_sides_has_no_volume_but_as_a_master(saved, ball):
    faces = np.vstack([ball.faces, ball.faces[:, ::-1]])
    health = diagnose(saved(Draft(ball.vertices, faces, np.arange(len(faces))), "d.ply"),
                      units="mm")  # fmt: skip
    assert health.volume is None
    assert (health.inside_out_bodies, health.open_edges, health.holes) == (0, 0, ())
    assert health.master_volume == pytest.approx(ball.face_volumes().sum(), rel=1e-6)
    text = " ".join(health.words)
    assert f"{len(ball.faces)} faces that were there twice, front and back, kept once" in text
    assert "No volume is given for the file as it is: faces are there twice." in text
    patch = np.vstack([ball.faces, ball.faces[5:8, ::-1]])
    health = diagnose(saved(Draft(ball.vertices, patch, np.arange(len(patch))), "p.ply"),
                      units="mm")  # fmt: skip
    assert health.holes == ()
    assert health.master_volume_low == health.master_volume_high == health.master_volume


def test_seams_without_width_are_said_and_are_no_holes(saved, ball):
    """Half of a ball has vertices of its own, a rounding off; and three faces are missing."""
    half = ball.vertices[ball.faces].mean(axis=1)[:, 2] > 0
    apart = np.where(half[:, None], ball.faces + len(ball.vertices), ball.faces)
    points = np.vstack([ball.vertices, ball.vertices + 1e-5])
    torn = Draft(points, apart, ball.file_faces).compacted()
    seam = int((torn.table.counts == 1).sum())
    assert seam > 100
    health = diagnose(saved(torn, "seam.ply"), units="mm")
    assert (health.open_edges, health.seam_edges, health.holes) == (seam, seam, ())
    text = " ".join(health.words)
    assert f"[1] {seam} open edges along seams, not round holes: {seam // 2} vertices" in text
    assert "vertices joined across gaps" in text
    assert "Hole" not in text
    far = int(np.argmin(ball.vertices[ball.faces].mean(axis=1)[:, 2]))
    holed = torn.kept(np.arange(len(torn.faces)) != far)
    health = diagnose(saved(holed, "both.ply"), units="mm")
    assert (health.open_edges, health.seam_edges) == (seam + 3, seam)
    assert [hole.edges for hole in health.holes] == [3]


def test_specks_have_their_places(saved, ball, both):
    draft = both(ball, dataclasses.replace(ball, vertices=0.01 * ball.vertices + [14.0, 0, 0]))
    draft = both(draft, dataclasses.replace(ball, vertices=0.008 * ball.vertices + [0, 14.0, 0]))
    health = diagnose(saved(draft, "s.ply"), units="mm")
    assert [mark.words.split(" across")[0] for mark in health.marks] == [
        "Stray speck 0.3 mm", "Stray speck 0.3 mm",
    ]  # fmt: skip
    gap = np.subtract(health.marks[0].place, health.marks[1].place)
    np.testing.assert_allclose(gap, [14, -14, 0], atol=0.01)


def test_what_is_refused_has_no_volume_as_a_master(saved, cube):
    health = diagnose(saved(cube.kept(np.arange(12) != 3), "open.stl"), units="mm", up="+x")
    assert not health.is_solid
    assert health.master_volume is None
    assert not any("as a master:" in w for w in health.words)


def test_what_is_no_mesh_is_an_error(saved, cube):
    with pytest.raises(ScanError):
        diagnose(saved(b"", "e.stl"))
    with pytest.raises(UnitError):
        diagnose(saved(cube, "c.stl"), units="furlong")


def test_nothing_left(saved):
    health = diagnose(saved(b"v 0 0 0\nf 1 1 1\n", "p.obj"))
    assert not health.is_solid
    assert health.degenerate_faces == 1
    assert health.holes == ()


def test_a_sound_file_needs_no_new_surface(saved, ball):
    health = diagnose(saved(ball, "b.ply"), units="mm", rebuild=Rebuild(1.0))
    assert any("needs no new surface" in words for words in health.warnings)
    health = diagnose(saved(ball.kept(ball.faces[:, 0] != 3), "o.ply"), units="mm",
                      rebuild=Rebuild(1.0))  # fmt: skip
    assert not any("needs no new surface" in words for words in health.warnings)
