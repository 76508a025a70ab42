"""The container: least rubber, wall and headroom everywhere, the user's own shelf first."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from simple_stands import ball, block, cut_at, cylinder, inscribed, standing

from partline.errors import WorkshopError
from partline.job import ShelfItem
from partline.workshop.choosing import choose_container
from partline.workshop.container import Container
from partline.workshop.fitting import frustum_mm3
from partline.workshop.materials import defaults
from partline.workshop.offcuts import samples


def walls(container: Container, points: np.ndarray) -> np.ndarray:
    """Distance of each point to the inner wall, worked out apart from the product's own way."""
    lean = math.atan2((container.rim_width_mm - container.floor_width_mm) / 2, container.height_mm)
    p = points - [*container.centre_mm, 0.0]
    if container.kind == "box":
        turn = math.radians(-container.turn_deg)
        x = p[:, 0] * math.cos(turn) - p[:, 1] * math.sin(turn)
        y = p[:, 0] * math.sin(turn) + p[:, 1] * math.cos(turn)
        gap = np.minimum(container.floor_width_mm / 2 - abs(x),
                         container.floor_depth_mm / 2 - abs(y))  # fmt: skip
    else:
        gap = container.floor_width_mm / 2 - np.hypot(p[:, 0], p[:, 1])
    return gap * math.cos(lean) + p[:, 2] * math.sin(lean)


def test_a_small_ball_goes_into_the_smallest_cup_that_leaves_its_wall() -> None:
    stand = standing(ball(18.0, 15.0), foot=cylinder(10.0, 15.5, 0.0))
    chosen = choose_container(stand)
    everything = np.vstack([stand.piece.vertices])
    assert chosen.kind in ("cup", "pipe")
    assert walls(chosen, everything).min() == pytest.approx(chosen.wall_mm, abs=1e-9)
    assert chosen.wall_mm >= stand.wall_mm - 1e-6
    assert chosen.fill_height_mm == stand.block_height_mm
    assert chosen.fill_line_mm == pytest.approx(chosen.height_mm - stand.block_height_mm)
    stock = next(item for item in defaults().stock if item.name == chosen.name)
    assert (chosen.rim_width_mm, chosen.floor_width_mm) == (stock.rim_mm, stock.floor_mm)
    assert chosen.height_mm == min(stock.height_mm, stand.block_height_mm + 5.0) or (
        stock.kind == "cup" and chosen.height_mm == stock.height_mm
    )
    for item in defaults().stock:  # nothing in stock that fits takes less rubber
        name_fits = item.name in dict(chosen.others) or item.name == chosen.name
        radius, height = item.floor_mm / 2, min(item.height_mm, 1e9)
        slope = 0.0 if item.kind == "pipe" else (item.rim_mm - item.floor_mm) / 2 / height
        z = stand.piece.vertices[:, 2]
        away = np.hypot(*stand.piece.vertices[:, :2].T)
        room = ((radius + slope * z - away) / math.hypot(1, slope)).min() >= stand.wall_mm
        low = (radius - 10.0) / math.hypot(1, slope) >= 0.6 * stand.wall_mm
        tall = height >= stand.block_height_mm
        assert name_fits == bool(room and low and tall), item.name
    assert [g for _, g in chosen.others] == sorted(g for _, g in chosen.others)


def test_a_cylinder_in_a_pipe_takes_the_rubber_of_steiners_formula() -> None:
    """A ring of width w round a convex outline of area A and girth P: P w + pi w^2 (Steiner 1840).

    The pipe's bore is the outline grown by the wall, so the rubber is that ring over the height
    of the piece and the whole disc over it.
    """
    radius, wall, height, headroom = 20.0, 12.0, 60.0, 13.0
    piece = cylinder(radius, height, 0.0)
    pipe = ShelfItem(name="pipe", kind="pipe", rim_mm=2 * (radius + wall), height_mm=500.0)
    chosen = choose_container(standing(piece, wall=wall, headroom=headroom), shelf=[pipe])
    area, girth = math.pi * radius**2, 2 * math.pi * radius
    ring = girth * wall + math.pi * wall**2
    wanted = ring * (height + headroom) + area * headroom
    lost = (area - inscribed(radius)) * height  # the piece is a prism of 256 sides
    assert chosen.rubber_volume_mm3 == pytest.approx(wanted + lost, rel=1e-9)
    assert chosen.wall_mm == pytest.approx(wall, abs=1e-9)
    assert chosen.own
    assert chosen.height_mm == pytest.approx(height + headroom + 5.0)  # a pipe is cut to length


