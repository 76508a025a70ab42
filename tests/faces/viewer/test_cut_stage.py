"""The cut's stage: seen from where the cut starts, once; then from where the eye was put."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from partline.faces.facing import facing

pytestmark = pytest.mark.screen


def test_the_cut_faces_whoever_opens_its_stage_first(window, plan, qtbot):
    window.bench.opened(Path("knob.ply"), plan.master)
    window.bench.change(height_mm=50.0, front_said=True, mouth_said=True)
    window.errands.work_out()
    qtbot.waitUntil(lambda: window.bench.plan is plan and not window.jobs.working(), timeout=5000)
    before = window.bench.view
    window.strip.buttons["cut"].click()
    wanted = np.array(facing(plan, before).eye)
    assert np.allclose(window.bench.view.eye, wanted)
    assert np.allclose(window.pane.eye(), wanted / np.linalg.norm(wanted), atol=1e-6)
    assert not np.allclose(wanted, before.eye, atol=0.1)
    # Turned away by hand, it is not turned back.
    window.shows.sides["left"].click()
    left = window.bench.view.eye
    window.strip.buttons["air"].click()
    window.strip.buttons["cut"].click()
    assert window.bench.view.eye == left
