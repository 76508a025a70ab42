"""Narrow dead ends on closed shapes whose answer is known."""

from __future__ import annotations

import boxes
import manifold3d as m3
import numpy as np
import pytest

from partline.air.brush import DeadEnd, dead_ends
from partline.air.cavity import Cavity
from partline.errors import CavityError

ROOM = boxes.block((-10, -10, -20), (10, 10, 0))
FINE = 0.5


def cavity(body: m3.Manifold, *, turn: tuple[float, float, float] = (0, 0, 0)) -> Cavity:
    """Return a body as a cavity; its mouth is one corner far from what is looked at."""
    surface = boxes.surface_of(body.refine_to_length(FINE))
    mouth = int(np.argmin(surface.vertices @ [1.0, 1.0, 1.0]))
    turned = boxes.surface_of(body.refine_to_length(FINE).rotate(turn))
    return Cavity(turned, [mouth])


def peg(width: float, length: float) -> m3.Manifold:
    return m3.Manifold.cylinder(length + 1, width / 2, width / 2, 32).translate((0, 0, -1))


def found(body: m3.Manifold, **asked: object) -> tuple[DeadEnd, ...]:
    return dead_ends(cavity(body), **asked)


@pytest.mark.parametrize("turn", [(0, 0, 0), (90, 0, 0), (35, 50, 20)])
@pytest.mark.parametrize(("width", "length"), [(2.0, 8.0), (1.0, 5.0)])
def test_a_blind_hole(width: float, length: float, turn: tuple[float, float, float]) -> None:
    (one,) = dead_ends(cavity(ROOM + peg(width, length), turn=turn))
    # Along its side and to the middle of its end; edges of the mesh run a little longer.
    assert length <= one.depth_mm <= 1.15 * (length + width / 2)
    assert one.width_mm == pytest.approx(width, rel=0.1)
    assert not one.groove
    back = np.linalg.inv(m3_turn(turn)) @ one.tip
    assert back[2] == pytest.approx(length, abs=0.1)
    assert np.hypot(back[0], back[1]) <= width / 2 + 1e-6
    # Its skin, less the ring next to the room that belongs to the mouth of the hole.
    whole = np.pi * width * length + np.pi * width**2 / 4
    assert 0.7 * whole <= one.area_mm2 <= whole


def m3_turn(turn: tuple[float, float, float]) -> np.ndarray:
    """The rotation that manifold3d's rotate makes: about x, then y, then z."""
    a, b, c = np.radians(turn)
    x = np.array([[1, 0, 0], [0, np.cos(a), -np.sin(a)], [0, np.sin(a), np.cos(a)]])
    y = np.array([[np.cos(b), 0, np.sin(b)], [0, 1, 0], [-np.sin(b), 0, np.cos(b)]])
    z = np.array([[np.cos(c), -np.sin(c), 0], [np.sin(c), np.cos(c), 0], [0, 0, 1]])
    return z @ y @ x


@pytest.mark.parametrize("half_angle", [8.0, 12.0])
def test_a_cone_tip(half_angle: float) -> None:
    base, slope = 5.0, np.tan(np.radians(half_angle))
    height = base / slope
    tip = m3.Manifold.cylinder(height, base, 0.0, 64)
    (one,) = found(ROOM + tip)
    # A ball that touches the side so far from the tip along it is as wide as the gap there.
    assert one.depth_mm == pytest.approx(1.5 / slope, rel=0.1)
    assert one.tip[2] == pytest.approx(height, abs=0.01)
    assert not one.groove


def test_a_blunt_cone_is_left_alone() -> None:
    assert found(ROOM + m3.Manifold.cylinder(4.0, 5.0, 0.0, 64)) == ()


def test_a_groove() -> None:
    (one,) = found(ROOM + boxes.block((-8, -0.75, -1), (8, 0.75, 6)))
    assert one.groove
    assert one.long_mm == pytest.approx(16.0, abs=1.0)
    assert one.width_mm == pytest.approx(1.5, rel=0.1)
    assert 6.0 <= one.depth_mm <= 1.15 * 6.75
    assert one.tip[2] == pytest.approx(6.0, abs=0.1)


def test_a_passage_is_no_dead_end() -> None:
    upper = boxes.block((-10, -10, 8), (10, 10, 20))
    assert found(ROOM + upper + peg(2.0, 9.0)) == ()
    # With a blind hole beside it only that is named.
    beside = peg(2.0, 5.0).translate((6, 0, 0))
    (one,) = found(ROOM + upper + peg(2.0, 9.0) + beside)
    assert np.hypot(one.tip[0] - 6, one.tip[1]) <= 1.0 + 1e-6


def test_plain_edges_corners_and_wide_holes_are_no_dead_ends() -> None:
    assert found(ROOM) == ()
    assert found(ROOM + peg(5.0, 8.0)) == ()
    assert len(found(ROOM + peg(5.0, 8.0), gap_mm=6.0)) == 1


def test_detail_ranks_them() -> None:
    body = ROOM + peg(2.0, 8.0).translate((-5, 0, 0)) + peg(2.0, 5.0).translate((5, 0, 0))
    here = cavity(body)
    deepest, other = dead_ends(here)
    assert deepest.depth_mm > other.depth_mm
    weights = (here.surface.vertices[:, 0] > 0).astype(float)
    first, second = dead_ends(here, weights=weights)
    assert first.tip[0] > 0
    assert first.detail == pytest.approx(first.area_mm2)
    assert second.detail == 0.0


def test_noise_on_the_skin_changes_nothing() -> None:
    here = cavity(ROOM + peg(2.0, 8.0))
    rng = np.random.default_rng(1)
    surface = here.surface
    moved = surface.vertices + rng.normal(0, 0.02, (len(surface.vertices), 1)) * (
        surface.vertex_normals
    )
    (noisy,) = dead_ends(Cavity(type(surface)(moved, surface.faces), here.outlets))
    (clean,) = dead_ends(here)
    assert noisy.depth_mm == pytest.approx(clean.depth_mm, rel=0.05)
    assert noisy.width_mm == pytest.approx(clean.width_mm, rel=0.1)


def test_a_piece_narrow_all_over_is_brushed_from_its_mouth_on() -> None:
    rod = boxes.surface_of(peg(2.0, 9.0).refine_to_length(FINE))
    (one,) = dead_ends(Cavity(rod, boxes.at(rod, z=-1.0)))
    assert one.tip[2] == pytest.approx(9.0)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"gap_mm": 0.0}, "gap of 0 mm"),
        ({"gap_mm": float("inf")}, "gap of inf"),
        ({"weights": np.zeros(3)}, "Detail is given"),
    ],
)
def test_bad_questions_say_why(asked: dict, words: str) -> None:
    with pytest.raises(CavityError, match=words):
        found(ROOM, **asked)
