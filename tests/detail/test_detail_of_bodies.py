"""Detail where a sculptor sees it: on the sample ram and on real scans."""

import json
import os
import time
from pathlib import Path

import numpy as np
import pytest
import trimesh
from scipy.spatial import cKDTree

from partline.detail.relief import detail_map
from partline.geometry.surface import Surface

SAMPLES = Path(__file__).parents[2] / "sample_meshes"


def _scan(name: str, height_mm: float) -> Surface:
    folder = os.environ.get("PARTLINE_SCANS")
    if not folder:
        pytest.skip("PARTLINE_SCANS does not name the folder of real scans")
    path = Path(folder) / name
    if not path.exists():
        pytest.skip(f"{name} is not in the folder of real scans")
    mesh = trimesh.load(path, process=False)
    mesh.merge_vertices(merge_tex=True, merge_norm=True)
    points = mesh.vertices - mesh.vertices.min(axis=0)
    return Surface(points * height_mm / points[:, 1].max(), mesh.faces)


@pytest.mark.slow
def test_ram_is_plain_behind_its_horns_and_nowhere_near_its_face():
    # The answer built into the sample: a plain band 14 mm wide behind each horn.
    path = SAMPLES / "ram.ply"
    if not path.exists():
        pytest.skip("the sample ram has not been made")
    mesh = trimesh.load(path, process=False)
    truth = json.loads((SAMPLES / "ram_truth.json").read_text())
    surface = Surface(mesh.vertices, mesh.faces)
    found = detail_map(surface)
    for side in ("right", "left"):
        middle = np.array(truth["bands"][side]["points_mm"])
        away, _ = cKDTree(middle).query(surface.vertices)
        z = surface.vertices[:, 2]
        band = (away < 5.0) & (z > 13.0) & (z < middle[:, 2].max() - 4.0)
        assert band.sum() > 1000
        assert found.weight[band].max() < 0.05
    tree = cKDTree(surface.vertices)
    for name in ("eyes", "nostrils", "tuft_tips", "curl_middles"):
        for place in truth[name].values() if isinstance(truth[name], dict) else truth[name]:
            near = tree.query_ball_point(place, 2.5)
            assert found.weight[near].max() > 0.3, name


@pytest.mark.slow
@pytest.mark.scans
def test_eagle_has_detail_in_feathers_beak_and_toes_but_not_in_its_legs():
    # Truth: looked at. Tail and beak and toes against a leg and the side of the plinth.
    surface = _scan("eagle.ply", 70.0)
    begun = time.perf_counter()
    found = detail_map(surface)
    assert time.perf_counter() - begun < 60.0  # a few seconds on a quiet machine
    x, y, z = surface.vertices.T
    leg = (np.abs(y - 13) < 2) & (np.abs(x - 20.5) < 3.5) & (np.abs(z - 20.5) < 3)
    tail = (np.abs(y - 13) < 2) & (x < 20) & (z > 23)
    beak = (y > 60) & (x > x[y > 60].max() - 3)
    plinth = y < 3
    assert leg.sum() > 200
    assert np.median(found.weight[leg]) < 0.1
    assert np.median(found.weight[plinth]) == 0
    assert np.median(found.weight[tail]) > 0.5
    assert np.percentile(found.weight[beak], 90) > 0.5
    assert found.zones[0].area_mm2 > 1000


@pytest.mark.slow
@pytest.mark.scans
def test_skull_has_detail_in_its_teeth_but_not_on_its_dome():
    surface = _scan("skull.obj", 70.0)
    found = detail_map(surface)
    dome = surface.vertices[:, 1] > 52
    assert np.percentile(found.weight[dome], 99) < 0.02
    face = found.weight[surface.vertices[:, 1] < 40]
    assert (face > 0.5).mean() > 0.1
    assert any("noise" in words for words in found.words)
