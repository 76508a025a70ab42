"""Which bodies of a mesh lie inside others, and which pass through one another."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from partline.scan.box_tree import holding, tree_of
from partline.scan.draft import Draft, Place, at
from partline.scan.edges import Longs
from partline.scan.surface_like import heap_of
from partline.scan.winding import FEW, dipoles, winding_numbers, winding_numbers_of_few

# Points of bodies in the boxes of others: thousands within thousands are a heap.
_MOST_HELD = 5_000_000


@dataclass(frozen=True)
class Nesting:
    """Bodies that do not stand beside one another.

    Attributes
    ----------
    nested : tuple of Place
        Middle of each body that lies wholly inside another.
    overlapping : tuple of Place
        Middle of each body that passes through another.
    """

    nested: tuple[Place, ...]
    overlapping: tuple[Place, ...]


def nesting(
    draft: Draft,
    label: Longs,
    pairs: Longs,
    *,
    held_by: list[list[int]] | None = None,
    partly: Longs | None = None,
) -> Nesting:
    """Tell nested bodies from overlapping ones.

    Parameters
    ----------
    draft : Draft
    label : (m,) int64
        Body of each face.
    pairs : (k, 2) int64
        Faces that pass through each other.
    held_by : list of list of int, optional
        For each body those that hold it, if more is known than `holders` finds.
    partly : (j,) int64, optional
        Bodies that lie partly in another, or others in them, whether faces are pierced or not.
    """
    one, two = (label[pairs[:, k]] for k in (0, 1))
    more = np.zeros(0, dtype=np.int64) if partly is None else partly
    crossing = np.unique(np.concatenate([one[one != two], two[one != two], more]))
    held_by = holders(draft, label) if held_by is None else held_by
    held = [shell for shell, around in enumerate(held_by) if around]
    nested = np.setdiff1d(np.array(held, dtype=np.int64), crossing)
    low, high = boxes(draft, label)
    middle = 0.5 * (low + high)
    return Nesting(tuple(at(middle[k]) for k in nested), tuple(at(middle[k]) for k in crossing))


def boxes(draft: Draft, label: Longs) -> tuple[np.ndarray, np.ndarray]:
    """(s, 3) least and greatest corner of the box of each body."""
    if not len(label):
        return np.zeros((0, 3)), np.zeros((0, 3))
    order = np.argsort(label, kind="stable")
    first = np.searchsorted(label[order], np.arange(int(label.max()) + 1))
    corners = draft.vertices[draft.faces[order]]
    low = np.minimum.reduceat(corners.min(axis=1), first, axis=0)
    return low, np.maximum.reduceat(corners.max(axis=1), first, axis=0)


def holders(draft: Draft, label: Longs, asked: Longs | None = None) -> list[list[int]]:
    """For each body the bodies it lies in, judged at one of its points by winding numbers.

    Parameters
    ----------
    draft : Draft
    label : (m,) int64
        Body of each face.
    asked : (k,) int64, optional
        Only of these bodies is it worked out; the list of every other one stays empty.
    """
    count = int(label.max(initial=-1)) + 1
    found: list[list[int]] = [[] for _ in range(count)]
    if count <= 1:
        return found
    low, high = boxes(draft, label)
    first = np.full(count, len(label), dtype=np.int64)
    np.minimum.at(first, label, np.arange(len(label)))
    point = draft.vertices[draft.faces[first, 0]]
    if asked is None:
        asked = np.arange(count)
    pairs = holding(tree_of(low, high), point[asked], _MOST_HELD)
    if pairs is None:
        raise heap_of(at(0.5 * (low + high).mean(axis=0)))
    pairs[:, 1] = asked[pairs[:, 1]]
    pairs = pairs[pairs[:, 0] != pairs[:, 1]]
    if not len(pairs):
        return found
    pairs = pairs[np.lexsort((pairs[:, 1], pairs[:, 0]))]
    order = np.argsort(label, kind="stable")
    face = np.searchsorted(label[order], np.arange(count + 1))
    starts = np.flatnonzero(np.diff(pairs[:, 0], prepend=-1))
    for start, stop in zip(starts, np.append(starts[1:], len(pairs)), strict=True):
        # One tree at most for each holder that may hold something, so that thousands of specks
        # cost no more than a few.
        holder, inner = int(pairs[start, 0]), pairs[start:stop, 1]
        own = draft.vertices, draft.faces[order[face[holder] : face[holder + 1]]]
        number = (
            winding_numbers_of_few(*own, point[inner])
            if len(inner) <= FEW
            else winding_numbers(dipoles(*own), point[inner])
        )
        for shell in inner[np.abs(number) > 0.5]:
            found[int(shell)].append(holder)
    return found
