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
# feet are counted a little higher up, as a bench would show them.
FOOT = 0.012
# an opening with an uneven rim is stood on up to this share of the diagonal.
UNEVEN = 0.1
# A foot or flat smaller than this share of the largest is not counted.
LEAST_FOOT = 0.02


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
    is_stable : bool
        Whether the middle of the piece is over them.
    depth, section : (k,) float64
        Area [mm^2] of the cut at each height above the floor (a share of the height), rising.
    shadow : float
        Area of the outline seen from below, its hull [mm^2].
    """

    down: Floats
    area: float
    share: float
    open_share: float
    feet: int
    is_stable: bool
    depth: Floats
    section: Floats
    shadow: float

    def depth_for(self, share: float) -> float:
        """Return the least height (a share of the whole) at which a cut has that much outline."""
        enough = np.flatnonzero(self.section >= share * self.shadow)
        return float(self.depth[enough[0]]) if len(enough) else float(self.depth[-1])


@dataclass(frozen=True, eq=False)
class Resting:
    """A surface with what every way of standing it asks for, worked out once.

    Attributes
    ----------
    surface : Surface
        Open or closed, any unit.
    """

    surface: Surface

    @cached_property
    def used(self) -> np.ndarray:
        """(k,) vertices that faces use."""
        return np.unique(self.surface.faces)

    @cached_property
    def size(self) -> float:
        """Diagonal of the bounding box."""
        return float(np.linalg.norm(np.ptp(self.surface.vertices[self.used], axis=0)))

    @cached_property
    def rim(self) -> np.ndarray:
        """(k, 2) open edges, in the direction a face filling the hole would run."""
        ends = self.surface.faces[:, [[1, 0], [2, 1], [0, 2]]].reshape(-1, 2).astype(np.int64)
        n = len(self.surface.vertices)
        ahead, back = ends[:, 0] * n + ends[:, 1], ends[:, 1] * n + ends[:, 0]
        return ends[~np.isin(ahead, back)]

    @cached_property
    def middle(self) -> Floats:
        """(3,) middle by area: it holds for open scans too."""
        centres = self.surface.vertices[self.surface.faces].mean(axis=1)
        areas = self.surface.face_areas
        return np.asarray((centres * areas[:, None]).sum(axis=0) / areas.sum())

    def low(self, down: Floats, reach: float) -> tuple[np.ndarray, np.ndarray]:
        """Return (n,) whether a vertex is within reach of the floor, and the faces all of it."""
        height = -(self.surface.vertices @ down)
        near = height <= height[self.used].min() + reach
        return near, np.flatnonzero(near[self.surface.faces].all(axis=1))

    def contact(self, down: Floats, reach: float) -> tuple[float, float]:
        """Return (area of faces, area of level rims) that touch the floor [mm^2]."""
        near, faces = self.low(down, reach)
        toward = 0.5 * self.surface.face_vectors[faces] @ down
        flat = float(toward[toward >= FACING * self.surface.face_areas[faces]].sum())
        return flat, max(0.0, float(self.rim_vector(near) @ down))

    def rim_vector(self, near: np.ndarray) -> Floats:
        """Return the (3,) area vector of the openings whose rim lies among these vertices."""
        rim = self.rim[near[self.rim].all(axis=1)]
        if not len(rim):
            return np.zeros(3)
        points = self.surface.vertices[rim] - self.surface.vertices[rim[:, 0]].mean(axis=0)
        return np.asarray(0.5 * np.cross(points[:, 0], points[:, 1]).sum(axis=0))

    def fitted(self, down: Floats) -> Floats:
        """Fit the direction to the faces and rims that touch."""
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
    points = surface.vertices @ turn.T
    points[:, 2] -= points[body.used, 2].min()
    flat, rims = body.contact(down, TOUCH * body.size)
    rims = rims if open_area is None else open_area
    shadow = _hull_area(points[body.used, :2])
    depth, section = _sections(points, 0.5 * surface.face_vectors @ turn[2], surface.faces)
    low: np.ndarray = points[surface.faces, 2].min(axis=1)
    near = np.flatnonzero(low <= FOOT * body.size)
    touching = points[body.used]
    reach = (TOUCH if open_area is None else UNEVEN) * body.size
    return Ground(
        down=down,
        area=flat + rims,
        share=min(1.0, (flat + rims) / shadow) if shadow > 0 else 0.0,
        open_share=rims / shadow if shadow > 0 else 0.0,
        feet=_patches(surface, near, surface.face_areas),
        is_stable=_over(touching[touching[:, 2] <= reach][:, :2], (turn @ body.middle)[:2]),
        depth=depth,
        section=section,
        shadow=shadow,
    )


def _hull_area(points: Floats) -> float:
    try:
        return float(ConvexHull(points).volume)  # of a flat hull the "volume" is the area
    except (QhullError, ValueError):
        return 0.0


def _sections(points: Floats, upward: Floats, faces: np.ndarray) -> tuple[Floats, Floats]:
    """Area of the level cut at a hundred heights: what faces down below it less what faces up."""
    middle = points[faces, 2].mean(axis=1)
    tall = float(points[:, 2].max())
    depth = np.linspace(0.0, 0.25, 101)[1:]
    order = np.argsort(middle)
    total = np.concatenate([[0.0], np.cumsum(-upward[order])])
    return depth, total[np.searchsorted(middle[order], depth * tall)]


def _patches(surface: Surface, chosen: np.ndarray, areas: Floats) -> int:
    if not len(chosen):
        return 0
    m, n = len(surface.faces), len(surface.vertices)
    rows = np.repeat(chosen, 3)
    graph = coo_array(
        (np.ones(len(rows), np.int8), (rows, m + surface.faces[chosen].ravel())),
        shape=(m + n, m + n),
    )
    _, label = connected_components(graph, directed=False)
    _, number = np.unique(label[chosen], return_inverse=True)
    size = np.bincount(number, areas[chosen])
    return int((size >= LEAST_FOOT * size.max()).sum())


def _over(touching: Floats, middle: Floats) -> bool:
    """Whether the middle is over what touches, seen from above."""
    try:
        hull = ConvexHull(touching)
    except (QhullError, ValueError):
        return False
    return bool((hull.equations[:, :2] @ middle + hull.equations[:, 2] <= 0).all())
