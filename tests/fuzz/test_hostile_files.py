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


def soup_file(corners: np.ndarray) -> bytes:
    """Binary STL of (m, 3, 3) corners."""
    rows = np.zeros(len(corners), dtype=[("n", "<f4", 3), ("c", "<f4", (3, 3)), ("a", "<u2")])
    rows["c"] = corners
    return b"\x00" * 80 + len(corners).to_bytes(4, "little") + rows.tobytes()


def polygon_file(corners: int, points: int) -> bytes:
    turn = np.arange(points) * 2 * np.pi / points
    ring = "".join(
        f"v {x:.9f} {y:.9f} 0\n" for x, y in zip(np.cos(turn), np.sin(turn), strict=True)
    )
    return (ring + f"f {' '.join(str(k % points + 1) for k in range(corners))}\n").encode()


def cubes(count: int, size: float) -> np.ndarray:
    """(12 count, 3, 3) corners of cubes strewn about."""
    at = np.random.default_rng(4).uniform(-100, 100, (count, 1, 1, 3))
    return (at + size * trimesh.creation.box().triangles[None]).reshape(-1, 3, 3)


def heavy() -> dict[str, tuple[bytes, str]]:
    """Files of some megabytes that once took a minute or gigabytes, and what is said of each."""
    rng = np.random.default_rng(3)
    pages = rng.uniform(-1, 1, (20_000, 1, 3))
    spine = np.broadcast_to([[[0.0, 0, 0], [0, 0, 1]]], (len(pages), 2, 3))
    ball = trimesh.creation.icosphere(6, radius=60.0).triangles
    strewn = rng.uniform(-100, 100, (300_000, 1, 3))
    x, y = np.meshgrid(*[np.arange(150) * 1e-6] * 2)
    tiny = np.stack([x, y, 0 * x], axis=-1).reshape(-1, 1, 3) + rng.uniform(0, 3e-7, (22_500, 3, 3))
    return {
        "nothing.stl": (soup_file(np.zeros((300_000, 3, 3))), ""),
        "book.stl": (soup_file(np.concatenate([spine, pages], axis=1)), "in heaps"),
        "soup.stl": (soup_file(rng.uniform(-1, 1, (300_000, 3, 3))), "in heaps"),
        "alone.stl": (soup_file(strewn + rng.uniform(-0.4, 0.4, (300_000, 3, 3))), "stand alone"),
        "fan.obj": (polygon_file(100_000, 100_000), "polygon of 100000 corners"),
        "few points.obj": (polygon_file(1_200_000, 3), "line of more than 1 MB"),
        "folded.obj": (polygon_file(9_000, 3), "in heaps"),
        "pieces.stl": (soup_file(cubes(20_000, 0.5)), "falls into 20000 pieces"),
        "dust.stl": (soup_file(np.concatenate([ball, cubes(10_000, 0.2)])), ""),
        "sieve.stl": (soup_file(ball[np.arange(len(ball)) % 10 > 0]), "holes; 2500"),
        "speck.stl": (soup_file(np.concatenate(
            [tiny, [[[0, 0, 0], [1e3, 0, 0], [0, 1e3, 0]]]])), "holes; 20000"),
        "newlines.obj": (b"v 0 0 0\n" + b"\n" * 45_000_000, "lines; 40 million"),
        "long line.obj": (b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf" + b" 1 2 3" * 500_000, "a line of"),
    }  # fmt: skip


@pytest.mark.parametrize("name", sorted(heavy()))
def test_heavy_files(name: str, tmp_path: Path, bench: Bench) -> None:
    data, words = heavy()[name]
    path = tmp_path / name
    path.write_bytes(data)
    found = bench.tried(path)
    judged(found)
    assert found["end"] == ("refused" if words else "answered")
    assert words in found["words"]


def test_a_file_of_more_triangles_than_are_worked_on_is_refused_unread(
    tmp_path: Path, bench: Bench
) -> None:
    for count in (10_600_000, 21_000_000):
        path = tmp_path / "many.stl"
        path.write_bytes(b"\x00" * 80 + count.to_bytes(4, "little"))
        os.truncate(path, 84 + 50 * count)
        found = bench.tried(path)
        judged(found)
        assert "hin it first" in found["words"]


def jobs() -> dict[str, tuple[str, str]]:
    """Jobs that ask for more than a person writes."""
    zone = '[[zones]]\nkind = "stay off"\npoint = [0, 0, 0]\nradius = "1 mm"\n'
    plain = sample("ram.toml").read_text()
    return {
        "zones": (plain + zone * 20_000, "number 1000: this is the last of 1000"),
        "long": (plain + zone * 200_000, "longer than a job"),
        "keys": (plain + "".join(f"x{k} = 1\n" for k in range(100_000)), "and 99900 more"),
        "dots": (".".join("a" * 200_000) + " = 1\n", "parts with dots"),
    }  # fmt: skip


@pytest.mark.parametrize("name", sorted(jobs()))
def test_heavy_jobs(name: str, tmp_path: Path, bench: Bench) -> None:
    text, words = jobs()[name]
    path = tmp_path / "job.toml"
    path.write_text(text)
    found = bench.tried(path)
    judged(found)
    assert words in found["words"]
