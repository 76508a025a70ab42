"""Trapped air over many directions at once, each with what a whole cell of directions must hold.

One compiled call does a run of directions without the interpreter's lock; each thread has its
own workspace. Sums run in the order of the mesh, so the answer does not hang on the threads.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from time import perf_counter

import numpy as np
from numba import njit

from partline.air.cavity import Cavity, no_ceiling
from partline.air.kernels import climb, joins
from partline.air.measuring import above, levels, volume_of
from partline.air.merging import CLOSED, merge
from partline.geometry.surface import Floats
from partline.progress import Progress, silent

# A run of directions handed to a thread lasts about this long, so that cancelling is quick.
RUN_S = 0.05
MOST_THREADS = 8
# Four sideways axes 45 degrees apart miss a diameter by at most 22.5 degrees.
WIDEST = 1.0 / np.cos(np.radians(22.5))


@njit(nogil=True, cache=True)
def _sideways(up):  # type: ignore[no-untyped-def]
    """Return two unit vectors square to `up` and to each other."""
    k = 0
    for axis in range(1, 3):
        if abs(up[axis]) < abs(up[k]):
            k = axis
    first = -up[k] * up
    first[k] += 1.0
    first /= np.sqrt((first * first).sum())
    return first, np.cross(up, first)


@njit(nogil=True, cache=True)
def _widen(box, body, x, y):  # type: ignore[no-untyped-def]
    for k in range(4):
        s = x if k == 0 else (y if k == 1 else (x + y if k == 2 else x - y))
        box[body, k, 0] = min(box[body, k, 0], s)
        box[body, k, 1] = max(box[body, k, 1], s)


@njit(nogil=True, cache=True)
def reach(fans, up, work, level_of, size, pocket, count):  # type: ignore[no-untyped-def]
    """Return (count,) upper bounds of each pocket's sideways diameter, its lid included.

    Widths along four axes over the surface of the pocket clipped at its level; a diameter lies
    within 22.5 degrees of one of them. The first `size` of `work.some` are above their levels.
    """
    h, label, some = work.heights, work.label, work.some
    vertices, starts, neighbours = fans.vertices, fans.starts, fans.neighbours
    longest = fans.longest
    east, north = _sideways(up)
    box = np.empty((count, 4, 2))
    box[:, :, 0] = np.inf
    box[:, :, 1] = -np.inf
    for i in range(size):
        v = some[i]
        level = level_of[label[v]]
        body = pocket[label[v]]
        p = vertices[v]
        x = p[0] * east[0] + p[1] * east[1] + p[2] * east[2]
        y = p[0] * north[0] + p[1] * north[1] + p[2] * north[2]
        _widen(box, body, x, y)
        if h[v] - level > longest[v]:
            continue
        for k in range(starts[v], starts[v + 1]):
            w = neighbours[k]
            if h[w] <= level:  # the spill point itself is a corner of the lid
                q = vertices[w]
                s = (h[v] - level) / (h[v] - h[w])
                qx = q[0] * east[0] + q[1] * east[1] + q[2] * east[2]
                qy = q[0] * north[0] + q[1] * north[1] + q[2] * north[2]
                _widen(box, body, x + s * (qx - x), y + s * (qy - y))
    width = np.zeros(count)
    for body in range(count):
        for k in range(4):
            span = box[body, k, 1] - box[body, k, 0]
            if k > 1:
                span *= np.sqrt(0.5)
            width[body] = max(width[body], span * WIDEST)
    return width


@njit(nogil=True, cache=True)
def _measure(fans, up, radius, work):  # type: ignore[no-untyped-def]
    """Return (volume, least volume within `radius`, missed top, -1 if none) for one direction.

    Every way out of a pocket crosses its lid. In a direction within d of `up` a point keeps its
    air if it lies deeper than (sideways diameter) tan d above the lid.
    """
    count = climb(fans, up, work, False)
    a, b, vertex, missed, _ = joins(fans, up, work, count)
    level = work.heights[vertex]
    spill, pocket, _ = merge(a, b, level, count)
    level_of = levels(spill, pocket, work, count)
    size = above(work, level_of)
    total = volume_of(fans, up, work, level_of, size)
    if radius <= 0.0:
        return total, total, missed
    lift = reach(fans, up, work, level_of, size, pocket, count) * np.tan(radius)
    raised = level_of.copy()
    for x in range(count):
        # A body without outlet keeps all its air whatever the direction.
        if spill[x] != CLOSED:
            raised[x] += lift[pocket[x]]
    return total, volume_of(fans, up, work, raised, size), missed


@njit(nogil=True, cache=True)
def _run(fans, directions, radii, work, volume, least):  # type: ignore[no-untyped-def]
    missed = -1
    for k in range(directions.shape[0]):
        volume[k], least[k], lost = _measure(fans, directions[k], radii[k], work)
        if lost >= 0:
            missed = lost
    return missed


def _near_each_other(up: Floats) -> np.ndarray:
    """Return an order of directions in which each lies near the last, along a Z-curve.

    What one direction leaves in the workspace serves the next better so.
    """
    cell = ((up + 1.0) * 511.5).astype(np.int64)
    code = np.zeros(len(up), dtype=np.int64)
    for bit in range(10):
        for axis in range(3):
            code |= ((cell[:, axis] >> bit) & 1) << (3 * bit + axis)
    return np.argsort(code, kind="stable")


class Sweep:
    """Trapped air in many directions of one cavity, on all cores.

    Parameters
    ----------
    cavity : Cavity
    threads : int, optional
        By default one a core, eight at most.
    """

    def __init__(self, cavity: Cavity, *, threads: int | None = None) -> None:
        self.fans = cavity.fans
        self.threads = threads or min(os.cpu_count() or 1, MOST_THREADS)
        self._lend = cavity.workspace
        self._length = 1
        self.analyses = 0

    def _work(self, directions: Floats, radii: Floats) -> tuple[Floats, Floats, int, float]:
        with self._lend() as work:
            start = perf_counter()
            volume, least = np.empty(len(directions)), np.empty(len(directions))
            missed = _run(self.fans, directions, radii, work, volume, least)
            return volume, least, missed, perf_counter() - start

    def _runs(self, count: int) -> Iterator[slice]:
        """Yield runs no longer than a fair share of what is left, so that all threads end together.

        Guided self-scheduling (Polychronopoulos and Kuck 1987).
        """
        start = 0
        while start < count:
            share = -(-(count - start) // (2 * self.threads))
            stop = start + min(self._length, share)
            yield slice(start, stop)
            start = stop

    def __call__(
        self,
        directions: Floats,
        radii: Floats | None = None,
        *,
        progress: Progress = silent,
        words: str = "Following the air",
    ) -> tuple[Floats, Floats]:
        """Return what each direction traps, and the least that any near it can trap.

        Parameters
        ----------
        directions : (k, 3) float64
            Upward, unit length.
        radii : (k,) float64, optional
            The second answer holds for all directions within this angle [radians]; 0 by default.
        progress : Progress
            Hears of each finished run and may cancel.
        words : str
            Passed on to `progress`.

        Returns
        -------
        volume, least : (k,) float64
            [mm^3].

        Raises
        ------
        CavityError
            If the surface is found to run through itself.
        """
        order = _near_each_other(directions)
        up = np.ascontiguousarray(directions[order], dtype=np.float64)
        angle = np.zeros(len(up)) if radii is None else np.ascontiguousarray(radii[order])
        volume, least = np.empty(len(up)), np.empty(len(up))
        runs = self._runs(len(up))
        pool = ThreadPoolExecutor(self.threads)
        pending: list[tuple[slice, Future[tuple[Floats, Floats, int, float]]]] = []
        try:
            done = 0
            while True:
                # Two runs a thread are kept waiting: no thread idles, and none runs far ahead.
                while len(pending) < 2 * self.threads and (part := next(runs, None)) is not None:
                    pending.append((part, pool.submit(self._work, up[part], angle[part])))
                if not pending:
                    break
                part, future = pending.pop(0)
                place = order[part]
                volume[place], least[place], missed, seconds = future.result()
                if missed >= 0:
                    raise no_ceiling(self.fans, missed)
                length = part.stop - part.start
                done += length
                self._length = max(1, min(64, int(RUN_S * length / max(seconds, 1e-6))))
                progress(done / len(up), words)
        finally:
            pool.shutdown(wait=True, cancel_futures=True)
        self.analyses += len(up)
        return volume, least
