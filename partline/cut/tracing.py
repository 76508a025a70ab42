"""Tracing one line of a cut between given places, quickly enough to follow a hand.

Two searches from the fixed places beside the one that is moved price every vertex once; after
that a line through any place is only read off. It runs on the graph of edges and shortcuts, so it
is up to 3 % dearer than the line that is drawn once the place is let go (see
`partline.geometry.paths`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.cut.bench import Bench
from partline.cut.layout import corridor
from partline.cut.route import Ground, find_ground
from partline.errors import NoPath
from partline.geometry.paths import PricedGraph, path_through, priced
from partline.geometry.surface import Floats, Ints


@dataclass(frozen=True, eq=False)
class Trace:
    """A line as it would run now.

    Attributes
    ----------
    points : (k, 3) float64
        From the rim to its end [mm].
    cost : float
        In mm of plain skin [mm].
    length_mm : float
    place : (3,) float64
        Where the moved place has come to lie [mm].
    """

    points: Floats
    cost: float
    length_mm: float
    place: Floats


@dataclass(frozen=True, eq=False)
class Reach:
    """The cheapest way from some vertices to every other: its cost and the vertex before."""

    cost: Floats
    before: Ints

    def chain(self, vertex: int) -> Ints:
        """Return the vertices from the nearest start to a vertex."""
        found = [vertex]
        while self.before[found[-1]] >= 0:
            found.append(int(self.before[found[-1]]))
        return np.array(found[::-1], dtype=np.int32)

    def peak(self, value: Floats) -> Floats:
        """Return (n,) the greatest of some (n,) values met on the way to each, itself left out."""
        # By doubling the steps back until nothing moves.
        back = np.where(self.before >= 0, self.before, np.arange(len(value)))
        most = np.where(self.before >= 0, value[back], -np.inf)
        while True:
            further = back[back]
            if (further == back).all():
                return most
            most, back = np.maximum(most, most[back]), further


@dataclass(frozen=True, eq=False)
class Track:
    """One side of the piece, priced for a line that is moved by hand.

    Attributes
    ----------
    side : str
    network : PricedGraph
        Where the line may run, up to the highest end it may have.
    sources : (k,) int64
        The rim where it may start.
    never_past_mm : float
        Where it may end at most [mm].
    """

    side: str
    network: PricedGraph
    sources: NDArray[np.int64]
    never_past_mm: float

    @property
    def points(self) -> Floats:
        """The (n, 3) vertices of the piece [mm]."""
        return self.network.graph.surface.vertices

    @property
    def open(self) -> NDArray[np.bool_]:
        """Tell (n,) where the line may run."""
        return np.isfinite(self.network.density)

    def targets(self, end_mm: float) -> NDArray[np.int64]:
        """Return the open vertices just above a height, on which a line that ends there ends."""
        edges = self.network.graph.surface.edges
        edges = edges[self.open[edges].all(axis=1)]
        high = self.points[edges, 2] >= end_mm
        return np.unique(edges[high & ~high[:, ::-1]]).astype(np.int64)

    def nearest(
        self, place: Floats, among: NDArray[np.int64] | None = None, along: Floats | None = None
    ) -> int:
        """Return the vertex nearest to a place, of some or of all where the line may run.

        With a direction, the vertex nearest to the straight line through the place.
        """
        among = np.flatnonzero(self.open) if among is None else among[self.open[among]]
        if not len(among):
            raise NoPath(f"The line on the {self.side} has nowhere to run.")
        away = self.points[among] - place
        if along is not None:
            away = away - (away @ along)[:, None] * along
        return int(among[np.argmin(np.linalg.norm(away, axis=1))])

    def reach(self, vertices: ArrayLike) -> Reach:
        """Return the cheapest way from the nearest of some vertices to every other."""
        found = self.network.ways(vertices)
        return Reach(found.cost, found.before)

    def chain(self, places: Sequence[NDArray[np.int64]]) -> Ints:
        """Return the vertices of the cheapest way from the first places through all the others.

        The last are single vertices, or any of several to end on.
        """
        found = np.zeros(0, dtype=np.int32)
        here = places[0]
        for there in places[1:]:
            way = self.reach(here)
            goal = int(there[np.argmin(way.cost[there])])
            if not np.isfinite(way.cost[goal]):
                raise NoPath(f"The line on the {self.side} cannot pass through all its places.")
            found = np.concatenate([found[:-1], way.chain(goal)])
            here = np.array([goal])
        return found if len(places) > 1 else here[:1].astype(np.int32)

    def traced(self, chain: Ints, moved: int) -> Trace:
        """Return the line through a chain of neighbouring vertices."""
        path = path_through(self.network, chain)
        return Trace(path.points, path.cost, path.length_mm, self.points[moved])


@dataclass(frozen=True, eq=False)
class Held:
    """A line of which one place is held by a hand.

    Attributes
    ----------
    track : Track
    among : (k,) int64
        Vertices that the place can be moved to.
    head, tail : (h,) int32
        The line up to the place before the held one, and from the one after it; empty beside an
        end.
    before, after : Reach or None
        From the places on either side of it; None where it is itself an end.
    """

    track: Track
    among: NDArray[np.int64]
    head: Ints
    tail: Ints
    before: Reach | None
    after: Reach | None

    def moved_to(self, place: Floats, along: Floats | None = None) -> Trace:
        """Return the line with the held place as near as it can come to a (3,) place [mm].

        Parameters
        ----------
        along : (3,) float64, optional
            As near as it can come to the straight line through the place this way, of unit
            length: a line of sight that misses the piece.
        """
        vertex = self.track.nearest(place, self.among, along)
        here = np.array([vertex], dtype=np.int32)
        down = here if self.before is None else self.before.chain(vertex)
        up = here if self.after is None else self.after.chain(vertex)[::-1]
        chain = np.concatenate([self.head[:-1], down, up[1:], self.tail[1:]])
        return self.track.traced(chain, vertex)


def held(track: Track, places: Sequence[NDArray[np.int64]], which: int) -> Held:
    """Take hold of one place of a line.

    Parameters
    ----------
    track : Track
    places : sequence of (k,) int64
        From where it may start over the vertices that it passes through, rising, to where it may
        end; `places[which]` are those that the held one can be moved to.
    which : int

    Raises
    ------
    NoPath
        If nothing leads from its neighbours to any of them.
    """
    low, high = places[:which], places[which + 1 :]
    before = track.reach(low[-1]) if low else None
    after = track.reach(high[0]) if high else None
    among = places[which][track.open[places[which]]]
    for way in (before, after):
        among = among if way is None else among[np.isfinite(way.cost[among])]
    none = np.zeros(0, dtype=np.int32)
    head = track.chain(low) if len(low) > 1 else none
    if before is not None and after is None:
        # A knife that has been as high as where it ends has ended there already.
        z = track.points[:, 2]
        peak = np.maximum(before.peak(z), z[head].max(initial=-np.inf))
        among = among[peak[among] < z[among]]
    if not len(among):
        raise NoPath(f"The line on the {track.side} can be led nowhere else.")
    return Held(
        track=track,
        among=among,
        head=head,
        tail=track.chain(high) if len(high) > 1 else none,
        before=before,
        after=after,
    )


def track_of(bench: Bench, side: str, end_mm: float) -> Track:
    """Return the track of a line on one side, as far as its end can be moved.

    Parameters
    ----------
    bench : Bench
    side : str
        "back", "left" or "right".
    end_mm : float
        Where the line ends now [mm].

    Raises
    ------
    NoPath
        If no line can run there.
    """

    def ground(end: float) -> Ground:
        way = corridor(bench.stand, bench.rings, side, end)
        return find_ground(bench.plain, bench.skin, bench.weights, way, margin_mm=bench.margin_mm)

    now, never = ground(end_mm), bench.depth.marks.never_past_mm
    density = now.density
    try:
        # Up to its end it is priced as the cut is; only beyond it as for a longer one.
        density = np.where(np.isfinite(density), density, ground(never).density)
    except NoPath:
        never = end_mm
    return Track(side, priced(bench.plain.graph, density), now.corridor.sources, never)
