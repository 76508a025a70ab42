"""The process in which hostile files are tried, and what is asked of each answer."""

from __future__ import annotations

import json
import os
import select
import subprocess
import sys
from pathlib import Path
from typing import Any

LONGEST_S = 10.0
HANGS_S = 120.0


class Bench:
    """The process that tries files; started anew if one brings it down."""

    def __init__(self) -> None:
        self.start()

    def start(self) -> None:
        here = Path(__file__)
        paths = [str(here.parents[2]), os.environ.get("PYTHONPATH", "")]
        self.process = subprocess.Popen(
            [sys.executable, str(here.with_name("trying.py"))], stdin=subprocess.PIPE,
            stdout=subprocess.PIPE, env=os.environ | {"PYTHONPATH": os.pathsep.join(paths)},
        )  # fmt: skip
        assert self.process.stdout is not None
        assert self.process.stdout.readline() == b"ready\n"

    def tried(self, path: Path, kind: str = "") -> dict[str, Any]:
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        kind = kind or ("job" if path.suffix == ".toml" else "mesh")
        self.process.stdin.write(f"{kind} {path}\n".encode())
        self.process.stdin.flush()
        # The seconds that count are the process's own; one that says nothing for so long hangs.
        if select.select([self.process.stdout], [], [], HANGS_S)[0]:
            line = self.process.stdout.readline()
            if line:
                found: dict[str, Any] = json.loads(line)
                return found
        self.process.kill()
        self.process.wait()
        self.start()
        return {"end": "broke", "words": "no answer", "seconds": HANGS_S}

    def stop(self) -> None:
        assert self.process.stdin is not None
        self.process.stdin.close()
        self.process.wait(timeout=30)


def judged(found: dict[str, Any], what: str = "") -> None:
    assert found["end"] in ("answered", "refused"), f"{what} {found['words']}"
    assert found["end"] == "answered" or len(found["words"]) > 20
    assert found["seconds"] < LONGEST_S, f"{what} {found}"
