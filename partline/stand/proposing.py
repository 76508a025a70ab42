"""Propose how a piece stands: the flat base it was made with, even tilted, or its feet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import ConvexHull, QhullError

from partline.geometry.directions import unit
from partline.geometry.surface import Floats, Surface
from partline.stand.resting import TOUCH, UNEVEN, Ground, Resting, ground_of

Kind = Literal["flat base", "open underside", "feet", "none"]
# Choices of this tool, no published source:
# a flat base has at least this share of the piece's own outline seen from below,
LEAST_BASE = 0.08
# where sides are about equal, the one nearer the stated down is taken,
NEAR_BONUS = 0.5
# a piece without a flat base is stood on its feet if it need not be turned farther than this,
FARTHEST_FEET_DEG = 20.0
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
        "flat base", "open underside" (a level rim), "feet" or "none" (a round or pointed end).
    share : float
        Flat area that touches the floor, as a share of the outline seen from below.
    feet : int
        Separate patches that touch.
    is_stable : bool
        Whether its middle is over what touches.
    off_deg : float
        Angle from the stated up [degrees].
    cut_share : float
        How much to cut off below for a flat base of a tenth of the outline, as a share of the
        height; 0 with a flat base.
    """

    up: Floats
    kind: Kind
    share: float
    feet: int
    is_stable: bool
    off_deg: float
    cut_share: float

    def words(self, off: str = "") -> str:
        """Return how it stands in one sentence; `off` says how far it is turned."""
        outline = f"{100 * self.share:.0f} % of its outline"
        cut = (
            f"to give it a flat base, cut {100 * self.cut_share:.1f} % of the height off below "
            "(sink, under [stand])"
        )
        if self.kind == "flat base":
            return f"It stands on a flat base of {outline}{off}."
        if self.kind == "open underside":
            return f"It stands on the rim of its open underside, {outline}{off}."
        if self.kind == "feet":
            return f"It has no flat base but stands on {self.feet} feet{off}; {cut}."
        return f"It has no flat base and would roll or fall over; {cut}."


def propose_stand(surface: Surface, *, up: ArrayLike = (0.0, 0.0, 1.0)) -> tuple[Proposal, ...]:
    """Return the ways a piece may stand, the best first; never empty.

    The candidates are the flats of its convex hull, each fitted to the faces that touch it: no
    piece rests on anything else. What counts is the flat area on the floor, with faces or as
    the level rim of an open underside.

    Parameters
    ----------
    surface : Surface
        Open or closed, any unit.
    up : (3,) array_like
        The stated up: settles between sides about equal, and stays where there is no flat base.
    """
    hint = unit(up)
    body = Resting(surface)
    grounds = [*_open_grounds(body), *_flat_grounds(body, -hint)]
    flat = [g for g in grounds if g.share >= LEAST_BASE and g.is_stable]
    if flat:
        ranked = sorted(flat, key=lambda g: -_worth(g, hint))
        return tuple(_proposal(g, hint, _flat_kind(g)) for g in ranked)
    near = [g for g in grounds if g.is_stable and _angle(-g.down, hint) <= FARTHEST_FEET_DEG]
    feet = [g for g in near if g.feet >= 2]
    if feet:
        ranked = sorted(feet, key=lambda g: _angle(-g.down, hint))
        return tuple(_proposal(g, hint, "feet") for g in ranked)
    return (_proposal(ground_of(body, -hint), hint, "none"),)


def _flat_kind(ground: Ground) -> Kind:
    if ground.open_share > 0.5 * ground.share:
        return "open underside"
    return "flat base"


def _worth(ground: Ground, hint: Floats) -> float:
    return ground.area * (1.0 + NEAR_BONUS * max(0.0, float(-ground.down @ hint)))


def _angle(one: Floats, two: Floats) -> float:
    return float(np.degrees(np.arctan2(np.linalg.norm(np.cross(one, two)), one @ two)))


def _proposal(ground: Ground, hint: Floats, kind: Kind) -> Proposal:
    return Proposal(
        up=-ground.down,
        kind=kind,
        share=ground.share,
        feet=ground.feet,
        is_stable=ground.is_stable,
        off_deg=_angle(-ground.down, hint),
        cut_share=0.0 if "base" in kind or "under" in kind else ground.depth_for(CUT_SHARE),
    )


def _flat_grounds(body: Resting, stated: Floats) -> list[Ground]:
    """Return what it rests on, on the best of the flats, each fitted, none twice."""
    kept: list[tuple[float, Floats]] = []
    for start in [stated, *_hull_flats(body)]:
        down = body.fitted(start)
        if all(_angle(down, other) > 0.5 for _, other in kept):
            worth = sum(body.contact(down, TOUCH * body.size)) * (1 + NEAR_BONUS * (down @ stated))
            kept.append((float(worth), down))
    kept.sort(key=lambda pair: -pair[0])
    near = [pair for pair in kept[_MOST_GROUNDS:] if _angle(pair[1], stated) <= FARTHEST_FEET_DEG]
    return [ground_of(body, down) for _, down in [*kept[:_MOST_GROUNDS], *near]]


def _hull_flats(body: Resting) -> list[Floats]:
    """Return the downward directions of the flats of the convex hull, the largest first."""
    used = body.surface.vertices[body.used]
    try:
        hull = ConvexHull(used)
    except (QhullError, ValueError):  # a sheet without thickness
        return []
    corners = used[hull.simplices]
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
