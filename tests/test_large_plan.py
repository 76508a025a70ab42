"""Five million triangles from scan to sheet: memory, silence, and leaving it; with PARTLINE_LONG.

About a quarter of an hour. `PARTLINE_SPLITS=2` does the same for 1.3 million.
"""

from __future__ import annotations

import os
import resource
import time
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import trimesh
from fast_simplification import simplify

from partline.errors import Cancelled
from partline.faces.planning import plan_into
from partline.job import load_job
from partline.large_scan import work_on
from partline.samples import sample

pytestmark = [
    pytest.mark.slow,
    pytest.mark.screen,
    pytest.mark.skipif(not os.environ.get("PARTLINE_LONG"), reason="PARTLINE_LONG is not set"),
]
# Split thrice that is 5 019 520.
THINNED = 78_430
SPLITS = int(os.environ.get("PARTLINE_SPLITS", "3"))
ASKED = {"log": None, "pictures": True, "show": "mm", "form": "both", "paper": "A4",
         "spelling": "British"}  # fmt: skip
MOST_SILENT_S = 1.0
MOST_BYTES = 6e9


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory):  # type: ignore[no-untyped-def]
    """The ram's job, its scan thinned a little and each triangle split in four, over and over."""
    home = tmp_path_factory.mktemp("large")
    ram = trimesh.load_mesh(sample("ram.ply"))
    vertices, faces = simplify(
        ram.vertices.astype(np.float32), ram.faces.astype(np.int32), target_count=THINNED
    )
    assert len(faces) == THINNED
    for _ in range(SPLITS):
        vertices, faces = trimesh.remesh.subdivide(vertices, faces)
    trimesh.Trimesh(vertices.astype(np.float32), faces, process=False).export(home / "ram.ply")
    text = sample("ram.toml").read_text(encoding="utf-8")
    (home / "ram.toml").write_text(text, encoding="utf-8")
    return load_job(home / "ram.toml")


def test_a_whole_plan_is_heard_of_all_the_time_and_stays_below_its_memory(
    job, tmp_path: Path
) -> None:  # type: ignore[no-untyped-def]
    calls: list[tuple[float, float, str]] = []
    work_on(job.scan.file, plan_into, job, tmp_path / "plan",
            progress=lambda f, w: calls.append((time.monotonic(), f, w)), **ASKED)  # fmt: skip
    moved = [calls[0], *(b for a, b in pairwise(calls) if b[1] > a[1])]
    silent_s, where = max((b[0] - a[0], f"{a[1]:.3f} {a[2]}") for a, b in pairwise(moved))
    most = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss * 1024
    print(f"\n{calls[-1][0] - calls[0][0]:.0f} s, {most / 1e9:.2f} GB, silent {silent_s:.2f} s "
          f"after {where}")  # fmt: skip
    assert silent_s <= MOST_SILENT_S, where
    assert most <= MOST_BYTES


@pytest.mark.parametrize("after_s", [4.0, 12.0, 20.0, 28.0, 36.0, 48.0, 60.0, 80.0])
def test_it_is_left_within_a_second_whenever(job, tmp_path: Path, after_s: float) -> None:  # type: ignore[no-untyped-def]
    begun, left = time.monotonic(), 0.0

    def leaving(_fraction: float, _words: str) -> None:
        nonlocal left
        if time.monotonic() - begun > after_s:
            left = time.monotonic()
            raise Cancelled

    with pytest.raises(Cancelled):
        work_on(job.scan.file, plan_into, job, tmp_path / "plan", progress=leaving, **ASKED)
    assert left - begun < after_s + 1.0, "it had not been heard of"
    assert time.monotonic() - left <= 1.0
    assert not (tmp_path / "plan").exists()
