from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from partline.cut.cut import Pit, RubberLoop
from partline.cut.demould import Bridge
from partline.cut.saying import (
    bridge_words,
    certificate,
    loop_words,
    pit_words,
    rubber_words,
    tearing_words,
    verdict,
)


@pytest.mark.parametrize(
    ("snaking", "straight", "begins"),
    [
        (0.1, 0.2, "Comes out:"),
        (0.5, 1.2, "Try it:"),
        (1.2, 1.5, "Comes out with a firm pull"),
        (1.6, 2.0, "Will not come out"),
    ],
)
def test_the_verdict_follows_the_two_bounds(snaking, straight, begins) -> None:
    words = verdict(snaking, straight, working=0.875, elongation=3.5)
    assert words.startswith(begins)
    assert f"{100 * snaking:.0f} %" in words
    assert "88 %" in words


def test_a_block_that_is_not_cut_is_stretched_by_hand() -> None:
    bears = {"working": 0.875, "elongation": 3.5, "uncut": True}
    assert verdict(0.22, 0.29, **bears).startswith("Comes out:")
    said = verdict(0.64, 0.64, **bears)
    assert said.startswith("Hardly comes out by hand:")
    assert "38 %" in said
    assert verdict(1.2, 1.3, **bears).startswith("Comes out with a firm pull")


def test_only_the_largest_bridges_are_spelled_out() -> None:
    bridges = tuple(Bridge(20.0, 21.0 + k, (0.0, 0.0, 20.0), 2.0) for k in range(5))
    words = bridge_words(bridges, 100.0)
    assert len(words) == 4
    assert "20 to 25 mm" in words[0]
    assert words[-1].startswith("2 smaller")


def test_no_line_needs_no_certificate() -> None:
    assert "no detail" in certificate(())


def test_hard_lips_call_for_two_cuts() -> None:
    assert any("two cuts" in words for words in rubber_words(0.6, 1, 20.0))
    assert not any("two cuts" in words for words in rubber_words(0.6, 2, 20.0))
    assert "0.73 MPa" in rubber_words(0.1, 0, 20.0)[0]


def loop(opening: float, matters: bool, cut: float, line: int, stretch: float) -> RubberLoop:
    return RubberLoop((1.0, 2.0, 30.0), 20.0, 40.0, opening, matters, cut, line, stretch)


def test_a_loop_says_from_where_it_is_slit_and_a_pin_hole_does_not_matter() -> None:
    line = SimpleNamespace(side="back")
    said = loop_words(
        (loop(14, True, 21, 0, 6.51), loop(9, True, 68, 0, np.inf), loop(1, False, 5, 0, np.inf)),
        (line,),
    )
    assert len(said) == 3
    assert [words[:3] for words in said[:2]] == ["S1:", "S2:"]
    assert "from the cut up the piece's back, 21 mm away, or it must stretch by 651 %" in said[0]
    assert "a cut of its own" in said[1]
    assert "it stays on the piece" in said[1]
    assert said[2].startswith("1 pin-hole:")
    assert said[2].endswith("Stop it with wax or clay first if it is not wanted.")
    assert "without a cut" in loop_words((loop(14, True, np.inf, -1, 1.0),), ())[0]


def test_a_pit_is_weighed_against_what_the_rubber_bears() -> None:
    pit = Pit((0.0, 1.0, 2.0), 20.0, 30.0, 9.0, 0.5)
    assert "the rubber bears that" in pit_words((pit,), 0.9)[0]
    assert "more than the rubber bears" in pit_words((pit,), 0.3)[0]
    assert len(pit_words((pit,) * 9, 0.3)) == 3


def test_a_cut_that_may_run_on_is_blunted() -> None:
    assert "blunt" not in tearing_words(0.5)[0]
    assert "blunt its end" in tearing_words(6.0)[0]
