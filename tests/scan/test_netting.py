from __future__ import annotations

import numpy as np
from manifold3d import Error

from partline.scan.bodies import as_manifold
from partline.scan.draft import Draft
from partline.scan.netting import net, well_composed


def half(starts: np.ndarray, axes: np.ndarray) -> np.ndarray:
    return np.full(len(starts), 0.5)


def as_draft(inside: np.ndarray) -> Draft:
    vertices, faces = net(inside, half)
    return Draft(vertices, faces, np.arange(len(faces)))


def test_one_node_makes_a_small_closed_body():
    inside = np.zeros((5, 5, 5), dtype=bool)
    inside[2, 2, 2] = True
    draft = as_draft(inside)
    assert draft.table.is_closed
    assert (len(draft.vertices), len(draft.faces)) == (8, 12)
    assert draft.face_volumes().sum() > 0
    np.testing.assert_allclose(draft.vertices.mean(axis=0), [2, 2, 2])


def test_a_box_of_nodes_has_the_volume_of_its_cells():
    inside = np.zeros((12, 12, 12), dtype=bool)
    inside[3:9, 3:9, 3:9] = True
    volume = as_draft(inside).face_volumes().sum()
    # Six nodes a side reach from 2.5 to 8.5; corners and edges are cut off.
    assert 0.9 * 216 < volume < 216


def test_random_nodes_always_make_a_solid():
    """Noise is the worst case: cells touch along edges and at corners everywhere."""
    rng = np.random.default_rng(8)
    for share in (0.3, 0.5, 0.62):
        number = np.zeros((14, 14, 14), dtype=np.float32)
        number[2:-2, 2:-2, 2:-2] = rng.random((10, 10, 10)) + share - 0.5
        inside = well_composed(number)
        assert (inside | ~(number > 0.5)).all()  # nodes are only filled
        draft = as_draft(inside)
        assert draft.table.is_closed
        assert as_manifold(draft).status() == Error.NoError


def test_nodes_that_touch_are_joined_at_the_likelier_place():
    number = np.zeros((6, 6, 6), dtype=np.float32)
    number[2, 2, 2] = number[3, 3, 2] = 1.0
    number[2, 3, 2], number[3, 2, 2] = 0.4, 0.1
    inside = well_composed(number)
    assert inside[2, 3, 2]
    assert not inside[3, 2, 2]
    assert inside.sum() == 3
