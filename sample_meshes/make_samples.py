"""Build the sample meshes from formulas: python sample_meshes/make_samples.py [name ...]

Writes ram.ply with ram_truth.json, tile.ply, pull.ply and ram_bad.ply (the ram as a scanner may
give it) beside this file (or into --folder).
The same formulas give the same bytes on one machine; the ram takes about a minute.
"""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path

import numpy as np
from distance_shapes import Floats
from dual_mesh import Ints, meshed
from pull_shape import pull
from tile_shape import tile

FOLDER = Path(__file__).resolve().parent
RAM_STEP = 0.47  # grid spacing of the ram [mm]; about 125 000 triangles
COMMENTS = {
    "ram": "sleepy ram in a knitted nightcap, coat-peg head; mm, front -y, up +z",
    "tile": "moon over the pass, door tile; mm, foot of the picture -y, relief up +z",
    "pull": "turned drawer pull; mm, up +z",
    "ram_bad": "bad scan of the sleepy ram; cm, tilted 11 degrees, holes, specks, no underside",
}


def ram_mesh() -> tuple[Floats, Ints]:
    """Vertices [mm] and faces of the ram, exactly 62 mm tall."""
    from ram_cap import ram
    from ram_shape import BOX, HEIGHT

    vertices, faces = meshed(ram, BOX, step=RAM_STEP)
    # the last tenths of a millimetre are taken up in the fold of the cap alone
    share = np.clip((vertices[:, 2] - 50.0) / 10.0, 0, 1)
    share = share * share * (3 - 2 * share)
    vertices[:, 2] += (HEIGHT - vertices[:, 2].max()) * share / share.max()
    return vertices, faces


def bad_ram() -> tuple[Floats, Ints]:
    """Vertices [cm] and faces of the bad scan, from the ram that lies beside this file."""
    from bad_scan import spoiled

    return spoiled(*read_ply(FOLDER / "ram.ply"))


def read_ply(path: Path) -> tuple[Floats, Ints]:
    """Vertices and faces of a file that `write_ply` wrote."""
    head, _, rest = path.read_bytes().partition(b"end_header\n")
    counts = [int(line.split()[-1]) for line in head.splitlines() if line.startswith(b"element")]
    points = np.frombuffer(rest, "<f4", 3 * counts[0]).reshape(-1, 3)
    table = np.frombuffer(
        rest, [("count", "u1"), ("corners", "<i4", 3)], counts[1], offset=12 * counts[0]
    )
    return points.astype(np.float64), table["corners"].astype(np.int64)


def write_ply(path: Path, vertices: Floats, faces: Ints, comment: str) -> None:
    """Write binary little-endian PLY, coordinates rounded to 0.1 um so that bytes repeat."""
    header = (
        f"ply\nformat binary_little_endian 1.0\ncomment {comment}\n"
        f"element vertex {len(vertices)}\n"
        "property float x\nproperty float y\nproperty float z\n"
        f"element face {len(faces)}\nproperty list uchar int vertex_indices\nend_header\n"
    )
    table = np.empty(len(faces), dtype=[("count", "u1"), ("corners", "<i4", 3)])
    table["count"] = 3
    table["corners"] = faces
    points = (np.round(vertices, 4) + 0.0).astype("<f4")
    path.write_bytes(header.encode("ascii") + points.tobytes() + table.tobytes())


def main(argv: list[str] | None = None) -> int:
    """Build what is asked for; returns the exit status."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("names", nargs="*", help="ram, tile, pull, ram_bad (default: all)")
    parser.add_argument("--folder", type=Path, default=FOLDER, help="where to write")
    options = parser.parse_args(argv)
    makers = {"ram": ram_mesh, "tile": tile, "pull": pull, "ram_bad": bad_ram}
    unknown = [name for name in options.names if name not in makers]
    if unknown:
        parser.error(f"unknown sample {', '.join(unknown)}; there are {', '.join(makers)}")
    for name in options.names or makers:
        vertices, faces = makers[name]()
        write_ply(options.folder / f"{name}.ply", vertices, faces, COMMENTS[name])
        if name == "ram":
            from ram_truth import truth

            text = json.dumps(truth(vertices), indent=1)
            (options.folder / "ram_truth.json").write_text(text + "\n", encoding="utf-8")
        print(f"{name}.ply: {len(faces)} triangles")
    return 0


if __name__ == "__main__":
    sys.exit(main())
