"""What touches the floor when a piece stands a given way down."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import ConvexHull, QhullError

from partline.geometry.directions import turn_between
from partline.geometry.surface import Floats, Surface

# Choices of this tool: what lies within this share of the diagonal of the floor touches it,
TOUCH = 0.006
# if it faces down within this angle;
FACING = float(np.cos(np.radians(20.0)))
# what it comes to rest on by itself is asked within this much of the way down that was fitted,
SETTLES_DEG = 4.0
# and taken if it bears by so much more on it, within this share of the diagonal of the floor;
BEARS_MORE = 1.25
CLOSE = 0.001
# feet are counted a little higher up, as a bench would show them.
FOOT = 0.012
# an opening with an uneven rim is stood on up to this share of the diagonal.
UNEVEN = 0.1
# A cut for a base is looked for up to this share of the height.
DEEPEST = 0.25
# A flat place: at least this share of what it shows the floor up to twice a height lies below the
# height. Of a flat it is all, of a cylinder's side 0.71, of a ball half; of real curved skins up to
# 0.79 was measured, of real rough bases no less than 0.85.
FLAT = 0.82
# Legs are separate parts up to this share of the height.
LEG = 0.2
# What is turned farther from the floor than this is a wall beside it.
_WALL = float(np.cos(np.radians(60.0)))
# A foot smaller than this share of the largest is not counted: the lugs of a sole are no feet.
LEAST_FOOT = 0.2
_MOST_ROLLS = 20


@dataclass(frozen=True, eq=False)
class Ground:
    """What touches the floor.

    Attributes
    ----------
    down : (3,) float64
        Unit vector toward the floor, fitted to what touches.
    area, share, open_share : float
        Flat area on the floor [mm^2], its share of the outline seen from below, and the part of
        that share which is the level rim of an opening.
    feet : int
        Separate patches near the floor.
    tip_deg : float
        How far it must be tipped, at least, before it falls over [degrees]; negative where its
        middle is not over what touches.
    support : float
        Area within the line drawn tight around all that touches [mm^2].
    flatness : float
        Share of what faces the floor within twice a small height that lies within the height:
        1 of a flat, 0.5 of a ball.
    evenness : float
        The same, of that only which faces the floor squarely: small round tips have none.
    """

    down: Floats
    area: float
    share: float
    open_share: float
    feet: int
    tip_deg: float
    support: float
    flatness: float
    evenness: float

    @property
    def is_stable(self) -> bool:
        """Whether its middle is over what touches."""
        return self.tip_deg >= 0.0

    @property
    def is_flat(self) -> bool:
        """Whether what touches is flat, not the lowest part of a curved skin."""
        return self.flatness >= FLAT


@dataclass(frozen=True, eq=False)
class Resting:
    """A surface with what every way of standing it asks for, worked out once.

    Attributes
    ----------
    surface : Surface
        Open or closed, any unit.
    is_closed : bool
        Whether it is known to have no open edge.
    """

    surface: Surface
    is_closed: bool = False

    @cached_property
    def used(self) -> np.ndarray:
        """(k,) vertices that faces use."""
        is_used = np.zeros(len(self.surface.vertices), dtype=bool)
        is_used[self.surface.faces.ravel()] = True
        return np.flatnonzero(is_used)

    @cached_property
    def hull(self) -> ConvexHull | None:
        """The convex hull of the used vertices; None of a sheet without thickness."""
        try:
            return ConvexHull(self.surface.vertices[self.used])
        except (QhullError, ValueError):
            return None

    @cached_property
    def corners(self) -> Floats:
        """(k, 3) points of the hull: of them alone is every outline made."""
        used = self.surface.vertices[self.used]
        return used if self.hull is None else used[self.hull.vertices]

    @cached_property
    def size(self) -> float:
        """Diagonal of the bounding box."""
        return float(np.linalg.norm(np.ptp(self.surface.vertices[self.used], axis=0)))

    @cached_property
    def rim(self) -> np.ndarray:
        """(k, 2) open edges, in the direction a face filling the hole would run."""
        if self.is_closed:
            return np.zeros((0, 2), dtype=np.int64)
        ends = self.surface.faces[:, [[1, 0], [2, 1], [0, 2]]].reshape(-1, 2).astype(np.int64)
        n = len(self.surface.vertices)
        ahead, back = ends[:, 0] * n + ends[:, 1], ends[:, 1] * n + ends[:, 0]
        back.sort()
        place = np.minimum(np.searchsorted(back, ahead), len(back) - 1)
        return ends[back[place] != ahead]

    @cached_property
    def middle(self) -> Floats:
        """(3,) middle by area: it holds for open scans too; without any, that of the points."""
        areas = self.surface.face_areas
        if not areas.sum() > 0:
            return np.asarray(self.surface.vertices[self.used].mean(axis=0))
        total = sum(areas @ self.surface.vertices[corner] for corner in self.surface.faces.T)
        return np.asarray(total / (3.0 * areas.sum()))

    def low(self, down: Floats, reach: float) -> tuple[np.ndarray, np.ndarray]:
        """Return (n,) whether a vertex is within reach of the floor, and the faces all of it."""
        height = -(self.surface.vertices @ down)
        near = height <= height[self.used].min() + reach
        one, two, three = self.surface.faces.T
        return near, np.flatnonzero(near[one] & near[two] & near[three])

    def contact(self, down: Floats, reach: float) -> tuple[float, float]:
        """Return (area of faces, area of level rims) that touch the floor [mm^2]."""
        near, faces = self.low(down, reach)
        toward = 0.5 * self.surface.face_vectors[faces] @ down
        flat = float(toward[toward >= FACING * self.surface.face_areas[faces]].sum())
        return flat, max(0.0, float(self.rim_vector(near) @ down))

    def flatness(self, down: Floats, facing: float) -> float:
        """Return how little the area that faces the floor grows with the height looked at.

        The best of two heights: a rough base has its area a little higher, a worn one lower.
        `facing` is the cosine within which what lies low must face the floor.
        """
        surface = self.surface
        height = -(surface.vertices @ down)
        height -= height[self.used].min()
        low = height <= 2.0 * TOUCH * self.size
        faces = np.flatnonzero(low[surface.faces].any(axis=1))
        middle = height[surface.faces[faces]].mean(axis=1)
        toward = 0.5 * surface.face_vectors[faces] @ down
        areas = surface.face_areas[faces]

        def below(reach: float, least: float) -> float:
            flat = toward[(middle <= reach) & (toward > least * areas)].sum()
            return float(flat) + max(0.0, float(self.rim_vector(height <= reach) @ down))

        best = 0.0
        for reach in (0.5 * TOUCH * self.size, TOUCH * self.size):
            whole = below(2.0 * reach, _WALL)
            best = max(best, below(reach, facing) / whole if whole > 0 else 0.0)
        return best

    def rim_vector(self, near: np.ndarray) -> Floats:
        """Return the (3,) area vector of the openings whose rim lies among these vertices."""
        rim = self.rim[near[self.rim].all(axis=1)]
        if not len(rim):
            return np.zeros(3)
        points = self.surface.vertices[rim] - self.surface.vertices[rim[:, 0]].mean(axis=0)
        return np.asarray(0.5 * np.cross(points[:, 0], points[:, 1]).sum(axis=0))

    def fitted(self, down: Floats) -> Floats:
        """Fit the direction to the faces and rims that touch, or to what it settles on.

        The faces of a base, averaged, tell its direction well. Of feet that stand apart they tell
        it badly: toes that are round on one side lean the average, and it stands on some of them
        only. What a piece comes to rest on is told by the points that touch.
        """
        fitted = self._averaged(down)
        settled = self._settled(fitted)
        bears, more = (sum(self.contact(way, CLOSE * self.size)) for way in (fitted, settled))
        return settled if more > BEARS_MORE * bears else fitted

    def _settled(self, down: Floats) -> Floats:
        """Return the flat of the hull that it comes to rest on, set down so; `down` if far off.

        Rolled over the edges of each flat that its middle is not over: every one lies lower.
        """
        if self.hull is None:
            return down
        normals, depths = self.hull.equations[:, :3], self.hull.equations[:, 3]
        below = -(normals @ self.middle + depths)
        way = down
        for _ in range(_MOST_ROLLS):
            toward = normals @ way
            reached = np.where(toward > 0, below / np.where(toward > 0, toward, 1.0), np.inf)
            met = normals[reached.argmin()]
            if met @ down < np.cos(np.radians(SETTLES_DEG)):
                return down
            if met @ way > 1 - 1e-12:
                break
            way = met
        return np.asarray(way)

    def _averaged(self, down: Floats) -> Floats:
        """Return the mean direction of the faces and rims that touch."""
        for reach in (2 * TOUCH, TOUCH, TOUCH):
            near, faces = self.low(down, reach * self.size)
            vectors = 0.5 * self.surface.face_vectors[faces]
            facing = vectors @ down >= FACING * self.surface.face_areas[faces]
            vector = vectors[facing].sum(axis=0) + self.rim_vector(near)
            length = float(np.linalg.norm(vector))
            if (
                length <= 1e-3 * float(self.surface.face_areas.sum())
                or vector @ down < 0.9 * length
            ):
                return down
            down = vector / length
        return down


def ground_of(body: Resting, down: Floats, *, open_area: float | None = None) -> Ground:
    """Return what a body rests on with `down` toward the floor.

    Parameters
    ----------
    body : Resting
    down : (3,) float
        Unit vector.
    open_area : float, optional
        Area of the opening it stands on [mm^2], where its rim is too uneven to be found level.
    """
    surface = body.surface
    turn = turn_between(down, [0.0, 0.0, -1.0])
    flat, rims = body.contact(down, TOUCH * body.size)
    rims = rims if open_area is None else open_area
    shadow = _hull_area(body.corners @ turn[:2].T)
    height = surface.vertices @ turn[2]
    height -= height[body.used].min()
    low = height <= FOOT * body.size
    one, two, three = surface.faces.T
    near = np.flatnonzero(low[one] | low[two] | low[three])
    reach = (TOUCH if open_area is None else UNEVEN) * body.size
    touching = surface.vertices[body.used[height[body.used] <= reach]] @ turn.T
    middle = turn @ body.middle
    return Ground(
        down=down,
        area=flat + rims,
        share=min(1.0, (flat + rims) / shadow) if shadow > 0 else 0.0,
        open_share=rims / shadow if shadow > 0 else 0.0,
        feet=_patches(surface, near, surface.face_areas),
        tip_deg=_tip_deg(touching, middle),
        support=_hull_area(touching[:, :2]),
        flatness=body.flatness(down, _WALL) if open_area is None else 1.0,
        evenness=body.flatness(down, FACING) if open_area is None else 1.0,
    )


def legs_of(body: Resting, down: Floats) -> int:
    """Return how many parts that are separate over a good part of the height reach the floor.

    What lies on three points by chance is one thing a little higher up; a stool is not.
    """
    surface = body.surface
    height = -(surface.vertices @ down)
    height -= height[body.used].min()
    lowest = height[surface.faces].min(axis=1)
    low = np.flatnonzero(lowest <= LEG * float(height[body.used].max()))
    number = _labels(surface, low)
    least = np.full(number.max() + 1, np.inf)
    np.minimum.at(least, number, lowest[low])
    return int((least <= FOOT * body.size).sum())


def depth_for(body: Resting, down: Floats, share: float) -> float:
    """Return the least height (a share of the whole) at which a cut has that much outline.

    The area of a level cut is what faces down below it less what faces up.
    """
    turn = turn_between(down, [0.0, 0.0, -1.0])
    height = body.surface.vertices @ turn[2]
    height -= height[body.used].min()
    middle = height[body.surface.faces].mean(axis=1)
    order = np.argsort(middle)
    upward = 0.5 * body.surface.face_vectors @ turn[2]
    total = np.concatenate([[0.0], np.cumsum(-upward[order])])
    depth = np.linspace(0.0, DEEPEST, 101)[1:]
    section = total[np.searchsorted(middle[order], depth * float(height[body.used].max()))]
    enough = np.flatnonzero(section >= share * _hull_area(body.corners @ turn[:2].T))
    return float(depth[enough[0]]) if len(enough) else DEEPEST


def _hull_area(points: Floats) -> float:
    try:
        return float(ConvexHull(points).volume)  # of a flat hull the "volume" is the area
    except (QhullError, ValueError):
        return 0.0


def _patches(surface: Surface, chosen: np.ndarray, areas: Floats) -> int:
    if not len(chosen):
        return 0
    size = np.bincount(_labels(surface, chosen), areas[chosen])
    return int((size >= LEAST_FOOT * size.max()).sum())


def _labels(surface: Surface, chosen: np.ndarray) -> np.ndarray:
    """Return (k,) the number of the connected patch that each of the chosen faces is part of."""
    k, n = len(chosen), len(surface.vertices)
    rows = np.repeat(np.arange(k), 3)
    graph = coo_array(
        (np.ones(len(rows), np.int8), (rows, k + surface.faces[chosen].ravel())),
        shape=(k + n, k + n),
    )
    label = connected_components(graph, directed=False)[1][:k]
    return np.unique(label, return_inverse=True)[1]


def _tip_deg(touching: Floats, middle: Floats) -> float:
    """How far a piece may be tipped over the edges of what touches [degrees]."""
    try:
        hull = ConvexHull(touching[:, :2])
    except (QhullError, ValueError):
        return -90.0
    past = (hull.equations[:, :2] @ middle[:2] + hull.equations[:, 2]).max()
    return float(np.degrees(np.arctan2(-past, middle[2] - touching[:, 2].min())))
