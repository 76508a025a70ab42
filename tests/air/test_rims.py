"""Rims of regions on a ball, whose number is plain to see."""

from __future__ import annotations

import manifold3d as m3
import numpy as np
from boxes import surface_of

from partline.air.cavity import Cavity
from partline.air.rims import openings

BALL = Cavity(surface_of(m3.Manifold.sphere(10.0, 96)), [0])
Z = BALL.fans.vertices[:, 2]
AREAS = np.full(len(Z), 4.0 * np.pi * 100.0 / len(Z))


def rims(*chosen: np.ndarray, island_mm2: float = 1.0) -> list[int]:
    regions = [np.flatnonzero(some).astype(np.int32) for some in chosen]
    return openings(BALL.fans, AREAS, regions, island_mm2).tolist()


def test_a_cap_has_one_rim_a_band_two_and_the_whole_none() -> None:
    assert rims(Z > 5.0, np.abs(Z) < 2.0, Z < -5.0) == [1, 2, 1]
    assert rims(Z > -11.0) == [0]


def test_a_patch_of_noise_in_a_region_is_no_opening() -> None:
    hole = np.linalg.norm(BALL.fans.vertices - [0.0, 0.0, 10.0], axis=1) < 1.0
    assert rims((Z > 5.0) & ~hole, island_mm2=5.0) == [1]
    assert rims((Z > 5.0) & ~hole, island_mm2=1.0) == [2]


def test_regions_do_not_see_each_other() -> None:
    # What an earlier region holds is skin like any other to the next.
    assert rims(np.abs(Z) < 2.0, (Z >= 2.0) & (Z < 5.0), Z >= 5.0) == [2, 2, 1]


def test_no_regions_have_no_rims() -> None:
    assert rims() == []
