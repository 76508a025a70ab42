"""Trapped air of cups against closed forms.

Source of the formulas: elementary integration of a liquid at rest in a tipped vessel, turned
upside down (derived for these tests; no handbook states all of them). Each is checked here
against numerical quadrature where it is more than one line.
"""

from __future__ import annotations

import cups
import numpy as np
import pytest
from scipy.integrate import quad

from partline.air.pockets import trapped_air
from partline.air.sweep import Sweep
from partline.geometry.directions import octahedron_cells

FINE = 1.0 / 25.0


def cylinder_air(r: float, h: float, t: float) -> float:
    """T1: cylinder, mouth down, tipped by t."""
    if h >= 2 * r * np.tan(t):
        return float(np.pi * r**2 * (h - r * np.tan(t)))
    d = h / np.tan(t) - r
    s = np.sqrt(r**2 - d**2)
    return float(np.tan(t) * (d * (r**2 * np.arccos(-d / r) + d * s) + 2 / 3 * s**3))


def hemisphere_air(r: float, t: float) -> float:
    """T2."""
    return float(np.pi * r**3 / 3 * (1 - np.sin(t)) ** 2 * (2 + np.sin(t)))


def cone_air(r: float, h: float, t: float) -> float:
    """T3: half angle a = arctan(r / h); nothing stays from t = 90 degrees - a on."""
    a = np.arctan2(r, h)
    if t + a >= np.pi / 2:
        return 0.0
    return float(np.pi * r**2 * h / 3 * (np.cos(t + a) / np.cos(t - a)) ** 1.5)


def paraboloid_air(r: float, k: float, t: float) -> float:
    """T4: z = k r^2; nothing stays from the slope of the rim on."""
    share = max(0.0, 1 - np.tan(t) / (2 * k * r))
    return float(np.pi * k * r**4 / 2 * share**4)


def box_air(a: float, b: float, c: float, t: float) -> float:
    """T6: tipped about b."""
    tan = np.tan(t)
    return float(b * (a * c - a**2 * tan / 2) if c >= a * tan else b * c**2 / tan / 2)


def bottle_air(r: float, g: float, tau: float) -> float:
    """T7: sphere with a hole of angular radius g whose axis is tau from straight up."""
    if tau <= g:
        return 0.0
    h = r * (1 - np.cos(tau - g))
    return float(np.pi * h**2 * (3 * r - h) / 3)


CASES = {
    "T1 cylinder": (lambda h: cups.cylinder(1.0, 1.0, h), lambda t: cylinder_air(1, 1, t)),
    "T1 tall cylinder": (lambda h: cups.cylinder(1.0, 3.0, h), lambda t: cylinder_air(1, 3, t)),
    "T2 hemisphere": (lambda h: cups.hemisphere(1.0, h), lambda t: hemisphere_air(1, t)),
    "T3 cone": (lambda h: cups.cone(1.0, 1.5, h), lambda t: cone_air(1, 1.5, t)),
    "T4 paraboloid": (lambda h: cups.paraboloid(1.0, 1.2, h), lambda t: paraboloid_air(1, 1.2, t)),
}


def test_the_formulas_agree_with_their_worked_values() -> None:
    # Published nowhere; each value was checked by quadrature when the formulas were derived.
    assert cylinder_air(1, 1, np.radians(20)) == pytest.approx(1.9981464, abs=5e-8)
    assert cylinder_air(1, 1, np.radians(30)) == pytest.approx(1.3435036, abs=5e-8)
    assert cylinder_air(1, 1, np.radians(45)) == pytest.approx(2 / 3, abs=1e-12)
    assert cylinder_air(1, 1, np.radians(60)) == pytest.approx(0.3095066, abs=5e-8)
    assert cylinder_air(1, 3, np.radians(60)) == pytest.approx(4.0305107, abs=5e-8)


def test_the_second_branch_of_the_cylinder_by_quadrature() -> None:
    # Slices square to the tip: depth (x - (r - h cot t)) tan t over a chord 2 sqrt(r^2 - x^2).
    t = np.radians(60)
    start = 1 - 1 / np.tan(t)
    value, _ = quad(lambda x: 2 * np.sqrt(1 - x**2) * (x - start) * np.tan(t), start, 1)
    assert cylinder_air(1, 1, t) == pytest.approx(value, rel=1e-8)


