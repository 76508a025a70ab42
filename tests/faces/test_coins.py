"""Coins are as large as the law says."""

from __future__ import annotations

import pytest
from fake_plan import fake_plan

from partline.faces.coins import COINS, standing_coin
from partline.faces.scene import bare_actors
from partline.faces.view import View
from partline.geometry.volume import is_closed, volume


def test_a_coin_is_closed_outward_and_stands_beside_the_piece():
    piece = fake_plan().stand.piece
    for coin in COINS.values():
        made = standing_coin(coin, piece)
        assert is_closed(made)
        assert volume(made) > 0
        assert made.extents == pytest.approx([coin.width_mm, coin.thick_mm, coin.width_mm])
        assert made.bounds[0, 2] == pytest.approx(0.0)
        assert made.bounds[0, 0] > piece.bounds[1, 0]


def test_sizes_are_those_of_the_law():
    # Council Regulation (EC) 975/98, annex I: 23.25 mm; 31 U.S.C. 5112 (a)(2): 0.955 inch.
    assert COINS["mm"].width_mm == 23.25
    assert COINS["inches"].width_mm == pytest.approx(0.955 * 25.4, abs=0.005)


def test_a_coin_behind_the_piece_is_not_pointed_at():
    piece = fake_plan().stand.piece

    def words(eye):
        shown = bare_actors(piece, coin=COINS["mm"], view=View().seen_from(eye))
        return [word for actor in shown for word in actor.labels]

    assert words((0.0, -1.0, 0.3)) == words((1.0, 0.0, 0.2)) == [COINS["mm"].name]
    assert words((-1.0, 0.0, 0.2)) == []
