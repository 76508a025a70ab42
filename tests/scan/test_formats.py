from __future__ import annotations

from pathlib import Path

from partline.scan.files import READERS
from partline.scan.formats import ALWAYS_BYTES, UPS, WITH_UNIT, has_unit, unpacked_limit


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
