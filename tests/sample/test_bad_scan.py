"""The bad scan of the ram is what it says, and comes out as the clean ram."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest

from partline.air.pockets import trapped_air
from partline.faces.standing import proposed
from partline.geometry.directions import level_up
from partline.geometry.nearest_faces import nearest_faces
from partline.geometry.rays import build_tree
from partline.job import load_job
from partline.plan import read_scan, stand_up
from partline.progress import silent
from partline.samples import sample
from partline.scan.master import Master
from partline.scan.reading import read_master
from partline.workshop.materials import defaults

FOLDER = Path(__file__).resolve().parents[2] / "sample_meshes"


@pytest.fixture(scope="module", autouse=True)
def _makers():
    sys.path.insert(0, str(FOLDER))
    yield
    sys.path.remove(str(FOLDER))


@pytest.fixture(scope="module")
def clean() -> Master:
    return read_master(sample("ram.ply"), units="mm")


@pytest.fixture(scope="module")
def bad() -> Master:
    return read_scan(load_job(sample("ram_bad.toml")), silent)


def test_how_it_stands_is_found_though_it_is_tilted():
    from bad_scan import TILT_DEG, tilt

    pose = proposed(sample("ram_bad.ply"))
    assert pose.proposal.kind == "open underside"
    off = np.degrees(np.arccos(pose.proposal.up @ tilt()[:, 2]))
    assert off < 0.05
    assert f"tilted {TILT_DEG:.1f}°" in pose.words
    up = load_job(sample("ram_bad.toml")).scan.up
    np.testing.assert_allclose(pose.up, up, atol=1e-5)


def test_what_is_mended_is_what_was_spoiled(bad):
    from bad_scan import HOLES, SPECKS

    assert {repair.kind: repair.count for repair in bad.repairs} == {
        "speck": SPECKS, "open base": 1, "hole": len(HOLES),
    }  # fmt: skip
    assert not bad.warnings


def test_the_interval_holds_the_clean_rams_volume(bad, clean):
    assert bad.volume_low_mm3 < clean.volume_mm3 < bad.volume_high_mm3
    assert bad.volume_high_mm3 - bad.volume_low_mm3 < 0.001 * clean.volume_mm3


def test_it_lies_on_the_clean_ram(bad, clean):
    """Noise of 0.01 mm and thinning; holes and the tilt found to a twentieth of a degree."""
    away, _ = nearest_faces(build_tree(clean.surface), np.array(bad.surface.vertices))
    assert np.median(away) < 0.03
    assert np.percentile(away, 99) < 0.15
    assert away.max() < 0.6
    assert bad.height_mm == pytest.approx(62.0, abs=0.1)


def test_its_job_gives_the_clean_rams_stand_and_air(bad, clean):
    """The same answers, by the bad job and the good one."""
    cavities = []
    for name, master in (("ram_bad.toml", bad), ("ram.toml", clean)):
        job = load_job(sample(name))
        stand = stand_up(job, master, defaults(None), silent)
        pour = trapped_air(stand.cavity, up=level_up("resin"))
        zone = master.from_file(job.zones[0].point)[0]
        cavities.append((stand.cavity.volume_mm3, pour.volume_mm3, stand.feet, zone))
    one, two = cavities
    assert one[0] == pytest.approx(two[0], rel=2e-3)
    assert one[1] == pytest.approx(two[1], rel=0.1)
    assert one[2] == two[2] == 1
    np.testing.assert_allclose(one[3], two[3], atol=0.1)


def test_it_is_made_again_as_it_is(tmp_path):
    from make_samples import main, read_ply

    assert main(["ram_bad", "--folder", str(tmp_path)]) == 0
    made, kept = (read_ply(folder / "ram_bad.ply") for folder in (tmp_path, FOLDER))
    assert len(made[1]) == pytest.approx(len(kept[1]), abs=50)
    np.testing.assert_allclose(made[0].min(axis=0), kept[0].min(axis=0), atol=0.02)
