"""Plan the rocking: the fewest listed moves that bring the most air to the mouth."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import networkx as nx
import numpy as np
from numpy.typing import ArrayLike

from partline.air.cavity import Cavity
from partline.air.hold import hold_s, worth_waiting_for
from partline.air.holding import Holding
from partline.air.pockets import VISIBLE_MM, direction, trapped_air
from partline.air.rocking_plan import Kept, Move, RockingPlan
from partline.air.trapped_air import Pocket
from partline.air.turning import Held, angles, at_mouth, carried, let_go, pose, poses
from partline.errors import CavityError
from partline.geometry.directions import turn_between
from partline.geometry.surface import Floats
from partline.progress import Progress, silent, span

AZIMUTHS = 16
TILTS = 3
# Above so many pockets sets of them are too many to go through; each move is then the best next.
MOST_POCKETS = 20
STEP_DEG = 5.0
# A set of pockets is written as the numbers of those that hold visible air.
Pockets = frozenset[int]
Way = tuple[float, float]


@dataclass(frozen=True, eq=False)
class _Level:
    """The upright pose, its pockets, and which leaf belongs to which of them."""

    cavity: Cavity
    at: Holding
    up: Floats
    front: Floats
    pockets: tuple[Pocket, ...]
    air_in: tuple[float, ...]
    of_leaf: dict[int, int]
    visible_mm3: float

    @property
    def start(self) -> Pockets:
        """The pockets that hold visible air to begin with."""
        return frozenset(i for i, v in enumerate(self.air_in) if v >= self.visible_mm3)

    def tipped(self, azimuth_deg: float, tilt_deg: float) -> Floats:
        """Return up in the cavity's pose when that side is down by that much."""
        a, t = np.radians(azimuth_deg), np.radians(tilt_deg)
        right = np.cross(self.front, self.up)
        side = np.cos(a) * self.front + np.sin(a) * right
        return np.cos(t) * self.up - np.sin(t) * side

    def poses(self, azimuth_deg: float, tilts: Floats) -> list[Holding]:
        return poses(self.cavity, [self.tipped(azimuth_deg, t) for t in tilts], capped=True)

    def amounts(self, held: Held) -> Floats:
        """Return what each pocket holds [mm^3]."""
        amount = np.zeros(len(self.pockets))
        for node, volume in at_mouth(self.at, held)[1].items():
            for leaf in self.at.leaves(node):
                if int(leaf) in self.of_leaf:
                    amount[self.of_leaf[int(leaf)]] += volume
                    break
        return amount

    def occupied(self, held: Held) -> Pockets:
        """Return the pockets that hold visible air."""
        return frozenset(np.flatnonzero(self.amounts(held) >= self.visible_mm3).tolist())