def test_a_cup_taller_than_needed_keeps_its_height_and_taper() -> None:
    stand = standing(cylinder(14.0, 30.0, 0.0), wall=10.0)
    cup = next(item for item in defaults().stock if item.name == "1 L cup")
    found = choose_container(stand, prefer="1 L cup")
    assert (found.height_mm, found.rim_width_mm) == (cup.height_mm, cup.rim_mm)
    assert found.fill_line_mm == pytest.approx(140.0 - 43.0)


def test_rubber_and_mix_by_weight() -> None:
    stand = standing(cylinder(20.0, 50.0, 0.0))
    chosen = choose_container(stand, density=1.2, loss_share=0.1)
    assert chosen.rubber_g == pytest.approx(chosen.rubber_volume_mm3 / 1000 * 1.2)
    assert chosen.mix_g == pytest.approx(1.1 * chosen.rubber_g)
    assert chosen.rubber_volume_mm3 == pytest.approx(chosen.capacity_mm3 - stand.cavity.volume_mm3)
    slope = (chosen.rim_width_mm - chosen.floor_width_mm) / 2 / chosen.height_mm
    assert chosen.capacity_mm3 == pytest.approx(
        frustum_mm3(chosen.floor_width_mm / 2, slope, stand.block_height_mm)
    )


def test_the_users_own_cup_comes_first_even_if_larger() -> None:
    stand = standing(cylinder(15.0, 40.0, 0.0))
    own = ShelfItem(name="jam jar", rim_mm=90, floor_mm=90, height_mm=100)
    assert choose_container(stand, shelf=[own]).name == "jam jar"
    small = ShelfItem(name="egg cup", rim_mm=40, floor_mm=30, height_mm=100)
    both = choose_container(stand, shelf=[small, own])
    assert both.name == "jam jar"
    assert not choose_container(stand, shelf=[small]).own


def test_own_containers_are_said_to_be_too_small_where_none_of_them_fits() -> None:
    stand = standing(ball(18.0, 15.0), foot=cylinder(10.0, 15.5, 0.0))
    low = ShelfItem(name="low", kind="pipe", rim_mm=200.0, floor_mm=200.0, height_mm=20.0)
    tight = ShelfItem(name="tight", kind="pipe", rim_mm=40.0, floor_mm=40.0, height_mm=200.0)
    chosen = choose_container(stand, shelf=(low, tight))
    assert not chosen.own
    (first, why), (second, reason) = chosen.too_small
    assert (first, second) == ("low", "tight")
    short = stand.block_height_mm - 20.0
    assert f"its rim is {short:.1f} mm lower than the rubber must stand" in why
    assert f"{stand.wall_mm - 2.0:.1f} mm thinner than the {stand.wall_mm:.1f} mm wanted" in reason
    large = ShelfItem(name="large", kind="pipe", rim_mm=200.0, floor_mm=200.0, height_mm=200.0)
    fits = choose_container(stand, shelf=(low, tight, large))
    assert (fits.name, fits.too_small) == ("large", ())


def test_a_flat_long_piece_gets_a_sheet_box() -> None:
    chosen = choose_container(standing(block(150.0, 30.0, 10.0, 0.0), wall=12.7))
    assert (chosen.kind, chosen.name) == ("box", "sheet box 176 x 56 mm")
    assert chosen.wall_mm == pytest.approx(13.0, abs=1e-9)  # whole millimetres
    assert chosen.source == "built to measure"


