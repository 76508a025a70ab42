"""Figures of the workshop worked out beside the product.

Boyle's law (any textbook of physics); standard atmosphere (ISO 2533:1975, figures from memory);
the frustum of a cone; Steiner (1840) on parallel bodies; Gent (1958), IRI Transactions 34, 46-57,
worked by hand; Archimedes; wedges by trigonometry. Where a line has no source it says so.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad

from partline.cut.rubber import stiffness_mpa
from partline.faces.words import prop_mm
from partline.geometry.directions import tip_of, tipped_up
from partline.workshop.fitting import frustum_mm3, tub_mm3
from partline.workshop.fixing import fix_down
from partline.workshop.materials import defaults
from partline.workshop.mixing import mix
from partline.workshop.pressure import bubble_share, local_kpa


@pytest.mark.parametrize(
    ("inhg", "times"), [(25, 6), (27, 10), (28, 16), (28.5, 21), (29, 32), (29.5, 71)]
)
def test_bubbles_swell_by_boyle(inhg: float, times: float) -> None:
    """V / V0 = p0 / p, p0 = 29.92 inHg (arithmetic)."""
    assert bubble_share(-inhg * 3.386389) == pytest.approx(times, rel=0.03)


@pytest.mark.parametrize(("metres", "inhg"), [(0, 29.92), (500, 28.2), (1000, 26.5), (2000, 23.5)])
def test_the_most_a_vacuum_gauge_reads(metres: float, inhg: float) -> None:
    assert local_kpa(metres) / 3.386389 == pytest.approx(inhg, abs=0.06)


@pytest.mark.parametrize(("shore", "mpa"), [(20, 0.73), (30, 1.14), (40, 1.69)])
def test_gent(shore: float, mpa: float) -> None:
    """E = 0.0981 (56 + 7.62336 S) / (0.137505 (254 - 2.54 S))."""
    by_hand = 0.0981 * (56 + 7.62336 * shore) / (0.137505 * (254 - 2.54 * shore))
    assert stiffness_mpa(shore) == pytest.approx(by_hand)
    assert round(stiffness_mpa(shore), 2) == mpa


def test_a_party_cup_holds_552_ml() -> None:
    """92 mm at the rim, 60 at the floor, 120 high: h pi/12 (D2 + D d + d2) (frustum)."""
    assert frustum_mm3(30.0, 16.0 / 120.0, 120.0) / 1000 == pytest.approx(552, abs=0.5)
    slices, _ = quad(lambda z: math.pi * (30.0 + 16.0 / 120.0 * z) ** 2, 0, 120.0)
    assert frustum_mm3(30.0, 16.0 / 120.0, 120.0) == pytest.approx(slices)
    tub, _ = quad(lambda z: (60 + 0.2 * z) * (90 + 0.2 * z), 0, 50.0)
    assert tub_mm3(60.0, 90.0, 0.1, 50.0) == pytest.approx(tub)


def test_a_square_box_holds_27_per_cent_more_than_a_pipe() -> None:
    """4 / pi - 1 (arithmetic)."""
    assert tub_mm3(80, 80, 0, 100) / frustum_mm3(40, 0, 100) - 1 == pytest.approx(0.273, abs=5e-4)


def test_steiner_for_a_wall_round_a_convex_outline() -> None:
    """Area of an outline grown by w: A + P w + pi w^2 (Steiner 1840), against random points."""
    corners = np.array([[0.0, 0.0], [60.0, 0.0], [70.0, 30.0], [20.0, 50.0]])
    edges = np.roll(corners, -1, axis=0) - corners
    girth = float(np.linalg.norm(edges, axis=1).sum())
    x, y = corners.T
    area = 0.5 * abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1)))
    wall = 12.7
    from partline.geometry.solids import area as outline_area
    from partline.geometry.solids import grown

    wanted = area + girth * wall + math.pi * wall**2
    assert outline_area(grown([corners], wall, segments=720)) == pytest.approx(wanted, rel=1e-4)


def test_a_solid_wax_floats_too() -> None:
    """(1.15 - 0.9) g/cm3 times 200 mL is 50 g of pull (Archimedes)."""
    assert fix_down(200e3, 1.15, 0.9, defaults()).force_n == pytest.approx(0.050 * 9.80665)


@pytest.mark.parametrize("tilt", [1.0, 5.0, 10.0, 20.0])
def test_a_wedge_under_one_side_gives_the_tilt(tilt: float) -> None:
    """A base b wide whose far edge stays down is lifted by b sin(tilt) (trigonometry)."""
    lifted = prop_mm(tilt, 77.0)
    assert math.degrees(math.asin(lifted / 77.0)) == pytest.approx(tilt)
    up = tipped_up(40.0, tilt, "rubber")
    # The same from vectors: the floor's steepest direction climbs by sin(tilt) a millimetre.
    assert lifted / 77.0 == pytest.approx(math.hypot(up[0], up[1]))
    assert tip_of(up, "rubber") == pytest.approx((40.0, tilt))


def test_litre_and_ratio_by_weight() -> None:
    """A = M a / (a + b): 1 000 g at 100:45 is 689.7 and 310.3 g (arithmetic)."""
    found = mix(1000, {"isocyanate part": 45, "polyol part": 100})
    assert found.grams == (310.3, 689.7)
