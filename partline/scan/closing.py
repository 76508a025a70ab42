"""Close small holes and an open underside; refuse where the filling would be a guess."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from partline.geometry.surface import Floats
from partline.scan.draft import Draft, Finding, Longs
from partline.scan.edges import EdgeTable
from partline.scan.holes import Rim, rims
from partline.scan.patching import LONGEST_RIM, patched

# Choices of this tool, no published source:
# a rim up to this share of the diagonal is a small hole,
SMALL_RIM = 0.15
# all small holes together may hide up to this share of the volume,
MOST_DOUBT = 0.005
# an underside faces down within 60 degrees, has nearly everything above it,
DOWN = 0.5
ABOVE = 0.95
# and leaves a plane by no more than this share of its width.
UNEVEN = 0.2


@dataclass(frozen=True, eq=False)
class Closing:
    """What can be done about the holes.

    Attributes
    ----------
    bases : tuple of Rim
        Open undersides, closed with a taut skin.
    small : tuple of Rim
        Small holes, filled so that the curvature carries on.
    large : tuple of Rim
        Holes that are neither: nobody knows what was there.
    doubt : float
        Share of the volume that the small holes could hide, taking a half ball on each.
    """

    bases: tuple[Rim, ...]
    small: tuple[Rim, ...]
    large: tuple[Rim, ...]
    doubt: float


def sorted_holes(draft: Draft) -> Closing:
    """Sort the holes of a draft that stands in its pose (+Z up)."""
    found = rims(draft)
    limit = SMALL_RIM * draft.diagonal
    bases = [rim for rim in found if _is_underside(draft, rim)]
    rest = [rim for rim in found if not any(rim is base for base in bases)]
    small = [rim for rim in rest if rim.length <= limit]
    large = [rim for rim in rest if rim.length > limit]
    hidden = sum(2.0 / 3.0 * np.pi * (0.5 * rim.width) ** 3 for rim in small)
    volume = abs(draft.face_volumes().sum() + sum(_fan_volume(draft, rim) for rim in found))
    doubt = hidden / volume if volume > 0 else float("inf") if small else 0.0
    return Closing(tuple(bases), tuple(small), tuple(large), float(doubt))


def _is_underside(draft: Draft, rim: Rim) -> bool:
    if rim.normal[2] > -DOWN or rim.unevenness > UNEVEN * rim.width:
        return False
    if len(rim.loop) > LONGEST_RIM or rim.length < 0.02 * draft.diagonal:
        return False
    height = (draft.vertices - np.array(rim.place)) @ rim.normal
    return bool((height <= rim.unevenness + 1e-9 * draft.diagonal).mean() >= ABOVE)


def _fan_volume(draft: Draft, rim: Rim) -> float:
    """Signed volume that a fan over the rim adds, about the same point as `face_volumes`."""
    middle = 0.5 * (draft.vertices.min(axis=0) + draft.vertices.max(axis=0))
    points = draft.vertices[rim.loop] - middle
    hub = np.array(rim.place) - middle
    return float(np.cross(points, np.roll(points, -1, axis=0)).sum(axis=0) @ hub) / 6.0


def closed(draft: Draft, closing: Closing) -> tuple[Draft, list[Finding]]:
    """Fill the undersides and the small holes."""
    found = [_base_found(rim) for rim in closing.bases]
    if closing.small:
        worst = closing.small[0]
        found.append(Finding("hole", len(closing.small), worst.length, worst.place))
    jobs = [(rim, True) for rim in closing.bases] + [(rim, False) for rim in closing.small]
    if not jobs:
        return draft, []
    table = EdgeTable.of(draft.faces)
    on_rim = np.zeros(len(draft.vertices), dtype=bool)
    for rim, _ in jobs:
        on_rim[rim.loop] = True
    inner = table.edges[on_rim[table.edges].all(axis=1)]
    beside = table.edges[on_rim[table.edges].any(axis=1)]
    points, faces = [draft.vertices], [draft.faces]
    count = len(draft.vertices)
    for rim, is_base in jobs:
        place = {int(v): k for k, v in enumerate(rim.loop)}
        around = None if is_base else _around(draft.vertices, beside, on_rim, rim.loop)
        patch = patched(
            draft.vertices[rim.loop], _taken(inner, place), around=around, coarse=is_base
        )
        fresh = len(patch.points) - len(rim.loop)
        number = np.concatenate([rim.loop, count + np.arange(fresh)])
        points.append(patch.points[len(rim.loop) :])
        faces.append(number[patch.faces])
        count += fresh
    every = np.vstack(faces)
    added = np.full(len(every) - len(draft.faces), -1, dtype=np.int64)
    return Draft(np.vstack(points), every, np.concatenate([draft.file_faces, added])), found


def _base_found(rim: Rim) -> Finding:
    if rim.is_flat:
        return Finding("open base", 1, rim.length, rim.place)
    share = 100 * rim.unevenness / rim.width
    note = f"the rim leaves a plane by {share:.0f} % of its width"
    return Finding("uneven base", 1, rim.length, rim.place, note)


def _taken(inner: Longs, place: dict[int, int]) -> set[tuple[int, int]]:
    """Edges of the mesh between two points of one rim, by their position on it."""
    rim = np.fromiter(place, dtype=np.int64)
    both = inner[np.isin(inner, rim).all(axis=1)]
    pairs = ((place[int(a)], place[int(b)]) for a, b in both)
    return {(min(a, b), max(a, b)) for a, b in pairs}


def _around(
    vertices: Floats, beside: Longs, on_rim: np.ndarray, loop: Longs
) -> Floats | None:
    """(k, 3) mean of each rim point's neighbours inside the mesh; None where one has none."""
    pairs = np.vstack([beside, beside[:, ::-1]])
    pairs = pairs[~on_rim[pairs[:, 1]] & np.isin(pairs[:, 0], loop)]
    number = {int(v): k for k, v in enumerate(loop)}
    row = np.array([number[int(v)] for v in pairs[:, 0]], dtype=np.int64)
    degree = np.bincount(row, minlength=len(loop))
    if not (degree > 0).all():
        return None
    total = np.zeros((len(loop), 3))
    np.add.at(total, row, vertices[pairs[:, 1]])
    return total / degree[:, None]
