"""Writing files of the user's own: whole or not at all, never over one that is there."""

from __future__ import annotations

from pathlib import Path

from partline.errors import PlanFileError
from partline.planfile import write_whole


def write_new(path: Path, data: bytes) -> Path:
    """Write a file that does not exist yet.

    Raises
    ------
    PlanFileError
        If it is already there, or cannot be written.
    """
    if path.exists():
        raise PlanFileError(f"{path} is already there and is left as it is. Name another file.")
    return write_whole(path, data)
