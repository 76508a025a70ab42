"""Whether the faces of a file are anything like a surface, told before anything costly."""

from __future__ import annotations

import numpy as np
from numba import njit

from partline.errors import NotSolid
from partline.geometry.surface import Floats
from partline.scan.draft import Draft, Place, at
from partline.scan.edges import after, joined, shells

# Faces of a surface meet the boxes of some twenty others. Where they lie in heaps every one meets
# every other; after this many on average, and these to begin with, nothing is looked for in them.
MEETINGS_EACH = 150
MEETINGS_FREE = 5_000_000
# A surface has about half as many vertices as faces, a ribbon as many, loose triangles three times
# as many; so few faces are looked at all the same.
VERTICES_EACH = 1.5
FEW_FACES = 10_000
# Vertices nearer than this share of the diagonal count as one: it is more than may be joined.
_CELL = 4e-5
# What a person can mend, or want to: after that it falls into pieces, or is a lattice.
MOST_PIECES = 2_000
MOST_HOLES = 2_500
MOST_CROWDED = 10_000
_AT_A_TIME = 1 << 20
# Enough to tell; of them every pair is tried where they do lie in a heap.
_LOOKED_AT = 20_000


def heap_of(place: Place) -> NotSolid:
    """Return the error that faces lie in a heap at a place, in the unit of the draft."""
    x, y, z = place
    return NotSolid(
        "Faces lie on top of one another in heaps, so that none can be told from the next, "
        f"near ({x:.4g}, {y:.4g}, {z:.4g}). Remove what is there twice in the program you "
        "model with."
    )


def refuse_heaps(draft: Draft) -> None:
    """Raise where far more faces meet than those of a surface do.

    Judged by the boxes of a random sample of the faces (with a fixed seed): of so many pairs as
    many meet as of all. Time and memory do not grow with the mesh.

    Raises
    ------
    NotSolid
        If they lie in heaps.
    """
    m = len(draft.faces)
    some = np.arange(m)
    if m > _LOOKED_AT:
        some = np.unique(np.random.default_rng(0).integers(0, m, _LOOKED_AT))
    corners = draft.vertices[draft.faces[some]]
    low, high = corners.min(axis=1), corners.max(axis=1)
    widest = int(np.argmax(np.ptp(0.5 * (low + high), axis=0))) if m else 0
    order = np.argsort(low[:, widest], kind="stable")
    # Each pair is met from both sides.
    most = 0.5 * (MEETINGS_FREE + MEETINGS_EACH * m) * (len(some) / max(m, 1)) ** 2
    worst = _heap(low[order], high[order], widest, most)
    if worst >= 0:
        raise heap_of(at(corners[order[worst]].mean(axis=0)))


def refuse_loose(draft: Draft) -> None:
    """Raise where most faces of a large mesh have no corner in common with others.

    Corners that lie a rounding apart, as some programs write them, count as common.

    Raises
    ------
    NotSolid
        If they stand alone.
    """
    m = len(draft.faces)
    if m <= FEW_FACES:
        return
    share, distinct = _distinct_corners(draft)
    if distinct > VERTICES_EACH * share * m:
        raise NotSolid(
            f"Most of its {m} faces stand alone: no corner of theirs is one of another face, so "
            "there is no surface. Join its vertices in the program you model with, or export it "
            "again."
        )


def _distinct_corners(draft: Draft) -> tuple[float, int]:
    """Return a share of all places, and how many of them hold corners of faces."""
    low, diagonal = draft.vertices.min(axis=0), draft.diagonal
    used = np.zeros(len(draft.vertices), dtype=bool)
    used[draft.faces.ravel()] = True
    step = np.uint64(max(1, len(draft.faces) // 1_000_000))
    found = []
    for start in range(0, len(draft.vertices), _AT_A_TIME):
        part = slice(start, start + _AT_A_TIME)
        cell = ((draft.vertices[part][used[part]] - low) / (_CELL * diagonal)).astype(np.uint64)
        key = (cell[:, 0] << np.uint64(32)) ^ (cell[:, 1] << np.uint64(16)) ^ cell[:, 2]
        key *= np.uint64(0x9E3779B97F4A7C15)
        found.append(key[(key >> np.uint64(40)) % step == 0])
    return 1.0 / int(step), len(np.unique(np.concatenate(found)))


def refuse_crowded(draft: Draft) -> None:
    """Raise where more than two faces meet at too many edges of a draft with joined vertices.

    Raises
    ------
    NotSolid
        If it is a lattice.
    """
    edges = int((draft.table.counts > 2).sum())
    if edges > MOST_CROWDED:
        raise NotSolid(
            f"More than two faces meet at {edges} edges; {MOST_CROWDED} is the most that are "
            "parted one by one. It is a lattice of faces, not the skin of a piece: rebuild the "
            "surface in the program you model with."
        )


def refuse_pieces(draft: Draft, *, pieces: int = MOST_PIECES, holes: int = MOST_HOLES) -> None:
    """Raise where a draft with parted sheets has too many pieces or holes.

    Parameters
    ----------
    draft : Draft
    pieces, holes : int
        The most of each that is let through.

    Raises
    ------
    NotSolid
        If it falls apart, or is a sieve.
    """
    twins = draft.table.twins
    found = int(shells(twins).max(initial=-1)) + 1
    if found > pieces:
        raise NotSolid(
            f"It falls into {found} pieces; {pieces} is the most that are looked at one by one. "
            "Join what belongs together, and drop what does not, in the program you model with."
        )
    lone = np.flatnonzero(twins < 0)
    ends = draft.faces.ravel()[np.column_stack([lone, after(lone)])]
    rims, chained = np.unique(ends, return_inverse=True)
    chained = chained.reshape(-1, 2)
    found = int(joined(chained[:, 0], chained[:, 1], len(rims)).max(initial=-1)) + 1
    if found > holes:
        raise NotSolid(
            f"It has {found} holes; {holes} is the most that are looked at one by one. Close them "
            "in the program you scan or model with, or scan the piece again."
        )


@njit(nogil=True, cache=True)
def _heap(low: Floats, high: Floats, axis: int, most: float) -> int:
    """Return a box at which more than `most` pairs have met, -1 where fewer do.

    The boxes come by their lower side along an axis: those that begin beyond the end of one are
    not tried.
    """
    met = 0
    one, two = (axis + 1) % 3, (axis + 2) % 3
    for i in range(len(low)):
        for j in range(i + 1, len(low)):
            if low[j, axis] > high[i, axis]:
                break
            if (
                low[j, one] <= high[i, one]
                and high[j, one] >= low[i, one]
                and low[j, two] <= high[i, two]
                and high[j, two] >= low[i, two]
            ):
                met += 1
        if met > most:
            return i
    return -1
