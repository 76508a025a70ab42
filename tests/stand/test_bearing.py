"""A piece stays on those facets of its hull that its middle is over."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from partline.geometry.surface import Surface
from partline.stand.bearing import bearing_flats
from partline.stand.resting import Resting


def flats(mesh: trimesh.Trimesh) -> set[tuple[int, ...]]:
    found = bearing_flats(Resting(Surface(mesh.vertices, mesh.faces)))
    np.testing.assert_allclose(np.linalg.norm(found, axis=1), 1.0)
    return {tuple(map(int, np.round(1000 * v) + 0.0)) for v in found}


@pytest.mark.parametrize("sizes", [(20, 20, 20), (2, 3, 40)])
def test_a_box_stays_on_all_its_sides(sizes: tuple[float, float, float]) -> None:
    sides = {tuple(int(s) for s in 1000 * v) for v in np.vstack([np.eye(3), -np.eye(3)])}
    assert flats(trimesh.creation.box(sizes)) == sides


def prism(shift: float) -> trimesh.Trimesh:
    """A prism over a base 10 wide whose top, as wide, lies to one side; 10 high."""
    box = trimesh.creation.box((10, 30, 10)).apply_translation((0, 0, 5))
    box.vertices[:, 0] += shift * box.vertices[:, 2] / 10
    return box


@pytest.mark.parametrize(("shift", "stays"), [(9.9, True), (10.1, False)])
def test_what_leans_past_its_base_does_not_stay_on_it(shift: float, stays: bool) -> None:
    # The middle lies above the base's own by half the shift, and the base reaches 5 from there.
    assert ((0, 0, -1000) in flats(prism(shift))) == stays


def test_a_sheet_has_none() -> None:
    sheet = Surface([[0, 0, 0], [1, 0, 0], [0, 1, 0]], [[0, 1, 2]])
    assert bearing_flats(Resting(sheet)).shape == (0, 3)
