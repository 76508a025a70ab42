"""What the pages say, apart from how they look."""

from __future__ import annotations

import dataclasses
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan

from partline.cut.cut import OverFloor
from partline.faces.sheet_parts import (
    air,
    casting_limits,
    container,
    cuts,
    demould,
    least_web_mm,
    mass_tag,
    stops_from,
    three_depths,
    web_place,
    weighing,
)
from partline.job import MaterialPart
from partline.plan import Plan


@pytest.fixture(scope="module")
def plan() -> Plan:
    return fake_plan()


def test_weighing(plan: Plan) -> None:
    table = weighing(plan.rubber_mix, 297.0, plan.job.rubber, 0.1)
    # 297 g at 10 : 1 is 27 + 270
    assert [r["reads"].words for r in table["rows"]] == ["27.0", "297.0"]
    assert table["total"].words == "297.0 g"
    assert table["pot_life"].words == "40 min"
    bare = weighing(None, 297.0, plan.job.rubber, 1.0)
    assert bare["rows"] == []
    assert bare["total"].words == "297 g"


def test_a_weight_is_as_good_as_its_density() -> None:
    assert mass_tag(MaterialPart(kind="x")) == "default"
    assert mass_tag(MaterialPart(kind="x", density=1.2)) == "estimate"


def test_air_says_the_side_down_and_the_side_to_prop(plan: Plan) -> None:
    said = air(plan, plan.rubber_pour, "rubber", "mm")
    assert (said["down_side"], said["up_side"]) == ("left", "right")
    # 58 mm wide, 15 degrees: 58 sin 15 = 15.0
    assert said["prop"].words == "15 mm"
    assert said["rows"][0]["number"] == 1
    assert said["closed"] is None


def test_cuts_and_web(plan: Plan) -> None:
    first, second = cuts(plan, "mm")
    assert (first["at"].words, first["side"], first["piece_side"]) == (
        "145°", "back left", "back right",
    )  # fmt: skip
    assert (second["side"], second["piece_side"]) == ("back right", "back left")
    assert [first[k].words for k in ("try", "likely", "never")] == ["38 mm", "53 mm", "58 mm"]
    assert least_web_mm(plan) == pytest.approx(75.0 - 58.0)


def test_demould_and_container(plan: Plan) -> None:
    said = demould(plan)
    assert (said["snaking"].words, said["straight"].words) == ("32 %", "51 %")
    cup = container(plan, "mm")
    assert (cup["floor"].words, cup["floor"].tag) == ("58 mm", "default")
    own = dataclasses.replace(plan, container=dataclasses.replace(plan.container, own=True))
    assert container(own, "mm")["floor"].tag == "yours"


def test_no_pot_no_pressure_and_small_batches_are_named(plan: Plan) -> None:
    said = casting_limits(plan)
    assert said["pot"] is None
    assert said["small_batch"].words == "100 g"
    large = dataclasses.replace(plan.resin, mix_g=250.0)
    assert casting_limits(dataclasses.replace(plan, resin=large))["small_batch"] is None


def test_a_cut_over_the_floor_says_how_far_across_and_where_its_web_is() -> None:
    plan = fake_plan()
    stand = plan.stand
    low = float(stand.piece.vertices[:, 0].min())
    over = OverFloor("right", (1.0, 0.0, 0.0), low + 10, low + 20, low + 25, 18.0)
    line = dataclasses.replace(plan.cut.lines[0], over=over)
    turned = dataclasses.replace(
        plan, cut=dataclasses.replace(plan.cut, lines=(line,), web_mm=18.0)
    )
    row = cuts(turned, "metric")[0]
    wall = stand.wall_mm
    said = [float(row[key].words.split(" mm")[0]) for key in ("try", "likely", "never")]
    assert said == pytest.approx([wall + 10, wall + 20, wall + 25], abs=0.6)
    # Large figures in narrow cells: what they are measured along stands once, over them.
    assert not any(row[key].words.count("floor") for key in ("try", "likely", "never"))
    assert all(words.endswith("across the floor") for words in
               three_depths(turned, turned.cut.lines[0], "mm"))  # fmt: skip
    assert web_place(turned.cut) == "beside the hinge, on the right"
    assert web_place(plan.cut) == "at the far face"
    assert stops_from(turned.cut) == "from the side it starts on"
    assert stops_from(plan.cut) == "depth below the mouth face"
    assert least_web_mm(turned) == pytest.approx(13.0)
