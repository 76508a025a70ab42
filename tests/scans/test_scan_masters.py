"""Real scans become masters, or are refused in words; nobody of this project made them."""

from __future__ import annotations

import json
import os
from pathlib import Path

import numpy as np
import pytest
from manifold3d import Error, Manifold, Mesh

from partline.errors import NotSolid
from partline.geometry.nearest_faces import nearest_faces
from partline.geometry.rays import build_tree
from partline.geometry.volume import is_closed
from partline.scan.diagnosing import diagnose
from partline.scan.files import read_file
from partline.scan.reading import read_master
from partline.scan.rebuilding import Rebuild

FOLDER = os.environ.get("PARTLINE_SCANS")
pytestmark = [
    pytest.mark.scans,
    pytest.mark.skipif(not FOLDER, reason="PARTLINE_SCANS names no folder of real scans"),
]
Z_UP = {"goblet.stl", "owl_scan.ply"}
# What must be mended in each, nothing more and nothing less.
REPAIRS: dict[str, list[str]] = {
    "eagle.ply": [],
    "koala.obj": [],
    "skull.obj": [],
    "boot.obj": [],
    "goblet.stl": [],
    "celtic_skull_flatbase.ply": [],
    "pan.ply.xz": [],
    "dancing_girl.stl": ["speck"],
    "bust_man_wreath.stl": ["folded", "crowded edge"],
    "hannya_mask.ply": ["overlap"],
    "horse_head.ply": ["seam", "uneven base"],
    "owl_scan.ply": ["crowded edge", "open base", "hole"],
    "mountain.obj": ["plinth"],
    "theodoric.ply": ["seam", "folded", "turned", "crowded edge", "speck", "hole"],
}
SLOW = {"pan.ply.xz", "theodoric.ply"}


def path_of(name: str) -> Path:
    path = Path(FOLDER or "") / name
    if not path.exists():
        pytest.skip(f"{name} is not in PARTLINE_SCANS")
    return path


def read(name: str):
    up, front = ("+z", "-y") if name in Z_UP else ("+y", "+z")
    return read_master(path_of(name), height_mm=70.0, up=up, front=front)


@pytest.mark.parametrize(
    "name", [pytest.param(n, marks=pytest.mark.slow) if n in SLOW else n for n in REPAIRS]
)
def test_scans_become_solids(name):
    master = read(name)
    assert [repair.kind for repair in master.repairs] == REPAIRS[name]
    assert is_closed(master.surface)
    assert master.height_mm == pytest.approx(70, rel=1e-12)
    points = master.surface.vertices.astype(np.float32)
    solid = Manifold(Mesh(points, master.surface.faces.astype(np.uint32)))
    assert solid.status() == Error.NoError
    assert solid.volume() == pytest.approx(master.volume_mm3, rel=1e-5)


def test_volumes_of_sound_scans_against_another_library():
    """Reference: the facts beside the files, volumes by trimesh and manifold3d at file size."""
    facts = json.loads(path_of("FACTS.json").read_text())
    checked = 0
    for fact in facts:
        name = fact["name"]
        if name in SLOW or REPAIRS.get(name) != []:
            continue
        master = read(name)
        axis = 2 if name in Z_UP else 1
        scale = 70.0 / fact["extent"][axis]
        assert master.volume_mm3 == pytest.approx(fact["trimesh_volume"] * scale**3, rel=1e-6)
        assert master.sha256 == fact["sha256"]
        assert len(master.surface.faces) == fact["f_raw"]
        checked += 1
    assert checked >= 6


def test_the_faces_keep_their_numbers():
    """The speck of the dancing girl goes; every other face is where the file has it."""
    name = "dancing_girl.stl"
    master = read(name)
    raw = np.frombuffer(path_of(name).read_bytes()[84:], dtype=np.uint8).reshape(-1, 50)
    corners = raw[:, 12:48].copy().view("<f4").reshape(-1, 3, 3).astype(np.float64)
    want = master.from_file(corners[master.file_faces].reshape(-1, 3))
    got = master.surface.vertices[master.surface.faces].reshape(-1, 3)
    np.testing.assert_allclose(got, want, atol=1e-9)
    assert master.repairs[0].count == 1
    assert "12 faces" in master.repairs[0].words


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("black_vase_scan.ply", r"large hole.* mm round, near .* Fill them"),
        ("plane_holes.obj", r"27 holes.* leave .* % of the volume open"),
        ("self_intersect_A.obj", r"334 faces pass through.* counted twice or inside out"),
    ],
)
def test_what_would_be_a_guess_is_refused(name, words):
    up = "+z" if name.startswith("black") else "+y"
    with pytest.raises(NotSolid, match=words) as caught:
        read_master(path_of(name), height_mm=70.0, up=up, front="+x")
    assert name in str(caught.value)
    assert "--rebuild" in str(caught.value)


@pytest.mark.parametrize(
    ("name", "up", "kinds"),
    [
        ("black_vase_scan.ply", "+z", ["crowded edge", "speck", "open base", "rebuilt", "speck"]),
        ("plane_holes.obj", "+y", ["rebuilt"]),
        ("self_intersect_A.obj", "+y", ["rebuilt"]),
    ],
)
def test_what_is_refused_passes_with_a_new_surface_when_asked(name, up, kinds):
    master = read_master(path_of(name), height_mm=70.0, up=up, front="+x", rebuild=Rebuild(1.2))
    assert [repair.kind for repair in master.repairs] == kinds
    assert is_closed(master.surface)
    (made,) = (repair for repair in master.repairs if repair.kind == "rebuilt")
    assert "at cells of 1.2 mm (from the new surface to the scan" in made.words
    assert made.words.count("mm at most") == 2
    # Not blown up to its height again: a tip may be rounded off by about a cell.
    assert 70 - 1.3 < master.height_mm < 70 + 1.3
    assert ("as the new surface is drawn" in master.size_words) == (
        abs(master.height_mm - 70) > 0.05
    )
    # Where the scan is, the new surface lies on it: half of its points within a tenth of a cell.
    raw = read_file(path_of(name)).draft.vertices
    away, _ = nearest_faces(build_tree(master.surface), master.from_file(raw))
    assert np.median(away) < 0.12


def test_an_open_scan_with_another_up_is_refused_and_told_why():
    with pytest.raises(NotSolid, match="state up so that it faces down"):
        read_master(path_of("owl_scan.ply"), height_mm=70.0, up="-z", front="-y")


def test_small_self_intersections_are_told():
    master = read("celtic_skull_flatbase.ply")
    assert "20 faces pass through others" in master.warnings[0]


def test_stored_grids_are_found():
    """The readme beside the files: step 6.1e-5 of the height, horse head 7.3e-5."""
    for name, step in (("eagle.ply", 6.1e-5), ("horse_head.ply", 7.3e-5)):
        health = diagnose(path_of(name), up="+y", front="+z")
        assert health.grid_step / health.size[2] == pytest.approx(step, rel=0.01)


@pytest.mark.parametrize(
    ("name", "cell"),
    [("bust_man_wreath.stl", 1.5), pytest.param("eagle.ply", 2.0, marks=pytest.mark.slow)],
)
def test_a_new_surface_of_a_sound_scan_holds_the_scans_volume(name, cell):
    truth = read(name).volume_mm3
    made = read_master(path_of(name), height_mm=70.0, up="+y", front="+x", rebuild=Rebuild(cell))
    assert made.volume_low_mm3 < truth < made.volume_high_mm3
    assert made.volume_high_mm3 - made.volume_low_mm3 < 0.05 * truth