def test_a_sheet_box_is_built_wider_where_the_cut_will_run() -> None:
    bar = block(150.0, 30.0, 10.0, 0.0)
    cut = cut_at((0.0, 15.0, 0.0), (0.0, 15.0, 10.0))
    found = choose_container(standing(bar, wall=12.7), cut)
    assert found.kind == "box"
    # common practice, no source: 3/4 in of rubber where the cut will run (19 mm)
    assert found.wall_at_cut_mm == pytest.approx(found.wanted_at_cut_mm, abs=1.0)
    assert found.wanted_at_cut_mm == pytest.approx(19.0)
    front = walls(found, np.array([[0.0, -15.0, 5.0]])).min()
    assert 12.7 - 1e-6 <= front < 14.0


def test_a_huge_piece_still_gets_a_box() -> None:
    chosen = choose_container(standing(block(500.0, 400.0, 700.0, 0.0), wall=25.0))
    assert chosen.kind == "box"
    assert chosen.others == ()


def test_a_box_on_the_shelf_may_stand_either_way() -> None:
    tray = ShelfItem(name="tray", kind="box", rim_mm=60, depth_mm=110, height_mm=60)
    chosen = choose_container(standing(block(80.0, 30.0, 20.0, 0.0)), shelf=[tray])
    assert (chosen.floor_width_mm, chosen.floor_depth_mm) == (110.0, 60.0)


def test_a_named_container_that_is_too_small_says_by_how_much_and_where() -> None:
    stand = standing(cylinder(30.0, 40.0, 0.0), wall=12.0)
    own = ShelfItem(name="cup", rim_mm=80.0, floor_mm=80.0, height_mm=100.0)
    with pytest.raises(WorkshopError, match=r"cup is too small: .*2\.0 mm thinner.*12\.0 mm"):
        choose_container(stand, shelf=[own], prefer="cup")
    low = ShelfItem(name="dish", rim_mm=100.0, floor_mm=100.0, height_mm=50.0)
    with pytest.raises(WorkshopError, match=r"rim is 3\.0 mm lower"):
        choose_container(stand, shelf=[low], prefer="dish")
    box = ShelfItem(name="box", kind="box", rim_mm=90.0, depth_mm=80.0, height_mm=100.0)
    with pytest.raises(WorkshopError, match=r"4\.0 mm of depth"):
        choose_container(stand, shelf=[box], prefer="box")
    with pytest.raises(WorkshopError, match='Did you mean "9 oz cup"'):
        choose_container(stand, prefer="9oz cup")
    assert choose_container(stand, prefer="5 in pipe").name == "5 in pipe"


def test_the_worst_place_is_named_as_the_piece_is_seen() -> None:
    piece = block(20.0, 20.0, 40.0, 0.0)
    far = replace_vertices(piece, np.array([[40.0, 0, 35.0]]))
    stand = standing(far, wall=10.0)
    stand.foot_block = None
    own = ShelfItem(name="cup", rim_mm=45.0, floor_mm=45.0, height_mm=100.0)
    with pytest.raises(WorkshopError, match=r"thinner .*, (on the right|at the back left|at the "
                                            r"front left|on the left), \d+ mm above"):  # fmt: skip
        choose_container(stand, shelf=[own], prefer="cup")


def replace_vertices(surface: Any, extra: np.ndarray) -> Any:
    """Return the surface with further corners that no face uses: only the hull matters here."""
    return type(surface)(np.vstack([surface.vertices, extra]), surface.faces)


def test_the_piece_stands_off_the_axis_so_that_rubber_lies_at_the_cut() -> None:
    piece = cylinder(15.0, 50.0, 0.0)
    stand = standing(piece, wall=10.0)
    pot = ShelfItem(name="pot", rim_mm=60.0, floor_mm=60.0, height_mm=90.0)
    plain = choose_container(stand, shelf=[pot])
    assert plain.centre_mm == pytest.approx((0.0, 0.0), abs=1e-9)
    cut = cut_at((0.0, 15.0, 0.0), (0.0, 15.0, 50.0))  # up the back
    moved = choose_container(stand, cut, shelf=[pot])
    # 15 mm all round; 19 wanted behind leaves 11 in front, more than the wall
    assert moved.centre_mm == pytest.approx((0.0, 4.5), abs=0.6)
    assert moved.wall_mm >= 10.0 - 1e-6
    assert walls(moved, np.array([[0.0, 15.0, 20.0]]))[0] > 18.5
    tight = replace_rim(pot, 50.0)
    assert choose_container(stand, cut, shelf=[tight]).wall_mm == pytest.approx(10.0, abs=1e-5)


