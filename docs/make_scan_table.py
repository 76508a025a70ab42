"""Write docs/scans.md: PARTLINE_SCANS=/folder/of/scans python docs/make_scan_table.py

Each file is read in a process of its own, so that its time and its memory are its own; both
belong to the machine it is run on. The folder of scans is not part of the project.
"""

from __future__ import annotations

import csv
import json
import os
import resource
import subprocess
import sys
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

HEIGHT_MM = 100.0
Z_UP = {"goblet.stl", "owl_scan.ply", "black_vase_scan.ply"}
REBUILT = ("black_vase_scan.ply", "plane_holes.obj", "self_intersect_A.obj")
MESSY = "thingi10k_messy"
HEAD = f"""# Real scans, one by one

What partline makes of scans and models that nobody of this project made, {HEIGHT_MM:g} mm tall,
standing as they were made. Written by `docs/make_scan_table.py`; credits stand beside the files.
Where holes were filled or a new surface was drawn, the volume is an interval: an estimate of what
the holes and the cells leave open. Without one it is exact for the mesh, as mended. Time is the
processor's, from file to master, memory the most that the process held; the libraries alone take
{{base:.0f}} MB. Both say how the files compare, and belong to the computer they were measured on.

| file | triangles | verdict | repairs | volume [cm³] | time [s] | memory [MB] |
|---|---|---|---|---|---|---|
"""


def look(path: Path, rebuild: bool) -> dict[str, object]:
    """Read one file; the answer is plain values."""
    from partline.errors import PartlineError
    from partline.scan.opening import opened
    from partline.scan.reading import read_master
    from partline.scan.rebuilding import Rebuild

    small = path.parent.name == MESSY
    up, front = ("+z", "-y") if small or path.name in Z_UP else ("+y", "+z")
    start = time.process_time()
    scan = opened(path)
    found: dict[str, object] = {"faces": scan.file.triangles}
    try:
        master = read_master(
            scan, height_mm=None if small else HEIGHT_MM, units="mm" if small else None,
            up=up, front=front, rebuild=Rebuild() if rebuild else None,
        )  # fmt: skip
    except PartlineError as fault:
        text = str(fault).removeprefix(f"{path.name}: ")
        text = text.removeprefix("The mesh is not a solid, so its volume would be a guess. ")
        found |= {"verdict": "refused", "words": [text.split(" As a last resort")[0]]}
    else:
        found |= {
            "verdict": "a master", "words": [r.words for r in master.repairs],
            "warnings": list(master.warnings),
            "volume": [master.volume_low_mm3, master.volume_high_mm3],
        }  # fmt: skip
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return found | {"seconds": time.process_time() - start, "memory": peak}


def apart(path: Path, *, rebuild: bool = False) -> dict[str, object]:
    """`look` in a process of its own."""
    command = [sys.executable, __file__, "--look", str(path), *(["--rebuild"] if rebuild else [])]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    return dict(json.loads(done.stdout))


def volume_words(volume: list[float]) -> str:
    low, high = (v / 1000 for v in volume)
    if high == low:
        return f"{low:.4g}"
    if high - low < 1e-4 * high:
        return f"{low:.4g} (within 0.01 %)"
    return f"{(low + high) / 2:.4g} ± {(high - low) / 2:.2g}"


def row(name: str, found: dict[str, object]) -> str:
    words = [str(w) for w in [*found["words"], *found.get("warnings", [])]]  # type: ignore[misc]
    volume = volume_words(found["volume"]) if "volume" in found else "none"  # type: ignore[arg-type]
    return (
        f"| {name} | {found['faces']} | {found['verdict']} | {' '.join(words) or 'none'} | "
        f"{volume} | {found['seconds']:.1f} | {found['memory']:.0f} |\n"
    )


def small_files(folder: Path, pool: ThreadPoolExecutor) -> str:
    """A row for each of the small broken files, and how many came out how."""
    with open(folder / "TRUTH.csv", newline="") as file:
        names = sorted(line["file"] for line in csv.DictReader(file))
    found = list(pool.map(apart, [folder / name for name in names]))
    verdicts = Counter(str(one["verdict"]) for one in found)
    mended = sum(bool(one["words"]) for one in found if one["verdict"] == "a master")
    head = (
        f"\n## {len(names)} small broken files\n\nThingi10K (Zhou and Jacobson 2016), the files "
        f"under open licences, read as millimetres: {verdicts['a master']} masters, {mended} of "
        f"them mended, {verdicts['refused']} refused. Their counted faults agree with an "
        "independent key (`tests/scans/test_scan_counts.py`, differences of definition named "
        "there).\n\n"
    )
    rows = "".join(row(name, one) for name, one in zip(names, found, strict=True))
    return head + "\n".join(HEAD.splitlines()[-2:]) + "\n" + rows


def main() -> None:
    if "--look" in sys.argv:
        path = Path(sys.argv[sys.argv.index("--look") + 1])
        sys.stdout.write(json.dumps(look(path, "--rebuild" in sys.argv)) + "\n")
        return
    folder = Path(os.environ["PARTLINE_SCANS"])
    names = [fact["name"] for fact in json.loads((folder / "FACTS.json").read_text())]
    names = sorted(name for name in names if (folder / name).exists())
    warm = Path(__file__).parents[1] / "sample_meshes" / "pull.ply"
    base = float(apart(warm)["memory"])  # type: ignore[arg-type]
    with ThreadPoolExecutor(6) as pool:
        plain = [pool.submit(apart, folder / name) for name in names]
        anew = [pool.submit(apart, folder / name, rebuild=True) for name in REBUILT]
        messy = folder / MESSY
        told = small_files(messy, pool) if messy.exists() else ""
    text = HEAD.format(base=base)
    text += "".join(row(name, job.result()) for name, job in zip(names, plain, strict=True))
    text += "\n## A new surface, when asked\n\nThe refused ones again with `--rebuild`.\n\n"
    text += "\n".join(HEAD.splitlines()[-2:]) + "\n"
    text += "".join(row(name, job.result()) for name, job in zip(REBUILT, anew, strict=True))
    text += told
    (Path(__file__).parent / "scans.md").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
