"""Nouns to JSON and arrays and back: identity, odd floats, refusal of what cannot be kept."""

from __future__ import annotations

import datetime
import json
import math
from dataclasses import dataclass

import numpy as np
import pytest
from numpy.typing import NDArray

from partline.errors import PlanFileError
from partline.plancodec import decode, encode


@dataclass(frozen=True, eq=False)
class Leaf:
    numbers: NDArray[np.float64]
    word: str


@dataclass(frozen=True, eq=False)
class Tree:
    left: Leaf
    right: Leaf
    maybe: Leaf | None
    pair: tuple[float, float]
    many: tuple[int, ...]
    named: dict[str, float]


@dataclass(frozen=True)
class Odd:
    thing: object


def tree(**changes: object) -> Tree:
    leaf = Leaf(np.arange(6.0).reshape(2, 3), "é")
    parts = {"left": leaf, "right": leaf, "maybe": None, "pair": (math.inf, -math.inf),
             "many": (1, 2, 3), "named": {"a": math.nan}}  # fmt: skip
    return Tree(**{**parts, **changes})  # type: ignore[arg-type]


def test_round_trip_through_json() -> None:
    value, arrays = encode(tree())
    again = decode(Tree, json.loads(json.dumps(value, allow_nan=False)), arrays)
    assert again.left is again.right
    assert np.array_equal(again.left.numbers, np.arange(6.0).reshape(2, 3))
    assert again.pair == (math.inf, -math.inf)
    assert again.many == (1, 2, 3)
    assert math.isnan(again.named["a"])
    assert again.maybe is None


def test_equal_arrays_are_kept_once_but_not_across_kinds() -> None:
    same = Leaf(np.arange(6.0).reshape(2, 3), "other")
    assert len(encode(tree(right=same))[1]) == 1
    turned = Leaf(np.arange(6.0).reshape(3, 2), "other")
    assert len(encode(tree(right=turned))[1]) == 2


def test_what_cannot_be_kept_is_refused() -> None:
    with pytest.raises(PlanFileError, match="a set at /thing"):
        encode(Odd({1}))
    with pytest.raises(PlanFileError, match="array of objects"):
        encode(Odd(np.array([{}], dtype=object)))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"pair": [1.0]}, "pair"),
        ({"many": [1, True]}, "many/1"),
        ({"many": [1, 2.5]}, "many/1"),
        ({"named": [1]}, "named"),
        ({"left": {"same_as": "/right"}}, "points at something"),
        ({"maybe": 3}, "maybe"),
    ],
)
def test_wrong_kinds_are_named(change: dict[str, object], words: str) -> None:
    value, arrays = encode(tree())
    with pytest.raises(PlanFileError, match=words):
        decode(Tree, {**value, **change}, arrays)


@dataclass(frozen=True)
class Dated:
    day: datetime.date
    later: datetime.date | None = None
    word: str = "usual"


def test_dates_are_kept_as_iso_8601_days() -> None:
    one = Dated(datetime.date(2027, 2, 28), datetime.date(2028, 2, 29), "x")
    value, arrays = encode(one)
    assert value["day"] == "2027-02-28"
    assert decode(Dated, json.loads(json.dumps(value)), arrays) == one
    with pytest.raises(PlanFileError, match="no date"):
        decode(Dated, {**value, "day": "2027-02-30"}, arrays)


def test_what_was_added_later_with_a_default_may_be_missing() -> None:
    assert decode(Dated, {"day": "2027-03-01"}, {}) == Dated(datetime.date(2027, 3, 1))
    with pytest.raises(PlanFileError, match="lacks day"):
        decode(Dated, {"word": "x"}, {})
