"""The work a window asks for: read a scan or job, make a plan, write a file. No toolkit."""

from __future__ import annotations

import os
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import cast

import partline
from partline.errors import MissingExtra
from partline.faces.figures import System
from partline.faces.picture import stills
from partline.faces.sheet import write_sheet
from partline.job import Job, load_job
from partline.plan import Plan
from partline.progress import Progress, silent
from partline.scan.master import Master


@dataclass(frozen=True, eq=False)
class Opened:
    """What was opened: the scan's path, the master, and the job file's job if it was one."""

    path: Path
    master: Master
    job: Job | None


def read_any(path: Path, progress: Progress = silent) -> Opened:
    """Read a scan, or a job file and its scan, with the file's own axes and its numbers as mm.

    Raises
    ------
    PartlineError
        If it cannot be read or is no solid.
    """
    progress(0.05, f"reading {path.name}")
    job = load_job(path) if path.suffix.lower() == ".toml" else None
    mesh = job.scan.file if job is not None else path
    # As it lies in the file: size and pose are asked for, and shown as they are answered.
    master = partline.read_master(mesh, units="mm", up="+z", front="-y")
    progress(0.95, "showing it")
    return Opened(Path(mesh), master, job)


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
