from __future__ import annotations

import numpy as np
import pytest

from partline.errors import ScanError
from partline.scan.ply import read_ply

HEAD = (
    b"ply\nformat ascii 1.0\ncomment hut\nelement vertex 5\nproperty float x\nproperty float y\n"
    b"property float z\nelement face 3\nproperty list uchar int %s\nend_header\n"
    b"0 0 0\n1 0 0\n1 1 0\n0 1 0\n0.5 2 0\n"
)


def test_mixed_polygons_keep_their_number():
    text = HEAD % b"vertex_index" + b"4 0 1 2 3\n3 0 1 2\n5 0 1 2 4 3\n"
    draft = read_ply(text, "a.ply")
    np.testing.assert_array_equal(draft.file_faces, [0, 0, 1, 2, 2, 2])
    np.testing.assert_array_equal(draft.faces[-1], [0, 4, 3])


def test_big_endian_binary():
    head = (
        b"ply\nformat binary_big_endian 1.0\nelement vertex 3\nproperty double x\n"
        b"property double y\nproperty double z\nelement face 1\n"
        b"property list uchar int vertex_indices\nend_header\n"
    )
    points = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0.1]])
    data = head + points.astype(">f8").tobytes() + b"\3" + np.arange(3, dtype=">i4").tobytes()
    np.testing.assert_array_equal(read_ply(data, "a.ply").vertices, points)


@pytest.mark.parametrize(
    "text",
    [
        HEAD % b"strips" + b"3 0 1 2\n" * 3,
        HEAD % b"vertex_index" + b"3 0 1 2\n",
        (HEAD % b"vertex_index").replace(b"float x", b"flout x").replace(b"ascii", b"binary_x"),
        (HEAD % b"vertex_index").replace(b"vertex 5", b"vertex -5"),
    ],
    ids=["no list", "faces missing", "type", "negative"],
)
def test_broken_files_are_refused(text):
    with pytest.raises(ScanError):
        read_ply(text, "a.ply")
