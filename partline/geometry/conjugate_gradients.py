"""Symmetric sparse systems with several right-hand sides, by conjugate gradients on all cores."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import partial

import numpy as np
from numba import njit
from scipy import sparse
from scipy.sparse.linalg import splu

from partline.errors import InternalError
from partline.geometry.cores import cores, in_parts
from partline.geometry.surface import Floats, Ints
from partline.progress import Progress, silent

# Steps between two reports: a tenth of a second on a million triangles.
_TOLD = 4
# Rows of a system that one core does at a time.
_ROWS = 1 << 16
# Two unknowns hang on each other strongly when their entry is more than this share of the mean
# (geometric) of their diagonals: a sixth in a net of equal triangles. And how many of all may.
_BOUND = 0.4
_FEW = 0.1


def padded(columns: int) -> int:
    """Return how many columns are worked on: four at a time, as three cost less than one by one."""
    return columns if columns == 1 else -(-columns // 4) * 4


def solve(
    system: sparse.csr_array, mass: Floats, right: Floats, answer: Floats, allowed: Floats, *,
    progress: Progress = silent, words: str = "",
) -> None:  # fmt: skip
    """Solve for all columns at once until each is good.

    Each pass over memory does as much as it can: the vectors are larger than the caches.

    Parameters
    ----------
    system : (n, n) sparse
        Symmetric and positive.
    mass : (n,) float64
        In whose inverse the residual is measured.
    right : (n, k) float64
        Right-hand sides, as many as `padded` says; used up.
    answer : (n, k) float64
        A guess, and afterwards the answer.
    allowed : (k,) float64
        Greatest residual, root-mean-square over the mass.
    progress : Progress
    words : str
        What it is told.

    Raises
    ------
    InternalError
        If it does not get there.

    References
    ----------
    Hestenes and Stiefel 1952.
    """
    near = _Preconditioner(system)
    inverse, some = near.inverse, near.some
    # Zeros of the system's: its pages are made by the threads that use them first.
    x, r, p, q = answer, right, np.zeros(right.shape), np.empty_like(right)
    rows = system.indptr, system.indices, system.data
    with ThreadPoolExecutor(cores()) as pool:
        shared = partial(in_parts, count=len(x), length=_ROWS, pool=pool)
        shared(lambda a, b: _times(*rows, x, q, a, b))

        def advanced(alpha: Floats) -> tuple[Floats, Floats, Floats]:
            parts = shared(lambda a, b: _advance(x, r, p, q, alpha, inverse, mass, a, b))
            new, size = np.sum(parts, axis=0)
            more = near.more(r)
            return new + (r[some] * more).sum(axis=0), size, more

        def onward(beta: Floats, more: Floats) -> Floats:
            shared(lambda a, b: _turn(p, r, beta, inverse, a, b))
            p[some] += more
            return np.sum(shared(lambda a, b: _times(*rows, p, q, a, b)), axis=0)

        _step_by_step(advanced, onward, allowed**2 * mass.sum(), progress, words)


def _step_by_step(
    advanced: Callable[[Floats], tuple[Floats, Floats, Floats]],
    onward: Callable[[Floats, Floats], Floats],
    limit: Floats, progress: Progress, words: str,
) -> None:  # fmt: skip
    """Go on until the residuals are below the limit.

    `advanced` goes so far along the way and returns r . B r, r . M^-1 r and what of B r is beyond
    the diagonal; `onward` finds the next way and returns its product with the system. Before the
    first call the way is nothing and its product that of the guess.
    """
    # One step along no way at all, with the product that is there: the residual of the guess.
    rz, size, more = advanced(np.ones_like(limit))
    beta = np.zeros_like(limit)
    begun, done = np.log(np.maximum(size / limit, 1.0) + 1e-300), 0.0
    for step in range(20_000):
        if (size <= limit).all():
            return
        if step % _TOLD == 0:
            # The error falls by about as many powers of ten a step from start to end.
            left = np.log(np.maximum(size / limit, 1.0)) / np.maximum(begun, 1e-9)
            done = max(done, 1.0 - float(left.max()))
            progress(done, words)
        pq = onward(beta, more)
        new, size, more = advanced(np.divide(rz, pq, out=np.zeros_like(rz), where=pq > 0))
        beta = np.divide(new, rz, out=np.zeros_like(rz), where=rz > 0)
        rz = new
    raise InternalError("Conjugate gradients did not get there in 20 000 steps.")


@njit(nogil=True, cache=True)
def _inverse(starts, columns, entries, inverse, first, stop):  # type: ignore[no-untyped-def]
    """Fill in the inverse of the diagonal in some rows."""
    for i in range(first, stop):
        total = 0.0
        for at in range(starts[i], starts[i + 1]):
            if columns[at] == i:
                total += entries[at]
        inverse[i] = 1.0 / total


@njit(nogil=True, cache=True)
def _bound(starts, columns, entries, inverse, bound, first, stop):  # type: ignore[no-untyped-def]
    """Tell which unknowns are bound to a neighbour more strongly than any in a sound triangle."""
    for i in range(first, stop):
        bound[i] = False
        for at in range(starts[i], starts[i + 1]):
            j = columns[at]
            if i != j and entries[at] ** 2 * inverse[i] * inverse[j] > _BOUND**2:
                bound[i] = True


class _Preconditioner:
    """The diagonal, and among the few corners of slivers the system itself, solved.

    Slivers, as a trimmed base has them, make a few unknowns hang on each other so strongly that
    with the diagonal alone three times as many steps are needed. Additive Schwarz without
    overlap (Dryja and Widlund 1987, from memory).
    """

    def __init__(self, system: sparse.csr_array) -> None:
        n = len(system.indptr) - 1
        rows = system.indptr, system.indices, system.data
        inverse, bound = np.empty(n), np.empty(n, dtype=np.bool_)
        in_parts(lambda a, b: _inverse(*rows, inverse, a, b), n, _ROWS)
        in_parts(lambda a, b: _bound(*rows, inverse, bound, a, b), n, _ROWS)
        self.inverse: Floats = inverse
        some = np.flatnonzero(bound)
        self.some = some if len(some) <= _FEW * len(bound) else some[:0]
        if len(self.some):
            self._solve = splu(sparse.csc_array(system[self.some][:, self.some])).solve

    def more(self, r: Floats) -> Floats:
        """Return what is to be added to D^-1 r at `some`."""
        if not len(self.some):
            return np.zeros((0, r.shape[1]))
        here = r[self.some]
        solved: Floats = self._solve(here)
        return solved - self.inverse[self.some, None] * here


@njit(nogil=True, cache=True)
def _times(
    starts: Ints, columns: Ints, entries: Floats, p: Floats, q: Floats, first: int, stop: int
) -> Floats:
    """q = A p in some rows, one column or four at a time; returns p . q of each."""
    dots = np.zeros(p.shape[1])
    if p.shape[1] == 1:
        dots[0] = _times_one(starts, columns, entries, p[:, 0], q[:, 0], first, stop)
    else:
        for k in range(0, p.shape[1], 4):
            end = k + 4
            _times_four(
                starts, columns, entries, p[:, k:end], q[:, k:end], dots[k:end], first, stop
            )
    return dots


# Numbers without a sign spare the compiled loops a look whether they count from the end: a third
# of their time.
@njit(nogil=True, cache=True)
def _times_one(starts, columns, entries, p, q, first, stop):  # type: ignore[no-untyped-def]
    dot = 0.0
    at = np.uint64(starts[first])
    for i in range(first, stop):
        end = np.uint64(starts[i + 1])
        a = 0.0
        while at < end:
            a += entries[at] * p[np.uint64(columns[at])]
            at += np.uint64(1)
        q[i] = a
        dot += a * p[i]
    return dot


@njit(nogil=True, cache=True)
def _times_four(starts, columns, entries, p, q, dots, first, stop):  # type: ignore[no-untyped-def]
    """Four columns at a time, their sums kept out of memory."""
    at = np.uint64(starts[first])
    for i in range(first, stop):
        end = np.uint64(starts[i + 1])
        a = b = c = d = 0.0
        while at < end:
            weight, other = entries[at], np.uint64(columns[at])
            a += weight * p[other, 0]
            b += weight * p[other, 1]
            c += weight * p[other, 2]
            d += weight * p[other, 3]
            at += np.uint64(1)
        q[i, 0], q[i, 1], q[i, 2], q[i, 3] = a, b, c, d
        dots[0] += a * p[i, 0]
        dots[1] += b * p[i, 1]
        dots[2] += c * p[i, 2]
        dots[3] += d * p[i, 3]


@njit(nogil=True, cache=True)
def _advance(
    x: Floats, r: Floats, p: Floats, q: Floats, alpha: Floats, inverse: Floats, mass: Floats,
    first: int, stop: int,
) -> tuple[Floats, Floats]:  # fmt: skip
    """One step along p in some rows; returns r . D^-1 r and r . M^-1 r of each column."""
    new = np.zeros(p.shape[1])
    size = np.zeros(p.shape[1])
    for i in range(first, stop):
        for k in range(p.shape[1]):
            x[i, k] += alpha[k] * p[i, k]
            r[i, k] -= alpha[k] * q[i, k]
            square = r[i, k] * r[i, k]
            new[k] += inverse[i] * square
            size[k] += square / mass[i]
    return new, size


@njit(nogil=True, cache=True)
def _turn(p: Floats, r: Floats, beta: Floats, inverse: Floats, first: int, stop: int) -> None:
    """p = D^-1 r + beta p in some rows."""
    for i in range(first, stop):
        for k in range(p.shape[1]):
            p[i, k] = inverse[i] * r[i, k] + beta[k] * p[i, k]
