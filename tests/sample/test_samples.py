"""Where the samples are found, and what is said when they are not."""

from __future__ import annotations

import pytest

from partline import samples
from partline.errors import PartlineError
from partline.job import load_job


def test_finds_every_sample_with_its_mesh():
    for name in ("ram", "tile", "pull", "ram_bad"):
        job = load_job(samples.sample(f"{name}.toml"))
        assert job.scan.file.is_file()
        assert job.scan.file.name == f"{name}.ply"


def test_ram_job_says_what_the_labels_say():
    job = load_job(samples.sample("ram.toml"))
    assert job.scan.height_mm == 62.0
    assert job.rubber.parts == {"hardener": 10, "rubber": 100}
    assert (job.rubber.by, job.rubber.density, job.rubber.pot_life_min) == ("weight", 1.18, 30.0)
    assert (job.run.good, job.run.yield_share, job.run.life) == (24, 0.85, 20)
    assert job.shelf[0].name == "9 oz cup"


def test_installed_samples_come_before_a_checkout(tmp_path, monkeypatch):
    package = tmp_path / "site" / "partline"
    (package / "sample_meshes").mkdir(parents=True)
    (tmp_path / "site" / "sample_meshes").mkdir()
    monkeypatch.setattr(samples, "__file__", str(package / "samples.py"))
    assert samples.sample_folder() == package / "sample_meshes"


def test_missing_folder_names_both_places(tmp_path, monkeypatch):
    monkeypatch.setattr(samples, "__file__", str(tmp_path / "partline" / "samples.py"))
    with pytest.raises(PartlineError, match=r"no folder .*partline.*sample_meshes, nor"):
        samples.sample_folder()


def test_missing_mesh_says_how_to_make_it(tmp_path, monkeypatch):
    monkeypatch.setattr(samples, "__file__", str(tmp_path / "partline" / "samples.py"))
    (tmp_path / "sample_meshes").mkdir()
    with pytest.raises(PartlineError, match=r"ram\.ply is missing.*make_samples\.py ram"):
        samples.sample("ram.ply")


def test_unknown_name_lists_what_there_is():
    with pytest.raises(PartlineError, match=r"no sample goat\.toml; there are: .*ram\.toml"):
        samples.sample("goat.toml")
