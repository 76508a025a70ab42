from __future__ import annotations

from pathlib import Path

import pytest

from partline.errors import ScanError
from partline.scan.files import READERS, read_file
from partline.scan.formats import (
    ALWAYS_BYTES,
    KINDS,
    UPS,
    WITH_UNIT,
    has_unit,
    kind_of,
    unpacked_limit,
)  # fmt: skip


def test_which_files_say_their_unit():
    assert has_unit("a piece.GLB")
    assert has_unit(Path("x/y.3mf"))
    assert not has_unit("a.stl")
    assert not has_unit("3mf")


def test_every_kind_named_can_be_read():
    assert {*WITH_UNIT, *UPS} <= set(READERS)


def test_what_may_come_out_of_a_packed_file():
    assert unpacked_limit(100, 1 << 30) == ALWAYS_BYTES
    assert unpacked_limit(10_000_000, 1 << 30) == 500_000_000
    assert unpacked_limit(1 << 29, 1 << 30) == 1 << 30


def test_a_file_is_told_by_its_name_alone() -> None:
    assert set(KINDS) == set(READERS)
    assert kind_of("a/b.PLY") == (".ply", "")
    assert kind_of("b.stl.gz") == (".stl", ".gz")
    for name in ("letter.txt", "keys", "b.ply.zip", ".gz", "x.gz"):
        with pytest.raises(ScanError, match="cannot tell the format"):
            kind_of(name)


def test_nothing_is_read_of_a_file_that_is_no_mesh_by_its_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    letter = tmp_path / "letter.txt"
    letter.write_text("Dear")
    monkeypatch.setattr(Path, "read_bytes", lambda _: pytest.fail("it was read"))
    monkeypatch.setattr(Path, "open", lambda *_: pytest.fail("it was opened"))
    with pytest.raises(ScanError, match="cannot tell the format"):
        read_file(letter)
