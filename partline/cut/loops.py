"""Loops of rubber: rubber that passes through a hole of the piece and holds it.

Level sections of the piece and the solid between them make a graph; each of its independent
cycles goes once round a hole (Reeb graphs; Cole-McLaughlin et al. 2004 for why there are as many
as the genus when the hole can be seen from that side). Holes that lie flat show in sections
along the other axes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import networkx as nx
import numpy as np
from scipy.spatial import cKDTree

from partline.cut.cut import RubberLoop
from partline.cut.demould import Bridge
from partline.geometry.joining import joined
from partline.geometry.sections import Sections, sections
from partline.geometry.surface import Floats, Surface
from partline.progress import Progress, silent

# Rubber through a hole narrower than this is a thread that pulls out or tears without harm [mm].
# Common practice, no source.
PINHOLE_MM = 2.0
_LEVELS = 90


@dataclass(frozen=True)
class Hole:
    """A hole through the piece.

    Attributes
    ----------
    place_mm : tuple of float
        Its middle [mm].
    low_mm, high_mm : float
        Heights between which it lies [mm].
    opening_mm : float
        Its narrow width, from section hulls: an estimate [mm].
    """

    place_mm: tuple[float, float, float]
    low_mm: float
    high_mm: float
    opening_mm: float


def handles(surface: Surface) -> int:
    """Return the number of handles of a closed surface, over all its shells."""
    euler = len(surface.vertices) - len(surface.edges) + len(surface.faces)
    _, shells = joined(surface.edges, len(surface.vertices))
    return int(shells - euler // 2)


def holes(piece: Surface, *, progress: Progress = silent) -> tuple[Hole, ...]:
    """Return the holes through a closed piece, widest first; at most one for each handle.

    Those too small for sections a ninetieth of the piece apart are left out.
    """
    genus = handles(piece)
    found: list[Hole] = []
    for turn, axis in enumerate((2, 0, 1) if genus else ()):
        progress(turn / 3, "looking for holes through the piece")
        if len(found) == genus and min(h.opening_mm for h in found) >= 2 * PINHOLE_MM:
            break  # every one matters, however much wider it is from another side
        turned = np.roll(np.eye(3), axis + 1, axis=0)  # a cyclic swap puts that axis upright
        low, high = piece.bounds[:, axis]
        step = (high - low) / _LEVELS
        pose = np.eye(4)
        pose[:3, :3] = turned
        cut = sections(
            piece.moved(pose),
            low + step * (np.arange(_LEVELS) + 0.5),
        )
        for cycle in _cycles(cut):
            _put(found, _hole(cut, cycle, turned, step), 2 * step, genus)
    return tuple(sorted(found, key=lambda h: -h.opening_mm)[:genus])


def _put(found: list[Hole], hole: Hole, near_mm: float, genus: int) -> None:
    """Add a hole, or mend the one already found there: the widest view of it is the true one."""
    for k, other in enumerate(found):
        away = float(np.linalg.norm(np.subtract(hole.place_mm, other.place_mm)))
        if away <= max(near_mm, 0.5 * max(hole.opening_mm, other.opening_mm)):
            found[k] = replace(other, opening_mm=max(hole.opening_mm, other.opening_mm))
            return
    if len(found) < genus:
        found.append(hole)


def _cycles(cut: Sections) -> list[list[int]]:
    """Return the independent shortest cycles of the sections' graph, as lists of parts."""
    graph = nx.MultiGraph()
    for part in range(len(cut.level)):
        graph.add_edge(int(cut.below[part]), int(cut.above[part]), parts=[part])
    # Ends that lead nowhere are no part of a cycle; limbs in between count as one arc.
    idle = [v for v in graph if graph.degree(v) <= 2]
    while idle:
        v = idle.pop()
        if v not in graph or graph.degree(v) > 2 or graph.has_edge(v, v):
            continue
        arms = list(graph.edges(v, keys=True, data="parts"))
        graph.remove_node(v)
        if len(arms) == 2:
            (_, a, _, one), (_, b, _, two) = arms
            graph.add_edge(a, b, parts=[*one, *two])
            idle += [a, b]
        elif arms:
            idle.append(arms[0][1])
        idle = [w for w in idle if w in graph]
    simple = nx.Graph()
    for number, (a, b, parts) in enumerate(graph.edges(data="parts")):
        # Two arcs may join the same junctions, or one a junction with itself.
        simple.add_edge(a, ("first", number), weight=len(parts) / 3, parts=[])
        simple.add_edge(("first", number), ("second", number), weight=len(parts) / 3, parts=parts)
        simple.add_edge(("second", number), b, weight=len(parts) / 3, parts=[])
    found = []
    for cycle in nx.minimum_cycle_basis(simple, weight="weight"):
        inside = simple.subgraph(cycle)
        found.append(sorted(p for _, _, parts in inside.edges(data="parts") for p in parts))
    return found


