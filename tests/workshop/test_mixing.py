"""The mix on the scale."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.errors import WorkshopError
from partline.workshop.mixing import mix, parse_ratio

GRAMS = st.floats(50, 5000)
PARTS = st.dictionaries(
    st.sampled_from(["hardener", "rubber", "thinner", "pigment"]), st.floats(1, 100),
    min_size=2, max_size=4,
)  # fmt: skip


def test_297_g_at_ten_to_one() -> None:
    """27 g of hardener into 270 g of rubber: A = M a / (a + b), common practice."""
    for parts in ({"hardener": 1, "rubber": 10}, {"rubber": 10, "hardener": 1},
                  parse_ratio("10:1")):  # fmt: skip
        found = mix(297, parts)
        assert found.parts == ("hardener", "rubber")
        assert found.grams == (27.0, 270.0)
        assert found.scale_reads == (27.0, 297.0)
        assert found.ratio_error == pytest.approx(0.0, abs=1e-12)
        assert found.words == ("cup on, zero; hardener to 27.0; rubber to 297.0",)


def test_a_ratio_by_volume_is_not_one_by_weight() -> None:
    """m1/m2 = v1 rho1 / (v2 rho2): 1:1 by volume at 1.15 and 1.00 is 115:100 by weight."""
    found = mix(215, {"isocyanate part": 1, "polyol part": 1}, by="volume",
                densities={"isocyanate part": 1.15, "polyol part": 1.0})  # fmt: skip
    assert dict(zip(found.parts, found.grams, strict=True)) == {
        "polyol part": 100.0, "isocyanate part": 115.0
    }  # fmt: skip


@given(GRAMS, PARTS, st.sampled_from([0.01, 0.1, 0.5, 1.0]))
def test_grams_add_up_and_the_scale_only_climbs(
    total: float, parts: dict[str, float], step: float
) -> None:
    try:
        found = mix(total, parts, resolution_g=step)
    except WorkshopError:
        assert min(parts.values()) / sum(parts.values()) * total < step / 2 + 1e-9
        return
    reads = (0.0, *found.scale_reads)
    assert all(b > a for a, b in pairwise(reads))
    assert sum(found.grams) == pytest.approx(found.total_g, abs=1e-6)
    assert found.total_g == found.scale_reads[-1]
    assert abs(found.total_g - total) <= step / 2 * len(parts) + 1e-9
    assert sorted(found.grams) == list(found.grams)  # small part first
    for read in found.scale_reads:
        assert read / step == pytest.approx(round(read / step), abs=1e-5)
    whole = sum(parts.values())
    for name, grams in zip(found.parts, found.grams, strict=True):
        assert abs(grams - total * parts[name] / whole) <= step / 2 + 1e-9


def test_a_coarse_scale_is_said_with_its_error() -> None:
    """23 g at 100:3 is 0.67 g + 22.33 g; a whole-gram scale makes that 1:22, half too much."""
    found = mix(23, parse_ratio("100:3"), resolution_g=1)
    assert found.grams == (1.0, 22.0)
    assert found.ratio_error == pytest.approx(100 / 3 / 22 - 1)
    assert "51.5 % off" in found.words[1]
    with pytest.raises(WorkshopError, match=r"hardener: 0.146 g .* step of 1 g"):
        mix(5, parse_ratio("100:3"), resolution_g=1)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((-297, {"hardener": 1, "rubber": 10}), "total_g is -297"),
        ((0, {"hardener": 1, "rubber": 10}), "total_g"),
        ((math.nan, {"hardener": 1, "rubber": 10}), "total_g"),
        ((1e9, {"hardener": 1, "rubber": 10}), "total_g"),
        (("297", {"hardener": 1, "rubber": 10}), "total_g"),
        ((297, {"rubber": 10}), "at least two parts"),
        ((297, {"hardener": 0, "rubber": 10}), "parts: hardener"),
        ((297, {"hardener": -1, "rubber": 10}), "parts: hardener"),
        ((297, {"A": 1, "B": 10}), "labels differ"),
    ],
)
def test_what_cannot_be_mixed(arguments: tuple, words: str) -> None:  # type: ignore[type-arg]
    with pytest.raises(WorkshopError, match=words):
        mix(*arguments)


def test_what_is_asked_for() -> None:
    parts = {"hardener": 1, "rubber": 10}
    with pytest.raises(WorkshopError, match="density of hardener, rubber"):
        mix(100, parts, by="volume")
    with pytest.raises(WorkshopError, match='"weight" or "volume"'):
        mix(100, parts, by="mass")
    with pytest.raises(WorkshopError, match="resolution_g"):
        mix(100, parts, resolution_g=0)
    with pytest.raises(WorkshopError, match="densities: rubber"):
        mix(100, parts, by="volume", densities={"hardener": 1.0, "rubber": -1.0})


@pytest.mark.parametrize(
    ("text", "ratio"),
    [("10:1", (10, 1)), ("100 : 3.5", (100, 3.5)), ("100 to 90", (100, 90)), ("1:.5", (1, 0.5))],
)
def test_ratios_in_the_labels_order(text: str, ratio: tuple[float, float]) -> None:
    assert parse_ratio(text) == {"rubber": ratio[0], "hardener": ratio[1]}


@pytest.mark.parametrize("text", ["10", "10:", "a:b", "10:0", "10:-1", "10:1:1", "", "10:1e3"])
def test_what_is_no_ratio(text: str) -> None:
    with pytest.raises(WorkshopError):
        parse_ratio(text)


def test_three_parts() -> None:
    assert parse_ratio("10:1:2", ("rubber", "hardener", "thinner"))["thinner"] == 2.0


def test_pigment_goes_into_the_polyol_part_and_that_part_goes_first() -> None:
    """2 % of 50 g is 1 g; the whole counts it."""
    parts = {"isocyanate part": 1, "polyol part": 1}
    found = mix(101, parts, extras={"pigment": 2.0, "glass balloons": 10.0})
    one = 101 / 2.12
    assert found.parts == ("polyol part", "pigment", "glass balloons", "isocyanate part")
    assert found.grams == pytest.approx((one, 0.02 * one, 0.1 * one, one), abs=0.05)
    assert found.total_g == pytest.approx(101, abs=0.2)
    assert found.extras == ("pigment", "glass balloons")
    assert "into the polyol part before" in found.words[-1]
    named = mix(110, {"hardener": 1, "rubber": 10}, extras={"pigment": 1.0}, extras_in="rubber")
    assert named.parts == ("rubber", "pigment", "hardener")
    # The label's ratio is judged without them.
    plain = mix(99, parts)
    assert plain.extras == ()
    assert mix(101, parts, extras={"pigment": 2.0}).ratio_error < 0.005


@pytest.mark.parametrize(
    ("extras", "into", "words"),
    [
        ({"pigment": 2.0}, None, "extras_in"),
        ({"pigment": 2.0}, "polyol part", "extras_in: .polyol part. is not among"),
        ({"pigment": -2.0}, "rubber", "extras: pigment is -2"),
        ({"rubber": 2.0}, "rubber", "already one of the parts"),
        ({"pigment": 0.01}, "rubber", "pigment: .* less than the scale"),
    ],
)
def test_extras_that_cannot_be(extras: dict[str, float], into: str | None, words: str) -> None:
    with pytest.raises(WorkshopError, match=words):
        mix(110, {"hardener": 1, "rubber": 10}, extras=extras, extras_in=into)
