"""The piece and its cut for other programs, in open formats: PLY, OBJ and CSV."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from partline.faces.painting import tinted
from partline.geometry.surface import Floats
from partline.plan import Plan
from partline.planfile import write_whole


def write_painted_mesh(plan: Plan, path: Path) -> Path:
    """Write the piece as it stands, coloured by detail and zones, as a binary PLY [mm].

    Raises
    ------
    PlanFileError
        If it cannot be written.

    References
    ----------
    Turk (1994), The PLY polygon file format.
    """
    piece = plan.stand.piece
    head = (
        "ply\nformat binary_little_endian 1.0\n"
        "comment millimetres, z = 0 on the cup's floor, front toward -y\n"
        f"element vertex {len(piece.vertices)}\n"
        "property float x\nproperty float y\nproperty float z\n"
        "property uchar red\nproperty uchar green\nproperty uchar blue\n"
        f"element face {len(piece.faces)}\nproperty list uchar int vertex_indices\nend_header\n"
    )
    points = np.zeros(len(piece.vertices), dtype=[("at", "<f4", 3), ("colour", "u1", 3)])
    points["at"], points["colour"] = piece.vertices, tinted(plan, plan.job.zones, True)
    faces = np.zeros(len(piece.faces), dtype=[("n", "u1"), ("corners", "<i4", 3)])
    faces["n"], faces["corners"] = 3, piece.faces
    return write_whole(path, head.encode("ascii") + points.tobytes() + faces.tobytes())


def write_cut_lines(plan: Plan, folder: Path, *, name: str = "cut") -> tuple[Path, Path]:
    """Write the cut as cut.csv (one row a point) and cut.obj (one polyline a cut) [mm].

    Parameters
    ----------
    name : str
        Of both files, without the ending.

    Points are given in the pose of the stand, which is that of the mesh written beside them, and
    in the CSV in the scan's own coordinates as well.

    Raises
    ------
    PlanFileError
        If one of them cannot be written.
    """
    rows = ["cut,point,x_mm,y_mm,z_mm,below_mouth_face_mm,scan_x,scan_y,scan_z"]
    body, first = ["# millimetres, z = 0 on the cup's floor"], 1
    back: Floats = np.linalg.inv(plan.master.to_pose).astype(np.float64)
    for k, line in enumerate(plan.cut.lines, start=1):
        scan = _through(back, line.points - np.array([0, 0, plan.stand.lift_mm]))
        for n, (p, q) in enumerate(zip(line.points, scan, strict=True)):
            said = ",".join(f"{v:.4f}" for v in (*p, p[2], *q))
            rows.append(f"{k},{n},{said}")
            body.append("v " + " ".join(f"{v:.4f}" for v in p))
        body += [f"o cut{k}", "l " + " ".join(str(first + n) for n in range(len(line.points)))]
        first += len(line.points)
    return (
        write_whole(folder / f"{name}.csv", ("\n".join(rows) + "\n").encode("ascii")),
        write_whole(folder / f"{name}.obj", ("\n".join(body) + "\n").encode("ascii")),
    )


def write_blade_surfaces(plan: Plan, path: Path) -> Path | None:
    """Write what the blade sweeps as an OBJ: for each cut the smooth surface and the jagged one.

    In the pose of the stand, as the mesh of the piece; None where no card was planned or nothing
    is cut [mm].

    Raises
    ------
    PlanFileError
        If it cannot be written.
    """
    if plan.card is None or not plan.card.cuts:
        return None
    body, first = ["# millimetres, z = 0 on the cup's floor"], 1
    for cut in plan.card.cuts:
        for name, surface in (("smooth", cut.surface), ("jagged", cut.keys.surface)):
            where = "" if cut.face == "side" else "_far_face"
            body.append(f"o cut{cut.number}{where}_{name}")
            body += [f"v {x:.4f} {y:.4f} {z:.4f}" for x, y, z in surface.vertices]
            body += [f"f {a} {b} {c}" for a, b, c in surface.faces + first]
            first += len(surface.vertices)
    return write_whole(path, ("\n".join(body) + "\n").encode("ascii"))


def _through(turn: Floats, points: Floats) -> Floats:
    return np.asarray(points @ turn[:3, :3].T + turn[:3, 3])
