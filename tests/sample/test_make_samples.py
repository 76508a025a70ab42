"""The committed samples are what their formulas and the truth beside them say."""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path

import manifold3d
import numpy as np
import pytest
from scipy.spatial import cKDTree

from partline.air.cavity import Cavity
from partline.air.pockets import trapped_air
from partline.geometry.surface import Surface
from partline.geometry.volume import is_closed, volume

FOLDER = Path(__file__).resolve().parents[2] / "sample_meshes"


@pytest.fixture(scope="module", autouse=True)
def _makers():
    sys.path.insert(0, str(FOLDER))
    yield
    sys.path.remove(str(FOLDER))


def read_ply(path: Path) -> Surface:
    """The samples' own kind of PLY, read without the product's reader."""
    raw = path.read_bytes()
    head, _, rest = raw.partition(b"end_header\n")
    counts = [int(line.split()[-1]) for line in head.splitlines() if line.startswith(b"element")]
    points = np.frombuffer(rest, "<f4", 3 * counts[0]).reshape(-1, 3)
    table = np.frombuffer(
        rest, [("count", "u1"), ("corners", "<i4", 3)], counts[1], offset=12 * counts[0]
    )
    assert (table["count"] == 3).all()
    assert len(rest) == 12 * counts[0] + 13 * counts[1]
    return Surface(points, table["corners"])


@pytest.fixture(scope="module")
def ram() -> Surface:
    return read_ply(FOLDER / "ram.ply")


@pytest.fixture(scope="module")
def truth() -> dict:
    return json.loads((FOLDER / "ram_truth.json").read_text(encoding="utf-8"))


def euler(surface: Surface) -> int:
    return len(surface.vertices) - len(surface.edges) + len(surface.faces)


def as_manifold(surface: Surface) -> manifold3d.Manifold:
    mesh = manifold3d.Mesh(surface.vertices.astype(np.float32), surface.faces.astype(np.uint32))
    return manifold3d.Manifold(mesh)


def shapeliness(surface: Surface) -> np.ndarray:
    """4 sqrt(3) area / sum of squared edges: 1 for equal sides, 0 for a sliver.

    Source: Bhatia and Lawrence 1990, "Two-dimensional finite element mesh generation based on
    stripwise automatic triangulation" (from memory).
    """
    corners = surface.vertices[surface.faces]
    squares = ((corners - np.roll(corners, -1, axis=1)) ** 2).sum(axis=(1, 2))
    return 4 * np.sqrt(3) * surface.face_areas / squares


@pytest.mark.parametrize("name", ["ram", "tile", "pull"])
def test_every_sample_is_one_closed_shell_standing_on_the_floor(name):
    surface = read_ply(FOLDER / f"{name}.ply")
    assert is_closed(surface)
    assert volume(surface) > 0
    assert surface.bounds[0, 2] == 0.0
    solid = as_manifold(surface)
    assert solid.status() == manifold3d.Error.NoError
    assert len(solid.decompose()) == 1
    assert solid.volume() == pytest.approx(volume(surface), rel=1e-4)


def test_all_of_them_are_small_enough_to_keep():
    assert sum(p.stat().st_size for p in FOLDER.iterdir() if p.is_file()) < 6e6


def test_ram_has_its_size_its_two_loops_and_good_triangles(ram):
    # Euler-Poincare: V - E + F = 2 - 2 genus; two horns that touch the cheeks make genus 2
    assert euler(ram) == -2
    assert 100_000 <= len(ram.faces) <= 130_000
    assert ram.extents[2] == pytest.approx(62.0, abs=1e-3)
    collar = ram.vertices[ram.vertices[:, 2] < 8.0]
    assert 2 * np.hypot(collar[:, 0], collar[:, 1]).max() == pytest.approx(38.0, abs=0.05)
    assert shapeliness(ram).min() > 0.2
    assert np.percentile(shapeliness(ram), 1) > 0.6


def test_base_of_the_ram_is_a_flat_disc_with_a_sharp_rim(ram):
    low = ram.face_normals[:, 2] < -0.999
    base = low & (ram.vertices[ram.faces][:, :, 2] == 0).all(axis=1)
    # a disc of 36 mm, less what a polygon of about 0.5 mm sides loses
    assert ram.face_areas[base].sum() == pytest.approx(np.pi * 18.0**2, rel=1e-3)


def on(surface: Surface, points: np.ndarray) -> np.ndarray:
    """Distance from points to the plane of the nearest of a dozen faces round each [mm]."""
    corners = surface.vertices[surface.faces]
    near = cKDTree(corners.mean(axis=1))
    _, faces = near.query(points, k=12)
    normals = surface.face_normals[faces]
    offsets = points[:, None] - corners[faces][:, :, 0]
    plane = np.abs(np.einsum("ijk,ijk->ij", offsets, normals))
    return plane.min(axis=1)


