"""Pot life in the room, and go or no go."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.errors import WorkshopError
from partline.workshop.materials import defaults
from partline.workshop.timing import pot_life, pot_life_at, timed

KNOWN = defaults()


def test_ten_degrees_colder_is_twice_as_long() -> None:
    """pot_life(T) = pot_life(23) x 2^((23 - T) / 10): common practice, no source."""
    for room, minutes in ((23.0, 30.0), (33.0, 15.0), (18.0, 30.0 * 2**0.5)):
        assert pot_life_at(30.0, room, KNOWN) == pytest.approx(minutes)


@pytest.mark.parametrize("room", [14.9, 35.1, -5.0, float("nan")])
def test_the_rule_is_not_stretched(room: float) -> None:
    with pytest.raises(WorkshopError, match="room is"):
        pot_life_at(30.0, room, KNOWN)
    life = pot_life(30.0, 40.0, room, KNOWN)
    assert life.here_min is None
    assert timed([("mix", 1.0)], life, 0.6, goal="done").verdict == "ask"


def test_a_label_that_was_not_given_is_never_a_go() -> None:
    life = pot_life(None, 40.0, 23.0, KNOWN)
    assert not life.from_label
    assert "pot_life" in life.words[0]
    assert timed([("mix", 1.0)], life, 0.6, goal="done").verdict == "ask"
    assert timed([("mix", 25.0)], life, 0.6, goal="done").verdict == "no go"


def test_rubber_of_under_twenty_minutes_is_not_for_hand_degassing() -> None:
    """Mix 4, degas 5, pour 5 within 60 % of the pot life needs 23 min (common practice)."""
    steps = [("mix", 4.0), ("degas", 5.0), ("pour", 5.0)]
    tried = {p: timed(steps, pot_life(p, p, 23.0, KNOWN), 0.6, goal="it is poured")
             for p in (20.0, 23.0, 24.0)}  # fmt: skip
    assert [tried[p].verdict for p in tried] == ["no go", "no go", "go"]
    assert tried[20.0].least_pot_life_min == pytest.approx(14 / 0.6)
    assert "too short by 2 min" in tried[20.0].words[1]


def test_three_minutes_leave_two_or_three_moves() -> None:
    """Mixing 45 to 60 s and filling 15 to 20 s of half of 3 min leave 10 to 30 s (arithmetic)."""
    life = pot_life(3.0, 3.0, 23.0, KNOWN)
    for mixing, filling, seconds in ((45, 15, 30), (60, 20, 10)):
        found = timed([("mix", mixing / 60), ("fill", filling / 60), ("moves", 0.0)], life, 0.5,
                      goal="the pot is closed", move_min=10 / 60)  # fmt: skip
        assert 60 * (found.limit_min - found.total_min) == pytest.approx(seconds)
        assert found.moves == seconds // 10


@given(st.floats(0.1, 60), st.floats(0.1, 60), st.floats(1, 120), st.floats(15, 35))
def test_go_means_that_it_fits(mixing: float, pouring: float, life: float, room: float) -> None:
    found = timed([("mix", mixing), ("pour", pouring)], pot_life(life, life, room, KNOWN), 0.6,
                  goal="it is poured")  # fmt: skip
    here = life * 2 ** ((23 - room) / 10)
    assert (found.verdict == "go") == (mixing + pouring <= 0.6 * here + 1e-9)
    assert (found.verdict == "go") == (here >= found.least_pot_life_min - 1e-8)


def test_minutes_that_cannot_be() -> None:
    with pytest.raises(WorkshopError, match="pour: -1 min"):
        timed([("pour", -1.0)], pot_life(30.0, 30.0, 23.0, KNOWN), 0.6, goal="done")
    with pytest.raises(WorkshopError, match="pot_life is 0 min"):
        pot_life_at(0.0, 23.0, KNOWN)
