"""Propose how a piece stands: the flat base it was made with, even tilted, its feet, or at rest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from partline.geometry.directions import unit
from partline.geometry.surface import Floats, Surface
from partline.progress import Progress, silent, span
from partline.stand.resting import DEEPEST, TOUCH, UNEVEN, Ground, Resting, depth_for, ground_of

LOOKING = "Looking for what it stands on"
Kind = Literal["flat base", "open underside", "feet", "rest", "none"]
# Choices of this tool, no published source:
# a flat base has at least this share of the piece's own outline seen from below,
LEAST_BASE = 0.08
# where sides are about equal, the one nearer the stated down is taken,
NEAR_BONUS = 0.5
# a base within this of what was stated is preferred to any beyond,
NEAR_DEG = 60.0
# a piece without a flat base is stood on its feet if it need not be turned farther than this,
FARTHEST_FEET_DEG = 20.0
# where nothing says what is up, as it rests steadiest, if it must be tipped so far to fall over,
STEADY_DEG = 15.0
# a plan says so where the piece stands farther than this off the base it has,
OFF_BASE_DEG = 3.0
# and to cut a base where there is none, go up until the cut has this share of the outline.
CUT_SHARE = 0.1
# Flats of the hull within this angle are one; smaller ones than this share of it, and more than
# so many, are not looked at.
_ALIKE_DEG = 4.0
_LEAST_FLAT = 0.015
_MOST_CANDIDATES = 12
_MOST_GROUNDS = 4
# An opening is an underside if this share of the piece is above it.
_ABOVE = 0.95


@dataclass(frozen=True, eq=False)
class Proposal:
    """One way to stand a piece.

    Attributes
    ----------
    up : (3,) float64
        Unit vector, upward, in the coordinates of the surface.
    kind : str
        "flat base", "open underside" (a level rim), "feet" (separate ones, flat or not), "rest"
        (no more than what it lies steadiest on) or "none" (a round or pointed end).
    share : float
        Flat area that touches the floor, as a share of the outline seen from below.
    feet : int
        Separate patches that touch.
    tip_deg : float
        How far it must be tipped before it falls over [degrees]; negative where it falls at once.
    off_deg : float
        Angle from the stated up [degrees].
    cut_share : float
        How much to cut off below for a flat base of a tenth of the outline, as a share of the
        height; 0 where it stands flat enough.
    """

    up: Floats
    kind: Kind
    share: float
    feet: int
    tip_deg: float
    off_deg: float
    cut_share: float

    @property
    def is_stable(self) -> bool:
        """Whether its middle is over what touches."""
        return self.tip_deg >= 0.0

    @property
    def is_flat(self) -> bool:
        """Whether enough of it lies flat on the floor to be a base."""
        return self.cut_share == 0.0

    @property
    def name(self) -> str:
        """What it stands on, in words, like "a flat base of 50 % of its outline"."""
        outline = f"{100 * self.share:.0f} % of its outline"
        return {
            "flat base": f"a flat base of {outline}",
            "open underside": f"the rim of its open underside, {outline}",
            "feet": f"{self.feet} feet{f', together {outline}' if self.is_flat else ''}",
        }.get(self.kind, "no base")

    def words(self, off: str = "") -> str:
        """Return how it stands in one sentence; `off` says how far it is turned."""
        cut = (
            f"to give it a flat base, cut {100 * self.cut_share:.1f} % of the height off below "
            "(sink, under [stand])"
            if self.cut_share < DEEPEST
            else "no level cut through its lowest quarter gives it a base"
        )
        if self.kind == "rest":
            return (
                f"It has no flat base and no feet. Of all ways to lie it lies steadiest so{off}: "
                f"it must be tipped {self.tip_deg:.0f}° before it falls over; {cut}."
            )
        if self.kind == "none":
            return f"It has no flat base and would roll or fall over{off}; {cut}."
        if self.is_flat:
            return f"It stands on {self.name}{off}."
        return f"It has no flat base but stands on {self.name}{off}; {cut}."


def propose_stand(
    surface: Surface,
    *,
    up: ArrayLike = (0.0, 0.0, 1.0),
    is_said: bool = True,
    progress: Progress = silent,
) -> tuple[Proposal, ...]:
    """Return the ways a piece may stand, the best first; never empty.

    The candidates are the flats of its convex hull, each fitted to the faces that touch it: no
    piece rests on anything else. What counts is the flat area on the floor, with faces or as
    the level rim of an open underside.

    Parameters
    ----------
    surface : Surface
        Open or closed, any unit; its faces look outward.
    up : (3,) array_like
        The stated up: settles between sides about equal, and stays where there is no flat base.
    is_said : bool
        Somebody, or the format, says that this is up. Else, without base and feet, the piece is
        laid as it lies steadiest.
    progress : Progress, optional
    """
    return _ways(Resting(surface), unit(up), is_said, progress)


def _ways(body: Resting, hint: Floats, is_said: bool, progress: Progress) -> tuple[Proposal, ...]:
    grounds = [*_open_grounds(body), *_flat_grounds(body, -hint, progress)]
    flat = [g for g in grounds if _is_base(g)]
    if flat:
        ranked = sorted(flat, key=lambda g: -_worth(g, hint))
        # A table stands on its top as well as on its legs: what is said of up settles which.
        over = [g for g in grounds if _stands(g) and _angle(-g.down, ranked[0].down) <= OFF_BASE_DEG
                and _angle(-g.down, hint) <= NEAR_DEG]  # fmt: skip
        ranked = [*over, *(g for g in ranked if g not in over)]
        return tuple(_proposal(body, g, hint, _flat_kind(g)) for g in ranked)
    near = [g for g in grounds if g.is_stable and _angle(-g.down, hint) <= FARTHEST_FEET_DEG]
    feet = [g for g in near if g.feet >= 2]
    if feet:
        ranked = sorted(feet, key=lambda g: _angle(-g.down, hint))
        return tuple(_proposal(body, g, hint, "feet") for g in ranked)
    steady = [] if is_said else _steady_grounds(body)
    if steady:
        return tuple(_proposal(body, g, hint, "rest") for g in steady)
    return (_proposal(body, ground_of(body, -hint), hint, "none"),)


def nearly_as_stated(ways: Sequence[Proposal]) -> Proposal:
    """Return the best of the ways that are about as stated; of all where none is."""
    return next((way for way in ways if way.off_deg <= NEAR_DEG), ways[0])


def off_base(surface: Surface, progress: Progress = silent) -> Proposal | None:
    """Return the base that a closed piece has but does not stand on, +Z up, if any.

    It stands well on whatever flat it is level on, and on three feet or more.
    """
    body, down = Resting(surface, is_closed=True), np.array([0.0, 0.0, -1.0])
    progress(0.0, LOOKING)
    level = body.fitted(down)
    progress(0.1, LOOKING)
    if _angle(level, down) <= OFF_BASE_DEG:
        ground = ground_of(body, level)
        if _stands(ground):
            return None
    ways = _ways(body, -down, True, span(progress, 0.2, 1.0))
    best = nearly_as_stated(ways)
    return best if best.is_flat and best.off_deg > OFF_BASE_DEG else None


def _is_base(ground: Ground) -> bool:
    return ground.share >= LEAST_BASE and ground.is_stable


def _stands(ground: Ground) -> bool:
    return _is_base(ground) or (ground.is_stable and ground.feet >= 3)


def _flat_kind(ground: Ground) -> Kind:
    if ground.open_share > 0.5 * ground.share:
        return "open underside"
    return "flat base" if ground.feet < 2 else "feet"


def _worth(ground: Ground, hint: Floats) -> float:
    return ground.area * (1.0 + NEAR_BONUS * max(0.0, float(-ground.down @ hint)))


def _angle(one: Floats, two: Floats) -> float:
    return float(np.degrees(np.arctan2(np.linalg.norm(np.cross(one, two)), one @ two)))


def _proposal(body: Resting, ground: Ground, hint: Floats, kind: Kind) -> Proposal:
    return Proposal(
        up=-ground.down,
        kind=kind,
        share=ground.share,
        feet=ground.feet,
        tip_deg=ground.tip_deg,
        off_deg=_angle(-ground.down, hint),
        cut_share=0.0 if _is_base(ground) else depth_for(body, ground.down, CUT_SHARE),
    )


def _steady_grounds(body: Resting) -> list[Ground]:
    """Return what it lies on, the steadiest first, where it lies steady at all."""
    found = [ground_of(body, down) for down in _hull_flats(body)]
    steady = [g for g in found if g.tip_deg >= STEADY_DEG]
    return sorted(steady, key=lambda g: -g.tip_deg)


def _flat_grounds(body: Resting, stated: Floats, progress: Progress) -> list[Ground]:
    """Return what it rests on, on the best of the flats, each fitted, none twice."""
    kept: list[tuple[float, Floats]] = []
    starts = [stated, *_hull_flats(body)]
    for k, start in enumerate(starts):
        progress(0.5 * k / len(starts), LOOKING)
        down = body.fitted(start)
        if all(_angle(down, other) > 0.5 for _, other in kept):
            worth = sum(body.contact(down, TOUCH * body.size)) * (1 + NEAR_BONUS * (down @ stated))
            kept.append((float(worth), down))
    kept.sort(key=lambda pair: -pair[0])
    near = [pair for pair in kept[_MOST_GROUNDS:] if _angle(pair[1], stated) <= NEAR_DEG]
    found: list[Ground] = []
    for _, down in [*kept[:_MOST_GROUNDS], *near]:
        progress(0.5 + 0.5 * len(found) / (len(near) + _MOST_GROUNDS), LOOKING)
        found.append(ground_of(body, down))
    return found


def _hull_flats(body: Resting) -> list[Floats]:
    """Return the downward directions of the flats of the convex hull, the largest first."""
    hull = body.hull
    if hull is None:
        return []
    corners = hull.points[hull.simplices]
    area = 0.5 * np.linalg.norm(
        np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1
    )
    normals = hull.equations[:, :3]
    left = np.ones(len(normals), dtype=bool)
    flats = []
    for k in np.argsort(-area):
        if not left[k]:
            continue
        alike = left & (normals @ normals[k] > np.cos(np.radians(_ALIKE_DEG)))
        left &= ~alike
        share = float(area[alike].sum() / area.sum())
        if share > _LEAST_FLAT:
            flats.append((share, unit((normals[alike] * area[alike][:, None]).sum(axis=0))))
    flats.sort(key=lambda flat: -flat[0])
    return [vector for _, vector in flats[:_MOST_CANDIDATES]]


def _open_grounds(body: Resting) -> list[Ground]:
    """Return what it rests on, on large openings that have nearly everything above them."""
    rim = body.rim
    if not len(rim):
        return []
    points = body.surface.vertices
    n = len(points)
    ones = np.ones(len(rim), np.int8)
    graph = coo_array((ones, (rim[:, 0], rim[:, 1])), shape=(n, n))
    label = connected_components(graph, directed=False)[1][rim[:, 0]]
    found = []
    for loop in np.unique(label)[np.argsort(-np.unique(label, return_counts=True)[1])[:4]]:
        ends = points[rim[label == loop]]
        middle = ends[:, 0].mean(axis=0)
        vector = 0.5 * np.cross(ends[:, 0] - middle, ends[:, 1] - middle).sum(axis=0)
        area = float(np.linalg.norm(vector))
        if area <= 0:
            continue
        uneven = float(np.abs((ends[:, 0] - middle) @ vector).max()) / area
        above = (points[body.used] - middle) @ vector <= (uneven + 1e-9 * body.size) * area
        if uneven <= UNEVEN * body.size and above.mean() >= _ABOVE:
            down = vector / area
            if uneven > TOUCH * body.size:
                down = _squared(down)
            found.append(ground_of(body, down, open_area=area))
    return found


def _squared(down: Floats) -> Floats:
    """An uneven rim says only roughly where down is: take the file's axis where one is near."""
    axis = np.zeros(3)
    main = int(np.argmax(np.abs(down)))
    axis[main] = np.sign(down[main])
    return axis if _angle(down, axis) <= FARTHEST_FEET_DEG else down