def lines(truth: dict, kind: str) -> list[np.ndarray]:
    return [np.array(truth[kind][side]["points_mm"]) for side in ("right", "left")]


def test_truth_lies_on_the_surface(ram, truth):
    points = [line for kind in ("bands", "decoys") for line in lines(truth, kind)]
    for name in ("horn_tips", "ear_tips", "eyes", "nostrils"):
        points.append(np.array(list(truth[name].values())))
    points.append(np.array(truth["beard_tips"] + truth["tuft_tips"] + truth["curl_middles"]))
    points.append(np.array([truth["tassel_end"], truth["chin_hollow"]["top"]]))
    places = np.vstack(points)
    assert on(ram, places).max() < 0.3
    assert cKDTree(ram.vertices).query(places)[0].max() < 0.5


def test_bands_are_plain_skin_seven_millimetres_either_way(ram, truth):
    """A quadric fits the skin round the line; it does not fit the curls (common practice)."""
    for line in lines(truth, "bands"):
        residuals = [rough(ram, place, 3.0) for place in line[10:-16:8]]
        assert max(residuals) < 0.05
    curls = np.array(truth["curl_middles"])
    assert min(rough(ram, place, 3.0) for place in curls) > 0.1


def rough(surface: Surface, place: np.ndarray, radius: float) -> float:
    """Root mean square distance of the skin within `radius` from its best quadric [mm]."""
    index = np.flatnonzero(np.linalg.norm(surface.vertices - place, axis=1) < radius)
    index = index[surface.vertex_normals[index] @ surface.vertex_normals[index].mean(axis=0) > 0.3]
    local = surface.vertices[index] - place
    axes = np.linalg.svd(local - local.mean(axis=0))[2]
    u, v, w = (local @ axes.T).T
    terms = np.column_stack([np.ones_like(u), u, v, u * u, u * v, v * v])
    fit = np.linalg.lstsq(terms, w, rcond=None)[0]
    return float(np.sqrt(np.mean((w - terms @ fit) ** 2)))


def test_bands_clear_all_detail_by_seven_and_the_decoy_does_not(ram, truth):
    from ram_truth import is_detail

    tree = cKDTree(ram.vertices[is_detail(ram.vertices)])
    for line in lines(truth, "bands"):
        assert tree.query(line)[0].min() >= 7.0
    tufts = np.array(truth["tuft_tips"])
    for line in lines(truth, "decoys"):
        assert tree.query(line)[0].min() < 3.1
        assert cKDTree(line).query(tufts)[0].min() < 5.0


def test_decoy_is_shorter_than_the_band_and_three_from_the_tufts(ram, truth):
    from ram_truth import on_forelock

    tufts = cKDTree(ram.vertices[on_forelock(ram.vertices)])
    for band, decoy in zip(lines(truth, "bands"), lines(truth, "decoys"), strict=True):
        length = [np.linalg.norm(np.diff(k, axis=0), axis=1).sum() for k in (band, decoy)]
        assert length[1] < length[0] - 0.5
        assert tufts.query(decoy)[0].min() == pytest.approx(3.0, abs=0.3)


def test_tile_is_one_height_over_every_point():
    tile = read_ply(FOLDER / "tile.ply")
    assert euler(tile) == 2
    assert 20_000 <= len(tile.faces) <= 60_000
    assert tile.extents == pytest.approx([80.0, 80.0, 14.0], abs=1e-3)
    back = (tile.vertices[tile.faces][:, :, 2] == 0).all(axis=1)
    assert tile.face_areas[back].sum() == pytest.approx(80.0 * 80.0, rel=1e-6)
    # no face but the back's looks down or stands upright: at least 5 degrees of draft
    assert tile.face_normals[~back, 2].min() > np.sin(np.radians(5.0))
    # such a surface covers its own shadow exactly once
    shadow = (tile.face_areas * tile.face_normals[:, 2])[~back].sum()
    assert shadow == pytest.approx(80.0 * 80.0, rel=1e-6)


def test_pull_has_the_volume_of_its_formula():
    from pull_shape import exact_volume, faceted_volume, height

    pull = read_ply(FOLDER / "pull.ply")
    assert euler(pull) == 2
    assert pull.extents[2] == pytest.approx(height(), abs=1e-5)
    assert volume(pull) == pytest.approx(faceted_volume(), rel=1e-5)
    # chords lie inside the round shape, so the mesh holds less: by under 0.1 %
    assert 0.999 * exact_volume() < volume(pull) < exact_volume()