@pytest.mark.parametrize("name", CASES)
@pytest.mark.parametrize("degrees", [0, 10, 20, 30, 45])
@pytest.mark.parametrize("azimuth", [0.0, 1.234])
def test_air_within_half_a_percent(name: str, degrees: float, azimuth: float) -> None:
    make, exact = CASES[name]
    t = np.radians(degrees)
    found = trapped_air(make(FINE), cups.tipped(t, azimuth)).volume_mm3
    assert found == pytest.approx(exact(t), rel=0.005)


@pytest.mark.parametrize("name", CASES)
@pytest.mark.parametrize("degrees", [12, 30])
def test_the_error_falls_with_the_square_of_the_edge(name: str, degrees: float) -> None:
    make, exact = CASES[name]
    t = np.radians(degrees)
    edges = np.array([1 / 8, 1 / 16, 1 / 32, 1 / 64])
    error = [abs(trapped_air(make(h), cups.tipped(t)).volume_mm3 - exact(t)) for h in edges]
    order = np.polyfit(np.log(edges), np.log(error), 1)[0]
    assert order == pytest.approx(2.0, abs=0.2)


@pytest.mark.parametrize(
    ("name", "released"),
    [
        ("T3 cone", np.pi / 2 - np.arctan2(1.0, 1.5)),
        ("T4 paraboloid", np.arctan(2 * 1.2)),
    ],
)
def test_cups_let_go_at_their_angle(name: str, released: float) -> None:
    make, _ = CASES[name]
    cavity = make(FINE)
    held = trapped_air(cavity, cups.tipped(released - np.radians(3)), visible_mm=1e-6)
    assert held.volume_mm3 > 0
    assert trapped_air(cavity, cups.tipped(released + np.radians(1))).volume_mm3 == 0.0


@pytest.mark.parametrize("degrees", [0, 5, 26.565, 40, 70, 89])
def test_box_to_rounding(degrees: float) -> None:
    t = np.radians(degrees)
    found = trapped_air(cups.box(1.0, 2.0, 0.5), cups.tipped(t))
    assert found.volume_mm3 == pytest.approx(box_air(1.0, 2.0, 0.5, t), rel=1e-12)


@pytest.mark.parametrize("tau", [15, 21, 35, 60, 90, 120, 150, 180])
def test_bottle(tau: float) -> None:
    g = np.radians(20)
    cavity = cups.bottle(1.0, g, FINE / 3)  # the small caps need finer triangles
    # The hole faces down when nothing is tipped: its axis is 180 degrees from up.
    found = trapped_air(cavity, cups.tipped(np.pi - np.radians(tau))).volume_mm3
    exact = bottle_air(1.0, g, np.radians(tau))
    assert found == pytest.approx(exact, rel=0.005, abs=2e-5)


def test_bottle_lets_go_exactly_at_the_rim_of_its_hole() -> None:
    g = np.radians(20)
    cavity = cups.bottle(1.0, g, FINE)
    # The mesh's own rim decides: the hole's lid is a polygon with a corner on this azimuth, and
    # the next ring of the wall lies one step of the profile beyond.
    step = np.radians((180 - 20) / round((np.pi - g) / FINE))
    assert trapped_air(cavity, cups.tipped(np.pi - g + 1e-6)).volume_mm3 == 0.0
    assert trapped_air(cavity, cups.tipped(np.pi - g - step)).volume_mm3 > 0.0


def test_two_wells_hold_their_volume_above_the_saddle() -> None:
    # T5: f = (x^2 - 1)^2 + y^2, wells at (+-1, 0), saddle 1 at 0; the air of the left well
    # leaves over the saddle toward outlets on the right. Volume 64 sqrt(2) / 105.
    found = []
    edges = np.array([1 / 10, 1 / 20, 1 / 40, 1 / 80])
    for h in edges:
        found.append(trapped_air(wells(h), (0, 0, 1)).volume_mm3)
    exact = 64 * np.sqrt(2) / 105
    assert found[2] == pytest.approx(exact, rel=0.005)
    order = np.polyfit(np.log(edges), np.log(np.abs(np.array(found) - exact)), 1)[0]
    assert order == pytest.approx(2.0, abs=0.2)