def _hole(cut: Sections, cycle: Sequence[int], turned: Floats, step: float) -> Hole:
    """Return the hole inside a cycle of parts."""
    parts = np.asarray(cycle)
    levels = cut.level[parts]
    widest, spot, level = 0.0, None, int(np.median(levels))
    for k in np.unique(levels):
        every = [_dense(cut.hulls[p]) for p in np.flatnonzero(cut.level == k)]
        hulls = [_dense(cut.hulls[p]) for p in parts[levels == k]]
        for i, one in enumerate(hulls):
            for two in hulls[i + 1 :]:
                gap, middle = _gap(one, two)
                # What stands between the two makes it two holes.
                clear = all(
                    np.linalg.norm(other - middle, axis=1).min() >= 0.49 * gap for other in every
                )
                if gap > widest and clear:
                    widest, spot, level = gap, middle, int(k)
    if spot is None:
        spot = cut.centre[parts].mean(axis=0)
    tall = step * (np.ptp(levels) + 1)
    place = np.array([*spot, cut.levels[level]]) @ turned
    low = high = float(place[2])
    if turned[2, 2] == 1.0:
        low, high = (float(cut.levels[levels.min()]), float(cut.levels[levels.max()]))
    x, y, z = (float(v) for v in place)
    return Hole((x, y, z), low, high, min(widest, float(tall)))


def _gap(one: Floats, two: Floats) -> tuple[float, Floats]:
    """Return the distance between two outlines and the middle of where they are that near."""
    away, which = (np.asarray(v) for v in cKDTree(one).query(two))
    near = away <= 1.02 * away.min() + 1e-9
    return float(away.min()), (one[which[near]] + two[near]).mean(axis=0) / 2


def _dense(hull: Floats) -> Floats:
    """Return points along a hull, so that the distance between two is that of their sides."""
    nxt = np.roll(hull, -1, axis=0)
    t = np.linspace(0, 1, 8, endpoint=False)[:, None, None]
    return ((1 - t) * hull + t * nxt).reshape(-1, 2)


def through(bridge: Bridge, hole: Hole) -> bool:
    """Tell whether a bridge of rubber between limbs is the rubber that passes through a hole."""
    level = bridge.low_mm - 2 <= hole.high_mm and hole.low_mm <= bridge.high_mm + 2
    aside = np.linalg.norm(np.subtract(bridge.place_mm, hole.place_mm)[:2])
    return bool(level and aside <= max(hole.opening_mm, 10.0))


def rubber_loops(
    found: Sequence[Hole], lines: Sequence[Floats], bridges: Sequence[Bridge]
) -> tuple[RubberLoop, ...]:
    """Return the loops of rubber through holes, and the bridge cut from the nearest line.

    Parameters
    ----------
    found : sequence of Hole
    lines : sequence of (k, 3) float64
        The lines of the cut on the piece [mm].
    bridges : sequence of Bridge
        What rubber between limbs must stretch if it is not slit.
    """
    loops = []
    for hole in found:
        stretch = [bridge.stretch for bridge in bridges if through(bridge, hole)]
        away = [float(np.linalg.norm(line - hole.place_mm, axis=1).min()) for line in lines]
        line = int(np.argmin(away)) if away else -1
        loops.append(
            RubberLoop(
                place_mm=hole.place_mm,
                low_mm=hole.low_mm,
                high_mm=hole.high_mm,
                opening_mm=hole.opening_mm,
                matters=hole.opening_mm >= PINHOLE_MM,
                cut_mm=min(away, default=np.inf),
                line=line,
                stretch=max(stretch, default=np.inf),
            )
        )
    return tuple(loops)
