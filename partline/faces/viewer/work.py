"""The work a window asks for: read a scan or job, make a plan, write files. No toolkit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

import numpy as np

import partline
from partline.errors import MissingExtra, NotSolid
from partline.faces.exports import write_blade_surfaces, write_cut_lines, write_painted_mesh
from partline.faces.figures import System
from partline.faces.keeping import brought_back
from partline.faces.picture import stills
from partline.faces.poses import Side
from partline.job import Job, load_job
from partline.large_scan import work_on
from partline.plan import Plan
from partline.planfile import claim_folder, write_plan, write_whole
from partline.progress import Progress, silent, span
from partline.scan.master import Master
from partline.scan.rebuilding import Rebuild
from partline.scan.repairing import LAST_RESORT
from partline.workshop.log import Log
from partline.workshop.log_reading import read_log
from partline.workshop.log_writing import log_path, scan_hash

# Tried in this order where a scan is closed only once its open side is known to be the underside.
_POSES = (("+z", "-y"), ("+y", "+z"), ("-z", "-y"), ("-y", "-z"), ("+x", "-y"), ("-x", "-y"))


@dataclass(frozen=True, eq=False)
class Opened:
    """What was opened.

    Attributes
    ----------
    path : Path
        The scan.
    master : Master
        Along the file's own axes, its numbers as mm.
    up, front
        The pose it was read in.
    job : Job or None
        If it was a job file, or decisions were kept beside the scan.
    job_path : Path or None
        The job file.
    back : bool
        The job is what was kept beside it and not saved.
    """

    path: Path
    master: Master
    up: Side
    front: Side
    job: Job | None
    job_path: Path | None = None
    back: bool = False


def read_any(
    path: Path, progress: Progress = silent, *, kept: Path | None = None, anew: bool = False,
    scans: Sequence[Path] = (),
) -> Opened:  # fmt: skip
    """Read a scan, or a job file and its scan.

    A scan whose underside is open is a solid only when it stands on that side; which side that
    is has not been asked yet, so each is tried before the scan is refused.

    Parameters
    ----------
    kept : Path, optional
        Decisions kept beside it, taken where they are newer.
    anew : bool
        Draw a new surface round the scan.
    scans : sequence of Path
        Folders a job may read its scan from besides its own.

    Raises
    ------
    PartlineError
        If it cannot be read or is no solid in any pose.
    """
    saved = path if path.suffix.lower() == ".toml" else None
    back = None if kept is None else brought_back(path, kept, scans)
    job = back or (load_job(path, scans=scans) if saved is not None else None)
    mesh = Path(path if job is None else job.scan.file)
    poses: tuple[tuple[Side, Side], ...] = _POSES
    if job is not None:
        poses = ((job.scan.up, job.scan.front),)
    # Shown with cells by its own size: the stated ones are counted at finished size.
    rebuild = Rebuild() if anew or (job is not None and job.scan.rebuild) else None
    try:
        master, up, front = work_on(mesh, read_in, mesh, poses, rebuild, progress=progress)
    except NotSolid as refused:
        if job is not None:
            raise
        # The pose is asked in the window; an option of the command line would be no help here.
        told = str(refused).split(LAST_RESORT)[0].split("; if one is the underside")[0].rstrip(".")
        raise NotSolid(
            f"The scan is not closed, whichever side it stands on. As it lies in the file: {told}. "
            "As a last resort have a new surface drawn round it."
        ) from refused
    _ = master.surface.vertex_normals  # for the first picture: made here, beside the window
    lying = along_file_axes(master)
    _ = lying.surface.bounds
    return Opened(mesh, lying, up, front, job, saved, back is not None)


def read_in(
    mesh: Path, poses: Sequence[tuple[Side, Side]], rebuild: Rebuild | None, *, progress: Progress
) -> tuple[Master, Side, Side]:
    """Read a scan in the first pose in which it is a solid; return it with that pose.

    Raises
    ------
    PartlineError
        If it cannot be read or, as the first pose has it, is no solid in any.
    """
    refused: list[NotSolid] = []
    for k, (up, front) in enumerate(poses):
        heard = span(progress, k / len(poses), (k + 1) / len(poses))
        try:
            return (
                partline.read_master(
                    mesh, units="mm", up=up, front=front, rebuild=rebuild, progress=heard
                ),
                up,
                front,
            )
        except NotSolid as fault:
            refused.append(fault)
    raise refused[0]


def along_file_axes(master: Master) -> Master:
    """Return the master turned back to the axes of its file, its numbers as they are."""
    turn = np.eye(4)
    turn[:3, :3] = np.linalg.inv(master.to_pose[:3, :3])
    return replace(master, surface=master.surface.moved(turn), to_pose=turn @ master.to_pose)


def plan_job(
    job: Job, *, log: Log | None = None, earlier: Plan | None = None, progress: Progress = silent
) -> Plan:
    """Make the plan of a job, taking over what still holds of an earlier one."""
    return work_on(
        job.scan.file, partline.make_plan, job, log=log, earlier=earlier, progress=progress,
        shared=() if earlier is None else tuple(vars(earlier).values()),
    )  # fmt: skip


def read_pulls(job: Job, job_file: Path) -> Log | None:
    """Return the log beside a job file, None where there is none.

    Raises
    ------
    LogError
        If it cannot be read, or belongs to another job or scan.
    """
    path = log_path(job_file)
    return read_log(path, job.name, scan=hash_of(job.scan.file))


def hash_of(scan: Path) -> str:
    """Return the SHA-256 of a scan's file, read again only when the file has changed."""
    try:
        known = scan.stat()
    except OSError:
        return ""
    return _hash_of(scan, known.st_mtime_ns, known.st_size)