def plan_rocking(
    cavity: Cavity,
    *,
    up: ArrayLike = (0.0, 0.0, -1.0),
    air_in: Sequence[float] | None = None,
    max_tilt_deg: float = 60.0,
    max_moves: int = 3,
    visible_mm: float = VISIBLE_MM,
    viscosity_pa_s: float = 0.1,
    density: float = 1.05,
    progress: Progress = silent,
) -> RockingPlan:
    """Return the fewest moves of the capped mould that leave the least air in the piece.

    The mould is full and capped: nothing leaves, air that reaches the mouth stays there while
    the mould stands upright, and comes back when it does not. A move goes from upright to a tilt
    and back. Where each pocket's air goes is followed for every listed move; the fewest moves
    are the shortest way through the sets of pockets that hold air (Dijkstra's and breadth-first
    search on a directed graph); their volumes are then followed together in ever finer steps
    until they change by less than 1 %.

    Parameters
    ----------
    cavity : Cavity
    up : (3,) float
        Up with the mould upright, in the cavity's pose.
    air_in : sequence of float, optional
        What each visible pocket of the upright pose holds, as `TippedFill.left_in`; full if left
        out [mm^3].
    max_tilt_deg : float
        Steepest tilt listed [degrees].
    max_moves : int
        At most so many.
    visible_mm : float
        Pockets smaller than a bubble of this diameter are let be [mm].
    viscosity_pa_s, density : float
        Of the resin, for how long to hold [Pa s], [g/cm^3].
    progress : Progress

    Raises
    ------
    CavityError
        If `up` has no length, or the tilt or count is out of range.

    References
    ----------
    Barnes, Callaghan and Wickert (2020), fill-spill-merge on a hierarchy of depressions, here
    for air upside down.
    """
    if not 0.0 < max_tilt_deg < 180.0 or max_moves < 0:
        raise CavityError(
            f"A tilt of {max_tilt_deg:g} degrees or {max_moves} moves cannot be planned; the tilt "
            "must lie between 0 and 180 and the moves be none or more."
        )
    level = _level(cavity, direction(up), visible_mm, air_in)
    before = sum(level.air_in)
    if not level.start or max_moves == 0:
        return _nothing(before, level)
    images = _images(level, max_tilt_deg, span(progress, 0.0, 0.7))
    chosen, fewest = _chosen(level, images, max_moves)
    step, states = _followed(level, chosen, span(progress, 0.7, 1.0))
    after = [_stays(level, s) for s in states]
    # A last move that frees less than a bubble is not worth a hand's time.
    while chosen and (after[-2] if len(after) > 1 else before) - after[-1] < level.visible_mm3:
        chosen, after, states = chosen[:-1], after[:-1], states[:-1]
    if not chosen:
        return _nothing(before, level)
    holds = [
        hold_s(bubble, cavity.fans.size, viscosity_pa_s=viscosity_pa_s, density=density)
        for bubble in _waited_for(level, states)
    ]
    kept = _kept(level, states[-1], images, max_tilt_deg)
    progress(1.0, "Rocking planned")
    return RockingPlan(
        moves=tuple(Move(a, t, hold) for (a, t), hold in zip(chosen, holds, strict=True)),
        before_mm3=before,
        after_mm3=after[-1],
        after_each_mm3=tuple(after),
        top_up_mm3=before - after[-1],
        kept=kept,
        fewest=fewest,
        listed=len(images),
        step_deg=step,
        words=_words(before, after[-1], len(chosen), len(images), fewest),
    )


def _level(cavity: Cavity, up: Floats, visible_mm: float, air_in: Sequence[float] | None) -> _Level:
    at = pose(cavity, up, capped=True)
    pockets = trapped_air(cavity, up, visible_mm=visible_mm).pockets
    volumes = [p.volume_mm3 for p in pockets] if air_in is None else list(air_in)
    if len(volumes) != len(pockets):
        raise CavityError(
            f"Air is given for {len(volumes)} pockets; the upright mould has {len(pockets)}."
        )
    # Nothing leads out of a body without an outlet: it is no use to rock it.
    loose = [i for i, p in enumerate(pockets) if np.isfinite(p.spill_level_mm)]
    pockets, volumes = tuple(pockets[i] for i in loose), [volumes[i] for i in loose]
    of_leaf = at.leaves_of([p.tops for p in pockets])
    # The front is -Y, or the nearest to it square to up.
    front = turn_between([0.0, 0.0, 1.0 if up[2] >= 0 else -1.0], up) @ np.array([0.0, -1.0, 0.0])
    return _Level(
        cavity, at, up, front, pockets, tuple(volumes), of_leaf, np.pi / 6.0 * visible_mm**3
    )


def _filled(level: _Level, volumes: dict[int, float]) -> Held:
    """Return the upright mould with so much air in some of its pockets."""
    first, pockets = level.at.first_vertex, level.pockets
    return let_go(level.at, [(int(first[pockets[i].tops[0]]), v) for i, v in volumes.items()])


