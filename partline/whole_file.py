"""Writing a file whole or not at all; reading a plain one."""

from __future__ import annotations

import errno
import os
import tempfile
from pathlib import Path

# No text that a person writes is as long.
LONGEST_TEXT = 64 << 20


def read_plain(path: Path) -> bytes:
    """Return the bytes of an ordinary file that a person wrote.

    A pipe or a device might never come to an end.

    Raises
    ------
    OSError
        If it is missing, no ordinary file, longer than 64 MB, or cannot be read.
    """
    if path.exists() and not path.is_dir():
        if not path.is_file():
            raise OSError(errno.EINVAL, "it is no ordinary file")
        if path.stat().st_size > LONGEST_TEXT:
            raise OSError(errno.EFBIG, f"it is longer than {LONGEST_TEXT >> 20} MB")
    return path.read_bytes()


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