@lru_cache(maxsize=4)
def _hash_of(scan: Path, _changed_ns: int, _size: int) -> str:
    return scan_hash(scan)


def sheet_into(
    plan: Plan, folder: Path, progress: Progress = silent, *, system: System = "mm"
) -> tuple[Path, str]:
    """Write the bench sheet and all that goes with it into a folder.

    Also the sheet as a PDF, the scene to share, the cutting card, the plan to open again, the
    stills, the painted mesh and the cut's line. A computer that cannot draw
    off-screen gets them without pictures, and is told so.

    Returns
    -------
    sheet : Path
    words : str
        What was written and where.

    Raises
    ------
    PartlineError
        If the folder cannot be written, or holds files and no plan of partline's.
    """
    # Only here: what sets pages takes long to load, and a window is to open soon.
    from partline.faces.card_pdf import write_card
    from partline.faces.papers import write_papers

    claim_folder(folder)
    progress(0.05, "writing the plan")
    write_plan(plan, folder)
    write_painted_mesh(plan, folder / "piece.ply")
    write_cut_lines(plan, folder)
    write_blade_surfaces(plan, folder / "blade.obj")
    drawing = span(progress, 0.2, 0.8)
    drawing(0.0, "drawing the pictures")
    pictures: dict[str, bytes] = {}
    without = ""
    try:
        pictures = stills(plan)
    except MissingExtra as fault:
        without = f" It has no pictures. {fault}"
    for name, data in pictures.items():
        write_whole(folder / f"{name}.png", data)
    progress(0.85, "writing the sheet and the scene")
    sheet, *others = write_papers(plan, folder, pictures=pictures, system=system)
    card = "There is no cutting card in this plan."
    if plan.card is not None:
        progress(0.95, "writing the cutting card")
        card = f"The cutting card at true size is {write_card(plan, folder).name}."
    beside = ", ".join(path.name for path in others)
    return (
        sheet,
        f"The bench sheet is {sheet}; {beside}, the pictures, the painted mesh and the cut's "
        f"line are beside it. {card}{without}",
    )
