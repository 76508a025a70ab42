"""Shapes with exact answers, and files of them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import trimesh

from partline.scan.draft import Draft


@pytest.fixture
def cube() -> Draft:
    """Cube of side 40 away from the origin; 12 faces, volume 64 000."""
    box = trimesh.creation.box((40, 40, 40))
    return Draft(
        np.array(box.vertices) + np.array([1000.0, 500.0, 300.0]),
        np.array(box.faces),
        np.arange(12),
    )


@pytest.fixture
def ball() -> Draft:
    """Ball of radius 10 with 5120 faces, all vertices on the sphere."""
    ico = trimesh.creation.icosphere(4, radius=10.0)
    return Draft(np.array(ico.vertices), np.array(ico.faces), np.arange(len(ico.faces)))


@pytest.fixture
def saved(tmp_path: Path) -> Callable[..., Path]:
    """Write a draft or trimesh to a file whose path has a space and an accent."""
    folder = tmp_path / "mes modèles à couler"
    folder.mkdir()

    def write(mesh: Draft | trimesh.Trimesh | bytes, name: str) -> Path:
        path = folder / name
        if isinstance(mesh, bytes):
            path.write_bytes(mesh)
            return path
        if isinstance(mesh, Draft):
            mesh = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)
        kind = "stl_ascii" if name.startswith("text") else path.suffix[1:]
        data = mesh.export(file_type=kind)
        path.write_bytes(data.encode() if isinstance(data, str) else data)
        return path

    return write


@pytest.fixture
def both() -> Callable[[Draft, Draft], Draft]:
    """Put two drafts into one."""

    def join(one: Draft, two: Draft) -> Draft:
        faces = np.vstack([one.faces, two.faces + len(one.vertices)])
        return Draft(np.vstack([one.vertices, two.vertices]), faces, np.arange(len(faces)))

    return join
