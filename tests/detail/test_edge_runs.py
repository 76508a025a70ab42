"""Runs of sharp edges: rims of a cylinder, each with its length and place."""

from dataclasses import replace

import numpy as np
import pytest
from bodies import cylinder

from partline.detail.edge_runs import convex_runs
from partline.detail.relief import detail_map


def test_rims_of_a_cylinder_are_two_runs():
    body = cylinder(12, 30, 0.4)
    found = detail_map(body)
    runs = convex_runs(body, found)
    assert len(runs) == 2
    for run in runs:
        # Closed form: a circle.
        assert run.length_mm == pytest.approx(2 * np.pi * 12, rel=0.02)
        assert run.low_mm == run.high_mm == run.place_mm[2]
        assert np.hypot(*run.place_mm[:2]) == pytest.approx(12, rel=1e-6)
    assert {run.low_mm for run in runs} == {0.0, 30.0}
    assert convex_runs(body, replace(found, hard_convex=~found.hard_convex)) == ()
