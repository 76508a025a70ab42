"""Zones: two patches on a plate, one too small."""

import numpy as np
import pytest
from bodies import plate

from partline.detail.detail_map import Zone
from partline.detail.zones import find_zones
from partline.geometry.operators import mass_and_laplacian


def test_patches_are_separate_and_sorted():
    body = plate(20, 10, 0.25, lambda x, _: 0 * x)
    x, y = body.vertices[:, 0], body.vertices[:, 1]
    big = np.hypot(x - 5, y - 5) <= 3
    small = np.hypot(x - 15, y - 5) <= 2
    dot = np.hypot(x - 19, y - 9) <= 0.2
    areas, _ = mass_and_laplacian(body)
    zones = find_zones(
        body,
        big | small | dot,
        areas_mm2=areas,
        relief_mm=x / 100,
        slope=np.where(big, 0.3, 0.4),
        finest_mm=np.where(big, 0.8, 1.6),
        seen_mm=0.5,
        least_mm2=1.0,
    )
    assert len(zones) == 2
    # Closed form: area of a disc, to the width of the mesh.
    assert zones[0].area_mm2 == pytest.approx(np.pi * 9, rel=0.05)
    assert zones[1].area_mm2 == pytest.approx(np.pi * 4, rel=0.05)
    assert zones[0].centre_mm == pytest.approx((5, 5, 0), abs=0.26)
    assert (zones[0].finest_mm, zones[1].finest_mm) == (0.8, 1.6)
    assert zones[0].relief_mm == pytest.approx(0.08, abs=0.003)
    assert (zones[0].slope, zones[1].slope) == pytest.approx((0.3, 0.4))
    assert set(zones[1].vertices) == set(np.flatnonzero(small))


def test_the_finest_scale_is_that_of_a_tenth_of_the_skin_not_of_one_vertex():
    body = plate(10, 10, 0.5, lambda x, _: 0 * x)
    x = body.vertices[:, 0]
    areas, _ = mass_and_laplacian(body)

    def finest(scales):
        (zone,) = find_zones(
            body, x >= 0, areas_mm2=areas, relief_mm=x, slope=x, finest_mm=scales, seen_mm=0.5,
            least_mm2=1.0,
        )  # fmt: skip
        return zone.finest_mm

    assert finest(np.where(x < 2, 0.8, 3.2)) == 0.8
    one = np.full(len(x), 3.2)
    one[7] = 0.8
    assert finest(one) == 3.2
    # Where nothing is told of some of it, the rest says; where of none, what can be seen.
    assert finest(np.where(x < 8, np.nan, 1.6)) == 1.6
    assert finest(np.full(len(x), np.nan)) == 0.5


def test_no_detail_no_zone():
    body = plate(2, 2, 1, lambda x, _: 0 * x)
    none = np.zeros(9)
    found = find_zones(
        body,
        none > 0,
        areas_mm2=none,
        relief_mm=none,
        slope=none,
        finest_mm=none,
        seen_mm=1.0,
        least_mm2=0.0,
    )
    assert found == ()


def test_figures_leave_only_the_vertices_out():
    zone = Zone(np.arange(3, dtype=np.int32), 12.0, (1.0, 2.0, 3.0), 0.8, 0.1, 0.3)
    assert zone.figures() == {
        "area_mm2": 12.0, "place_mm": [1.0, 2.0, 3.0], "finest_mm": 0.8, "relief_mm": 0.1,
        "slope": 0.3,
    }  # fmt: skip
