"""A large scan is worked on in a process of its own, any other here; the answer is the same."""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest

from partline import large_scan
from partline.errors import ScanError
from partline.faces.viewer.work import plan_job, read_any
from partline.job import load_job
from partline.plan import make_plan
from partline.plancodec import encode
from partline.progress import Progress, silent
from partline.samples import sample


def who(given: object, *, progress: Progress) -> tuple[int, object]:
    if not Path(str(given)).is_file():
        raise ScanError(f"There is no {given}.")
    return os.getpid(), given


@pytest.fixture
def all_large(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(large_scan, "LARGE_BYTES", 0)
    monkeypatch.syspath_prepend(str(Path(__file__).parent))
    monkeypatch.setenv("PYTHONPATH", str(Path(__file__).parent), prepend=os.pathsep)


def test_its_size_decides(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    scan = tmp_path / "scan.ply"
    scan.write_bytes(b"x" * 100)
    monkeypatch.setenv("PYTHONPATH", str(Path(__file__).parent), prepend=os.pathsep)
    for most, here in ((101, True), (100, False)):
        monkeypatch.setattr(large_scan, "LARGE_BYTES", most)
        number, given = large_scan.work_on(scan, who, scan, progress=silent)
        assert (number == os.getpid()) is here
        assert given == scan


@pytest.mark.parametrize(("name", "apart"), [("a.ply", False), ("a.ply.xz", True), ("a.3MF", True)])
def test_a_packed_scan_is_larger_than_its_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, apart: bool
) -> None:
    scan = tmp_path / name
    scan.write_bytes(b"x" * 100)
    monkeypatch.setenv("PYTHONPATH", str(Path(__file__).parent), prepend=os.pathsep)
    monkeypatch.setattr(large_scan, "LARGE_BYTES", 400)
    number, _ = large_scan.work_on(scan, who, scan, progress=silent)
    assert (number != os.getpid()) is apart


@pytest.mark.usefixtures("all_large")
def test_one_that_is_not_there_is_said_by_who_reads_it(tmp_path: Path) -> None:
    with pytest.raises(ScanError, match="There is no"):
        large_scan.work_on(tmp_path / "none.ply", who, tmp_path / "none.ply", progress=silent)


@pytest.mark.usefixtures("all_large")
def test_a_plan_made_apart_is_the_plan_made_here() -> None:
    job = load_job(sample("pull.toml"))
    here, apart = make_plan(job), plan_job(job)
    said, arrays = encode(here)
    also_said, other_arrays = encode(apart)
    assert said == also_said
    assert arrays.keys() == other_arrays.keys()
    for name, array in arrays.items():
        np.testing.assert_array_equal(array, other_arrays[name], err_msg=name)
    # What still holds of an earlier plan is the same object again: pictures hang on it.
    resin = job.resin.model_copy(update={"density": 1.5})
    changed = plan_job(job.model_copy(update={"resin": resin}), earlier=apart)
    for name in ("master", "stand", "detail", "cut"):
        assert getattr(changed, name) is getattr(apart, name)
    assert changed.resin.casting_g != apart.resin.casting_g


@pytest.mark.usefixtures("all_large")
def test_a_scan_read_apart_is_the_scan_read_here(monkeypatch: pytest.MonkeyPatch) -> None:
    apart = read_any(sample("tile.ply"))
    monkeypatch.setattr(large_scan, "LARGE_BYTES", 1e9)
    here = read_any(sample("tile.ply"))
    assert (apart.path, apart.up, apart.front) == (here.path, here.up, here.front)
    np.testing.assert_array_equal(apart.master.surface.vertices, here.master.surface.vertices)
    np.testing.assert_array_equal(apart.master.to_pose, here.master.to_pose)
    # Ready for the first picture: nothing is left to the window's own thread.
    assert {"vertex_normals", "bounds"} <= set(apart.master.surface.__dict__)
