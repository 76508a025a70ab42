"""What was said is kept beside the piece and comes back, but never over a newer job file."""

from __future__ import annotations

import os
import time

from partline.faces.keeping import brought_back, forget, keep, kept_file
from partline.job import Job, ScanPart, write_job
from partline.samples import sample


def _job(scan, height=62.0):
    return Job(name="peg", scan=ScanPart(file=scan, height_mm=height))


def test_kept_beside_a_scan_and_brought_back(tmp_path):
    scan = tmp_path / "a chamois.ply"
    scan.write_text("ply", encoding="utf-8")
    kept = kept_file(scan, tmp_path / "own")
    assert kept.parent == tmp_path
    assert brought_back(scan, kept) is None
    keep(_job(scan), kept)
    back = brought_back(scan, kept)
    assert back is not None
    assert back.scan.height_mm == 62.0
    forget(kept)
    assert brought_back(scan, kept) is None
    forget(kept)


def test_a_newer_job_file_wins_and_another_scan_is_refused(tmp_path):
    scan, other = tmp_path / "a.ply", tmp_path / "b.ply"
    for path in (scan, other):
        path.write_text("ply", encoding="utf-8")
    job = tmp_path / "a.toml"
    job.write_text(write_job(_job(scan), tmp_path), encoding="utf-8")
    kept = kept_file(job, tmp_path / "own")
    keep(_job(scan, 70.0), kept)
    old = time.time() - 60
    os.utime(job, (old, old))
    assert brought_back(job, kept).scan.height_mm == 70.0
    os.utime(kept, (old - 60, old - 60))
    assert brought_back(job, kept) is None
    keep(_job(other), kept)
    assert brought_back(job, kept) is None
    kept.write_text("not a job", encoding="utf-8")
    assert brought_back(job, kept) is None


def test_nothing_is_kept_among_the_samples(tmp_path):
    assert kept_file(sample("ram.toml"), tmp_path).parent == tmp_path


def test_what_is_kept_elsewhere_names_the_scan_that_was_opened_and_no_other(tmp_path):
    """As for a piece whose folder is not to be written in."""
    for name in ("scans", "own", "jobs"):
        (tmp_path / name).mkdir()
    scan = tmp_path / "scans" / "a.ply"
    scan.write_text("ply", encoding="utf-8")
    kept = tmp_path / "own" / "kept.toml"
    keep(_job(scan), kept)
    assert brought_back(scan, kept) is not None
    job = tmp_path / "jobs" / "a.toml"
    job.write_text(write_job(_job(scan), job.parent), encoding="utf-8")
    keep(_job(scan, 70.0), kept)
    os.utime(job, (0, 0))
    assert brought_back(job, kept) is None
    assert brought_back(job, kept, [scan.parent]).scan.height_mm == 70.0