def test_formula_of_the_pull_against_slices():
    """Composite Simpson rule over pi r^2 dz (any calculus text)."""
    from pull_shape import BEAD, FLARE, FOOT, KNOB, exact_volume

    def simpson(radius, low, high):
        z = np.linspace(low, high, 2001)
        area = np.pi * radius(z) ** 2
        h = z[1] - z[0]
        return h / 3 * (area[0] + area[-1] + 4 * area[1:-1:2].sum() + 2 * area[2:-1:2].sum())

    a, t = BEAD
    ball = (KNOB[0] ** 2 + KNOB[1] ** 2) / (2 * KNOB[1])
    centre = KNOB[1] - ball
    total = simpson(lambda z: FOOT[0] + (FOOT[1] - FOOT[0]) * z / FOOT[2], 0, FOOT[2])
    total += simpson(lambda z: a + np.sqrt(np.maximum(t * t - z * z, 0)), -t, t)
    total += simpson(lambda z: FLARE[0] + (FLARE[1] - FLARE[0]) * z / FLARE[2], 0, FLARE[2])
    total += simpson(lambda z: np.sqrt(np.maximum(ball**2 - (z - centre) ** 2, 0)), 0, KNOB[1])
    assert exact_volume() == pytest.approx(total, rel=1e-5)


@pytest.mark.parametrize("name", ["pull", "tile"])
def test_samples_are_made_again_as_they_are(name, tmp_path):
    from make_samples import main

    assert main([name, "--folder", str(tmp_path)]) == 0
    made, kept = read_ply(tmp_path / f"{name}.ply"), read_ply(FOLDER / f"{name}.ply")
    assert (made.faces == kept.faces).all()
    assert np.abs(made.vertices - kept.vertices).max() <= 1.1e-4  # one step of the rounding
    if name == "pull":
        assert (tmp_path / "pull.ply").read_bytes() == (FOLDER / "pull.ply").read_bytes()


@pytest.mark.slow
@pytest.mark.skipif("PARTLINE_LONG" not in os.environ, reason="half a minute: in the long form")
def test_ram_is_made_again_with_the_same_volume(ram, tmp_path):
    from make_samples import main

    assert main(["ram", "--folder", str(tmp_path)]) == 0
    made = read_ply(tmp_path / "ram.ply")
    assert euler(made) == -2
    assert volume(made) == pytest.approx(volume(ram), rel=1e-5)


def test_chin_hollow_is_closed_above_and_open_below(ram, truth):
    """A ray up from inside the hollow meets the chin; one down meets nothing before the collar."""
    top = np.array(truth["chin_hollow"]["top"])
    corners = ram.vertices[ram.faces]
    for sign in (1, -1):
        start = top - [0, 0, 1.0]
        heights = crossings(corners, start)
        along = np.sort((heights - start[2])[sign * (heights - start[2]) > 0] * sign)
        assert along[0] == pytest.approx(1.0, abs=0.2) if sign > 0 else along[0] > 8.0


def test_air_under_the_chin_against_a_flooded_grid(ram, truth):
    """Two ways to one number: the exact pocket, and cells of 0.2 mm (design of the sample)."""
    box = manifold3d.Manifold.cube((70, 70, 75)).translate((-35, -35, 0))
    stub = manifold3d.Manifold.cylinder(2, 17.5, 17.5, 64).translate((0, 0, -1))
    mesh = (box - as_manifold(ram) - stub).to_mesh()
    rubber = Surface(mesh.vert_properties[:, :3], mesh.tri_verts)
    outlets = np.flatnonzero(rubber.vertices[:, 2] > 74.9)
    air = trapped_air(Cavity(rubber, outlets=outlets), up=(0, 0, 1))
    chin = max(air.pockets, key=lambda pocket: pocket.volume_mm3)
    hollow = truth["chin_hollow"]
    assert np.linalg.norm(np.array(chin.apex) - hollow["top"]) < 0.5
    assert chin.volume_mm3 == pytest.approx(hollow["holds_mm3"], rel=0.06)
    assert chin.spill_level_mm == pytest.approx(hollow["spill_level_mm"], abs=0.25)


def crossings(corners: np.ndarray, start: np.ndarray) -> np.ndarray:
    """Heights at which the upright line through `start` crosses the triangles [mm]."""
    a, b, c = (corners[:, k] - start for k in range(3))

    def turn(p, q):
        return p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0]

    weights = np.column_stack([turn(b, c), turn(c, a), turn(a, b)])
    hit = (weights > 0).all(axis=1) | (weights < 0).all(axis=1)
    share = weights[hit] / weights[hit].sum(axis=1, keepdims=True)
    return np.einsum("ij,ij->i", share, corners[hit][:, :, 2])


def test_bad_name_is_refused(capsys):
    from make_samples import main

    with pytest.raises(SystemExit) as stop:
        main(["rma"])
    assert stop.value.code == 2
    assert "unknown sample rma" in capsys.readouterr().err
