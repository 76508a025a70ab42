"""What is too much for one file is said in words, before it is read."""

from __future__ import annotations

import numpy as np
import pytest

from partline.errors import ScanError
from partline.scan import limits
from partline.scan.limits import blocks, check_counts, check_lines, check_polygons


def test_counts():
    check_counts("a.stl", triangles=limits.MOST_TRIANGLES, vertices=limits.MOST_VERTICES)
    with pytest.raises(ScanError, match=r"a\.stl has 10000001 triangles; 10 million .* Thin it"):
        check_counts("a.stl", triangles=10_000_001)
    with pytest.raises(ScanError, match="30000001 vertices"):
        check_counts("a.ply", vertices=30_000_001)


def test_corners_of_a_polygon():
    check_polygons("a.obj", np.array([3, limits.MOST_CORNERS]))
    with pytest.raises(ScanError, match="face 7 is a polygon of 10001 corners"):
        check_polygons("a.obj", np.array([3, 10_001]), before=5)


def test_lines(monkeypatch):
    monkeypatch.setattr(limits, "_BLOCK", 8)
    monkeypatch.setattr(limits, "LONGEST_LINE", 20)
    check_lines("a.obj", b"v 0 0 0\r\n" + b"x" * 18 + b"\nf 1 2 3\n")
    for text in (b"v\n" + b"x" * 25 + b"\n", b"x" * 25, b"v\n" + b"x" * 25):
        with pytest.raises(ScanError, match="has a line of more than"):
            check_lines("a.obj", text)
    monkeypatch.setattr(limits, "MOST_LINES", 3)
    with pytest.raises(ScanError, match="has 4 lines"):
        check_lines("a.obj", b"\n\n\r\n")


def test_blocks_end_with_lines_and_leave_nothing_out(monkeypatch):
    monkeypatch.setattr(limits, "_BLOCK", 5)
    text = b"v 1 2 3\nv 4 5 6\n\nf 1 2 3"
    parts = list(blocks(text))
    assert b"".join(parts) == text
    assert len(parts) == 3
    assert all(part.endswith(b"\n") for part in parts[:-1])
    assert list(blocks(b"")) == []