def replace_rim(item: ShelfItem, width: float) -> ShelfItem:
    return item.model_copy(update={"rim_mm": width, "floor_mm": width})


@pytest.mark.parametrize(
    ("item", "words"),
    [
        (ShelfItem(name="a", rim_mm=60, height_mm=60), "a cup tapers"),
        (ShelfItem(name="a", rim_mm=60, floor_mm=70, height_mm=60), "wider at the floor"),
        (ShelfItem(name="a", kind="box", rim_mm=60, floor_mm=10, depth_mm=40, height_mm=60),
         "tapers to nothing"),
    ],
)  # fmt: skip
def test_sizes_that_cannot_be(item: ShelfItem, words: str) -> None:
    with pytest.raises(WorkshopError, match=words):
        choose_container(standing(ball(10.0, 0.0)), shelf=[item])


@pytest.mark.parametrize("wrong", [{"density": 0.0}, {"density": math.nan}, {"loss_share": -0.1}])
def test_densities_and_losses_that_cannot_be(wrong: dict[str, float]) -> None:
    with pytest.raises(WorkshopError):
        choose_container(standing(ball(10.0, 0.0)), **wrong)  # type: ignore[arg-type]


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10**6), st.floats(5, 20), st.booleans())
def test_every_container_leaves_the_wall_everywhere(seed: int, wall: float, turn: bool) -> None:
    rng = np.random.default_rng(seed)
    base = block(20.0, 20.0, 20.0, 10.0)
    points = rng.normal(size=(200, 3)) * rng.uniform(5, 25, 3)
    points[:, 2] += 10.0 - points[:, 2].min()
    piece = replace_vertices(base, points)
    stand = standing(piece, foot=block(12.0, 12.0, 10.0, 0.0), wall=wall)
    chosen = choose_container(stand, turn=turn)
    assert walls(chosen, piece.vertices).min() >= wall - 1e-5
    assert walls(chosen, stand.foot_block.surface.vertices).min() == pytest.approx(
        chosen.lip_mm, abs=1e-6
    )
    assert chosen.lip_mm >= 0.6 * wall - 1e-5
    moved = replace_all(stand, shift=np.array([7.0, -4.0, 0.0]))
    same = choose_container(moved, turn=turn)
    assert (same.name, same.rubber_volume_mm3) == (
        chosen.name, pytest.approx(chosen.rubber_volume_mm3, rel=1e-9)
    )  # fmt: skip
    assert replace(same, others=()).wall_mm == pytest.approx(chosen.wall_mm, abs=1e-6)


def replace_all(stand: Any, shift: np.ndarray) -> Any:
    piece = type(stand.piece)(stand.piece.vertices + shift, stand.piece.faces)
    foot = stand.foot_block.surface
    foot = type(foot)(foot.vertices + shift, foot.faces)
    return standing(piece, foot=foot, wall=stand.wall_mm)


def lowest_wall(container: Container, surface: Any) -> float:
    """The least rubber beside a surface, looked for at many places of every face."""
    return float(walls(container, samples(surface)).min())


