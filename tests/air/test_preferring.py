"""Of tips that leave the same air, the one that spoils least."""

from __future__ import annotations

import boxes
import numpy as np
import pytest

from partline.air.cavity import Cavity
from partline.air.directions_search import search_directions
from partline.air.preferring import Mending, preferred
from partline.geometry.surface import Surface

UP = (0.0, 0.0, 1.0)


def two_shelves(*, rights: float = 1.0) -> Cavity:
    """Return an open box with a shelf on each side wall; undersides rise 20 degrees to the wall.

    A tip of 20 degrees to either side frees one of them and not the other. The right one's room
    is `rights` times the left one's.
    """
    body = boxes.block((0, 0, 0), (20, 10, 12))
    slope = np.tan(np.radians(20))
    for near, far in ((-1.0, 4.0), (21.0, 20.0 - 4.0 * np.sqrt(rights))):
        wedge = boxes.surface_of(boxes.block((min(near, far), -1, 6), (max(near, far), 11, 10)))
        points = wedge.vertices.copy()
        under = points[:, 2] == 6
        points[under, 2] += slope * np.abs(points[under, 0] - far)
        body = body - boxes.solid(Surface(points, wedge.faces))
    surface = boxes.surface_of(body.refine_to_length(1.0))
    return Cavity(surface, boxes.at(surface, z=12.0))


def test_the_air_stays_on_the_plain_side() -> None:
    cavity = two_shelves()
    found = search_directions(cavity, about=UP, within_deg=24, pour="rubber", max_analyses=600)
    assert found.level_volume_mm3 > 1.8 * found.best_volume_mm3 > 10.0
    x = cavity.surface.vertices[:, 0]
    sides = []
    for detailed in (x < 10.0, x > 10.0):
        chosen = preferred(cavity, found, detailed.astype(float), pour="rubber")
        within = max(0.5, 0.05 * found.best_volume_mm3)
        assert chosen.best_volume_mm3 <= found.best_volume_mm3 + within
        # The gap holds for what is named now.
        assert (found.volumes_mm3 >= chosen.best_volume_mm3 - chosen.gap_mm3 - 1e-9).all()
        assert "lump on every casting" in chosen.why
        assert "detail" in chosen.why
        sides.append(float(np.sign(chosen.best[0])))
    # The side with detail is freed: it goes down, so up leans the other way in the box's pose.
    assert sides == [1.0, -1.0]


@pytest.mark.parametrize(("castings", "frees"), [(1.0, False), (20.0, True)])
def test_a_smaller_lump_on_a_face_gives_way_only_if_many_castings_have_it(
    castings: float, frees: bool
) -> None:
    # The right shelf holds 1.5 times as much, the left one lies on a face.
    cavity = two_shelves(rights=1.5)
    found = search_directions(cavity, about=UP, within_deg=24, pour="rubber", max_analyses=600)
    face = (cavity.surface.vertices[:, 0] < 10.0).astype(float)
    chosen = preferred(cavity, found, face, pour="rubber", mending=Mending(castings, 0.2, 4.0))
    # The side that goes down is freed; up leans away from it in the box's pose.
    assert (chosen.best[0] > 0) == frees
    assert (chosen.best_volume_mm3 > 1.2 * found.best_volume_mm3) == frees
    assert (found.volumes_mm3 >= chosen.best_volume_mm3 - chosen.gap_mm3 - 1e-9).all()
    if frees:
        # One lump on plain skin, 0.2 min for a ball 2 mm across and more by its area.
        each = 0.2 * (chosen.best_volume_mm3 / (np.pi / 6 * 2.0**3)) ** (2 / 3)
        assert f"1 place, each a lump on every casting: about {each:.1f} min" in chosen.why
        assert f"{20 * each:.0f} min on the 20 of a block" in chosen.why
        assert chosen.why.startswith("Other tips leave less air, but")


def test_without_detail_fewest_places_then_the_gentlest() -> None:
    cavity = two_shelves()
    found = search_directions(cavity, about=UP, within_deg=24, max_analyses=600)
    chosen = preferred(cavity, found)
    assert chosen.tilt_deg <= found.tilt_deg + 1e-9
    assert "detail" not in chosen.why
    assert "a hole in one casting" in chosen.why


def test_nothing_to_prefer_is_said() -> None:
    box = boxes.surface_of(boxes.block((0, 0, 0), (4, 4, 4)))
    cavity = Cavity(box, boxes.at(box, z=4.0))
    found = search_directions(cavity, about=UP, within_deg=0.0)
    chosen = preferred(cavity, found)
    assert chosen.best == pytest.approx(found.best)
    assert chosen.why == "No other tip found leaves as little air. No place that shows holds air."
