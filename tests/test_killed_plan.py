"""The whole command killed at any moment, over and over: every file is the old or the new one.

With `PARTLINE_KILLS=20`, which sets how often; some minutes. In short `test_leftovers` kills what
writes the plan itself.
"""

from __future__ import annotations

import os
import random
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from partline.leftovers import is_leftover
from partline.planfile import open_plan
from partline.samples import sample

KILLS = int(os.environ.get("PARTLINE_KILLS", "0"))
COMMAND = [sys.executable, "-c", "from partline.faces.cli import run; run()", "plan"]


def started(job: Path, home: Path) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [*COMMAND, str(job), "-o", str(home)], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )


def planned(job: Path, home: Path) -> dict[str, bytes]:
    assert started(job, home).wait() == 0
    return contents(home)


def contents(home: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in home.iterdir()}


@pytest.mark.slow
@pytest.mark.screen
@pytest.mark.skipif(KILLS == 0, reason="PARTLINE_KILLS is not set")
def test_killed_at_any_moment_every_file_is_the_old_or_the_new_one(tmp_path: Path) -> None:
    for name in ("pull.toml", "pull.ply"):
        shutil.copy(sample(name), tmp_path / name)
    job, home = tmp_path / "pull.toml", tmp_path / "plan"
    first = planned(job, home)
    job.write_text(job.read_text().replace('name = "', 'name = "Another '))
    begun = time.monotonic()
    second = planned(job, tmp_path / "other")
    whole_s = time.monotonic() - begun
    assert first["plan.json"] != second["plan.json"]
    chance = random.Random(11)
    names: set[str] = set()
    for _ in range(KILLS):
        running = started(job, home)
        time.sleep(chance.uniform(0.0, 1.1) * whole_s)
        running.send_signal(signal.SIGKILL)
        running.wait()
        names.add(open_plan(home).job.name)
        for name, data in contents(home).items():
            assert is_leftover(name) or data in (first.get(name), second.get(name)), name
    print(f"\n{KILLS} kills, plans found: {sorted(names)}")
    assert planned(job, home) == second
