from __future__ import annotations

import os
from pathlib import Path

import pytest

from partline.whole_file import replace_file


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
