"""Broken and hostile files end in an answer or in an error of the family, and write nothing.

They are tried in a process apart (trying.py), with two gigabytes of memory and ten seconds for
each. Short by default; `PARTLINE_FUZZ=10000` sets how many inputs are tried.
"""

from __future__ import annotations

import gzip
import io
import lzma
import os
import zipfile
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import scenes
import trimesh
from trials import Bench, judged

from partline.samples import sample

TRIES = int(os.environ.get("PARTLINE_FUZZ", "240"))
NASTY = [b"\xff" * 4, b"\x00" * 4, b"\xff\xff\xff\x7f", b"\x00\x00\xc0\x7f", b"\x00\x00\x80\x7f"]
WORDS = [b"nan", b"inf", b"-1", b"99999999999999999999", b"1e308", b"", b"\n", b"\x00", b"vertex 4"]


def plain() -> dict[str, bytes]:
    ball = trimesh.creation.icosphere(2, radius=10)
    text = ball.export(file_type="stl_ascii")
    model = scenes.model(more=scenes_part(), items='<item objectid="2"/>')
    return {
        "a.stl": ball.export(file_type="stl"),
        "b.stl": text.encode() if isinstance(text, str) else text,
        "c.ply": ball.export(file_type="ply"),
        "d.ply": ball.export(file_type="ply", encoding="ascii"),
        "e.obj": ball.export(file_type="obj").encode(),
        "f.glb": trimesh.Scene(ball).export(file_type="glb"),
        "g.3mf": model.encode(),
        "job.toml": sample("ram.toml").read_bytes(),
    }


def scenes_part() -> str:
    return '<object id="2"><components><component objectid="1"/></components></object>'


