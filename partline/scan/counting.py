"""Count the faults of a mesh as it lies in the file."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from partline.geometry.surface import Floats
from partline.scan.draft import Draft, Place, at
from partline.scan.edges import EdgeTable, Longs, after, joined
from partline.scan.joining import repeats
from partline.scan.turning import disagreeing


@dataclass(frozen=True, eq=False)
class Counts:
    """Faults of one mesh; the fields are those of `Health` of the same name.

    `label` (m,) is the body of each face; `places` says where the first of each fault is.
    """

    bodies: int
    open_edges: int
    crowded_edges: int
    pinched_vertices: int
    disagreeing_edges: int
    flipped_faces: int
    duplicate_faces: int
    flat_faces: int
    inside_out_bodies: int
    volume: float | None
    label: Longs
    places: dict[str, Place]


def counts(draft: Draft) -> Counts:
    """Count the faults of a draft whose vertices are joined and which has no degenerate face."""
    table = draft.table
    turning = disagreeing(table)
    twice_area = np.linalg.norm(draft.face_vectors(), axis=1)
    body = bodies(table)
    two = table.counts == 2
    is_closed = bool((table.ahead_counts * 2 == table.counts).all())
    volumes = np.bincount(body, draft.face_volumes())
    pinches, flat = pinched(table), twice_area <= 1e-14 * draft.diagonal**2
    # A skin with two sides encloses nothing but roundings.
    rounding = -1e-9 * np.bincount(body, 0.5 * twice_area) ** 1.5
    inside_out = np.flatnonzero(volumes < rounding) if is_closed else np.zeros(0, dtype=np.int64)
    crowded = np.flatnonzero(table.counts > 2)
    middle = draft.vertices[draft.faces].mean(axis=1)
    places = {
        "crowded_edges": draft.vertices[table.edges[crowded]].mean(axis=1),
        "pinched_vertices": draft.vertices[pinches],
        "flipped_faces": middle[turning.turn],
        "duplicate_faces": middle[repeats(draft.faces)],
        "flat_faces": middle[flat],
        "inside_out_bodies": middle[np.isin(body, inside_out)],
    }
    return Counts(
        bodies=int(body.max()) + 1,
        open_edges=int((table.counts == 1).sum()),
        crowded_edges=len(crowded),
        pinched_vertices=len(pinches),
        disagreeing_edges=int((two & (table.ahead_counts != 1)).sum()),
        flipped_faces=int(turning.turn.sum()),
        duplicate_faces=len(places["duplicate_faces"]),
        flat_faces=int(flat.sum()),
        inside_out_bodies=len(inside_out),
        volume=float(volumes.sum()) if is_closed else None,
        label=body,
        places={name: at(found[0]) for name, found in places.items() if len(found)},
    )


def _meetings(table: EdgeTable) -> tuple[Longs, Longs]:
    """Pairs of half-edges that follow each other round an edge, whichever way they run."""
    last = np.zeros(len(table.order), dtype=bool)
    last[table.starts[1:] - 1] = True
    here = np.flatnonzero(~last)
    return table.order[here], table.order[here + 1]


def bodies(table: EdgeTable) -> Longs:
    """(m,) body of each face: faces joined across any edge, however many meet there."""
    first, second = _meetings(table)
    return joined(first // 3, second // 3, len(table.faces))


def pinched(table: EdgeTable) -> Longs:
    """Return the vertices whose faces fall apart into fans that share no edge."""
    first, second = _meetings(table)
    same = table.ahead[first] == table.ahead[second]
    one = np.concatenate([first, after(first)])
    two = np.concatenate(
        [np.where(same, second, after(second)), np.where(same, after(second), second)]
    )
    fan = joined(one, two, len(table.order))
    lead = np.unique(fan, return_index=True)[1]
    owner = table.faces.ravel()[lead]
    return np.flatnonzero(np.bincount(owner) > 1)


def grid_step(vertices: Floats) -> float:
    """Return the step of the grid that the coordinates lie on, or 0.

    Stored scans are often rounded to a grid; relief of a step or two is then no detail. The
    step is the smallest gap between neighbouring x, y and z values that occurs often, if
    nearly all other gaps are whole multiples of it.
    """
    sample = vertices[:: max(1, len(vertices) // 20_000)]
    if len(sample) < 100:
        return 0.0
    steps = []
    for values in sample.T:
        gaps = np.diff(np.unique(values))
        # Single precision repeats gaps of its own rounding: far below any grid.
        gaps = gaps[gaps > 4e-7 * float(np.ptp(values) + np.abs(values).max())]
        if len(gaps) < 10:
            continue
        step = float(np.median(gaps[gaps <= 1.5 * np.quantile(gaps, 0.02)]))
        off = np.abs(gaps / step - np.round(gaps / step))
        few = np.round(gaps / step) <= 50
        if few.sum() < 10 or (off[few] < 0.1).mean() < 0.95:
            return 0.0
        steps.append(step)
    return float(np.median(steps)) if len(steps) == 3 else 0.0
