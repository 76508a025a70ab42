"""A plan stopped by kill -9 leaves the old plan or the new one, whole.

Short by default; `PARTLINE_KILLS=500` sets how often.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from partline.errors import PlanFileError
from partline.leftovers import is_leftover, sweep
from partline.planfile import claim_folder

KILLS = int(os.environ.get("PARTLINE_KILLS", "8"))


@pytest.mark.skipif(not hasattr(os, "fork"), reason="this system cannot fork a process")
def test_killed_in_a_loop_it_leaves_the_old_plan_or_the_new_one(tmp_path: Path) -> None:
    home = tmp_path / "plan"
    script = Path(__file__).with_name("killing.py")
    paths = [str(script.parents[1]), os.environ.get("PYTHONPATH", "")]
    done = subprocess.run(
        [sys.executable, str(script), str(home), str(KILLS)], capture_output=True, text=True,
        env=os.environ | {"PYTHONPATH": os.pathsep.join(paths)}, timeout=60 + 5 * KILLS,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    assert set(told["found"]) <= {"plan 0", "plan 1", "none yet"}
    assert sum(told["found"].values()) == KILLS
    # Nothing half-written is left once a plan has had its turn.
    assert told["left"][-1] == "plan.json"
    assert len(told["left"]) == 2


def test_only_leftovers_are_swept(tmp_path: Path) -> None:
    names = ["plan-0123456789ab.npz", "plan-ba9876543210.npz", ".x1.part", "plan.json", "my.part",
             "plan-mine.npz", "sheet.pdf"]  # fmt: skip
    for name in names:
        (tmp_path / name).write_text("x", encoding="utf-8")
    sweep(tmp_path, keep="plan-ba9876543210.npz")
    assert sorted(os.listdir(tmp_path)) == sorted(names[1:2] + names[3:])
    assert is_leftover(".abc.part")
    assert not is_leftover("plan.json")


def test_a_folder_with_leftovers_alone_may_be_written_to(tmp_path: Path) -> None:
    (tmp_path / ".x1.part").write_text("x", encoding="utf-8")
    (tmp_path / "plan-0123456789ab.npz").write_text("x", encoding="utf-8")
    assert claim_folder(tmp_path) == tmp_path
    (tmp_path / "holiday.jpg").write_text("x", encoding="utf-8")
    with pytest.raises(PlanFileError, match=r"holds 1 file \(holiday\.jpg\)"):
        claim_folder(tmp_path)
