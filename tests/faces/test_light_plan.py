"""The piece of a picture: points of the scan with the scan's own normals, close to its form."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from fake_plan import fake_plan

from partline.faces import light_plan as light
from partline.geometry.surface import Surface
from partline.plan import Plan

trimesh = pytest.importorskip("trimesh")


def _radius(ball: np.ndarray) -> np.ndarray:
    """Return how far from the middle the rough skin is at (n, 3) points of the ball [mm]."""
    return 30.0 + 0.2 * np.sin(ball).sum(axis=1)


@pytest.fixture
def rough(monkeypatch: pytest.MonkeyPatch) -> Plan:
    """A plan of a ball with a rough skin, and a limit that it is over."""
    monkeypatch.setattr(light, "MOST_FACES", 30_000)
    ball = trimesh.creation.icosphere(subdivisions=6, radius=30.0)
    piece = Surface(ball.vertices * (_radius(ball.vertices) / 30.0)[:, None], ball.faces)
    plan = fake_plan()
    weight = np.linspace(0, 1, len(piece.vertices))
    owner = np.arange(len(piece.faces), dtype=np.int32)
    return replace(
        plan,
        stand=replace(plan.stand, piece=piece, piece_faces=owner),
        detail=replace(plan.detail, weight=weight),
    )


def test_a_piece_of_few_triangles_is_left_as_it_is() -> None:
    plan = fake_plan()
    assert light.light_plan(plan) is plan


def test_every_point_is_the_scan_s_own_with_its_normal_and_its_detail(rough: Plan) -> None:
    shown, piece = light.light_plan(rough), rough.stand.piece
    thin = shown.stand.piece
    assert 0.15 < len(thin.faces) / len(piece.faces) < 0.35
    at = {tuple(p): k for k, p in enumerate(piece.vertices.tolist())}
    kept = np.array([at[tuple(p)] for p in thin.vertices.tolist()])
    np.testing.assert_allclose(thin.vertex_normals, piece.vertex_normals[kept], atol=1e-12)
    assert (shown.detail.weight == rough.detail.weight[kept]).all()
    # Each face is what one of the scan's has become.
    owner = shown.stand.piece_faces
    assert len(owner) == len(thin.faces)
    far = piece.vertices[piece.faces[owner]].mean(axis=1) - thin.vertices[thin.faces].mean(axis=1)
    assert np.linalg.norm(far, axis=1).max() < 3.0
    assert light.light_plan(rough) is shown, "it is made once"


def test_its_form_is_that_of_the_scan_closely_and_looks_outward(
    rough: Plan,
) -> None:
    thin = light.light_plan(rough).stand.piece
    middle = thin.vertices[thin.faces].mean(axis=1)
    far = np.linalg.norm(middle, axis=1)
    off = far - _radius(30.0 * middle / far[:, None])
    # 25 000 faces of a millimetre: a scan's 250 000 are a third as long, and off by a tenth.
    assert np.abs(off).max() < 0.1
    assert np.abs(off).mean() < 0.02
    # All look outward but the few that lie in no plane of the skin's, square to it.
    out = np.einsum("ij,ij->i", thin.face_vectors, middle / far[:, None])
    assert (out > -1e-3).all()
    assert (out > 0).mean() > 0.999
