"""The packed scene: unpacked again as the browser does it, places and faces are the same."""

from __future__ import annotations

import base64
import sys
import zlib
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan

from partline.faces.scene_mesh import Part, packed, parts, tube
from partline.geometry.surface import Surface
from partline.geometry.volume import volume


def unpacked(listed: dict, box: dict, numbers: str) -> tuple[np.ndarray, np.ndarray]:
    """Read one part back, number by number as scene.js does."""
    raw = np.frombuffer(zlib.decompress(base64.b64decode(numbers)), dtype=np.uint8).astype(int)
    n, m, o = listed["vertices"], 3 * listed["faces"], listed["at"]
    places = np.zeros((n, 3))
    for axis in range(3):
        at = o + axis * n
        steps = raw[at : at + n] + 256 * raw[at + 3 * n : at + 4 * n]
        places[:, axis] = box["low"][axis] + np.cumsum(steps) % 65536 / 65535 * box["size"]
    o += 6 * n
    z = sum(256**k * raw[o + k * m : o + (k + 1) * m] for k in range(4))
    moves = np.where(z % 2, -(z + 1) // 2, z // 2)
    return places, np.cumsum(moves).reshape(-1, 3)


def test_every_part_comes_back_within_a_step() -> None:
    found = parts(fake_plan())
    listed, box, numbers = packed(found)
    step = box["size"] / 65535
    assert step < 0.004  # [mm]
    for part, entry in zip(found, listed, strict=True):
        places, faces = unpacked(entry, box, numbers)
        assert len(places) == len(part.vertices)
        assert len(faces) == len(part.faces)
        before = np.sort(part.vertices[part.faces].mean(axis=1), axis=0)
        after = np.sort(places[faces].mean(axis=1), axis=0)
        np.testing.assert_allclose(after, before, atol=2 * step)


def test_winding_and_volume_survive() -> None:
    plan = fake_plan()
    piece = next(p for p in parts(plan) if p.group == "piece")
    listed, box, numbers = packed((piece,))
    places, faces = unpacked(listed[0], box, numbers)
    assert volume(Surface(places, faces)) == pytest.approx(volume(plan.stand.piece), rel=1e-3)


def test_groups_and_pours() -> None:
    found = parts(fake_plan())
    groups = {(p.group, p.pours) for p in found}
    assert {("piece", "both"), ("foot block", "both"), ("cut", "both"), ("mouth", "both"),
            ("cup", "rubber"), ("block", "resin"), ("air", "rubber"),
            ("air", "resin")} <= groups  # fmt: skip
    assert sum(p.group == "piece" for p in found) == 1
    # All of it in one pose: what hangs under the cap is there in both pours.
    air = [p.vertices for p in found if p.group == "air"]
    assert all(30 < v[:, 2].mean() < 50 for v in air)


def test_a_tube_has_its_length_and_radius() -> None:
    line = np.column_stack([np.zeros(9), np.zeros(9), np.linspace(0, 40, 9)])
    vertices, faces = tube(line, 1.5)
    np.testing.assert_allclose(np.hypot(*vertices[:, :2].T), 1.5)
    assert np.ptp(vertices[:, 2]) == pytest.approx(40)
    # side of a prism of seven sides: 7 x 2 r sin(pi/7) x length
    corners = vertices[faces]
    sizes = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    side = 0.5 * np.linalg.norm(sizes, axis=1).sum()
    assert side == pytest.approx(7 * 2 * 1.5 * np.sin(np.pi / 7) * 40)
    assert len(tube(line[:1], 1.0)[1]) == 0


def test_packing_is_small() -> None:
    # a plain ball of 80 000 faces: under 6 bytes a face, base64 and all
    around, up = 200, 201
    a = 2 * np.pi * np.arange(around) / around
    b = np.linspace(0.01, np.pi - 0.01, up)
    v = np.stack([np.outer(np.sin(b), np.cos(a)), np.outer(np.sin(b), np.sin(a)),
                  np.outer(np.cos(b), np.ones(around))], axis=-1).reshape(-1, 3)  # fmt: skip
    k = np.arange((up - 1) * around)
    right = k - k % around + (k + 1) % around
    f = np.vstack([np.column_stack([k, right, right + around]),
                   np.column_stack([k, right + around, k + around])])  # fmt: skip
    _, _, numbers = packed((Part("piece", "both", "#ffffff", 1.0, 50 * v, f.astype(np.int32)),))
    assert len(numbers) < 6 * len(f)
