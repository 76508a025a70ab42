"""The work a window asks for: read a scan or job, make a plan, write a file. No toolkit."""

from __future__ import annotations

import os
import tempfile
from dataclasses import dataclass, replace
from pathlib import Path
from typing import cast

import numpy as np

import partline
from partline.errors import MissingExtra, NotSolid
from partline.faces.figures import System
from partline.faces.picture import stills
from partline.faces.sheet import write_sheet
from partline.job import Job, load_job
from partline.plan import Plan
from partline.progress import Progress, silent
from partline.scan.master import Master

# Tried in this order where a scan is closed only once its open side is known to be the underside.
_POSES = (("+z", "-y"), ("+y", "+z"), ("-z", "-y"), ("-y", "-z"), ("+x", "-y"), ("-x", "-y"))


@dataclass(frozen=True, eq=False)
class Opened:
    """What was opened: the scan's path, the master along the file's own axes with its numbers as
    mm, the pose it was read in, and the job if it was a job file."""

    path: Path
    master: Master
    up: str
    front: str
    job: Job | None


def read_any(path: Path, progress: Progress = silent) -> Opened:
    """Read a scan, or a job file and its scan.

    A scan whose underside is open is a solid only when it stands on that side; which side that
    is has not been asked yet, so each is tried before the scan is refused.

    Raises
    ------
    PartlineError
        If it cannot be read or is no solid in any pose.
    """
    job = load_job(path) if path.suffix.lower() == ".toml" else None
    mesh = Path(path if job is None else job.scan.file)
    poses = _POSES if job is None else ((job.scan.up, job.scan.front),)
    refused: NotSolid | None = None
    for k, (up, front) in enumerate(poses):
        progress(0.05 + 0.9 * k / len(poses), f"reading {mesh.name}")
        try:
            master = partline.read_master(mesh, units="mm", up=up, front=front)
        except NotSolid as fault:
            refused = refused or fault
            continue
        return Opened(mesh, along_file_axes(master), up, front, job)
    raise cast(NotSolid, refused)


def along_file_axes(master: Master) -> Master:
    """Return the master turned back to the axes of its file, its numbers as they are."""
    turn = np.eye(4)
    turn[:3, :3] = np.linalg.inv(master.to_pose[:3, :3])
    return replace(master, surface=master.surface.moved(turn), to_pose=turn @ master.to_pose)


def plan_job(job: Job, *, progress: Progress = silent) -> Plan:
    """Make the plan of a job."""
    return cast(Plan, partline.make_plan(job, progress=progress))


def sheet_into(
    plan: Plan, folder: Path, progress: Progress = silent, *, system: System = "mm"
) -> str:
    """Write the bench sheet with its pictures into a folder; return in words where it is.

    A computer that cannot draw off-screen gets the sheet without pictures, and is told so.

    Raises
    ------
    PartlineError
        If the folder cannot be written.
    """
    progress(0.05, "drawing the pictures")
    pictures, without = {}, ""
    try:
        pictures = stills(plan)
    except MissingExtra as fault:
        without = f" It has no pictures. {fault}"
    progress(0.8, "writing the sheet")
    return f"The bench sheet is {write_sheet(plan, folder, pictures=pictures, system=system)}." + (
        without
    )


def write_whole(path: Path, text: str) -> None:
    """Write a text file whole or not at all: into a file beside it that then takes its name."""
    handle, half = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as stream:
            stream.write(text)
        os.replace(half, path)
    except OSError:
        Path(half).unlink(missing_ok=True)
        raise
