"""What a closed or open cavity can hold in one pose: bodies of air, their room, and who is next.

The whole merge tree of one direction, as a binary tree. A leaf is a top; a node is two bodies
that have become one over a join. Air in a node lies above a level between the join over which
its children met and the join over which it would meet the next. Depressions of the ground hold
water in the same way, upside down (Barnes, Callaghan and Wickert 2020, "Computing water flow
through complex landscapes - Part 2: finding hierarchies in depressions").
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numba import njit

from partline.air.body import air, holds, level_for, skin
from partline.air.cavity import no_ceiling
from partline.air.fans import Fans
from partline.air.kernels import Workspace, climb, highest, joins, kept, pierced
from partline.errors import InternalError
from partline.geometry.rays import TOUCH, first_hit
from partline.geometry.surface import Floats, Ints

OUT = -1  # where air has left through an outlet


@njit(nogil=True, cache=True)
def _pair(a, b, level, count):  # type: ignore[no-untyped-def]
    """Return the tree as (parent, left, right, leave_level, entry); label `count` is the outside.

    `entry` of a node is the leaf on the far side of the join over which it would spill: `OUT`
    where that is an outlet, -2 for a node that can spill nowhere.
    """
    size = 2 * count
    parent = np.full(size, -1, dtype=np.int32)
    top = np.arange(count + 1, dtype=np.int32)  # union-find over labels, path halved
    node = np.arange(count + 1, dtype=np.int32)  # the node a root label stands for
    left = np.full(size, -1, dtype=np.int32)
    right = np.full(size, -1, dtype=np.int32)
    leave = np.full(size, -np.inf)
    entry = np.full(size, -2, dtype=np.int32)
    used = count
    for j in range(a.shape[0]):
        x, y = a[j], b[j]
        while top[x] != x:
            top[x] = top[top[x]]
            x = top[x]
        while top[y] != y:
            top[y] = top[top[y]]
            y = top[y]
        if x == y:
            continue
        if x == count or y == count:
            inner, outer = (y, a[j]) if x == count else (x, b[j])
            leave[node[inner]] = level[j]
            entry[node[inner]] = -1 if outer == count else outer
            top[inner] = count
            continue
        first, second = node[x], node[y]
        leave[first] = level[j]
        leave[second] = level[j]
        entry[first] = b[j]
        entry[second] = a[j]
        parent[first] = used
        parent[second] = used
        left[used] = first
        right[used] = second
        top[y] = x
        node[x] = used
        used += 1
    return parent[:used], left[:used], right[:used], leave[:used], entry[:used]


@njit(nogil=True, cache=True)
def _walk(fans, up, work, start, is_outlet):  # type: ignore[no-untyped-def]
    """Return the leaf that air let go at a vertex rises to; -1 out of an outlet, -3 lost.

    Along the ceiling it takes the steepest way; where the ceiling ends it goes straight up.
    """
    h, label = work.heights, work.label
    vertices, starts, neighbours = fans.vertices, fans.starts, fans.neighbours
    v = start
    while True:
        if is_outlet[v]:
            return -1
        best = -1
        steepest = -1.0
        for k in range(starts[v], starts[v + 1]):
            w = neighbours[k]
            rise = h[w] - h[v]
            if rise > 0.0 or (rise == 0.0 and w > v):
                d = vertices[w] - vertices[v]
                slope = rise / np.sqrt((d * d).sum() + 1e-300)
                if slope > steepest:
                    steepest = slope
                    best = w
        if best >= 0:
            v = best
            continue
        n = fans.normals[v]
        if n[0] * up[0] + n[1] * up[1] + n[2] * up[2] >= 0.0:
            return label[v]
        p = vertices[v]
        _, f = first_hit(
            fans.tree, p[0], p[1], p[2], up[0], up[1], up[2], -TOUCH * fans.size, np.inf, v
        )
        if f < 0:
            f = pierced(fans, v)
            return -3 if f < 0 else label[highest(fans.faces, h, f)]
        v = highest(fans.faces, h, f)


@njit(nogil=True, cache=True)
def _walks(fans, up, work, starts, is_outlet):  # type: ignore[no-untyped-def]
    found = np.empty(starts.shape[0], dtype=np.int32)
    for i in range(starts.shape[0]):
        found[i] = _walk(fans, up, work, starts[i], is_outlet)
    return found


@dataclass(eq=False)
class Holding:
    """The merge tree of one pose with the room in each node, measured when it is asked.

    Attributes
    ----------
    fans : Fans
    up : (3,) float64
    work : Workspace
        Lent; what is kept of it is a copy.
    capped : bool
        Nothing leaves; else air leaves at the outlets.
    """

    fans: Fans
    up: Floats
    work: Workspace
    capped: bool
    count: int = field(init=False)
    parent: Ints = field(init=False)
    leave: Floats = field(init=False)
    entry: Ints = field(init=False)

    def __post_init__(self) -> None:
        self.count = climb(self.fans, self.up, self.work, True)
        a, b, vertex, missed, _ = joins(self.fans, self.up, self.work, self.count)
        if missed >= 0:
            raise no_ceiling(self.fans, missed)
        if self.capped:
            inner = b < self.count
            a, b, vertex = a[inner], b[inner], vertex[inner]
        self.work = kept(self.work, self.count)
        heights = self.work.heights
        self.parent, left, right, self.leave, self.entry = _pair(a, b, heights[vertex], self.count)
        # Asked one at a time.
        self._above, self._left, self._right = self.parent.tolist(), left.tolist(), right.tolist()
        self._onward: list[int] = self.entry.tolist()
        # A top with the cavity above it holds nothing; its skin counts with the body above.
        tops = self.work.tops[: self.count]
        self._floor = np.einsum("ij,j->i", self.fans.normals[tops], self.up) < 0.0
        self._room: dict[int, float] = {}
        self._proved: dict[int, float] = {}  # so much room at the least
        self._leaves: dict[int, Ints] = {}
        self.outlet = np.zeros(len(heights), dtype=bool)
        self.outlet[self.fans.outlets] = not self.capped

    @cached_property
    def first_vertex(self) -> Ints:
        """Vertex of the fans for each vertex of the cavity; the first where it is pinched."""
        original = self.fans.original
        first = np.full(int(original.max()) + 1, -1, dtype=np.int32)
        first[original[::-1]] = np.arange(len(original), dtype=np.int32)[::-1]
        return first

    def leaves_of(self, tops: list[Ints]) -> dict[int, int]:
        """Return {leaf: number of the list it is in} for lists of the cavity's vertices."""
        label = self.work.label
        return {int(label[self.first_vertex[t]]): i for i, some in enumerate(tops) for t in some}

    def leaves(self, node: int) -> Ints:
        """Return the leaves of a node."""
        if node < self.count:
            return np.array([node], dtype=np.int32)
        if node not in self._leaves:
            found, stack = [], [node]
            while stack:
                x = stack.pop()
                if x < self.count:
                    found.append(x)
                else:
                    stack += self.children(x)
            self._leaves[node] = np.array(sorted(found), dtype=np.int32)
        return self._leaves[node]

    def children(self, node: int) -> tuple[int, int]:
        """Return the two nodes that became this one."""
        return self._left[node], self._right[node]

    def sibling(self, node: int) -> int:
        """Return the node that this one becomes one with, -1 if there is none."""
        above = self._above[node]
        if above < 0:
            return -1
        first, second = self.children(above)
        return second if first == node else first

    def room(self, node: int) -> float:
        """Return the air a node holds before it spills [mm^3]."""
        if node not in self._room:
            if node < self.count and self._floor[node]:
                self._room[node] = 0.0
            else:
                self._room[node] = self.air_above(node, self._low(node))
        return self._room[node]

    def has_room(self, node: int, volume_mm3: float) -> bool:
        """Tell whether a node holds so much before it spills; no more of it is measured than that.

        What it has above any level it has above where it spills too.
        """
        if node in self._room or (node < self.count and self._floor[node]):
            return volume_mm3 <= self.room(node)
        if volume_mm3 > self._proved.get(node, -np.inf):
            low = self._low(node)
            level, held, _ = holds(
                self.fans, self.up, self.work.heights, self._tops(node), low, volume_mm3
            )
            if level == low:
                self._room[node] = max(0.0, float(held))
                return volume_mm3 <= self._room[node]
            self._proved[node] = float(held)
        return True

    def _tops(self, node: int) -> Ints:
        return self.work.tops[self.leaves(node)]

    def _low(self, node: int) -> float:
        """Return the level at which a node spills; of one that cannot its lowest place."""
        leave = float(self.leave[node])
        return self._lowest if leave == -np.inf else leave

    @cached_property
    def _lowest(self) -> float:
        return float(self.work.heights.min())

    def vertices_above(self, node: int, level: float) -> Ints:
        """Return the vertices of a node's skin that lie above a level, leaf by leaf."""
        some = skin(self.fans, self.work.heights, self._tops(node), level)
        return some[np.lexsort((some, self.work.label[some]))]

    def air_above(self, node: int, level: float) -> float:
        """Return the air of a node above a level [mm^3]."""
        some = skin(self.fans, self.work.heights, self._tops(node), level)
        return max(0.0, float(air(self.fans, self.up, self.work.heights, some, level).sum()))

    def level_of(self, node: int, volume_mm3: float) -> float:
        """Return the level down to which so much air reaches in a node [mm]."""
        return float(
            level_for(self.fans, self.up, self.work.heights, self._tops(node), self._low(node),
                      volume_mm3, 1e-6 * self.fans.size)
        )  # fmt: skip

    def split(self, node: int, volume_mm3: float) -> list[tuple[int, float]]:
        """Return (top vertex, volume) for each leaf that a node's air lies under, in all the same.

        Skin under a floor's top counts with the largest leaf; shares are scaled so that their
        sum is the volume to the last digit.
        """
        leaves = self.leaves(node)
        tops = self.work.tops
        if len(leaves) == 1:
            return [(int(tops[leaves[0]]), volume_mm3)]
        level = self.level_of(node, volume_mm3)
        some = self.vertices_above(node, level)
        part = air(self.fans, self.up, self.work.heights, some, level)
        share = np.bincount(self.work.label[some], weights=part, minlength=self.count)[leaves]
        share = np.where(self._floor[leaves], 0.0, np.maximum(share, 0.0))
        if share.sum() <= 0.0:
            return [(int(tops[leaves[np.argmax(self.work.heights[tops[leaves]])]]), volume_mm3)]
        keep = share > 1e-9 * share.sum()
        scaled = share[keep] * (volume_mm3 / share[keep].sum())
        return [(int(tops[x]), float(s)) for x, s in zip(leaves[keep], scaled, strict=True)]

    def rise(self, vertices: Ints) -> Ints:
        """Return the leaf that air let go at each of some vertices rises to, or `OUT`.

        Raises
        ------
        CavityError
            If the surface is found to run through itself.
        """
        leaves: Ints = _walks(self.fans, self.up, self.work, vertices, self.outlet)
        if (lost := np.flatnonzero(leaves == -3)).size:
            raise no_ceiling(self.fans, int(vertices[lost[0]]))
        return leaves

    def settled(self, arrivals: list[tuple[int, float]]) -> tuple[dict[int, float], float]:
        """Let air arrive at leaves, spill and merge; return ({node: held}, left) [mm^3].

        Parameters
        ----------
        arrivals : list of (leaf, volume)
        """
        held: dict[int, float] = {}
        left = 0.0
        queue = list(reversed(arrivals))
        full_at: dict[int, bool] = {}
        spent = 0
        while queue:
            leaf, volume = queue.pop()
            spent += 1
            if spent > 100_000:
                raise InternalError("Air goes round and round between pockets; please report this.")
            if leaf == OUT:
                left += volume
                continue
            node = leaf
            while full_at.get(self._above[node], False):
                node = self._above[node]
            here = held.get(node, 0.0)
            if self._onward[node] == -2 or self.has_room(node, here + volume):
                held[node] = here + volume
                continue
            held[node] = self.room(node)
            excess = volume - max(self.room(node) - here, 0.0)
            other = self.sibling(node)
            if other >= 0 and self._brimful(other, held, full_at):
                above = self._above[node]
                full_at[above] = True
                held[above] = held.pop(node) + held.pop(other, 0.0)
                queue.append((leaf, excess))
            else:
                queue.append((self._onward[node], excess))
        return {n: v for n, v in held.items() if v > 0.0}, left

    def _brimful(self, node: int, held: dict[int, float], full_at: dict[int, bool]) -> bool:
        """Tell whether a node is one body filled to where it spills."""
        if node >= self.count and not full_at.get(node, False):
            return False
        here = held.get(node, 0.0)
        if here == 0.0 and node < self.count and node not in self._room:
            # Full while empty is only what nothing goes into.
            top = self.work.heights[self.work.tops[node]]
            return bool(self._floor[node] or top <= self.leave[node])
        # Most have far more room, which is sooner told than how much.
        if self.has_room(node, 2.0 * here + 1e-9):
            return False
        return here >= self.room(node) * (1.0 - 1e-12)
