from __future__ import annotations

import dataclasses
import json

import numpy as np
import pytest

from partline.scan.diagnosing import diagnose
from partline.scan.health import Health


@pytest.fixture
def health(saved, ball, both) -> Health:
    """A ball with a hole, another inside it and a third through its side; 20 mm tall."""
    small = dataclasses.replace(ball, vertices=0.2 * ball.vertices + [1, 0, 0])
    through = dataclasses.replace(ball, vertices=0.2 * ball.vertices + [10, 0, 0])
    draft = both(both(ball.kept(np.arange(5120) > 5), small), through)
    return diagnose(saved(draft, "b.ply"), units="cm")


def test_every_number_is_there(health):
    assert health.unit == "mm"
    assert health.scale == pytest.approx(10.0)
    assert (health.bodies, health.nested_bodies, health.overlapping_bodies) == (3, 1, 2)
    assert health.open_edges == sum(hole.edges for hole in health.holes)
    assert health.crossing_faces > 0
    assert (health.up, health.front) == ((0.0, 0.0, 1.0), (0.0, -1.0, 0.0))


def test_every_mark_is_a_sentence_and_lies_on_the_piece(health):
    assert [mark.number for mark in health.marks] == list(range(1, len(health.marks) + 1))
    for mark in health.marks:
        assert f"[{mark.number}] {mark.words}" in health.words
        assert -1 < mark.place[2] < health.size[2] + 1
    text = " ".join(health.words)
    for words in ("bodies passing through another", "1 body inside another", " in) round"):
        assert words in text


def test_json_holds_all_of_it_and_nothing_else(health):
    plain = health.to_dict()
    assert set(plain) == {field.name for field in dataclasses.fields(Health)}
    again = json.loads(json.dumps(plain, allow_nan=False))
    assert again["marks"][0]["number"] == 1
    assert again["holes"][0]["length"] == health.holes[0].length
    assert again["up"] == [0.0, 0.0, 1.0]


def test_it_is_frozen(health):
    with pytest.raises(dataclasses.FrozenInstanceError):
        health.bodies = 2
