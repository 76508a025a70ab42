"""Turn faces so that neighbours agree which side is outside."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from partline.geometry.surface import Floats
from partline.scan.draft import Draft, Finding, at
from partline.scan.edges import EdgeTable, Mask, joined


@dataclass(frozen=True, eq=False)
class Turning:
    """Which faces disagree with their neighbours.

    Attributes
    ----------
    turn : (m,) bool
        The smaller part of each shell, which turned over makes it agree.
    one_sided : (m,) bool
        Faces of shells that cannot agree whatever is turned, like a band with a twist.
    """

    turn: Mask
    one_sided: Mask


def disagreeing(table: EdgeTable, *, weight: Floats | None = None) -> Turning:
    """Find the fewest faces to turn, joining faces across edges that have exactly two.

    Parameters
    ----------
    table : EdgeTable
    weight : (m,) float64, optional
        How much each face counts; all alike if left out.
    """
    m = len(table.faces)
    two = np.flatnonzero(table.counts == 2)
    if (table.ahead_counts[two] == 1).all():
        return Turning(np.zeros(m, dtype=bool), np.zeros(m, dtype=bool))
    first = table.order[table.starts[two]] // 3
    second = table.order[table.starts[two] + 1] // 3
    agree = table.ahead_counts[two] == 1
    # Each face twice: as it is (f) and turned (f + m); what goes together is joined.
    other = np.where(agree, second, second + m)
    opposite = np.where(agree, second + m, second)
    label = joined(np.concatenate([first, first + m]), np.concatenate([other, opposite]), 2 * m)
    plain, turned = label[:m], label[m:]
    one_sided = plain == turned
    shell = np.minimum(plain, turned)
    flipped = plain > turned
    counts = np.ones(m) if weight is None else weight
    size = np.bincount(shell, weights=counts)
    minority = 2 * np.bincount(shell, weights=flipped * counts)[shell] <= size[shell]
    turn = np.where(minority, flipped, ~flipped) & ~one_sided
    return Turning(turn, one_sided)


def turned(draft: Draft, mask: Mask) -> Draft:
    """Return the draft with the winding of the masked faces reversed."""
    faces = draft.faces.copy()
    faces[mask] = faces[mask][:, [0, 2, 1]]
    return Draft(draft.vertices, faces, draft.file_faces)


def agreeing(draft: Draft) -> tuple[Draft, list[Finding]]:
    """Turn the fewest faces that make each shell agree; a one-sided shell is left as it is."""
    turning = disagreeing(draft.table)
    count = int(turning.turn.sum())
    if not count:
        return draft, []
    place = at(draft.vertices[draft.faces[int(np.argmax(turning.turn))]].mean(axis=0))
    return turned(draft, turning.turn), [Finding("turned", count, 0.0, place)]
