from __future__ import annotations

import numpy as np
import pytest
import trimesh

from partline.scan.bodies import as_manifold
from partline.scan.draft import Draft
from partline.scan.rebuilding import rebuilt


def draft_of(mesh: trimesh.Trimesh) -> Draft:
    return Draft(np.array(mesh.vertices), np.array(mesh.faces), np.arange(len(mesh.faces)))


@pytest.mark.parametrize("cell", [0.4, 0.8, 1.6])
def test_the_interval_of_a_sound_ball_reaches_to_its_volume_and_hardly_further(ball, cell):
    made, finding = rebuilt(ball, cell)
    off = abs(made.face_volumes().sum() - ball.face_volumes().sum())
    assert off < finding.doubt < off + 0.001 * ball.face_volumes().sum()


def test_what_overlaps_is_known_once():
    one, two = trimesh.creation.icosphere(3, radius=10), trimesh.creation.icosphere(3, radius=8)
    two.apply_translation([9.123, 0.2, 0.1])
    made, finding = rebuilt(draft_of(trimesh.util.concatenate([one, two])), 1.0)
    truth = (as_manifold(draft_of(one)) + as_manifold(draft_of(two))).volume()
    assert abs(made.face_volumes().sum() - truth) < finding.doubt < 0.02 * truth


@pytest.mark.parametrize("cell", [0.4, 0.8, 1.6])
def test_an_open_body_is_held_by_what_lies_between_the_surfaces(ball, cell):
    """Three faces are missing: too little to matter, but no volume of its own is known."""
    made, finding = rebuilt(ball.kept(np.arange(len(ball.faces)) >= 3), cell)
    truth = ball.face_volumes().sum()
    assert abs(made.face_volumes().sum() - truth) < finding.doubt < 0.05 * truth
