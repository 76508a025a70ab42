from __future__ import annotations

import numpy as np
import pytest

from partline.errors import ScanError
from partline.scan.stl import read_stl

TEXT = b"""solid hut
 facet normal 0 0 1
  outer loop
   vertex 0 0 0
   vertex 1.5e0 0 0
   VERTEX 0 -2. 0
  endloop
 endfacet
endsolid hut
"""


def test_text_with_odd_numbers_and_a_name_in_another_alphabet():
    draft = read_stl(TEXT.replace(b"hut", "хижина".encode()), "a.stl")
    np.testing.assert_array_equal(draft.vertices, [[0, 0, 0], [1.5, 0, 0], [0, -2, 0]])


def test_two_solids_in_one_file_are_numbered_through():
    draft = read_stl(TEXT + TEXT.replace(b"1.5e0", b"3"), "a.stl")
    np.testing.assert_array_equal(draft.file_faces, [0, 1])
    assert draft.vertices[4, 0] == 3


def test_a_binary_file_may_begin_with_solid():
    record = np.zeros(50, dtype=np.uint8)
    record[12:48] = np.arange(9, dtype="<f4").view(np.uint8)
    data = b"solid".ljust(80) + (1).to_bytes(4, "little") + record.tobytes()
    np.testing.assert_array_equal(read_stl(data, "a.stl").vertices.ravel(), np.arange(9))


@pytest.mark.parametrize(
    "data",
    [TEXT[:-12], TEXT.replace(b"1.5e0", b"one"), TEXT.replace(b"vertex 0 0 0", b"")],
    ids=["cut", "word", "corner missing"],
)
def test_broken_text_is_refused(data):
    with pytest.raises(ScanError):
        read_stl(data, "a.stl")
