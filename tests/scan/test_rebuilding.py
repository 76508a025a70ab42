from __future__ import annotations

import numpy as np
import pytest
import trimesh
from manifold3d import Error

from partline.errors import NotSolid
from partline.scan import rebuilding
from partline.scan.bodies import as_manifold
from partline.scan.draft import Draft
from partline.scan.inside import Grid, steps_of
from partline.scan.rebuilding import rebuilt
from partline.scan.winding import dipoles


def draft_of(mesh: trimesh.Trimesh) -> Draft:
    return Draft(np.array(mesh.vertices), np.array(mesh.faces), np.arange(len(mesh.faces)))


def test_a_sound_ball_keeps_its_shape(ball):
    made, finding = rebuilt(ball, 0.4)
    assert made.table.is_closed
    assert as_manifold(made).status() == Error.NoError
    assert made.face_volumes().sum() == pytest.approx(ball.face_volumes().sum(), rel=2e-3)
    # Chords of half a cell's length lie inside the ball by a few hundredths at most.
    assert np.abs(np.linalg.norm(made.vertices, axis=1) - 10).max() < 0.04
    assert finding.kind == "rebuilt"
    assert finding.size == 0.4
    assert finding.doubt < 3e-3 * made.face_volumes().sum()
    assert (made.file_faces >= 0).all()


def test_faces_know_which_old_face_they_lie_on(ball):
    made, _ = rebuilt(ball, 0.5)
    middle = made.vertices[made.faces].mean(axis=1)
    old = ball.vertices[ball.faces[made.file_faces]].mean(axis=1)
    assert np.linalg.norm(middle - old, axis=1).max() < 1.0


def test_a_ball_without_its_cap_is_closed_and_the_truth_lies_in_the_interval(ball):
    middle = ball.vertices[ball.faces].mean(axis=1)
    open_ball = ball.kept(middle[:, 2] < 7.0)
    made, finding = rebuilt(open_ball, 0.4)
    assert made.table.is_closed
    volume = made.face_volumes().sum()
    truth = ball.face_volumes().sum()
    assert abs(volume - truth) < finding.doubt < 0.105 * truth
    assert (made.file_faces < 0).any()
    made_up = made.vertices[made.faces[made.file_faces < 0]].mean(axis=1)
    assert made_up[:, 2].min() > 6.0
    assert "made up over holes" in finding.note


def test_overlapping_bodies_become_one():
    one, two = trimesh.creation.icosphere(3, radius=10), trimesh.creation.icosphere(3, radius=8)
    two.apply_translation([9.123, 0.2, 0.1])
    made, _ = rebuilt(draft_of(trimesh.util.concatenate([one, two])), 0.5)
    union = as_manifold(draft_of(one)) + as_manifold(draft_of(two))
    assert len(as_manifold(made).decompose()) == 1
    assert made.face_volumes().sum() == pytest.approx(union.volume(), rel=0.01)


def test_what_lies_between_surface_and_scan_is_measured():
    """A cube's edges are cut by the cells: never more than one cell, and said so."""
    made, finding = rebuilt(draft_of(trimesh.creation.box((20, 20, 20))), 1.0)
    corner = np.linalg.norm(made.vertices - 10.0, axis=1).min()
    assert 0.1 < corner < np.sqrt(3.0)
    assert f"and {corner:.2g} mm at most" in finding.note


def test_a_sheet_surrounds_nothing():
    sheet = trimesh.creation.box((20, 20, 0.001))
    flat = draft_of(sheet)
    top = flat.vertices[flat.faces][:, :, 2].min(axis=1) > 0
    with pytest.raises(NotSolid, match="surrounds nothing"):
        rebuilt(flat.kept(top).compacted(), 0.5)


def test_too_many_or_too_coarse_cells_are_refused_before_memory_is_asked_for(ball):
    with pytest.raises(NotSolid, match=r"State a cell of .* mm or more"):
        rebuilt(ball, 1e-4)
    with pytest.raises(NotSolid, match=r"State a cell of .* mm or less"):
        rebuilt(ball, 5.0)


def test_progress_only_grows(ball, monkeypatch):
    monkeypatch.setattr(rebuilding, "CELLS", 60)
    heard: list[float] = []
    rebuilt(ball, progress=lambda fraction, _: heard.append(fraction))
    assert heard == sorted(heard)
    assert heard[-1] == 1.0


def test_a_soup_gets_coarser_cells_and_finer_ones_are_refused():
    """Three hundred faces in any direction, all through one another."""
    rng = np.random.default_rng(3)
    points = rng.uniform(-10, 10, (1500, 3))
    soup = Draft(points, np.arange(1500).reshape(-1, 3), np.arange(500))
    usual = soup.diagonal / rebuilding.CELLS
    _, finding = rebuilt(soup)
    assert usual < finding.size < soup.diagonal / rebuilding.COARSEST
    assert finding.note.startswith(f"coarser than the usual {usual:.2g} mm")
    with pytest.raises(NotSolid, match=r"would take too long.* State a cell of .* mm or more"):
        rebuilt(soup, 0.5 * usual)


def test_the_new_surface_itself_is_weighed(monkeypatch):
    """A few dozen faces through one another are soon asked, but their net has faces all over."""
    monkeypatch.setattr(rebuilding, "CELLS", 100)
    rng = np.random.default_rng(9)
    points = rng.uniform(-10, 10, (20, 3))
    corners = rng.permuted(np.tile(np.arange(20), (40, 1)), axis=1)[:, :3]
    soup = Draft(points, corners, np.arange(40))
    source = dipoles(soup.vertices, soup.faces)
    usual = soup.diagonal / rebuilding.CELLS
    made, finding = rebuilt(soup)
    assert finding.size == usual
    # Twice as much as is asked to tell what is inside is too little for the net as well.
    most = 2 * steps_of(source, Grid.round(soup, source, usual))
    monkeypatch.setattr(rebuilding, "MOST_WORK", most)
    fewer, finding = rebuilt(soup)
    assert usual < finding.size < 2 * usual
    assert finding.note.startswith("coarser than the usual")
    assert len(fewer.faces) * rebuilding.STEPS_AFTER < most
    assert len(fewer.faces) < len(made.faces)


def test_a_skin_is_drawn_at_the_usual_cell_however_few_its_faces(ball):
    box = draft_of(trimesh.creation.box((20, 20, 20)))
    for draft in (box, ball):
        assert rebuilt(draft)[1].size == draft.diagonal / rebuilding.CELLS
