"""Kill a process that writes plans, over and over: python killing.py FOLDER TIMES

Prints one line of JSON: how often it was killed, and what was found afterwards.
"""

from __future__ import annotations

import json
import os
import random
import signal
import sys
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent / "faces"))
from fake_plan import fake_plan

from partline.errors import PlanFileError
from partline.planfile import claim_folder, open_plan, write_plan


def write_for_ever(home: Path, plans: list[object]) -> None:
    while True:
        for plan in plans:
            write_plan(plan, home)  # type: ignore[arg-type]


def main(home: Path, times: int) -> dict[str, object]:
    from dataclasses import replace

    plan = fake_plan(home.parent / "knob.ply")
    names = [f"plan {k}" for k in range(2)]
    # Of different length, so that a mixture could not be whole by chance.
    plans = [
        replace(plan, job=plan.job.model_copy(update={"name": name + "!" * 5000 * k}))
        for k, name in enumerate(names)
    ]
    chance = random.Random(7)
    start = time.monotonic()
    write_plan(plans[0], home)
    once = time.monotonic() - start
    found: Counter[str] = Counter()
    for k in range(times):
        if k % 4 == 0:  # a folder's first plan may be stopped too
            for path in home.iterdir():
                path.unlink()
        child = os.fork()
        if child == 0:
            try:
                write_for_ever(home, plans)  # type: ignore[arg-type]
            finally:
                os._exit(1)
        time.sleep(chance.uniform(0.0, 3.0) * once)
        os.kill(child, signal.SIGKILL)
        assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == -signal.SIGKILL
        claim_folder(home)  # the next plan may always write there
        try:
            found[open_plan(home).job.name.rstrip("!")] += 1
        except PlanFileError as fault:
            found["none yet" if "There is no plan.json" in str(fault) else str(fault)] += 1
    write_plan(plans[1], home)
    return {"found": dict(found), "left": sorted(os.listdir(home))}


if __name__ == "__main__":
    sys.stdout.write(json.dumps(main(Path(sys.argv[1]), int(sys.argv[2]))) + "\n")
