"""What to order."""

from __future__ import annotations

import pytest

from partline.errors import WorkshopError
from partline.workshop.mixing import mix
from partline.workshop.ordering import to_order


def test_used_lost_and_spare_add_up_and_so_do_the_parts() -> None:
    one = mix(300.0, {"hardener": 1, "rubber": 10})
    item = to_order("rubber", 3, 280.0, 300.0, 0.05, one)
    assert item.used_g == 840.0
    assert item.lost_g == pytest.approx(60.0)
    assert item.order_g == pytest.approx(945.0)
    assert item.used_g + item.lost_g + item.spare_g == pytest.approx(item.order_g)
    assert sum(g for _, g in item.parts) == pytest.approx(item.order_g)
    assert dict(item.parts)["rubber"] == pytest.approx(945.0 * 10 / 11, rel=1e-3)


@pytest.mark.parametrize("wrong", [(-1, 1.0, 1.0, 0.0), (1, 2.0, 1.0, 0.0), (1, 1.0, 1.0, -0.1),
                                   (1, 1.0, float("inf"), 0.1)])  # fmt: skip
def test_what_cannot_be(wrong: tuple[int, float, float, float]) -> None:
    with pytest.raises(WorkshopError, match="cannot be"):
        to_order("resin", *wrong)
