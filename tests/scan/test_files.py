"""Files that cannot be meshes end in one clear error; the others keep their numbers."""

from __future__ import annotations

import gzip
import hashlib
import lzma

import numpy as np
import pytest
import scenes

from partline.errors import ScanError
from partline.scan import files
from partline.scan.diagnosing import diagnose
from partline.scan.files import read_file
from partline.scan.reading import read_master

PLY = (
    b"ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nproperty float y\n"
    b"property float z\nelement face %d\nproperty list uchar int vertex_indices\nend_header\n"
    b"0 0 0\n1 0 0\n0 1 0\n%s"
)
BAD = [
    ("empty.stl", b"", "is empty"),
    ("blank.obj", b" \n\n", "is empty"),
    ("letter.stl", b"Dear all,\nsolid work needs a facet or two.\n" * 40, "not an STL"),
    ("solid.stl", b"solid advice on facets\n" * 40, "cut short"),
    ("nothing.stl", b"solid a\nendsolid a\n", "not an STL"),
    ("letter.ply", b"Dear all", "not a PLY"),
    ("letter.obj", b"Dear all", "not an OBJ"),
    ("picture.png", b"\x89PNG", "cannot tell the format"),
    ("noname", b"solid", "cannot tell the format"),
    ("points.ply", PLY % (0, b""), "no faces, only 3 points"),
    ("points.obj", b"v 0 0 0\nv 1 0 0\nv 0 1 0\n", "no faces, only 3 points"),
    ("words.ply", PLY % (1, b"3 0 one 2\n"), "cannot be read as PLY"),
    ("nan.obj", b"v 0 0 nan\nv 1 0 0\nv 0 1 0\nf 1 2 3\n", "1 of 3 vertices"),
    ("inf.obj", b"v 0 0 inf\nv 1 0 0\nv 0 1 0\nf 1 2 3\n", "1 of 3 vertices"),
    ("big.obj", b"v 0 0 1e40\nv 1 0 0\nv 0 1 0\nf 1 2 3\n", "beyond 1e30"),
    ("ninth.obj", b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 9\n", "does not exist"),
    ("packed.stl.gz", b"not packed", "cannot be unpacked"),
    ("packed.ply.xz", b"not packed", "cannot be unpacked"),
    ("cut.ply.xz", lzma.compress(b"ply" * 9999)[:-20], "cut short"),
    (
        "counts.stl",
        b"\0" * 80 + b"\xff\xff\xff\xff" + b"\1" * 500,
        "promises 4294967295 triangles, its length holds 10",
    ),
    (
        "counts.ply",
        b"ply\nformat binary_little_endian 1.0\nelement vertex 999999999999\n"
        b"property float x\nend_header\n",
        "promises 999999999999 vertices",
    ),
]


@pytest.mark.parametrize(("name", "data", "words"), BAD, ids=[row[0] for row in BAD])
def test_bad_files_say_what_is_wrong(saved, name, data, words):
    path = saved(data, name)
    with pytest.raises(ScanError, match=words) as caught:
        read_file(path)
    assert name in str(caught.value)
    assert "\n" not in str(caught.value)


def test_missing_file_and_folder(tmp_path):
    with pytest.raises(ScanError, match=r"no file .*ghost\.stl"):
        read_file(tmp_path / "ghost.stl")
    with pytest.raises(ScanError, match="is a folder"):
        read_file(tmp_path)


def test_a_bomb_is_not_unpacked(saved, monkeypatch):
    monkeypatch.setattr(files, "LARGEST_BYTES", 1 << 16)
    for name, pack in (("bomb.stl.gz", gzip.compress), ("bomb.stl.xz", lzma.compress)):
        with pytest.raises(ScanError, match="unpacks to more than"):
            read_file(saved(pack(b"\0" * (1 << 20)), name))


@pytest.mark.parametrize("name", ["a b é.stl", "text ü.stl", "c.obj", "d.ply"])
def test_formats_agree_and_keep_face_numbers(saved, cube, name):
    path = saved(cube, name)
    file = read_file(path)
    assert file.name == name
    assert file.face_count == 12
    assert file.sha256 == hashlib.sha256(path.read_bytes()).hexdigest()
    np.testing.assert_array_equal(file.draft.file_faces, np.arange(12))
    np.testing.assert_allclose(
        file.draft.vertices[file.draft.faces], cube.vertices[cube.faces], rtol=1e-6
    )


@pytest.mark.parametrize("packer", [("gz", gzip.compress), ("xz", lzma.compress)])
def test_packed_files(saved, cube, packer):
    ending, pack = packer
    plain = saved(cube, "plain.ply").read_bytes()
    file = read_file(saved(pack(plain), f"packed.ply.{ending}"))
    np.testing.assert_array_equal(file.draft.faces, cube.faces)


def test_broken_bytes_never_end_in_another_error(saved, cube):
    """600 damaged files with a fixed seed: each is read or refused in words."""
    rng = np.random.default_rng(7)
    sources = {
        name: saved(cube, name).read_bytes() for name in ("b.stl", "text.stl", "c.obj", "d.ply")
    }
    refused = 0
    for k in range(600):
        name = list(sources)[k % 4]
        data = bytearray(sources[name])
        spot = int(rng.integers(len(data)))
        if k % 3 == 0:
            data[spot] = int(rng.integers(256))
        elif k % 3 == 1:
            del data[spot : spot + int(rng.integers(1, 60))]
        else:
            data[spot:spot] = data[: int(rng.integers(1, 80))]
        try:
            read_file(saved(bytes(data), name))
        except ScanError:
            refused += 1
    assert 100 < refused < 600


def test_what_a_file_holds_beside_the_piece_is_kept_in_words(tmp_path):
    box = scenes.model().split("<resources>")[1].split("</resources>")[0]
    held = box.replace('id="1" type="model"', 'id="3" type="support"')
    items = '<item objectid="1"/><item objectid="3"/>'
    path = tmp_path / "held.3mf"
    path.write_bytes(scenes.threemf(items=items, more=held))
    assert "1 object is no model" in read_file(path).left_out
    for warnings in (diagnose(path, units="mm").warnings, read_master(path, units="mm").warnings):
        assert read_file(path).left_out in warnings
    path.write_bytes(scenes.threemf())
    assert read_file(path).left_out == ""
