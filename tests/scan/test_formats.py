from __future__ import annotations

from pathlib import Path

from partline.scan.files import READERS
from partline.scan.formats import UPS, WITH_UNIT, has_unit


def test_which_files_say_their_unit():
    assert has_unit("a piece.GLB")
    assert has_unit(Path("x/y.3mf"))
    assert not has_unit("a.stl")
    assert not has_unit("3mf")


def test_every_kind_named_can_be_read():
    assert {*WITH_UNIT, *UPS} <= set(READERS)
