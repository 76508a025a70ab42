"""Try files in a process of its own: python trying.py; told what to try by lines on its input.

Each line is "mesh PATH", "master PATH", "anew PATH" (a master with a new surface) or "job PATH".
Each answer is a line of JSON: how it ended, how long it took, and its words. Memory is limited to
two gigabytes above what the process starts with.
"""

from __future__ import annotations

import json
import sys
import tempfile
import time
import traceback
from pathlib import Path

from partline.errors import InternalError, PartlineError
from partline.geometry.volume import is_closed
from partline.job import read_job
from partline.scan.diagnosing import diagnose
from partline.scan.reading import read_master
from partline.scan.rebuilding import Rebuild

MOST_BYTES = 2 << 30


def limit_memory() -> None:
    """Allow two gigabytes more than what is taken; only where the system can (not Windows)."""
    try:
        import resource
    except ImportError:
        return
    pages = Path("/proc/self/statm")
    taken = int(pages.read_text().split()[0]) * resource.getpagesize() if pages.exists() else 0
    resource.setrlimit(resource.RLIMIT_AS, (taken + MOST_BYTES, taken + MOST_BYTES))


def tried(kind: str, path: Path) -> dict[str, object]:
    """Read one file; an error outside the family comes back as its traceback."""
    start = time.process_time()
    end, words = "answered", ""
    try:
        if kind == "mesh":
            health = diagnose(path, units="mm")
            if not all(abs(side) < float("inf") for side in health.size):
                end, words = "broke", f"size {health.size}"
        elif kind in ("master", "anew"):
            master = read_master(path, units="mm", rebuild=Rebuild() if kind == "anew" else None)
            if not is_closed(master.surface) or not 0 < master.volume_mm3 < float("inf"):
                end, words = "broke", f"a master of {master.volume_mm3} mm3"
        elif kind == "job":
            read_job(path.read_bytes().decode("utf-8", "replace"), path.parent, check_files=False)
        else:
            raise ValueError(f"nothing known to try: {kind}")
    except PartlineError as error:
        # The family has one member for what should never be.
        end, words = "broke" if isinstance(error, InternalError) else "refused", str(error)
    except BaseException:  # noqa: BLE001 - whatever it is, it is what is looked for
        end, words = "broke", traceback.format_exc()[-1500:]
    return {"end": end, "words": words, "seconds": time.process_time() - start}


def main() -> None:
    # Compiled and warm before the clock runs and the limit counts.
    with tempfile.TemporaryDirectory() as folder:
        warm = Path(folder) / "warm.obj"
        warm.write_text("v 0 0 0\nv 1 0 0\nv 0 1 0\nv 0 0 1\nf 1 3 2\nf 1 2 4\nf 2 3 4\n")
        for text in (warm.read_text(), warm.read_text() + "f 1 4 3\n"):
            warm.write_text(text)
            for kind in ("mesh", "master", "anew"):
                tried(kind, warm)
    limit_memory()
    print("ready", flush=True)
    for line in sys.stdin:
        kind, _, path = line.rstrip("\n").partition(" ")
        print(json.dumps(tried(kind, Path(path))), flush=True)


if __name__ == "__main__":
    main()