@pytest.mark.parametrize("turn", [True, False])
def test_arms_and_a_flare_keep_their_wall_everywhere(turn: bool) -> None:
    """Sampled in three dimensions: arms stretched out high up, a foot block that flares below."""
    body = cylinder(12.0, 80.0, 20.0)
    arms = block(70.0, 8.0, 6.0, 78.0)
    piece = type(body)(
        np.vstack([body.vertices, arms.vertices]),
        np.vstack([body.faces, arms.faces + len(body.vertices)]),
    )  # fmt: skip
    stand = standing(piece, foot=block(40.0, 40.0, 20.0, 0.0), wall=12.0)
    cut = cut_at((0.0, 12.0, 20.0), (0.0, 12.0, 90.0))
    everything = [choose_container(stand, cut, turn=turn)]
    everything += [choose_container(stand, cut, prefer=name) for name, _ in everything[0].others
                   if not name.startswith("sheet")]  # fmt: skip
    assert len(everything) > 4
    assert {c.kind for c in everything} >= {"cup", "pipe"}
    for found in everything:
        assert lowest_wall(found, piece) >= 12.0 - 1e-5, found.name
        assert lowest_wall(found, piece) == pytest.approx(found.wall_mm, abs=1e-6)
        assert lowest_wall(found, stand.foot_block.surface) >= 7.2 - 1e-5, found.name
        assert found.fill_height_mm - piece.bounds[1, 2] == pytest.approx(13.0)
        at_cut = walls(found, cut.lines[0].points).min()
        assert found.wall_at_cut_mm == pytest.approx(at_cut, abs=1e-6)


def test_turning_in_a_box_thickens_the_cut() -> None:
    """Cuts at two corners of an eight-sided bar: turned, they no longer face the flat walls."""
    bar = cylinder(20.0, 60.0, 0.0, sections=8)
    stand = standing(bar, wall=10.0)
    tray = ShelfItem(name="tray", kind="box", rim_mm=62.0, depth_mm=62.0, height_mm=90.0)
    cut = cut_at((0.0, 20.0, 0.0), (0.0, 20.0, 60.0), (20.0, 0.0, 60.0), (20.0, 0.0, 0.0))
    straight = choose_container(stand, cut, shelf=[tray], turn=False)
    turned = choose_container(stand, cut, shelf=[tray])
    assert straight.turn_deg == 0.0
    assert turned.turn_deg != 0.0
    assert turned.wall_at_cut_mm > straight.wall_at_cut_mm + 1.4
    assert walls(turned, bar.vertices).min() >= 10.0 - 1e-5
    plain = choose_container(stand, shelf=[tray])
    assert (plain.turn_deg, plain.wall_at_cut_mm) == (0.0, None)


def test_a_sheet_box_is_turned_only_where_it_saves_much() -> None:
    long = block(150.0, 20.0, 10.0, 0.0)
    c, s = math.cos(math.radians(30.0)), math.sin(math.radians(30.0))
    askew = type(long)(long.vertices @ np.array([[c, s, 0], [-s, c, 0], [0, 0, 1]]), long.faces)
    found = choose_container(standing(askew, wall=12.0))
    assert found.name in ("sheet box 174 x 44 mm", "sheet box 44 x 174 mm")
    assert found.turn_deg == pytest.approx(30.0)
    assert walls(found, askew.vertices).min() >= 12.0 - 1e-5
    nearly = cylinder(40.0, 60.0, 0.0, sections=8)
    assert choose_container(standing(nearly, wall=40.0)).turn_deg == 0.0


def test_a_gutter_round_a_raised_floor_takes_rubber_and_keeps_the_foot_off() -> None:
    stand = standing(cylinder(12.0, 40.0, 0.0), wall=10.0)
    flat = ShelfItem(name="pot", rim_mm=60, floor_mm=60, height_mm=90)
    ring = flat.model_copy(update={"ring_width_mm": 5.0, "ring_depth_mm": 4.0})
    one, other = (choose_container(stand, shelf=[item]) for item in (flat, ring))
    extra = math.pi * (30.0**2 - 25.0**2) * 4.0
    assert other.rubber_volume_mm3 - one.rubber_volume_mm3 == pytest.approx(extra)
    assert (other.ring_width_mm, other.ring_depth_mm) == (5.0, 4.0)
    assert any("ridge 4 mm high" in w for w in other.words)
    wide = ring.model_copy(update={"ring_width_mm": 20.0})
    with pytest.raises(WorkshopError, match="pot is too small"):
        choose_container(stand, shelf=[wide], prefer="pot")
    raised = flat.model_copy(update={"floor_rise_mm": 6.0})
    assert "6 mm above the table" in choose_container(stand, shelf=[raised]).words[0]
