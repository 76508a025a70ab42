from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
import trimesh

from partline.faces.checking import checked
from partline.scan import opening


def noisy_ball(noise: float) -> trimesh.Trimesh:
    mesh = trimesh.creation.icosphere(4, radius=20.0)
    stray = np.random.default_rng(4).normal(0, noise, len(mesh.vertices))
    return trimesh.Trimesh(mesh.vertices + stray[:, None] * mesh.vertex_normals, mesh.faces)


def test_the_noise_that_was_put_in_is_found(tmp_path: Path) -> None:
    path = tmp_path / "ball.ply"
    noisy_ball(0.03).export(path)
    made = checked(path, units="mm")
    assert made.noise == pytest.approx(0.03, rel=0.06)
    assert f"Noise of its points: about {made.noise:.2g} mm (0.0012 in)" in " ".join(made.words)
    bigger = checked(path, units="cm")
    assert bigger.noise == pytest.approx(10 * made.noise)
    assert json.loads(json.dumps(made.to_dict()))["noise"] == made.noise


def test_too_few_points_say_nothing_of_noise(tmp_path: Path) -> None:
    path = tmp_path / "box.ply"
    trimesh.creation.box((2, 3, 4)).export(path)
    made = checked(path, units="mm")
    assert made.noise is None
    assert "Noise" not in " ".join(made.words)


def test_a_clean_model_shows_no_noise(tmp_path: Path) -> None:
    # What is left is rounding of the file's numbers; it was told as two millionths of a mm.
    path = tmp_path / "ball.stl"
    trimesh.creation.icosphere(5, radius=20.0).export(path)
    made = checked(path, units="mm")
    assert made.noise < 1e-4
    assert "Its points show no noise." in made.words


def test_a_part_of_few_large_triangles_says_nothing_of_noise(tmp_path: Path) -> None:
    # A comb as it is drawn, of 25 mm: more than a hundred corners and no skin between them.
    path = tmp_path / "comb.stl"
    teeth = [
        trimesh.creation.box((0.5, 6 + k % 3, 2), np.eye(4) + np.eye(4, k=3) * (k - 12))
        for k in range(25)
    ]
    trimesh.boolean.union([trimesh.creation.box((26, 3, 2)), *teeth]).export(path)
    made = checked(path, units="mm")
    assert len(made.scan.clean.vertices) > 100
    assert made.noise is None
    assert "oise" not in " ".join(made.words)


def test_the_file_is_read_once_and_progress_is_heard(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "ball.ply"
    noisy_ball(0.0).export(path)
    read, heard = [], []
    plain = opening.read_file
    monkeypatch.setattr(opening, "read_file", lambda p: read.append(p) or plain(p))
    checked(path, progress=lambda share, _: heard.append(share))
    assert read == [path]
    assert heard == sorted(heard)
    assert len(heard) > 8


def test_the_words_for_programs_are_those_for_people(tmp_path: Path) -> None:
    path = tmp_path / "ball.ply"
    noisy_ball(0.03).export(path)
    made = checked(path, units="mm")
    assert json.loads(json.dumps(made.to_dict()))["words"] == list(made.words)
    assert made.words[0] == made.pose.words
