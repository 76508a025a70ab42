"""Outlines as they go into solids: no corner on another."""

from __future__ import annotations

import numpy as np
from manifold3d import CrossSection, JoinType

from partline.geometry.solids import DUST_MM, area, grown, outline_of, shape_of
from partline.geometry.surface import Floats


def shortest_mm(outline: tuple[Floats, ...]) -> float:
    return min(float(np.linalg.norm(p - np.roll(p, 1, axis=0), axis=1).min()) for p in outline)


def wavering_ring() -> Floats:
    """A ring of 80 corners whose offset has two that are 0.8 nm apart."""
    rng = np.random.default_rng(38)
    turn = np.linspace(0, 2 * np.pi, 80, endpoint=False)
    radius = 20 + 0.2 * rng.normal(scale=0.05, size=80).cumsum()
    return np.column_stack([np.cos(turn), np.sin(turn)]) * radius[:, None]


def test_a_grown_outline_has_no_two_corners_on_one_another() -> None:
    """A foot block drawn up from such corners folded over itself, and no air could be followed."""
    ring = (wavering_ring(),)
    raw = shape_of(ring).offset(1.4, JoinType.Round, 2.0, 96)
    assert shortest_mm(tuple(np.asarray(p) for p in raw.to_polygons())) < DUST_MM
    clean = grown(ring, 1.4)
    assert shortest_mm(clean) > 100 * DUST_MM
    assert abs(area(clean) - raw.area()) < DUST_MM * 2 * np.pi * 22


def test_an_outline_keeps_its_true_corners() -> None:
    corners = np.array([[0.0, 0.0], [7.0, 0.0], [7.0, 0.01], [0.0, 5.0]])
    (found,) = outline_of(CrossSection([corners]))
    away = np.linalg.norm(found[:, None] - corners[None], axis=2)
    assert len(found) == 4
    assert sorted(away.argmin(axis=1).tolist()) == [0, 1, 2, 3]
    assert away.min(axis=1).max() < 1e-8  # the grid
