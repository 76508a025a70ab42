"""What was said about a piece is kept beside it as it is said, and brought back after a crash."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from pathlib import Path

from partline.errors import PartlineError
from partline.job import Job, load_job, write_job
from partline.planfile import write_whole
from partline.samples import sample_folder


def kept_file(path: Path, own: Path) -> Path:
    """Return where the decisions about a scan or job are kept: a hidden file beside it.

    Parameters
    ----------
    path : Path
        The scan, or the job file.
    own : Path
        A folder of the program's own, for a piece whose folder is not to be written in.
    """
    here = path.resolve()
    name = f".{here.stem}.partline-kept.toml"
    probe = here.parent
    if is_sample(here) or not _writable(probe):
        return own / f"{hashlib.sha256(str(here).encode()).hexdigest()[:12]}{name}"
    return probe / name


def kept_for(path: Path) -> Path:
    """Return where the decisions about a scan or job are kept until they are saved."""
    from platformdirs import user_data_path

    return kept_file(path, user_data_path("partline", appauthor=False, roaming=True))


def is_sample(path: Path) -> bool:
    """Tell whether a file is one of the product's own samples, beside which nothing is written."""
    try:
        return path.resolve().is_relative_to(sample_folder().resolve())
    except PartlineError:
        return False


def _writable(folder: Path) -> bool:
    import os

    return os.access(folder, os.W_OK | os.X_OK)


def keep(job: Job, kept: Path) -> None:
    """Write the decisions, whole or not at all.

    Raises
    ------
    PartlineError
        If the place cannot be written.
    """
    kept.parent.mkdir(parents=True, exist_ok=True)
    write_whole(kept, write_job(job, kept.parent).encode("utf-8"))


def brought_back(path: Path, kept: Path, scans: Sequence[Path] = ()) -> Job | None:
    """Return the decisions kept for a piece, if they are newer than its own job file.

    None where there are none, where they were left by an older version and cannot be read, or
    where they speak of another scan.
    """
    if not kept.is_file():
        return None
    if path.suffix.lower() == ".toml" and path.stat().st_mtime >= kept.stat().st_mtime:
        return None
    try:
        is_job = path.suffix.lower() == ".toml"
        scan = load_job(path, scans=scans).scan.file if is_job else path
        job = load_job(kept, scans=(*scans, path.parent, scan.resolve().parent))
    except PartlineError:
        return None
    return job if Path(job.scan.file).resolve() == Path(scan).resolve() else None


def forget(kept: Path) -> None:
    """Take the kept decisions away, once they are saved."""
    kept.unlink(missing_ok=True)
