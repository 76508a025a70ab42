"""Writing a file whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path


def replace_file(path: Path, data: bytes | memoryview) -> None:
    """Write a file beside its place, flush it to the disk, and put it there in one step.

    Whoever is stopped on the way leaves the old file, or none.

    Raises
    ------
    OSError
        If it cannot be written (no room, no permission).
    """
    handle, temporary = tempfile.mkstemp(prefix=".", suffix=".part", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(temporary, 0o644)
        os.replace(temporary, path)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise
