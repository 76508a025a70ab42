"""What must stretch for the piece to come out, against how far the cut goes.

The piece leaves through the mouth, down. Every ring of rubber that is still closed must let pass
whatever hangs on the part of the piece that it grips.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from partline.cut.cut import Stretch
from partline.geometry.sections import Sections, girth_of, hull_of, sections
from partline.geometry.surface import Floats, Surface

# A limb thinner than this round is a thread of resin that breaks; no ring of rubber grips it.
THREAD_GIRTH_MM = 2.0
# Girths of the same outline may differ by so much [1].
_ROUNDING = 1e-12


@dataclass(frozen=True)
class Bridge:
    """Rubber enclosed between limbs that meet higher up: legs, or an arm on a hip.

    Attributes
    ----------
    low_mm, high_mm : float
        Heights between which it lies [mm].
    place_mm : tuple of float
        Its middle [mm].
    stretch : float
        What it must stretch if it is not cut [1].
    """

    low_mm: float
    high_mm: float
    place_mm: tuple[float, float, float]
    stretch: float


@dataclass(frozen=True, eq=False)
class Demould:
    """Stretch of the rubber per level of the piece.

    Attributes
    ----------
    levels : (k,) float64
        Heights of the rings, rising [mm].
    own, own_straight : (k,) float64
        Stretch of the worst single ring in each level, bridges uncut: snaking and straight [1].
    bridged, bridged_straight : (k,) float64
        The same once bridges are cut, so that limbs side by side share one ring [1].
    narrow, wide : (k,) float64
        Girth of the tightest shared ring in each level and of what must pass it [mm].
    centre : (k, 2) float64
        Middle of what stands in each level and leads to the mouth [mm].
    half_width : (k,) float64
        Half its width, seen from the front [mm].
    girth : (k,) float64
        Girth of all that leads to the mouth in each level [mm].
    bridges : tuple of Bridge
    """

    levels: Floats
    own: Floats
    own_straight: Floats
    bridged: Floats
    bridged_straight: Floats
    narrow: Floats
    wide: Floats
    centre: Floats
    half_width: Floats
    girth: Floats
    bridges: tuple[Bridge, ...]

    def curve(self, *, bridges_cut: bool) -> Stretch:
        """Return the stretch against where the cut ends: the worst ring that is still closed."""
        low, high = (
            (self.bridged, self.bridged_straight) if bridges_cut else (self.own, self.own_straight)
        )
        return Stretch(
            cut_to_mm=self.levels,
            snaking=np.maximum.accumulate(low[::-1])[::-1],
            straight=np.maximum.accumulate(high[::-1])[::-1],
        )


class _Regions:
    """Pieces of the solid that grow together, with the widest girth and the hull of each."""

    def __init__(self, slabs: int) -> None:
        self.parent = list(range(slabs))
        self.girth = [0.0] * slabs
        self.hull: list[Floats] = [np.zeros((0, 2))] * slabs
        self.seat = [False] * slabs

    def root(self, slab: int) -> int:
        while self.parent[slab] != slab:
            self.parent[slab] = self.parent[self.parent[slab]]
            slab = self.parent[slab]
        return slab

    def join(self, first: int, second: int) -> int:
        a, b = self.root(first), self.root(second)
        if a != b:
            self.parent[b] = a
            self.girth[a] = max(self.girth[a], self.girth[b])
            self.hull[a] = _joined(self.hull[a], self.hull[b])
            self.seat[a] = self.seat[a] or self.seat[b]
        return a


def _joined(*hulls: Floats) -> Floats:
    points = np.concatenate([hull for hull in hulls if len(hull)] or [np.zeros((0, 2))])
    return hull_of(points) if len(points) > 1 else points


def _leads_down(cut: Sections) -> list[bool]:
    """Tell for each part whether the solid below it reaches the seat."""
    regions = _Regions(cut.slabs)
    leads = [False] * len(cut.level)
    for level in range(len(cut.levels)):
        parts = np.flatnonzero(cut.level == level)
        for part in parts:
            if level == 0:
                regions.seat[regions.root(int(cut.below[part]))] = True
        for part in parts:
            leads[part] = regions.seat[regions.root(int(cut.below[part]))]
        for part in parts:
            regions.join(int(cut.below[part]), int(cut.above[part]))
    return leads


def demould(piece: Surface, seat_mm: float, *, levels: int = 120) -> Demould:
    """Return what each ring of rubber must stretch to let the piece out through the mouth.

    For each section and each part of it that leads down to the mouth, the largest girth of what
    hangs on that part must pass through its ring (snaking: the piece may turn and shift on its
    way, a lower bound); for a straight pull the hull of the projection of all of that, an upper
    bound. A part that only hangs is no ring.

    Parameters
    ----------
    piece : Surface
        Closed, standing on its seat [mm].
    seat_mm : float
        Height of the seat [mm].
    levels : int
        Number of sections.
    """
    top = float(piece.bounds[1, 2])
    step = (top - seat_mm) / levels
    cut = sections(piece, seat_mm + step * (np.arange(levels) + 0.5))
    leads = np.array(_leads_down(cut), dtype=bool)
    rows: dict[str, Floats] = {
        name: np.zeros(levels)
        for name in (
            *("own", "own_straight", "bridged", "bridged_straight"),
            *("narrow", "wide", "girth", "half_width"),
        )
    }
    centre = np.zeros((levels, 2))
    gaps: list[tuple[int, Floats, float]] = []
    regions = _Regions(cut.slabs)
    for level in range(levels - 1, -1, -1):
        parts = np.flatnonzero(cut.level == level)
        groups: dict[int, list[int]] = {}
        for part in parts[leads[parts] & (cut.girth[parts] >= THREAD_GIRTH_MM)]:
            groups.setdefault(regions.root(int(cut.above[part])), []).append(int(part))
        for root, group in groups.items():
            _weigh(rows, level, cut, group, regions, root, gaps)
        standing = _joined(*(cut.hulls[part] for group in groups.values() for part in group))
        if len(standing) > 1:
            rows["girth"][level] = girth_of(standing)
            centre[level] = (standing.min(axis=0) + standing.max(axis=0)) / 2
            rows["half_width"][level] = np.ptp(standing[:, 0]) / 2
        else:
            higher = min(level + 1, levels - 1)
            centre[level], rows["half_width"][level] = centre[higher], rows["half_width"][higher]
        for part in parts:
            root = regions.join(int(cut.above[part]), int(cut.below[part]))
            regions.girth[root] = max(regions.girth[root], float(cut.girth[part]))
            regions.hull[root] = _joined(regions.hull[root], cut.hulls[part])
    return Demould(levels=cut.levels, centre=centre, bridges=_bridges(cut.levels, gaps), **rows)


def _weigh(
    rows: dict[str, Floats],
    level: int,
    cut: Sections,
    group: list[int],
    regions: _Regions,
    root: int,
    gaps: list[tuple[int, Floats, float]],
) -> None:
    """Put down the stretch of the rings round one group of parts that meet higher up."""
    above, hull = regions.girth[root], regions.hull[root]

    def put(name: str, value: float) -> None:
        rows[name][level] = max(rows[name][level], value)

    own = [_stretch(above, float(cut.girth[part])) for part in group]
    for part, stretch in zip(group, own, strict=True):
        put("own", stretch)
        straight = _stretch(girth_of(_joined(hull, cut.hulls[part])), float(cut.girth[part]))
        put("own_straight", max(straight, stretch))
    together = _joined(*(cut.hulls[part] for part in group))
    ring = girth_of(together)
    shared = _stretch(above, ring)
    if shared >= rows["bridged"][level]:
        rows["narrow"][level], rows["wide"][level] = ring, max(above, ring)
    put("bridged", shared)
    put("bridged_straight", max(_stretch(girth_of(_joined(hull, together)), ring), shared))
    if len(group) > 1:
        gaps.append((level, cut.centre[group].mean(axis=0), max(own)))


def _stretch(girth_mm: float, ring_mm: float) -> float:
    """Return by how much a ring must give for a girth to pass [1]; 0 where both are alike."""
    more = girth_mm / ring_mm - 1
    return more if more > _ROUNDING else 0.0


def _bridges(levels: Floats, gaps: list[tuple[int, Floats, float]]) -> tuple[Bridge, ...]:
    """Gather gaps in neighbouring levels, near one another, into bridges, lowest first."""
    step = float(levels[1] - levels[0]) if len(levels) > 1 else 1.0
    open_: list[list[tuple[int, Floats, float]]] = []
    for gap in sorted(gaps, key=lambda g: g[0]):
        for run in open_:
            near = np.linalg.norm(run[-1][1] - gap[1]) <= 6 * step
            if 0 < gap[0] - run[-1][0] <= 2 and near:
                run.append(gap)
                break
        else:
            open_.append([gap])
    found = []
    for run in open_:
        low, high = levels[run[0][0]] - step / 2, levels[run[-1][0]] + step / 2
        x, y = np.mean([gap[1] for gap in run], axis=0)
        found.append(
            Bridge(
                low_mm=float(low),
                high_mm=float(high),
                place_mm=(float(x), float(y), float((low + high) / 2)),
                stretch=max(gap[2] for gap in run),
            )
        )
    return tuple(found)
