"""How a piece fits into a round or square container that may taper: exact, for its convex hull.

Rubber is thinnest beside a corner of the convex hull, since the distance to a straight wall is a
concave function of the place; so the hull's corners stand for the whole piece.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import ArrayLike
from scipy.spatial import ConvexHull, QhullError

from partline.errors import InternalError
from partline.geometry.surface import Floats


@dataclass(frozen=True, eq=False)
class Reach:
    """What must stay clear of the wall.

    Attributes
    ----------
    points : (k, 3) float64
        Corners, z from the container's floor [mm].
    need : (k,) float64
        Least rubber wanted beside each, square to the wall [mm].
    """

    points: Floats
    need: Floats

    def joined(self, other: Reach) -> Reach:
        """Return both together."""
        return Reach(
            np.vstack([self.points, other.points]), np.concatenate([self.need, other.need])
        )


def reach_of(points: ArrayLike, need_mm: float) -> Reach:
    """Return the hull corners of (n, 3) points [mm], each wanting the same wall [mm]."""
    cloud = np.unique(np.asarray(points, dtype=np.float64), axis=0)
    try:
        corners = cloud[ConvexHull(cloud).vertices]
    except (QhullError, ValueError):
        corners = cloud  # flat or fewer than four: nothing is gained by leaving points out
    return Reach(corners, np.full(len(corners), float(need_mm)))


def round_slack(reach: Reach, centre: ArrayLike, *, floor_radius_mm: float, slope: float) -> Floats:
    """Return (k,) how much more than needed lies beside each corner, square to the wall [mm].

    Parameters
    ----------
    reach : Reach
    centre : (2,) float
        Where the container's axis stands [mm].
    floor_radius_mm : float
        Inner radius at z = 0 [mm].
    slope : float
        By how much the radius grows per mm of height [1].
    """
    away = np.linalg.norm(reach.points[:, :2] - np.asarray(centre), axis=1)
    radius = floor_radius_mm + slope * reach.points[:, 2]
    return np.asarray((radius - away) / np.hypot(1.0, slope) - reach.need)


def round_centre(reach: Reach, *, slope: float) -> tuple[Floats, float]:
    """Return the best place for the axis and the least floor radius that then fits [mm].

    Minimises over c the greatest |p - c| + w, with w the wall wanted at p less what the taper
    has widened by there: the smallest circle round circles of radius w, a problem whose answer
    hangs on at most three of them (Welzl 1991; Fischer and Gaertner 2003, "The smallest
    enclosing ball of balls"). Found exactly: the worst corner joins the three that hold the
    circle, the tightest three of the four stay, until no corner sticks out.

    Parameters
    ----------
    reach : Reach
    slope : float
        By how much the radius grows per mm of height [1].

    Returns
    -------
    centre : (2,) float64
        [mm]
    radius : float
        [mm]; negative where the taper alone gives more than enough.
    """
    flat = reach.points[:, :2]
    weight = reach.need * np.hypot(1.0, slope) - slope * reach.points[:, 2]
    held: tuple[int, ...] = (int(weight.argmax()),)
    size = float(np.ptp(flat, axis=0).max() + np.abs(weight).max()) or 1.0
    for _ in range(20 * len(flat) + 100):
        centre, radius = _circle(flat, weight, held)
        out = np.linalg.norm(flat - centre, axis=1) + weight
        worst = int(out.argmax())
        if out[worst] <= radius + 1e-11 * size or worst in held:
            return centre, float(out[worst])
        four = (*held, worst)
        held = max(
            combinations(four, min(3, len(four))), key=lambda three: _circle(flat, weight, three)[1]
        )
    raise InternalError("The best place for the container's axis was not found.")


def _circle(flat: Floats, weight: Floats, ids: tuple[int, ...]) -> tuple[Floats, float]:
    """Return the smallest circle round up to three circles (radius may be negative)."""
    best: tuple[Floats, float] | None = None
    size = float(np.abs(weight[list(ids)]).max() + np.abs(flat[list(ids)]).max()) + 1.0
    for few in (1, 2):
        for chosen in combinations(ids, few):
            found = _one_or_two(flat, weight, chosen)
            if found is None:
                continue
            centre, radius = found
            out = max(float(np.linalg.norm(flat[i] - centre) + weight[i]) for i in ids)
            if out <= radius + 1e-12 * size and (best is None or radius < best[1]):
                best = centre, radius
    if best is not None:
        return best
    return _three(flat[list(ids)], weight[list(ids)])


def _one_or_two(flat: Floats, weight: Floats, ids: tuple[int, ...]) -> tuple[Floats, float] | None:
    if len(ids) == 1:
        return flat[ids[0]], float(weight[ids[0]])
    first, second = ids
    apart = float(np.linalg.norm(flat[second] - flat[first]))
    if apart <= abs(weight[first] - weight[second]):
        return None
    radius = (apart + weight[first] + weight[second]) / 2.0
    share = (radius - weight[first]) / apart
    return flat[first] + share * (flat[second] - flat[first]), float(radius)


def _three(points: Floats, weight: Floats) -> tuple[Floats, float]:
    """Return the circle that touches three circles from outside (Apollonius)."""
    origin, w0 = points[0], weight[0]
    p, w = points[1:] - origin, weight[1:]
    # |c - p_i| = R - w_i, less the same for i = 0, is linear: c = a + b R.
    inverse = np.linalg.pinv(2.0 * p)
    a = inverse @ ((p**2).sum(axis=1) - w**2 + w0**2)
    b = inverse @ (2.0 * (w - w0))
    roots = np.roots([b @ b - 1.0, 2.0 * (a @ b + w0), a @ a - w0 * w0])
    real = [float(r.real) for r in roots if abs(r.imag) < 1e-6 * (1.0 + abs(r.real))]
    fits = [r for r in real if r >= weight.max() - 1e-9]
    radius = min(fits) if fits else max(real, default=float(weight.max()))
    return origin + a + b * radius, radius


@dataclass(frozen=True, eq=False)
class BoxFit:
    """A piece in an upright box.

    Attributes
    ----------
    centre : (2,) float64
        Middle of the box [mm].
    width_mm, depth_mm : float
        Least inner size of the floor along the box's own x and y [mm].
    turn_deg : float
        How far the box is turned about z, anticlockwise from above [degrees].
    """

    centre: Floats
    width_mm: float
    depth_mm: float
    turn_deg: float


def box_fit(reach: Reach, *, slope: float = 0.0, turn_deg: float = 0.0) -> BoxFit:
    """Return the least box, turned by a given angle, that leaves the wanted wall.

    Parameters
    ----------
    reach : Reach
    slope : float
        By how much each side leans outward per mm of height [1].
    turn_deg : float
        [degrees]
    """
    axes = turned_axes(turn_deg)
    along = reach.points[:, :2] @ axes.T
    need = (reach.need * np.hypot(1.0, slope) - slope * reach.points[:, 2])[:, None]
    low, high = (along - need).min(axis=0), (along + need).max(axis=0)
    size = high - low
    return BoxFit(axes.T @ ((low + high) / 2.0), float(size[0]), float(size[1]), float(turn_deg))


def least_box(reach: Reach) -> BoxFit:
    """Return the box of least floor that leaves the wanted wall, free to turn about z.

    For one wall all round a side of the best box lies along an edge of the outline's hull:
    between two such angles width and depth are concave, so their product has no least value
    inside (after Freeman and Shapira 1975). Where corners want different walls this is still
    tried at every edge of the grown outline's hull.
    """
    fits = [box_fit(reach, turn_deg=turn) for turn in quarter_turns(reach)]
    return min(fits, key=lambda fit: fit.width_mm * fit.depth_mm)


def quarter_turns(reach: Reach) -> tuple[float, ...]:
    """Return the angles at which a side of a box may lie along the outline's hull, 0 first."""
    flat = np.unique(reach.points[:, :2], axis=0)
    try:
        ring = flat[ConvexHull(flat).vertices]
    except (QhullError, ValueError):
        return (0.0,)
    edges = np.roll(ring, -1, axis=0) - ring
    angles = np.unique(np.round(np.degrees(np.arctan2(edges[:, 1], edges[:, 0])) % 90.0, 9))
    return (0.0, *(float(a) for a in angles))


def turned_axes(turn_deg: float) -> Floats:
    """Return (2, 2) the x and y of a box turned about z, as rows."""
    angle = np.radians(turn_deg)
    return np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])


def frustum_mm3(floor_radius_mm: float, slope: float, height_mm: float) -> float:
    """Return the volume of a round cup up to a height [mm^3]; slope is radius per height [1]."""
    low, high = floor_radius_mm, floor_radius_mm + slope * height_mm
    return float(np.pi * height_mm / 3.0 * (low * low + low * high + high * high))


def tub_mm3(width_mm: float, depth_mm: float, slope: float, height_mm: float) -> float:
    """Return the volume of a four-sided tub up to a height [mm^3]; each side leans by slope [1]."""
    w, d, h, s = width_mm, depth_mm, height_mm, slope
    return w * d * h + (w + d) * s * h * h + 4.0 / 3.0 * s * s * h**3
