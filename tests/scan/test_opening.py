from __future__ import annotations

import pytest
import scenes

from partline import read_master
from partline.errors import UnitError
from partline.scan import opening
from partline.scan.diagnosing import diagnose
from partline.scan.opening import opened, says_unit
from partline.scan.sizing import Size


def test_a_file_is_read_once_for_all_that_follows(saved, cube, monkeypatch):
    path = saved(cube, "cube.ply")
    scan = opened(path)
    monkeypatch.setattr(opening, "read_file", None)
    assert opened(scan) is scan
    assert read_master(scan, units="mm").volume_mm3 == pytest.approx(64_000)
    assert diagnose(scan, units="mm").volume == pytest.approx(64_000)


def test_progress_says_what_is_done(saved, cube):
    heard: list[tuple[float, str]] = []
    opened(saved(cube, "cube.ply"), lambda share, words: heard.append((share, words)))
    assert heard[0] == (0.0, "reading the file")
    assert [share for share, _ in heard] == sorted(share for share, _ in heard)


def test_a_statement_comes_before_the_unit_of_the_file(saved, cube):
    scan = opened(saved(scenes.glb(), "box.glb"))
    assert says_unit(scan)
    assert scan.size(Size()).units == "m"
    assert scan.size(Size(height_mm=62.0)).height_mm == 62.0
    plain = opened(saved(cube, "cube.ply"))
    assert not says_unit(plain)
    unsaid = Size()
    assert plain.size(unsaid) is unsaid
    with pytest.raises(UnitError, match="STL, OBJ and PLY files have no unit"):
        read_master(plain)
    assert scan.size(unsaid).by_file