def test_a_well_is_let_go_at_its_angle() -> None:
    # T5: tan theta = 8 / (3 sqrt 3), the steepest slope between well and saddle.
    exact = np.degrees(np.arctan(8 / (3 * np.sqrt(3))))
    assert exact == pytest.approx(56.9955, abs=5e-5)
    cavity = wells(1 / 200, width=0.1)
    low, high = 50.0, 60.0
    while high - low > 1e-3:
        middle = (low + high) / 2
        air = trapped_air(cavity, cups.tipped(np.radians(middle))).volume_mm3
        low, high = (middle, high) if air > 0 else (low, middle)
    assert low == pytest.approx(exact, abs=0.01)


def wells(h: float, width: float = 1.4) -> cups.Cavity:
    x = np.linspace(-1.8, 1.8, 2 * round(1.8 / h) + 1)
    y = np.linspace(-width, width, 2 * round(width / h) + 1)
    z = -((x[:, None] ** 2 - 1) ** 2 + y[None, :] ** 2)
    surface = cups.roof(x, y, z, floor=-12.0)
    top = np.arange(z.size)
    return cups.Cavity(surface, top[surface.vertices[top, 0] > 0.5])


def test_mean_over_the_sphere() -> None:
    # T2 over all orientations: (pi R^3 / 6)(2 - 9 pi / 16) = 0.1219221 R^3.
    exact = np.pi / 6 * (2 - 9 * np.pi / 16)
    assert exact == pytest.approx(0.1219221, abs=5e-8)
    cells = octahedron_cells(4)
    a, b, c = (cells[:, k] for k in range(3))
    # Solid angle of a spherical triangle (van Oosterom and Strackee 1983).
    turn = np.einsum("ij,ij->i", a, np.cross(b, c))
    dots = 1 + sum(np.einsum("ij,ij->i", p, q) for p, q in ((a, b), (b, c), (c, a)))
    weight = 2 * np.arctan2(np.abs(turn), dots)
    assert weight.sum() == pytest.approx(4 * np.pi, rel=1e-12)
    middle = cells.sum(axis=1)
    middle /= np.linalg.norm(middle, axis=1, keepdims=True)
    air, _ = Sweep(cups.hemisphere(1.0, FINE))(middle)
    assert (weight * air).sum() / (4 * np.pi) == pytest.approx(exact, rel=0.005)


@pytest.mark.parametrize("name", [n for n in CASES if "T1" not in n])
@pytest.mark.parametrize("degrees", [10, 25])
def test_gradient_is_the_first_moment_of_the_lid(name: str, degrees: float) -> None:
    # T9: dV / dtheta = -A xbar about the spill point, elementary; the lid's moment is found here
    # from its polygon, cut from the mesh by another way than the analysis takes.
    make, _ = CASES[name]
    cavity = make(1 / 12)
    t, step = np.radians(degrees), 1e-5
    # Tipped toward a corner of the rim, so that the spill point stays that corner.
    ahead = trapped_air(cavity, cups.tipped(t + step), visible_mm=1e-6).volume_mm3
    behind = trapped_air(cavity, cups.tipped(t - step), visible_mm=1e-6).volume_mm3
    moment = lid_moment(cavity, t)
    assert (ahead - behind) / (2 * step) == pytest.approx(-moment, rel=1e-6)


def lid_moment(cavity: cups.Cavity, t: float) -> float:
    """Return the lid's area times the mean distance from the spill point."""
    up = cups.tipped(t)
    along = np.array([np.cos(t), 0.0, -np.sin(t)])  # level, the way that goes up as t grows
    points = cavity.surface.vertices
    spill = points[cavity.outlets][np.argmax(points[cavity.outlets] @ up)]
    h = (points - spill) @ up
    side = (points - spill) @ np.array([0.0, 1.0, 0.0])
    far = (points - spill) @ along
    total = 0.0
    for face in cavity.surface.faces:
        above = h[face] > 0
        if above.all() or not above.any():
            continue
        k = next(i for i in range(3) if above[i] != above[i - 1] and above[i] != above[i - 2])
        p, q, r = face[k], face[k - 2], face[k - 1]
        ends = []
        for other in (q, r):
            s = h[p] / (h[p] - h[other])
            ends.append((far[p] + s * (far[other] - far[p]), side[p] + s * (side[other] - side[p])))
        (x0, y0), (x1, y1) = ends if above[k] else ends[::-1]
        # Green's theorem for the first moment: the boundary of the lid, one segment a triangle.
        total += (y1 - y0) * (x0 * x0 + x0 * x1 + x1 * x1) / 6.0
    return abs(total)
