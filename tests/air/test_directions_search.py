"""The search for the direction with the least air, its bound and its map."""

from __future__ import annotations

import boxes
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.air.cavity import Cavity
from partline.air.directions_search import search_directions
from partline.air.pockets import trapped_air
from partline.air.sweep import Sweep
from partline.errors import Cancelled, CavityError
from partline.geometry.directions import angle_between, octahedron_cells, tip_of, unit
from partline.geometry.surface import Surface


def room(seed: int) -> Cavity:
    """Return a box with pieces taken out of it and its floor for a mouth."""
    rng = np.random.default_rng(seed)
    body = boxes.block((0, 0, 0), (10, 10, 10))
    for _ in range(10):
        low = rng.uniform(-1, 9, 3)
        body = body - boxes.block(tuple(low), tuple(low + rng.uniform(1, 4, 3)))
    surface = boxes.surface_of(body)
    low = surface.vertices[:, 2].min()
    return Cavity(surface, boxes.at(surface, z=low))


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**6))
def test_no_direction_of_a_cell_falls_below_its_bound(seed: int) -> None:
    cavity = room(seed)
    rng = np.random.default_rng(seed)
    middle = unit(rng.normal(size=3))
    radius = np.radians(rng.uniform(0.5, 15.0))
    sweep = Sweep(cavity)
    _, bound = sweep(middle[None], np.array([radius]))
    sideways = rng.normal(size=(50, 3))
    sideways -= (sideways @ middle)[:, None] * middle
    sideways /= np.linalg.norm(sideways, axis=1, keepdims=True)
    off = radius * np.sqrt(rng.uniform(0, 1, 50))[:, None]
    near = np.cos(off) * middle + np.sin(off) * sideways
    volume, _ = sweep(near)
    assert (volume >= bound[0] - 1e-9 * cavity.volume_mm3).all()


def test_the_sweep_gives_what_one_analysis_gives_whatever_the_threads() -> None:
    cavity = room(3)
    ups = octahedron_cells(2).sum(axis=1)
    ups /= np.linalg.norm(ups, axis=1, keepdims=True)
    radii = np.full(len(ups), 0.1)
    one, least_one = Sweep(cavity, threads=1)(ups, radii)
    two, least_two = Sweep(cavity, threads=2)(ups[::-1], radii)
    assert (one == two[::-1]).all()
    assert (least_one == least_two[::-1]).all()
    each = np.array([trapped_air(cavity, u).volume_mm3 for u in ups])
    assert np.abs(each - one).max() < 1e-9 * cavity.volume_mm3
    assert (least_one <= one + 1e-9).all()


@pytest.mark.parametrize("seed", [0, 1, 2])
def test_the_answer_against_an_exhaustive_search(seed: int) -> None:
    cavity = room(seed)
    found = search_directions(cavity, about=(0, 0, -1), within_deg=40, max_analyses=4000)
    cells = octahedron_cells(6)
    ups = cells.sum(axis=1)
    ups /= np.linalg.norm(ups, axis=1, keepdims=True)
    ups = ups[angle_between(ups, np.array([0.0, 0.0, -1.0])) <= np.radians(40)]
    volume, _ = Sweep(cavity)(ups)
    assert len(ups) > 3000
    assert found.best_volume_mm3 <= volume.min() + max(0.1, 0.01 * volume.min())
    # The gap is a proof: nothing anywhere in the cone is better by more.
    assert (volume >= found.best_volume_mm3 - found.gap_mm3 - 1e-9).all()
    assert found.gap_mm3 >= 0.0
    assert found.best_volume_mm3 == pytest.approx(
        trapped_air(cavity, found.best).volume_mm3, abs=1e-9
    )
    assert found.level_volume_mm3 == pytest.approx(
        trapped_air(cavity, (0, 0, -1)).volume_mm3, abs=1e-9
    )
    assert (angle_between(found.directions, found.about) <= np.radians(40) + 1e-9).all()
    assert (found.azimuth_deg, found.tilt_deg) == pytest.approx(tip_of(found.best, "resin"))


def test_a_tilted_box_is_proved() -> None:
    # Mouth up, one wall carries a shelf: tipping by its slope empties the pocket under it.
    body = boxes.block((0, 0, 0), (10, 10, 10)) - boxes.block((0, 0, 6), (3, 10, 7))
    surface = boxes.surface_of(body)
    cavity = Cavity(surface, boxes.at(surface, z=10.0))
    found = search_directions(cavity, about=(0, 0, 1), within_deg=30, pour="rubber")
    # The flat underside of the shelf holds nothing when level: no tip is the smallest tip.
    assert found.best_volume_mm3 == 0.0
    assert found.tilt_deg == 0.0
    assert found.gap_mm3 == 0.0


def sloped_shelf(slope: float) -> Cavity:
    """Return an open box; a wedge on a wall has an underside that rises `slope` to the wall."""
    body = boxes.block((0, 0, 0), (10, 10, 10))
    wedge = boxes.surface_of(boxes.block((-1, -1, 6), (4, 11, 9)))
    points = wedge.vertices.copy()
    under = points[:, 2] == 6
    points[under, 2] += slope * (4 - points[under, 0])
    surface = boxes.surface_of(body - boxes.solid(Surface(points, wedge.faces)))
    return Cavity(surface, boxes.at(surface, z=10.0))


def test_the_smallest_tip_that_frees_a_shelf() -> None:
    slope = np.tan(np.radians(12))
    cavity = sloped_shelf(slope)
    found = search_directions(cavity, about=(0, 0, 1), within_deg=40, pour="rubber")
    # 12 degrees frees it: the wall with the shelf, to the right or left of the front, goes down.
    assert found.level_volume_mm3 == pytest.approx(0.5 * 16 * slope * 10, rel=1e-9)
    assert found.best_volume_mm3 <= 0.0655
    assert found.tilt_deg == pytest.approx(12.0, abs=1.0)
    assert found.azimuth_deg == pytest.approx(90.0, abs=15.0)  # -x is clockwise of the front, -y
    assert found.gap_mm3 <= 0.5


def test_the_same_again() -> None:
    first, second = (search_directions(room(5), max_analyses=1500) for _ in range(2))
    assert (first.volumes_mm3 == second.volumes_mm3).all()
    assert (first.directions == second.directions).all()
    assert first.gap_mm3 == second.gap_mm3


def test_it_can_be_cancelled_and_says_how_far_it_is() -> None:
    heard: list[float] = []

    def stop(fraction: float, words: str) -> None:
        heard.append(fraction)
        if len(heard) == 3:
            raise Cancelled("stopped")

    with pytest.raises(Cancelled):
        search_directions(room(1), progress=stop)
    assert len(heard) == 3
    heard = []

    def listen(fraction: float, words: str) -> None:
        heard.append(fraction)

    search_directions(room(1), progress=listen)
    assert heard == sorted(heard)
    assert heard[-1] == 1.0


def test_what_cannot_be_searched_is_said() -> None:
    for wrong in ({"about": (0, 0, 0)}, {"within_deg": 200}, {"spacing_deg": 0}):
        with pytest.raises(CavityError):
            search_directions(room(1), **wrong)
    alone = search_directions(room(1), within_deg=0)
    assert alone.best == pytest.approx([0, 0, -1])
    assert alone.gap_mm3 == 0.0
