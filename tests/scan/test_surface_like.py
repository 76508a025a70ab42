"""What is nothing like a surface is refused; what is one, however cut up, is not."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from partline.errors import NotSolid
from partline.scan.draft import Draft
from partline.scan.surface_like import (
    FEW_FACES,
    refuse_crowded,
    refuse_heaps,
    refuse_loose,
    refuse_pieces,
)


def soup(corners: np.ndarray) -> Draft:
    m = len(corners)
    return Draft(corners.reshape(-1, 3), np.arange(3 * m).reshape(-1, 3), np.arange(m))


@pytest.fixture(scope="module")
def fine() -> np.ndarray:
    """(m, 3, 3) corners of a ball of 20 480 faces."""
    return np.array(trimesh.creation.icosphere(5, radius=10.0).triangles)


@pytest.mark.parametrize("count", [5_000, 60_000])
def test_triangles_anywhere_are_a_heap_and_a_ball_is_none(count, fine):
    refuse_heaps(soup(fine))
    refuse_heaps(soup(np.concatenate([fine, 1.01 * fine, 1.02 * fine])))
    with pytest.raises(NotSolid, match=r"in heaps, so that none .* near"):
        refuse_heaps(soup(np.random.default_rng(1).uniform(-9, 9, (count, 3, 3))))


def test_triangles_alone_are_told_from_those_a_rounding_apart(fine):
    rounded = fine + np.random.default_rng(2).normal(size=fine.shape) * 1e-6
    for surface in (fine, rounded):
        refuse_loose(soup(surface))
    middle = fine.mean(axis=1, keepdims=True)
    with pytest.raises(NotSolid, match="20480 faces stand alone"):
        refuse_loose(soup(middle + 0.5 * (fine - middle)))
    refuse_loose(soup((middle + 0.5 * (fine - middle))[:FEW_FACES]))
    beside = np.random.default_rng(3).normal(size=(90_000, 3))
    whole = soup(fine)
    unused = Draft(np.vstack([whole.vertices, beside]), whole.faces, whole.file_faces)
    refuse_loose(unused)


def test_pieces_and_holes_are_counted(ball, both):
    pair = both(ball, Draft(ball.vertices + 50.0, ball.faces, ball.file_faces))
    refuse_pieces(pair, pieces=2, holes=0)
    with pytest.raises(NotSolid, match="falls into 2 pieces"):
        refuse_pieces(pair, pieces=1)
    holed = pair.kept(~np.isin(np.arange(len(pair.faces)), [0, len(pair.faces) - 1]))
    refuse_pieces(holed, holes=2)
    with pytest.raises(NotSolid, match="has 2 holes"):
        refuse_pieces(holed, holes=1)


def test_a_lattice_is_no_skin():
    step = np.arange(20)
    place = np.stack(np.meshgrid(step, step, step, indexing="ij"), axis=-1).reshape(-1, 3)
    number = place @ [441, 21, 1]
    sides = [(441, 21), (21, 1), (1, 441)]
    faces = np.vstack(
        [np.column_stack([number, number + u, number + u + v]) for u, v in sides]
        + [np.column_stack([number, number + u + v, number + v]) for u, v in sides]
    )
    corner = np.stack(np.meshgrid(*[np.arange(21)] * 3, indexing="ij"), axis=-1).reshape(-1, 3)
    lattice = Draft(corner.astype(float), faces, np.arange(len(faces)))
    with pytest.raises(NotSolid, match=r"two faces meet at \d+ edges; 10000"):
        refuse_crowded(lattice)