def _images(
    level: _Level, max_tilt_deg: float, progress: Progress
) -> dict[Way, dict[int, Pockets]]:
    """Return for each listed move where the air of each pocket ends, alone."""
    # Steps of at most STEP_DEG, a whole number of them to each of the listed tilts.
    steps = angles(max_tilt_deg, max_tilt_deg / (TILTS * np.ceil(max_tilt_deg / TILTS / STEP_DEG)))
    ends = [len(steps) * (k + 1) // TILTS for k in range(TILTS)]
    images: dict[Way, dict[int, Pockets]] = {}
    full = [_filled(level, {i: p.volume_mm3}) for i, p in enumerate(level.pockets)]
    for n in range(AZIMUTHS):
        azimuth = 360.0 * n / AZIMUTHS
        progress(n / AZIMUTHS, "Rocking the mould, side by side")
        for end, image in _images_of(level, azimuth, steps, ends, full).items():
            images[azimuth, float(steps[end - 1])] = image
    return images


def _images_of(
    level: _Level, azimuth: float, steps: Floats, ends: list[int], full: list[Held]
) -> dict[int, dict[int, Pockets]]:
    """Return for each of the steps at which a move ends where the air of each pocket ends.

    The moves of one side share their way out, and their poses are let go before the next side's
    are made: on a large cavity a pose takes tens of megabytes.
    """
    way = [level.at, *level.poses(azimuth, steps)]
    found: dict[int, dict[int, Pockets]] = {end: {} for end in ends}
    for i, held in enumerate(full):
        for begin, end in pairwise([0, *ends]):
            held = carried(way[begin : end + 1], held)
            found[end][i] = level.occupied(carried(way[end::-1], held))
    return found


def _image(images: dict[int, Pockets], state: Pockets) -> Pockets:
    return frozenset().union(*(images[i] for i in state))


def _left(level: _Level, state: Pockets) -> float:
    return float(sum(level.pockets[i].volume_mm3 for i in state))


def _chosen(
    level: _Level, images: dict[Way, dict[int, Pockets]], max_moves: int
) -> tuple[list[Way], bool]:
    """Return the moves, and whether no fewer of the listed ones reach as little."""
    start = level.start
    # Small tilts first: of equal moves the gentlest is taken.
    ways = sorted(images, key=lambda w: (w[1], w[0]))
    if len(start) > MOST_POCKETS:
        state, chosen = start, []
        for _ in range(max_moves):
            best = min(ways, key=lambda w: _left(level, _image(images[w], state)))
            if _left(level, _image(images[best], state)) >= _left(level, state):
                break
            state = _image(images[best], state)
            chosen.append(best)
        return chosen, False
    graph = nx.DiGraph()
    graph.add_node(start)
    edge, depth = [start], 0
    while edge and depth < max_moves:
        found = []
        for state in edge:
            for way in ways:
                then = _image(images[way], state)
                if then not in graph:
                    found.append(then)
                if not graph.has_edge(state, then):
                    graph.add_edge(state, then, way=way)
        edge, depth = list(dict.fromkeys(found)), depth + 1
    far = nx.single_source_shortest_path_length(graph, start)
    goal = min(far, key=lambda s: (round(_left(level, s), 6), far[s]))
    path = nx.shortest_path(graph, start, goal)
    return [graph.edges[a, b]["way"] for a, b in pairwise(path)], True


def _followed(level: _Level, chosen: Sequence[Way], progress: Progress) -> tuple[float, list[Held]]:
    """Follow all air through the moves in finer steps until it changes by less than 1 %."""
    start = _filled(level, dict(enumerate(level.air_in)))
    step = STEP_DEG
    before = None
    while True:
        states = []
        for state in _states(level, chosen, start, step):
            states.append(state)
            # Each round takes twice as long as the last, and two are the least.
            share = (len(states) / len(chosen) + 1.0) * (STEP_DEG / step) - 1.0
            progress(min(1.0, share / 3.0), "Following the air in the moves")
        stays = _stays(level, states[-1]) if states else 0.0
        close = before is not None and abs(stays - before) <= 0.01 * max(start.total_mm3, 1e-12)
        if close or step <= STEP_DEG / 8 or not states:
            return step, states
        before, step = stays, step / 2


def _states(level: _Level, chosen: Sequence[Way], held: Held, step: float) -> Iterator[Held]:
    for azimuth, tilt in chosen:
        out = [level.at, *level.poses(azimuth, angles(tilt, step))]
        held = carried([*out, *out[-2::-1]], held)
        yield held


def _stays(level: _Level, held: Held) -> float:
    return float(sum(at_mouth(level.at, held)[1].values()))


def _waited_for(level: _Level, states: Sequence[Held]) -> list[float]:
    """Return for each move the smallest bubble that it is held for [mm^3]."""
    held = np.array([level.air_in, *(level.amounts(state) for state in states)])
    freed = np.maximum(held[:-1] - held[1:], 0.0)
    found = [worth_waiting_for(some, visible_mm3=level.visible_mm3) for some in freed]
    # What a move brings from a place that is no pocket upright counts as one visible bubble.
    return [bubble or level.visible_mm3 for bubble in found]


def _kept(
    level: _Level, held: Held, images: dict[Way, dict[int, Pockets]], max_tilt_deg: float
) -> tuple[Kept, ...]:
    """Return what visible air stays upright, largest first, and why."""
    found = []
    for node, volume in at_mouth(level.at, held)[1].items():
        if volume < level.visible_mm3:
            continue
        tops = level.at.work.tops[level.at.leaves(node)]
        top = tops[np.argmax(level.at.work.heights[tops])]
        known = [level.of_leaf[int(x)] for x in level.at.leaves(node) if int(x) in level.of_leaf]
        if not known:
            why = "it came from another pocket and stopped here"
        elif _leads_out(images, known[0]):
            why = "moves lead it to the mouth, but not these; top up, cap and rock once more"
        else:
            why = (
                f"none of the {len(images)} moves that were tried, up to {max_tilt_deg:.0f} "
                "degrees, leads it to the mouth"
            )
        found.append(Kept(volume, level.cavity.fans.vertices[top].copy(), why))
    return tuple(sorted(found, key=lambda k: -k.volume_mm3))


def _leads_out(images: dict[Way, dict[int, Pockets]], pocket: int) -> bool:
    """Tell whether the air of one pocket alone can be led to the mouth by listed moves."""
    start: Pockets = frozenset([pocket])
    seen, edge = {start}, [start]
    while edge:
        then = {_image(image, state) for image in images.values() for state in edge}
        edge = list(then - seen)
        seen |= then
    return frozenset() in seen


def _nothing(before: float, level: _Level) -> RockingPlan:
    held = _filled(level, dict(enumerate(level.air_in)))
    words = (
        ("No place holds air that shows; no rocking is needed.",)
        if not level.start
        else ("No listed move frees any air that shows.",)
    )
    return RockingPlan(
        (), before, before, (), 0.0, _kept(level, held, {}, 0.0), True, 0, 0.0, words
    )


def _words(before: float, after: float, moves: int, listed: int, fewest: bool) -> tuple[str, ...]:
    claim = (
        f"no fewer of the {listed} listed moves reach as little"
        if fewest
        else f"each the best next of {listed} listed moves; fewer might do"
    )
    count = {1: "One move brings", 2: "Two moves bring", 3: "Three moves bring"}
    bring = count.get(moves, f"{moves} moves bring")
    return (
        f"{bring} {_mm3(before)} of air down to {_mm3(after)}: {claim}.",
        "Set the mould upright after every move, and last of all: air that has reached the mouth "
        "comes back otherwise.",
        "Each move is held until all but a twentieth of the air it frees has had time to rise "
        "through the whole mould (estimate); hold it longer where there is time.",
    )


def _mm3(volume: float) -> str:
    return f"{volume:.0f} mm³" if volume >= 10.0 else f"{volume:.2g} mm³"
