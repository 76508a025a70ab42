from __future__ import annotations

import os
from pathlib import Path

import pytest

from partline.whole_file import LONGEST_TEXT, read_plain, replace_file


def test_a_file_is_replaced_and_nothing_is_left_beside_it(tmp_path: Path) -> None:
    path = tmp_path / "plan.json"
    replace_file(path, b"old")
    replace_file(path, b"new")
    assert path.read_bytes() == b"new"
    assert os.listdir(tmp_path) == ["plan.json"]


def test_one_that_fails_on_the_way_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "plan.json"
    replace_file(path, b"old")

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        replace_file(path, b"new")
    assert path.read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["plan.json"]


def test_only_an_ordinary_file_is_read(tmp_path: Path) -> None:
    """A pipe that nobody writes to would be waited for without end, a device read without end."""
    plain, pipe, long = (tmp_path / name for name in ("plain", "pipe", "long"))
    plain.write_bytes(b"words")
    assert read_plain(plain) == b"words"
    os.mkfifo(pipe)
    for path in (pipe, Path(os.devnull)):
        with pytest.raises(OSError, match="no ordinary file"):
            read_plain(path)
    with pytest.raises(IsADirectoryError):
        read_plain(tmp_path)
    with pytest.raises(FileNotFoundError):
        read_plain(tmp_path / "none")
    long.touch()
    os.truncate(long, LONGEST_TEXT + 1)
    with pytest.raises(OSError, match="longer than"):
        read_plain(long)
