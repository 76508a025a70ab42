"""The work a window asks for: read a scan or job, make a plan, write a file. No toolkit."""

from __future__ import annotations

import os
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import cast

import partline
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


def sheet_into(plan: Plan, folder: Path, progress: Progress = silent) -> None:
    """Write the bench sheet into a folder."""
    from partline.faces.sheet import write_sheet

    progress(0.1, "drawing and writing the sheet")
    write_sheet(plan, folder)


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
