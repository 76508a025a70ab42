from __future__ import annotations

import numpy as np
import pytest
from cut_solids import around, bollard, standing

from partline.cut.measure import beside
from partline.geometry.paths import cheapest_path, priced, surface_graph


def line_up_the_back(stand):
    plain = priced(surface_graph(stand.piece))
    points = stand.piece.vertices
    low = int(np.argmin(np.linalg.norm(points - [0, 8, 15.0], axis=1)))
    high = int(np.argmin(np.linalg.norm(points - [0, 12, 45.0], axis=1)))
    return plain, cheapest_path(plain, [low], [high])


def test_left_and_right_are_those_of_one_who_looks_from_outside() -> None:
    stand = standing(bollard(sections=180))
    plain, path = line_up_the_back(stand)
    toward_x = around(stand.piece, 20, 24, 120, 10)
    other = around(stand.piece, 20, 24, 250, 10)
    left, right = beside(path, toward_x | other, plain)
    assert left.place_mm is not None
    assert right.place_mm is not None
    # From behind, with the mouth down, +X is on the left hand.
    assert left.place_mm[0] > 0 > right.place_mm[0]
    radius = float(np.hypot(*left.place_mm[:2]))
    assert left.clearance_mm == pytest.approx(radius * np.radians(50), rel=0.06)
    assert right.clearance_mm == pytest.approx(radius * np.radians(60), rel=0.06)


def test_a_side_without_detail_is_infinitely_clear() -> None:
    stand = standing(bollard())
    plain, path = line_up_the_back(stand)
    left, right = beside(path, around(stand.piece, 20, 24, 120, 10), plain)
    assert np.isfinite(left.clearance_mm)
    nothing = beside(path, np.zeros(len(stand.piece.vertices), dtype=bool), plain)
    assert nothing[0].place_mm is None
    assert np.isinf([nothing[0].clearance_mm, nothing[1].clearance_mm]).all()
    assert right.clearance_mm > left.clearance_mm


def test_detail_on_the_line_is_no_distance_away() -> None:
    stand = standing(bollard())
    plain, path = line_up_the_back(stand)
    left, right = beside(path, around(stand.piece, 20, 24, 180, 10), plain)
    assert left.clearance_mm == right.clearance_mm == 0
