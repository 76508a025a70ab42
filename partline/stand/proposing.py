"""Propose how a piece stands: the flat base it was made with, even tilted, its feet, or at rest."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from partline.geometry.directions import unit
from partline.geometry.surface import Floats, Surface
from partline.progress import Progress, silent, span
from partline.stand.bearing import bearing_flats
from partline.stand.proposal import Kind, Proposal
from partline.stand.resting import (
    FLAT,
    TOUCH,
    UNEVEN,
    Ground,
    Resting,
    depth_for,
    ground_of,
    legs_of,
)

LOOKING = "Looking for what it stands on"
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
# a plan says so where the piece stands farther than this off the base it has; what must be tipped
# so far to fall over, and is level so far, stands well as it is,
OFF_BASE_DEG = 3.0
# it stands on legs where it has as many,
LEGS = 3
# and to cut a base where there is none, go up until the cut has this share of the outline.
CUT_SHARE = 0.1
# Flats of the hull within this angle are one, ways to stand within the next; smaller flats than
# this share of it, and more than so many, are not looked at.
_ALIKE_DEG = 4.0
_SAME_DEG = 0.5
_LEAST_FLAT = 0.015
_MOST_CANDIDATES = 12
_MOST_GROUNDS = 4
_MOST_BEARING = 5
# An opening is an underside if this share of the piece is above it.
_ABOVE = 0.95


def propose_stand(
    surface: Surface,
    *,
    up: ArrayLike = (0.0, 0.0, 1.0),
    is_said: bool = True,
    progress: Progress = silent,
) -> tuple[Proposal, ...]:
    """Return the ways a piece may stand, the best first; never empty.

    The candidates are the flats of its convex hull, each fitted to the faces that touch it: no
    piece rests on anything else. What stands well as stated stays so, whatever larger sides it
    has: on a flat base, or on three feet. Where it is said what is up and no base is near that,
    three legs that are come before a base farther off. Else what counts is the flat area on the
    floor, with faces or as the level rim of an open underside, or what level feet stand around.

    Parameters
    ----------
    surface : Surface
        Open or closed, any unit; its faces look outward.
    up : (3,) array_like
        The stated up: settles between sides about equal, and stays where there is no flat base.
    is_said : bool
        Somebody, or the format, says that this is up. Else three points that it touches at by
        chance are no feet, and without base and feet the piece is laid as it lies steadiest.
    progress : Progress, optional
    """
    return _ways(Resting(surface), unit(up), is_said, progress)


def _ways(body: Resting, hint: Floats, is_said: bool, progress: Progress) -> tuple[Proposal, ...]:
    grounds = [*_open_grounds(body), *_flat_grounds(body, -hint, progress)]
    ranked = _ranked(body, grounds, hint, NEAR_DEG if is_said else FARTHEST_FEET_DEG)
    legs = _on_legs(body, hint)
    stated = _as_stated(body, hint, is_said, grounds)
    if stated is not None:
        first = [stated]
    elif is_said and all(_angle(-g.down, hint) > NEAR_DEG for g in ranked):
        first = legs
    else:
        first = []
    if first or ranked:
        rest = [
            g for g in [*ranked, *legs] if all(_angle(g.down, f.down) > _SAME_DEG for f in first)
        ]
        return tuple(_proposal(body, g, hint, _flat_kind(g)) for g in [*first, *rest])
    if legs:
        return tuple(_proposal(body, g, hint, "feet") for g in legs)
    return _without_base(body, grounds, hint, is_said)


def _ranked(body: Resting, grounds: list[Ground], hint: Floats, near_deg: float) -> list[Ground]:
    """Return what it may stand on whatever was stated, the best first."""
    worth = {id(g): g.area for g in grounds if _is_base(g)}
    for g in grounds:
        if _is_level_on_feet(g) and legs_of(body, g.down) >= LEGS:
            worth[id(g)] = max(g.support, worth.get(id(g), 0.0))
    ranked = [g for g in grounds if id(g) in worth]
    ranked.sort(key=lambda g: (g.tip_deg < OFF_BASE_DEG, -worth[id(g)] * _nearness(g, hint)))
    if not ranked:
        return []
    # A table stands on its top as well as on its legs: what is said of up settles which.
    over = [g for g in grounds if _stands(g) and _angle(-g.down, ranked[0].down) <= OFF_BASE_DEG
            and _angle(-g.down, hint) <= near_deg]  # fmt: skip
    return [*over, *(g for g in ranked if g not in over)]


def _as_stated(
    body: Resting, hint: Floats, is_said: bool, known: Sequence[Ground] = ()
) -> Ground | None:
    """Return what it stands well on as stated, levelled; None where it does not."""
    found = [g for g in known if _angle(-g.down, hint) <= OFF_BASE_DEG]
    for down in (body.fitted(-hint), -hint):
        is_new = all(_angle(down, g.down) > _SAME_DEG for g in found)
        if is_new and _angle(-down, hint) <= OFF_BASE_DEG:
            found.append(ground_of(body, down))
    found = [g for g in found if g.tip_deg >= OFF_BASE_DEG]
    based = [g for g in found if _is_base(g)]
    if based:
        return max(based, key=lambda g: g.area)
    for g in found:
        if _is_level_on_feet(g) or (is_said and g.feet >= LEGS and legs_of(body, g.down) >= LEGS):
            return g
    return None


def _on_legs(body: Resting, hint: Floats) -> list[Ground]:
    """Return what it stands on, on legs of any length, near the stated up, the nearest first."""
    near = [down for down in bearing_flats(body) if _angle(-down, hint) <= FARTHEST_FEET_DEG]
    found = [ground_of(body, down) for down in near[:_MOST_CANDIDATES]
             if legs_of(body, down) >= LEGS]  # fmt: skip
    found = [g for g in found if g.is_stable and g.feet >= LEGS]
    return sorted(found, key=lambda g: _angle(-g.down, hint))


def _without_base(
    body: Resting, grounds: list[Ground], hint: Floats, is_said: bool
) -> tuple[Proposal, ...]:
    near = [g for g in grounds if g.is_stable and _angle(-g.down, hint) <= FARTHEST_FEET_DEG]
    feet = sorted((g for g in near if g.feet >= 2), key=lambda g: _angle(-g.down, hint))
    kind: Kind = "feet"
    if is_said and not feet:
        feet = [ground_of(body, -hint)]
        kind = "curved" if _is_broad(feet[0]) else "none"
    if is_said:
        return tuple(_proposal(body, g, hint, kind) for g in feet)
    broad = sorted(filter(_is_broad, grounds), key=lambda g: -g.share * _nearness(g, hint))
    if broad:
        return tuple(_proposal(body, g, hint, "curved") for g in broad)
    feet = [g for g in feet if legs_of(body, g.down) >= 2]
    if feet:
        return tuple(_proposal(body, g, hint, "feet") for g in feet)
    steady = _steady_grounds(body)
    if steady:
        return tuple(_proposal(body, g, hint, "rest") for g in steady)
    return (_proposal(body, ground_of(body, -hint), hint, "none"),)


def nearly_as_stated(ways: Sequence[Proposal]) -> Proposal:
    """Return the best of the ways that are about as stated; of all where none is."""
    return next((way for way in ways if way.off_deg <= NEAR_DEG), ways[0])


def off_base(surface: Surface, progress: Progress = silent) -> Proposal | None:
    """Return the base, or the three feet or more, that a closed piece has but does not stand on.

    It is as it stands, +Z up. It stands well on whatever flat it is level on, and on three feet.
    """
    body, up = Resting(surface, is_closed=True), np.array([0.0, 0.0, 1.0])
    progress(0.1, LOOKING)
    if _as_stated(body, up, True) is not None:
        return None
    ways = _ways(body, up, True, span(progress, 0.2, 1.0))
    best = nearly_as_stated(ways)
    is_better = best.is_flat or (best.kind == "feet" and best.feet >= LEGS)
    return best if is_better and best.off_deg > OFF_BASE_DEG else None


def touching(surface: Surface, up: ArrayLike) -> int:
    """Return how many separate patches of a piece touch the floor when `up` is up."""
    return ground_of(Resting(surface), -unit(up)).feet


def _is_broad(ground: Ground) -> bool:
    return ground.share >= LEAST_BASE and ground.is_stable


def _is_base(ground: Ground) -> bool:
    return _is_broad(ground) and (ground.is_flat or ground.open_share > 0.5 * ground.share)


def _is_level_on_feet(ground: Ground) -> bool:
    """Whether it stands on feet that are flat and level, not on points by chance."""
    return ground.is_stable and ground.feet >= LEGS and ground.evenness >= FLAT


def _stands(ground: Ground) -> bool:
    return _is_base(ground) or (ground.is_stable and ground.feet >= LEGS)


def _flat_kind(ground: Ground) -> Kind:
    if ground.open_share > 0.5 * ground.share:
        return "open underside"
    return "flat base" if ground.feet < 2 else "feet"


def _nearness(ground: Ground, hint: Floats) -> float:
    return 1.0 + NEAR_BONUS * max(0.0, float(-ground.down @ hint))


def _angle(one: Floats, two: Floats) -> float:
    return float(np.degrees(np.arctan2(np.linalg.norm(np.cross(one, two)), one @ two)))


def _proposal(body: Resting, ground: Ground, hint: Floats, kind: Kind) -> Proposal:
    is_enough = _is_base(ground) or _is_level_on_feet(ground)
    return Proposal(
        up=-ground.down,
        kind=kind,
        share=ground.share,
        feet=ground.feet,
        tip_deg=ground.tip_deg,
        off_deg=_angle(-ground.down, hint),
        cut_share=0.0 if is_enough else depth_for(body, ground.down, CUT_SHARE),
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
        if all(_angle(down, other) > _SAME_DEG for _, other in kept):
            worth = sum(body.contact(down, TOUCH * body.size)) * (1 + NEAR_BONUS * (down @ stated))
            kept.append((float(worth), down))
    kept.sort(key=lambda pair: -pair[0])
    stays, alike = bearing_flats(body), np.cos(np.radians(_ALIKE_DEG))
    wide = [down for down in starts[1:] if (stays @ down >= alike).any()][:_MOST_BEARING]
    near = [pair for pair in kept[_MOST_GROUNDS:] if _angle(pair[1], stated) <= NEAR_DEG
            or any(pair[1] @ down >= alike for down in wide)]  # fmt: skip
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
