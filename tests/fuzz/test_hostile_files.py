"""Broken and hostile files end in an answer or in an error of the family, and write nothing.

Short by default; `PARTLINE_FUZZ=10000` sets how many inputs are tried.
"""

from __future__ import annotations

import gzip
import io
import lzma
import os
import time
from pathlib import Path

import numpy as np
import pytest
import trimesh

from partline.errors import PartlineError
from partline.job import read_job
from partline.samples import sample
from partline.scan.diagnosing import diagnose

TRIES = int(os.environ.get("PARTLINE_FUZZ", "240"))
LONGEST_S = 10.0
NASTY = [b"\xff" * 4, b"\x00" * 4, b"\xff\xff\xff\x7f", b"\x00\x00\xc0\x7f", b"\x00\x00\x80\x7f"]
WORDS = [b"nan", b"inf", b"-1", b"99999999999999999999", b"1e308", b"", b"\n", b"\x00", b"vertex 4"]


def seeds() -> dict[str, bytes]:
    ball = trimesh.creation.icosphere(2, radius=10)
    text = ball.export(file_type="stl_ascii")
    plain = {
        "a.stl": ball.export(file_type="stl"),
        "b.stl": text.encode() if isinstance(text, str) else text,
        "c.ply": ball.export(file_type="ply"),
        "d.ply": ball.export(file_type="ply", encoding="ascii"),
        "e.obj": ball.export(file_type="obj").encode(),
    }
    packed = {"c.ply.gz": gzip.compress(plain["c.ply"]), "e.obj.xz": lzma.compress(plain["e.obj"])}
    return plain | packed


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


@pytest.mark.parametrize("name", sorted(seeds()))
def test_spoiled_meshes(name: str, tmp_path: Path) -> None:
    rng = np.random.default_rng(sum(name.encode()))
    data = seeds()[name]
    path = tmp_path / name
    short = 0
    for _ in range(max(1, TRIES // 8)):
        path.write_bytes(spoiled(data, rng))
        start = time.monotonic()
        try:
            health = diagnose(path, units="mm")
        except PartlineError as error:
            short += len(str(error)) <= 20
        else:
            assert np.isfinite(health.size).all()
        assert time.monotonic() - start < LONGEST_S
        assert [p.name for p in tmp_path.iterdir()] == [name]
    assert short == 0


def test_spoiled_jobs(tmp_path: Path) -> None:
    rng = np.random.default_rng(99)
    data = sample("ram.toml").read_bytes()
    short = 0
    for _ in range(max(1, TRIES // 8)):
        text = spoiled(data, rng).decode("utf-8", errors="replace")
        start = time.monotonic()
        try:
            read_job(text, tmp_path, check_files=False)
        except PartlineError as error:
            short += len(str(error)) <= 20
        assert time.monotonic() - start < LONGEST_S
        assert not list(tmp_path.iterdir())
    assert short == 0


@pytest.mark.parametrize("count", [2**31 - 1, 2**32 - 1, 10**9])
def test_a_huge_count_asks_for_no_memory(count: int, tmp_path: Path) -> None:
    stl = tmp_path / "big.stl"
    stl.write_bytes(b"\x00" * 80 + count.to_bytes(4, "little") + b"\x00" * 100)
    ply = tmp_path / "big.ply"
    ply.write_bytes(
        b"ply\nformat binary_little_endian 1.0\n"
        + f"element vertex {count}\n".encode()
        + b"property float x\nproperty float y\nproperty float z\n"
        + f"element face {count}\nproperty list uchar int vertex_indices\nend_header\n".encode()
        + b"\x00" * 64
    )
    for path in (stl, ply):
        start = time.monotonic()
        with pytest.raises(PartlineError):
            diagnose(path, units="mm")
        assert time.monotonic() - start < 1.0


def test_a_bomb_is_not_unpacked_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from partline.scan import files

    monkeypatch.setattr(files, "LARGEST_BYTES", 1 << 20)
    packed = io.BytesIO()
    with gzip.GzipFile(fileobj=packed, mode="wb") as out:
        out.write(b"\x00" * (8 << 20))
    for name, data in (
        ("z.stl.gz", packed.getvalue()),
        ("z.stl.xz", lzma.compress(b" " * (8 << 20))),
    ):
        path = tmp_path / name
        path.write_bytes(data)
        with pytest.raises(PartlineError, match="unpacks to more than"):
            diagnose(path, units="mm")
