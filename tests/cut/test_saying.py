from __future__ import annotations

import pytest

from partline.cut.demould import Bridge
from partline.cut.saying import bridge_words, certificate, rubber_words, verdict


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
    assert f"{snaking:.0%}" in words
    assert "88%" in words


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
