"""Numbers grouped by their owner: what a stable sort of the owners gives, in two passes."""

from __future__ import annotations

import numpy as np
from numba import njit


@njit(nogil=True, cache=True)
def grouped(owner, count):  # type: ignore[no-untyped-def]
    """Return where the entries of each owner start, (count + 1,), and the entries by owner.

    Parameters
    ----------
    owner : (k,) int
        From 0 to count - 1.
    count : int

    Returns
    -------
    starts : (count + 1,) int64
    order : (k,) int64
        The numbers of the entries, each owner's rising.

    References
    ----------
    Seward (1954), Information sorting in the application of electronic digital computers to
    business operations (counting sort).
    """
    starts = np.zeros(count + 1, dtype=np.int64)
    for k in range(len(owner)):
        starts[owner[k] + 1] += 1
    for v in range(count):
        starts[v + 1] += starts[v]
    place = starts[:-1].copy()
    order = np.empty(len(owner), dtype=np.int64)
    for k in range(len(owner)):
        order[place[owner[k]]] = k
        place[owner[k]] += 1
    return starts, order
