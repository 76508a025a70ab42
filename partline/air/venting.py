"""Plan the vents: the fewest that bring the air that stays under a stated volume.

A vent is open while the mould stands upright; while it is tipped and rocked it is stopped with
a bit of clay. So it empties the pockets of the upright mould, and it is planned only for what
filling tipped and rocking leave there.

The air that vents free is that of the merge tree's paths from their ends down to where a pocket
spills, shared stretches once. For so many vents the most is reached by always taking the path
that adds most (Steel 2005, "Phylogenetic diversity and the greedy algorithm"; Pardi and Goldman
2005), so each pocket's best one, two, three ... vents are known; how many each pocket gets is
then a small dynamic programme. Tried against all sets of places in the tests.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike
from scipy.spatial import cKDTree

from partline.air.cavity import Cavity
from partline.air.holding import Holding
from partline.air.pockets import VISIBLE_MM, trapped_air
from partline.air.trapped_air import TrappedAir
from partline.air.turning import pose
from partline.air.vent import Unvented, Vent, VentPlan
from partline.air.ways_out import LEANS_DEG, WayOut, check_outline, first_way_out
from partline.errors import CavityError
from partline.geometry.surface import Floats, Ints
from partline.progress import Progress, silent

UP = np.array([0.0, 0.0, -1.0])
# The end of a vent lies in the part of a top above which no more than a bubble is left; where no
# way leads out from there, lower down, above which these shares of the top's air are left.
LOWER = (0.1, 0.3)
# So many places of one top are looked at, and so many tops of a whole cavity.
MOST_PLACES = 400
MOST_TOPS = 200


@dataclass(frozen=True, eq=False)
class _End:
    """The end of a vent that could be."""

    vertex: int
    way: WayOut
    detail: float


@dataclass(eq=False)
class _Search:
    """What is known while places are looked at: which top has one, and what it leaves."""

    cavity: Cavity
    at: Holding
    points: cKDTree
    outline: Floats
    weights: Floats
    diameter_mm: float
    visible_mm3: float
    ends: dict[int, _End | None] = field(default_factory=dict)
    lost: dict[int, float] = field(default_factory=dict)
    places: int = 0

    @property
    def spent(self) -> bool:
        """Whether so many tops have been looked at that the rest are let be."""
        return len(self.ends) >= MOST_TOPS


def plan_vents(
    cavity: Cavity,
    outline: ArrayLike,
    *,
    level: TrappedAir | None = None,
    air_in: Sequence[float] | None = None,
    weights: ArrayLike | None = None,
    largest_mm3: float = 5.0,
    diameter_mm: float = 2.0,
    visible_mm: float = VISIBLE_MM,
    progress: Progress = silent,
) -> VentPlan:
    """Return the fewest vents that leave no more than so much air in the upright mould.

    Each ends in the top of a pocket, where the detail under it is least, and runs straight to
    the mouth face, upright where that is free: one that came out at a side would leak first. No
    vent is planned that saves less than a ball as wide as itself: its stub would be the larger
    blemish.

    Parameters
    ----------
    cavity : Cavity
        In the stand's pose: mouth at its lowest z, up -Z.
    outline : (c, 2) float
        Convex outline of the mouth face, counter-clockwise [mm].
    level : TrappedAir, optional
        Of the upright mould, where it is known.
    air_in : sequence of float, optional
        What each visible pocket of the upright mould holds once it is filled and rocked; full if
        left out [mm^3].
    weights : (n,) float, optional
        Detail at the cavity's vertices; vents keep off it [1].
    largest_mm3 : float
        The most air that may stay [mm^3].
    diameter_mm : float
        Of a vent [mm].
    visible_mm : float
        Pockets smaller than a bubble of this diameter are let be [mm].
    progress : Progress

    Raises
    ------
    CavityError
        If a size is not above 0, or the outline, air or weights do not fit the cavity.
    """
    ring = np.asarray(outline, dtype=np.float64)
    if level is None:
        level = trapped_air(cavity, UP, visible_mm=visible_mm)
    air, detail = _checked(cavity, level, ring, air_in, weights, largest_mm3, diameter_mm)
    before = sum(air)
    if before <= largest_mm3:
        return VentPlan((), before, before, largest_mm3, tuple(air), True, 0, (),
                        (_enough(before, largest_mm3),))  # fmt: skip
    search = _Search(
        cavity, pose(cavity, UP, capped=False), cKDTree(cavity.fans.vertices), ring, detail,
        diameter_mm, np.pi / 6.0 * visible_mm**3,
    )  # fmt: skip
    worth = np.pi / 6.0 * diameter_mm**3
    ladders: list[list[tuple[float, int]]] = []
    for i, pocket in enumerate(level.pockets):
        progress(i / len(level.pockets), "Looking for vents")
        closed = not np.isfinite(pocket.spill_level_mm)
        ladders.append([] if air[i] < worth or closed else _ladder(search, pocket.tops, worth))
    room = [p.volume_mm3 for p in level.pockets]
    counts = _shared_out(air, room, ladders, largest_mm3, search.visible_mm3)
    # The one that frees most first.
    chosen = sorted((-freed, i, top) for i, n in enumerate(counts) for freed, top in ladders[i][:n])
    ends = [(i, end) for _, i, top in chosen if (end := search.ends[top]) is not None]
    vents, left = _opened(search, level, air, ends)
    progress(1.0, "Vents planned")
    unvented = _unvented(search, level, left, worth, ladders, counts)
    fewest = not search.spent
    return VentPlan(
        vents, before, sum(left), largest_mm3, tuple(left), fewest, search.places, unvented,
        _words(before, sum(left), largest_mm3, len(vents), search.places, fewest),
    )  # fmt: skip


def _checked(
    cavity: Cavity, level: TrappedAir, outline: Floats, air_in: Sequence[float] | None,
    weights: ArrayLike | None, largest_mm3: float, diameter_mm: float,
) -> tuple[list[float], Floats]:  # fmt: skip
    """Return what each pocket holds and the detail at each vertex, or say what is wrong."""
    for name, value, unit in (
        ("diameter", diameter_mm, "mm"),
        ("the most air that may stay", largest_mm3, "mm³"),
    ):
        if not (np.isfinite(value) and value > 0):
            raise CavityError(f"Vents: {name} is {value:g} {unit}; it must be more than 0.")
    check_outline(outline)
    air = [p.volume_mm3 for p in level.pockets] if air_in is None else [float(v) for v in air_in]
    if len(air) != len(level.pockets):
        raise CavityError(
            f"Air is given for {len(air)} pockets; the upright mould has {len(level.pockets)}."
        )
    n = len(cavity.surface.vertices)
    detail = np.zeros(n) if weights is None else np.asarray(weights, dtype=np.float64)
    if detail.shape != (n,):
        raise CavityError(f"Detail is given at {detail.shape} vertices; the cavity has {n}.")
    return [min(a, p.volume_mm3) for a, p in zip(air, level.pockets, strict=True)], detail


def _ladder(search: _Search, tops: Ints, worth_mm3: float) -> list[tuple[float, int]]:
    """Return (air freed, top) of a pocket's vents, the most first, each worth its stub.

    Only tops on a path that counts are looked at for a place and a way out; where there is none
    the next best top stands in.
    """
    at = search.at
    root = int(at.work.label[at.first_vertex[tops[0]]])
    while at.parent[root] >= 0:
        root = int(at.parent[root])
    while True:
        paths = [p for p in _paths(search, root) if p[0] >= worth_mm3]
        fresh = next((top for _, top in paths if top not in search.ends), None)
        if fresh is None or search.spent:
            return [(freed, top) for freed, top in paths if search.ends.get(top) is not None]
        _look(search, fresh)


def _paths(search: _Search, root: int) -> list[tuple[float, int]]:
    """Return (air, top) for every path of the tree's decomposition, most air first.

    At each node the child that frees more goes on down with the node's own band of air; the
    other's path ends there. A top is a node none of whose parts holds more than a bubble.
    """
    at = search.at
    order, stack = [], [root]
    while stack:
        node = stack.pop()
        order.append(node)
        stack += _parts_of(search, node)
    best: dict[int, tuple[float, int]] = {}
    done: list[tuple[float, int]] = []
    for node in reversed(order):
        parts = _parts_of(search, node)
        if not parts:
            freed = at.room(node) - search.lost.get(node, 0.0)
            none = node in search.ends and search.ends[node] is None
            best[node] = (-np.inf if none else freed, node)
            continue
        band = at.room(node) - sum(at.room(part) for part in at.children(node))
        more, *less = sorted((best.pop(part) for part in parts), reverse=True)
        done += less
        best[node] = (more[0] + max(band, 0.0), more[1])
    return sorted([*done, best[root]], key=lambda p: (-p[0], p[1]))


def _parts_of(search: _Search, node: int) -> list[int]:
    """Return the children of a node that hold more than a bubble."""
    if node < search.at.count:
        return []
    return [c for c in search.at.children(node) if search.at.room(c) >= search.visible_mm3]


def _look(search: _Search, top: int) -> None:
    """Look for the place with the least detail in a top that has a straight way out."""
    at = search.at
    room = at.room(top)
    search.ends[top] = None
    for left in (min(search.visible_mm3, 0.5 * room), *(share * room for share in LOWER)):
        vertices = at.vertices_above(top, at.level_of(top, left))
        if len(vertices) == 0:
            continue
        detail = _under(search, vertices)
        height, points = at.work.heights[vertices], at.fans.vertices[vertices]
        off = np.linalg.norm(points - points.mean(axis=0), axis=1)
        best = np.lexsort((off, -height, np.round(detail, 2)))
        best = best[
            np.unique(np.linspace(0, len(best) - 1, min(len(best), MOST_PLACES)).astype(int))
        ]
        search.places += len(best)
        mouth = float(at.fans.vertices[at.fans.outlets, 2].min())
        way = first_way_out(
            search.cavity.surface.rays, points[best], search.outline, mouth, search.diameter_mm
        )
        if way is not None:
            i = int(best[way.place])
            search.ends[top] = _End(int(vertices[i]), way, float(detail[i]))
            search.lost[top] = at.air_above(top, float(height[i]))
            return


def _under(search: _Search, vertices: Ints) -> Floats:
    """Return the finest detail within half a diameter of each vertex of the fans."""
    fans = search.at.fans
    near = search.points.query_ball_point(fans.vertices[vertices], 0.5 * search.diameter_mm)
    return np.array([search.weights[fans.original[some]].max() for some in near])


def _shared_out(
    air: list[float], room: list[float], ladders: list[list[tuple[float, int]]],
    largest_mm3: float, visible_mm3: float,
) -> list[int]:  # fmt: skip
    """Return how many vents each pocket gets: the fewest in all that leave little enough.

    Where no number does, the fewest that leave the least, within a bubble.
    """
    totals, ways = np.zeros(1), [[0] * 0]
    for a, volume, ladder in zip(air, room, ladders, strict=True):
        left = volume - np.cumsum([0.0, *(freed for freed, _ in ladder)])
        left = np.minimum(a, np.maximum(left, 0.0))
        more = np.full(len(totals) + len(ladder), np.inf)
        then: list[list[int]] = [[] for _ in more]
        for k, so_far in enumerate(totals):
            for n, here in enumerate(left):
                if so_far + here < more[k + n]:
                    more[k + n] = so_far + here
                    then[k + n] = [*ways[k], n]
        totals, ways = more, then
    enough = totals <= max(largest_mm3, float(totals.min()) + visible_mm3)
    return ways[int(np.argmax(enough))]


def _opened(
    search: _Search, level: TrappedAir, air: list[float], ends: list[tuple[int, _End]]
) -> tuple[tuple[Vent, ...], list[float]]:
    """Open vents one by one and follow the air anew each time."""
    visible = (6.0 * search.visible_mm3 / np.pi) ** (1.0 / 3.0)
    fans = search.at.fans
    left, vents, cavity = list(air), [], search.cavity
    for i, end in ends:
        place, vertex = fans.vertices[end.vertex].copy(), int(fans.original[end.vertex])
        cavity = cavity.with_outlets([vertex])
        then = _left(cavity, level, air, visible)
        vents.append(Vent(
            place=place, vertex=vertex, pocket=i, direction=end.way.direction,
            exit=place + end.way.length_mm * end.way.direction, length_mm=end.way.length_mm,
            lean_deg=end.way.lean_deg, diameter_mm=search.diameter_mm, detail=end.detail,
            saves_mm3=sum(left) - sum(then),
        ))  # fmt: skip
        left = then
    return tuple(vents), left


def _left(
    cavity: Cavity, level: TrappedAir, air: Sequence[float], visible_mm: float
) -> list[float]:
    """Return what stays in each pocket of the closed mould with more outlets open [mm^3]."""
    stays = np.zeros(len(level.pockets))
    for pocket in trapped_air(cavity, UP, visible_mm=visible_mm).pockets:
        homes = level.pocket_of[pocket.tops]
        homes = homes[homes >= 0]
        if len(homes):
            stays[homes[0]] += pocket.volume_mm3
    return np.minimum(air, stays).tolist()


def _unvented(
    search: _Search, level: TrappedAir, left: list[float], worth_mm3: float,
    ladders: list[list[tuple[float, int]]], counts: list[int],
) -> tuple[Unvented, ...]:  # fmt: skip
    found = []
    blocked = {
        level.pocket_of[search.at.fans.original[search.at.work.tops[search.at.leaves(top)]]].max()
        for top, end in search.ends.items()
        if end is None or search.lost[top] >= search.visible_mm3
    }
    for i, (pocket, volume) in enumerate(zip(level.pockets, left, strict=True)):
        if volume < search.visible_mm3:
            continue
        if not np.isfinite(pocket.spill_level_mm):
            why = "no resin comes there: it has no way to the mouth"
        elif volume < worth_mm3:
            why = f"less than a ball as wide as the vent itself ({_mm3(worth_mm3)})"
        elif counts[i] < len(ladders[i]):
            why = "without one so little stays that it may"
        elif i in blocked:
            why = (
                "from as high as it lies no straight way, upright or leaning up to "
                f"{LEANS_DEG[-1]:.0f} degrees, reaches the mouth face beside the piece"
            )
        else:
            why = "more vents would each save less than a ball as wide as themselves"
        found.append(Unvented(i, volume, pocket.apex.copy(), why))
    return tuple(sorted(found, key=lambda u: -u.volume_mm3))


def _enough(before: float, largest: float) -> str:
    if before <= 0.0:
        return "No air that shows stays; no vent is needed."
    return f"{_mm3(before)} stays, which may ({_mm3(largest)}); no vent is needed."


def _words(
    before: float, after: float, largest: float, vents: int, places: int, fewest: bool
) -> tuple[str, ...]:
    if vents == 0:
        return (
            f"{_mm3(before)} of air stays, more than may ({_mm3(largest)}), and no vent is worth "
            "its stub or can be made; see why below.",
        )
    claim = (
        f"no fewer at the {places} places looked at do as much"
        if fewest
        else f"not all places were looked at, only {places}; fewer might do"
    )
    bring = "One vent brings" if vents == 1 else f"{vents} vents bring"
    said = f"{bring} {_mm3(before)} of air down to {_mm3(after)}: {claim}."
    more = () if after <= largest else (
        f"That is still more than may stay ({_mm3(largest)}); see why below.",
    )  # fmt: skip
    return (said, *more)


def _mm3(volume: float) -> str:
    return f"{volume:.0f} mm³" if volume >= 10.0 else f"{volume:.2g} mm³"
