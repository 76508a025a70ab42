"""The best line of the combed post, in closed form."""

from __future__ import annotations

import numpy as np
import pytest
from cut_solids import detail_of
from known_piece import HIGH_COMB, LOW_COMB, best_length_mm, combed_post

from partline.cut.planning import plan_cut


def test_the_line_up_the_combed_post_is_the_shortest_there_is() -> None:
    stand, weight = combed_post()
    cut = plan_cut(stand, detail_of(stand.piece, weight), cuts=1, margin_mm=0.0)
    line = cut.lines[0]
    best = best_length_mm(stand.seat_mm, line.points[-1, 2])
    assert line.side == "back"
    assert line.worst_detail == 0
    assert best * (1 - 1e-6) <= line.length_mm <= best * 1.005
    assert line.cost == pytest.approx(line.length_mm, rel=1e-6)
    assert 0 <= cut.gap < 0.02
    way = np.degrees(np.arctan2(line.points[:, 0], -line.points[:, 1])) % 360
    z = line.points[:, 2]
    assert way[(z >= LOW_COMB[0]) & (z <= LOW_COMB[1])].min() >= 190 - 0.01
    assert way[(z >= HIGH_COMB[0]) & (z <= HIGH_COMB[1])].max() <= 170 + 0.01
