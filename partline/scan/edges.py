"""Which faces meet at each edge, the fans of faces round each vertex, and the shells."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from partline.geometry.joining import joined as grouped_by

Longs = NDArray[np.int64]
Mask = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class EdgeTable:
    """The half-edges of a mesh grouped by edge.

    Half-edge h = 3 f + k runs from corner k of face f to the next corner.

    Attributes
    ----------
    faces : (m, 3) int64
    order : (3 m,) int64
        Half-edges sorted so that those of one edge stand together.
    starts : (e + 1,) int64
        Where each edge begins in `order`.
    ahead : (3 m,) bool
        Whether the half-edge runs from the smaller to the larger vertex number.
    """

    faces: Longs
    order: Longs
    starts: Longs
    ahead: Mask

    @classmethod
    def of(cls, faces: Longs) -> EdgeTable:
        """Build the table for (m, 3) faces."""
        start = faces.ravel()
        stop = faces[:, [1, 2, 0]].ravel()
        ahead = start < stop
        n = int(faces.max()) + 1 if len(faces) else 1
        key = np.where(ahead, start * n + stop, stop * n + start)
        order = np.argsort(key, kind="stable")
        first = np.flatnonzero(np.diff(key[order], prepend=-1))
        return cls(faces, order, np.append(first, len(key)), ahead)

    @cached_property
    def counts(self) -> Longs:
        """(e,) how many faces meet at each edge."""
        return np.diff(self.starts)

    @cached_property
    def ahead_counts(self) -> Longs:
        """(e,) how many of them run from the smaller to the larger vertex number."""
        if not len(self.order):
            return np.zeros(0, dtype=np.int64)
        return np.add.reduceat(self.ahead[self.order].astype(np.int64), self.starts[:-1])

    @cached_property
    def edges(self) -> Longs:
        """(e, 2) vertex numbers of each edge, smaller first."""
        h = self.order[self.starts[:-1]]
        return np.sort(np.column_stack([self.start_of(h), self.stop_of(h)]), axis=1)

    def start_of(self, half: Longs) -> Longs:
        """Return the vertex at which each half-edge starts."""
        return self.faces.ravel()[half]

    def stop_of(self, half: Longs) -> Longs:
        """Return the vertex at which each half-edge ends."""
        return self.faces.ravel()[after(half)]

    def halves(self, edge: int) -> Longs:
        """Return the half-edges of one edge."""
        return self.order[self.starts[edge] : self.starts[edge + 1]]

    @cached_property
    def twins(self) -> Longs:
        """(3 m,) opposite half-edge where exactly two faces meet and agree; -1 elsewhere."""
        twin = np.full(len(self.order), -1, dtype=np.int64)
        good = np.flatnonzero((self.counts == 2) & (self.ahead_counts == 1))
        first = self.order[self.starts[good]]
        second = self.order[self.starts[good] + 1]
        twin[first] = second
        twin[second] = first
        return twin

    @property
    def is_closed(self) -> bool:
        """Whether every edge has exactly two faces that agree."""
        return bool(len(self.faces)) and bool(((self.counts == 2) & (self.ahead_counts == 1)).all())


def after(half: Longs) -> Longs:
    """Return the next half-edge round the same face."""
    return half + np.where(half % 3 == 2, -2, 1)


def joined(first: Longs, second: Longs, n: int) -> Longs:
    """Return (n,) labels from 0, equal where a chain of the (k,) pairs leads.

    Parameters
    ----------
    first, second : (k,) int64
        The two ends of each pair.
    n : int
        How many things there are.
    """
    label: Longs = grouped_by(np.column_stack([first, second]), n)[0]
    return label


def shells(twins: Longs) -> Longs:
    """Return the (m,) shell number of each face, shells being joined across matched edges."""
    half = np.flatnonzero(twins > np.arange(len(twins)))
    return joined(half // 3, twins[half] // 3, len(twins) // 3)


def fans(twins: Longs) -> Longs:
    """Return the (3 m,) fan number of each corner: faces met when walking round one vertex."""
    half = np.flatnonzero(twins > np.arange(len(twins)))
    other = twins[half]
    first = np.concatenate([half, after(half)])
    second = np.concatenate([after(other), other])
    return joined(first, second, len(twins))
