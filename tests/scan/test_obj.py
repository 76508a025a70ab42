from __future__ import annotations

import numpy as np
import pytest

from partline.errors import ScanError
from partline.scan.obj import read_obj

POINTS = b"v 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0\nv 0.5 2 0\n"


def test_polygons_keep_their_number_in_file_order():
    text = (
        POINTS + b"usemtl b\nf 1/1/1 2/2/1 3/3/1 4/4/1\nusemtl a\nf 1//1 2//1 3//1\nf 1 2 3 5 4\n"
    )
    draft = read_obj(text, "a.obj")
    np.testing.assert_array_equal(draft.file_faces, [0, 0, 1, 2, 2, 2])
    np.testing.assert_array_equal(
        draft.faces, [[0, 1, 2], [0, 2, 3], [0, 1, 2], [0, 1, 2], [0, 2, 4], [0, 4, 3]]
    )


def test_numbers_from_the_end_colours_and_continued_lines():
    text = b"v 0 0 0 1 1 1\nv 1 0 0\nv 0 1 0\nf -3 \\\n -2 -1\nv 9 9 9\nf -4 -3 -1\n"
    draft = read_obj(text, "a.obj")
    np.testing.assert_array_equal(draft.faces, [[0, 1, 2], [0, 1, 3]])
    np.testing.assert_array_equal(draft.vertices[0], 0)


def test_other_files_are_never_opened(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    text = b"mtllib ../../etc/passwd\n" + POINTS + b"f 1 2 3\n"
    assert len(read_obj(text, "a.obj").faces) == 1


@pytest.mark.parametrize("line", [b"f 1 2\n", b"f 1 2 x\n", b"f 1.5 2 3\n", b"v 1 2\nf 1 2 3\n"])
def test_broken_lines_are_refused(line):
    with pytest.raises(ScanError):
        read_obj(POINTS + line, "a.obj")


def test_vertices_that_all_have_too_few_numbers_are_refused():
    with pytest.raises(ScanError, match="three numbers"):
        read_obj(b"v 0 0\nv 1 0\nv 0 1\nf 1 2 3\n", "a.obj")