def zipped(model: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("3D/3dmodel.model", model)
    return out.getvalue()


SEEDS = plain()
# What is packed is spoiled inside and outside.
PACKERS = {"c.ply.gz": gzip.compress, "e.obj.xz": lzma.compress, "g.3mf": zipped}
NAMES = sorted({*SEEDS, *PACKERS})


def spoiled(data: bytes, rng: np.random.Generator) -> bytes:
    """Truncate, flip bits, repeat, swap, overwrite with nasty numbers or words."""
    raw = bytearray(data)
    for _ in range(int(rng.integers(1, 4))):
        size = max(len(raw), 1)
        # headers hold the counts, so half of the changes go there
        at = int(rng.integers(min(size, 400))) if rng.random() < 0.5 else int(rng.integers(size))
        match int(rng.integers(6)):
            case 0:
                del raw[at:]
            case 1:
                raw[at : at + 1] = bytes(
                    [(raw[at] if at < len(raw) else 0) ^ (1 << rng.integers(8))]
                )
            case 2:
                nasty = NASTY[rng.integers(len(NASTY))]
                raw[at : at + len(nasty)] = nasty
            case 3:
                word = WORDS[rng.integers(len(WORDS))]
                raw[at : at + len(word)] = word
            case 4:
                raw[at:at] = raw[at : at + int(rng.integers(1, 200))]
            case 5:
                del raw[at : at + int(rng.integers(1, 60))]
    return bytes(raw)


def hostile(name: str, rng: np.random.Generator) -> bytes:
    if name not in PACKERS:
        return spoiled(SEEDS[name], rng)
    inner = SEEDS[name.removesuffix(".gz").removesuffix(".xz")]
    if rng.random() < 0.5:
        return PACKERS[name](spoiled(inner, rng))
    return spoiled(PACKERS[name](inner), rng)


@pytest.mark.parametrize("name", NAMES)
def test_spoiled_files(name: str, tmp_path: Path, bench: Bench) -> None:
    rng = np.random.default_rng(sum(name.encode()))
    path = tmp_path / name
    for _ in range(max(1, TRIES // len(NAMES))):
        data = hostile(name, rng)
        path.write_bytes(data)
        judged(bench.tried(path))
        assert [p.name for p in tmp_path.iterdir()] == [name]
        assert path.read_bytes() == data


@cache
def bombs() -> dict[str, bytes]:
    """Small files that ask for much: counts, repeats, packed nothing, depth without end."""
    face = b"facet normal 0 0 0\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 0\nendloop\n"
    deep = [{"children": [k + 1]} for k in range(5000)] + [{"mesh": 0}]
    wide = [{"children": [1] * 1000}, {"children": [2] * 1000}, {"mesh": 0}]
    cycle = scenes_part().replace('objectid="1"', 'objectid="2"')
    ply = (
        b"ply\nformat binary_little_endian 1.0\nelement vertex 4294967295\nproperty float x\n"
        b"property float y\nproperty float z\nelement face 4294967295\n"
        b"property list uchar int vertex_indices\nend_header\n" + b"\x00" * 64
    )
    return {
        "count.stl": b"\x00" * 80 + b"\xff" * 4 + b"\x00" * 100,
        "count.ply": ply,
        "count.glb": scenes.glb(accessors=[{"bufferView": 0, "componentType": 5126,
                                            "count": 2**31, "type": "VEC3"}] * 2),
        "lines.obj.gz": gzip.compress(b"v 0 0 0\nv 1 0 0\nv 0 1 0\n" + b"f 1 2 3\n" * 2_000_000),
        "text.stl.xz": lzma.compress(b"solid x\n" + (face + b"endfacet\n") * 200_000),
        "zeros.stl.gz": gzip.compress(b"\x00" * (64 << 20)),
        "deep.glb": scenes.glb(nodes=deep),
        "wide.glb": scenes.glb(nodes=wide),
        "nested.glb": scenes.packed(b"[" * 500_000, b""),
        "space.3mf": scenes.threemf({"3D/3dmodel.model": scenes.model() + " " * (64 << 20)}),
        "cycle.3mf": scenes.threemf(more=cycle, items='<item objectid="2"/>'),
        "elements.3mf": scenes.threemf({"3D/3dmodel.model": "<a>" * 2_000_000}),
        "deep.toml": b"x = " + b"[" * 100_000,
    }  # fmt: skip


@pytest.mark.parametrize("name", sorted(bombs()))
def test_bombs(name: str, tmp_path: Path, bench: Bench) -> None:
    path = tmp_path / name
    path.write_bytes(bombs()[name])
    found = bench.tried(path)
    judged(found)
    assert found["end"] == "refused"
    assert [p.name for p in tmp_path.iterdir()] == [name]


def test_the_bench_notices_what_is_wrong(tmp_path: Path, bench: Bench) -> None:
    """A check of the checker: an error outside the family is found."""
    found = bench.tried(tmp_path / "a.stl", kind="nonsense")
    assert found["end"] == "broke"
    assert "Traceback" in found["words"]


def test_nothing_is_fetched_and_nothing_outside_is_read(tmp_path: Path, bench: Bench) -> None:
    """Names of other files stand in each format; none of them is opened."""
    secret = tmp_path / "outside.bin"
    secret.write_bytes(scenes.CORNERS.tobytes() + scenes.BOX.tobytes())
    secret.chmod(0o000)
    folder = tmp_path / "given"
    folder.mkdir()
    uri = {"uri": "../outside.bin", "byteLength": 168}
    entity = f'<!DOCTYPE m [<!ENTITY a SYSTEM "file://{secret}">]>'
    files = {
        "a.glb": scenes.glb(buffers=[uri]),
        "b.glb": scenes.glb(buffers=[uri | {"uri": "http://127.0.0.1:9/outside.bin"}]),
        "c.3mf": scenes.threemf(head=entity),
        "d.3mf": scenes.threemf(items='<item objectid="1" p:path="/../outside.bin"/>'),
    }
    for name, data in files.items():
        (folder / name).write_bytes(data)
        assert bench.tried(folder / name)["end"] == "refused"
    (folder / "e.obj").write_bytes(
        b"mtllib ../outside.bin\nv 0 0 0\nv 1 0 0\nv 0 1 0\nv 0 0 1\n"
        b"usemtl x\nf 1 3 2\nf 1 2 4\nf 2 3 4\nf 1 4 3\n"
    )
    assert bench.tried(folder / "e.obj")["end"] == "answered"
    assert sorted(p.name for p in folder.iterdir()) == [*sorted(files), "e.obj"]
