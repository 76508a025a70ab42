"""The block: where a straight line leaves it, checked by walking."""

from __future__ import annotations

import numpy as np
import pytest
from rubber_blocks import ALL, on_wall

from partline.card.block import Block


@pytest.mark.parametrize("block", ALL, ids=lambda b: f"{b.kind}{b.slope}")
def test_a_line_is_inside_up_to_its_exit_and_outside_past_it(block: Block) -> None:
    random = np.random.default_rng(1)
    points = np.column_stack(
        [random.uniform(-12, 12, (400, 2)) + block.centre_mm,
         random.uniform(1, block.height_mm - 1, 400)]
    )  # fmt: skip
    ways = random.normal(size=(400, 3))
    far = block.exits(points, ways)
    assert np.all(np.isfinite(far))
    assert np.all(far > 0)
    assert block.holds(points + (far * (1 - 1e-9))[:, None] * ways).all()
    assert not block.holds(points + (far * (1 + 1e-9))[:, None] * ways).any()


@pytest.mark.parametrize("block", ALL, ids=lambda b: f"{b.kind}{b.slope}")
def test_normals_are_square_to_the_wall(block: Block) -> None:
    wall = on_wall(block, 300)
    wall = wall[(wall[:, 2] > 1) & (wall[:, 2] < block.height_mm - 1)]
    normals = block.wall_normals(wall)
    assert np.allclose(np.linalg.norm(normals, axis=1), 1.0)
    assert block.holds(wall - 0.01 * normals).all()
    assert not block.holds(wall + 0.01 * normals).any()
    # From a little inside, no way out is shorter than the one square to the wall.
    inside = wall - 0.5 * normals
    assert np.allclose(block.exits(inside, normals, sides_only=True), 0.5, atol=1e-9)


@pytest.mark.parametrize("block", ALL, ids=lambda b: f"{b.kind}{b.slope}")
def test_inward_and_outward_undo_each_other(block: Block) -> None:
    points = np.random.default_rng(2).normal(size=(20, 3))
    assert np.allclose(block.outward(block.inward(points)), points)
