"""A scan beyond mending: the window offers a new surface, and how fine it is can be chosen."""

from __future__ import annotations

import numpy as np
import pytest
from qtpy.QtCore import Qt

from partline.faces.viewer import cell_row
from partline.faces.workbench import job_of
from partline.job import load_job
from partline.scan import rebuilding

pytestmark = pytest.mark.screen


@pytest.fixture
def torn(tmp_path, plan):
    """Write the knob with two holes too large to be filled."""
    surface = plan.master.surface
    middles = surface.vertices[surface.faces].mean(axis=1)
    high = middles[:, 2] > 0.8 * surface.bounds[1, 2]
    right = (middles[:, 0] > 0.5 * surface.bounds[1, 0]) & (np.abs(middles[:, 1]) < 4.0)
    path = tmp_path / "torn.obj"
    rows = [f"v {x} {y} {z}" for x, y, z in surface.vertices]
    rows += [f"f {a + 1} {b + 1} {c + 1}" for a, b, c in surface.faces[~(high | right)]]
    path.write_text("\n".join(rows), encoding="utf-8")
    return path


def test_a_new_surface_is_offered_chosen_and_kept_in_the_job(
    window, torn, tmp_path, qtbot, monkeypatch
):
    for module in (rebuilding, cell_row):
        monkeypatch.setattr(module, "CELLS", 30)  # a coarse one is drawn at once
    page = window.piece.cells
    window.open_path(torn)
    qtbot.waitUntil(lambda: not window.jobs.working(), timeout=60000)
    assert window.bench.master is None
    assert window.notice.act.text() == "Draw a new surface"
    qtbot.mouseClick(window.notice.act, Qt.LeftButton)
    qtbot.waitUntil(
        lambda: window.prompt.question == "height" and not window.jobs.working(), timeout=60000
    )
    assert page.isHidden()
    assert "new" in window.piece.words.text()
    window.prompt.height_text.setText("50")
    qtbot.mouseClick(window.prompt.button, Qt.LeftButton)
    usual = float(np.linalg.norm(window.bench.shown_surface().extents)) / 30
    assert not page.isHidden()
    assert page.size.value() == pytest.approx(usual, abs=0.005)
    page.size.setValue(1.25)
    assert job_of(window.bench).scan.cell_mm == 1.25
    window.errands.save(tmp_path / "torn.toml")
    again = load_job(tmp_path / "torn.toml").scan
    assert (again.rebuild, again.cell_mm, again.height_mm) == (True, 1.25, 50.0)
    window.bench.undo()
    assert job_of(window.bench).scan.cell_mm is None


def test_a_scan_that_is_taken_as_it_is_has_no_cells(window, mesh_file, qtbot):
    window.open_path(mesh_file)
    qtbot.waitUntil(lambda: window.prompt.question == "height", timeout=60000)
    window.bench.change(height_mm=50.0)
    assert window.piece.cells.isHidden()
    assert not job_of(window.bench).scan.rebuild
