"""Offcuts: how many go in, clear of the piece and of the web; the rescue."""

from __future__ import annotations

import math

import numpy as np
import pytest
from simple_stands import block, cylinder, standing

from partline.errors import WorkshopError
from partline.job import ShelfItem
from partline.workshop.choosing import choose_container
from partline.workshop.materials import defaults
from partline.workshop.offcuts import _clear_of, _grid, offcuts_of, rescue_g, samples

KNOWN = defaults()


def test_short_by_twenty_millilitres() -> None:
    """20 mL of rubber of 1.18 g/cm3 weigh about 24 g (arithmetic)."""
    assert round(rescue_g(20.0, 1.18)) == 24
    for wrong in ((0.0, 1.18), (20.0, -1.0), (math.nan, 1.0)):
        with pytest.raises(WorkshopError):
            rescue_g(*wrong)


def test_the_room_round_a_cylinder() -> None:
    """Beside a cylinder of radius 20 in a pipe of 60, from 30 to 60 and below the web."""
    stand = standing(cylinder(20.0, 60.0, 0.0), wall=12.0, headroom=20.0)
    pipe = ShelfItem(name="pipe", kind="pipe", rim_mm=120.0, height_mm=500.0)
    box = choose_container(stand, shelf=[pipe])
    found = offcuts_of(box, (stand.piece,), web_mm=20.0, density=1.2, known=KNOWN)
    exact = math.pi * (60**2 - 30**2) * 60.0
    # A point counts only if it is surely 10 mm away, so a little less than the exact ring.
    assert 0.9 * exact < found.room_mm3 < 1.01 * exact
    assert found.most_g == pytest.approx(found.room_mm3 / 2000 * 1.2)
    assert found.ml_per_mm == pytest.approx(math.pi * 3.6)
    assert all(g == pytest.approx(ml * 1.2) for ml, g in found.rescue)
    assert found.rescue
    assert f"Short by {found.rescue[0][0]:g} mL?" in " ".join(found.words)


def test_no_offcut_comes_near_the_piece() -> None:
    piece = block(120.0, 12.0, 70.0, 0.0)  # long flat faces of two triangles each
    stand = standing(piece, wall=20.0)
    box = choose_container(stand)
    points, _ = _grid(box, 60.0)
    near = points[_clear_of(points, (piece,), 10.0)]
    gap = np.maximum(np.abs(near) - [60.0, 6.0, 1e9], 0.0)[:, :2]
    above = np.maximum(near[:, 2] - 70.0, 0.0)
    assert len(near)
    assert np.sqrt((gap**2).sum(axis=1) + above**2).min() >= 10.0


def test_samples_lie_close_enough_everywhere() -> None:
    piece = block(50.0, 40.0, 30.0, 0.0)
    rng = np.random.default_rng(4)
    corners = piece.vertices[piece.faces[rng.integers(0, len(piece.faces), 500)]]
    weights = rng.dirichlet([1, 1, 1], 500)
    points = np.einsum("kw,kwd->kd", weights, corners)
    found = samples(piece)
    away = np.linalg.norm(points[:, None] - found[None], axis=2).min(axis=1)
    assert away.max() <= 3.0 / math.sqrt(3.0) + 1e-9


def test_no_room_is_said() -> None:
    stand = standing(cylinder(20.0, 40.0, 0.0), wall=12.0)
    box = choose_container(stand)
    found = offcuts_of(box, (stand.piece,), web_mm=box.fill_height_mm, density=1.2, known=KNOWN)
    assert (found.most_g, found.rescue) == (0.0, ())
    assert found.words[0].startswith("No room for offcuts")
