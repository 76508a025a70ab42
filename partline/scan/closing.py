"""Close small holes and an open underside; refuse where the filling would be a guess."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from partline.geometry.surface import Floats
from partline.scan.crossing import crossing_pairs
from partline.scan.draft import Draft, Finding
from partline.scan.edges import Longs
from partline.scan.holes import Rim, rims
from partline.scan.patching import LONGEST_RIM, patched, plinth
from partline.scan.wording import percent

# Choices of this tool, no published source:
# a hole as wide as this share of the diagonal, or less, is small,
SMALL_HOLE = 0.06
# all small holes together may hide up to this share of the volume,
MOST_DOUBT = 0.005
# an underside faces down within 60 degrees, reaches the lowest fiftieth of the height, has
# nearly everything above it,
DOWN = 0.5
LOWEST = 0.02
ABOVE = 0.95
# and leaves a plane by no more than this share of its width.
UNEVEN = 0.2
# The volume of a small hole is given between flat and curved fillings and as much beyond, but
# never closer than this share of its area times its width (saddles have flat = curved).
UNSURE = 0.02
# A cap over an uneven rim may cut through the piece at this many faces per rim vertex.
MOST_CUT = 0.1


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
    limit = SMALL_HOLE * draft.diagonal
    bases = [rim for rim in found if _is_underside(draft, rim)]
    rest = [rim for rim in found if not any(rim is base for base in bases)]
    small = [rim for rim in rest if rim.width <= limit]
    large = [rim for rim in rest if rim.width > limit]
    hidden = sum(2.0 / 3.0 * np.pi * (0.5 * rim.width) ** 3 for rim in small)
    volume = abs(draft.face_volumes().sum() + sum(_fan_volume(draft, rim) for rim in found))
    doubt = hidden / volume if volume > 0 else float("inf") if small else 0.0
    return Closing(tuple(bases), tuple(small), tuple(large), float(doubt))


def _is_underside(draft: Draft, rim: Rim) -> bool:
    if rim.normal[2] > -DOWN or rim.unevenness > UNEVEN * rim.width:
        return False
    if len(rim.loop) > LONGEST_RIM or rim.length < 0.02 * draft.diagonal:
        return False
    bottom, top = draft.vertices[:, 2].min(), draft.vertices[:, 2].max()
    if draft.vertices[rim.loop, 2].min() > bottom + LOWEST * (top - bottom):
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
    """Fill the undersides and the small holes.

    An underside gets a cap stretched over its rim. Where that cap would cut through the piece,
    as under a relief with a wavy rim, walls are carried down from the rim to a level base.
    """
    if not (closing.bases or closing.small):
        return draft, []
    plinths = [False] * len(closing.bases)
    result, owner, bulge = _filled(draft, closing, plinths)
    if any(not rim.is_flat for rim in closing.bases):
        cut = _cut_by(result, owner, len(closing.bases))
        plinths = [
            int(cut[k]) > max(20, MOST_CUT * len(rim.loop)) for k, rim in enumerate(closing.bases)
        ]
        if any(plinths):
            other, owner, _ = _filled(draft, closing, plinths)
            better = _cut_by(other, owner, len(closing.bases)).sum() < cut.sum()
            result, plinths = (other, plinths) if better else (result, [False] * len(plinths))
    found = [_base_found(rim, plinths[k]) for k, rim in enumerate(closing.bases)]
    if closing.small:
        worst = closing.small[0]
        note = f"together they could hide {percent(closing.doubt)} of the volume"
        doubt = bulge + UNSURE * sum(rim.area * rim.width for rim in closing.small)
        found.append(Finding("hole", len(closing.small), worst.length, worst.place, note, doubt))
    return result, found


def _filled(draft: Draft, closing: Closing, plinths: list[bool]) -> tuple[Draft, Longs, float]:
    """Fill every hole; also return (m,) which base each face belongs to, -1 for the others, and
    the volume between the curved fillings of the small holes and flat ones."""
    jobs = [(rim, True) for rim in closing.bases] + [(rim, False) for rim in closing.small]
    on_rim = np.zeros(len(draft.vertices), dtype=bool)
    for rim, _ in jobs:
        on_rim[rim.loop] = True
    edges = draft.table.edges
    inner = edges[on_rim[edges].all(axis=1)]
    beside = edges[on_rim[edges].any(axis=1)]
    points, faces, owner = [draft.vertices], [draft.faces], [np.full(len(draft.faces), -1)]
    count, bulge = len(draft.vertices), 0.0
    for k, (rim, is_base) in enumerate(jobs):
        edge = draft.vertices[rim.loop]
        if is_base and plinths[k]:
            patch = plinth(edge, np.array(rim.place), np.array([0.0, 0.0, -1.0]))  # a level floor
        else:
            around = None if is_base else _around(draft.vertices, beside, on_rim, rim.loop)
            patch = patched(edge, _taken(inner, rim.loop), around=around, coarse=is_base)
        bulge += 0.0 if is_base else patch.bulge
        fresh = len(patch.points) - len(rim.loop)
        number = np.concatenate([rim.loop, count + np.arange(fresh)])
        points.append(patch.points[len(rim.loop) :])
        faces.append(number[patch.faces])
        owner.append(np.full(len(patch.faces), k if is_base else -1))
        count += fresh
    every = np.vstack(faces)
    added = np.full(len(every) - len(draft.faces), -1, dtype=np.int64)
    numbers = np.concatenate([draft.file_faces, added])
    return Draft(np.vstack(points), every, numbers), np.concatenate(owner), bulge


def _cut_by(draft: Draft, owner: Longs, bases: int) -> Longs:
    """(bases,) how many faces of the filling of each base pass through others."""
    faces = np.unique(crossing_pairs(draft))
    mine = owner[faces]
    return np.bincount(mine[mine >= 0], minlength=bases)


def _base_found(rim: Rim, on_plinth: bool) -> Finding:
    if rim.is_flat and not on_plinth:
        return Finding("open base", 1, rim.length, rim.place)
    share = 100 * rim.unevenness / rim.width
    note = f"the rim leaves a plane by {share:.0f} % of its width"
    kind = "plinth" if on_plinth else "uneven base"
    return Finding(kind, 1, rim.length, rim.place, note)


def _taken(inner: Longs, loop: Longs) -> set[tuple[int, int]]:
    """Edges of the mesh between two points of one rim, by their position on it."""
    place = {int(v): k for k, v in enumerate(loop)}
    both = inner[np.isin(inner, loop).all(axis=1)]
    pairs = ((place[int(a)], place[int(b)]) for a, b in both)
    return {(min(a, b), max(a, b)) for a, b in pairs}


def _around(vertices: Floats, beside: Longs, on_rim: np.ndarray, loop: Longs) -> Floats:
    """(k, 4) sum and number of each rim point's neighbours in the mesh that are on no rim."""
    pairs = np.vstack([beside, beside[:, ::-1]])
    pairs = pairs[~on_rim[pairs[:, 1]] & np.isin(pairs[:, 0], loop)]
    number = {int(v): k for k, v in enumerate(loop)}
    row = np.array([number[int(v)] for v in pairs[:, 0]], dtype=np.int64)
    total = np.zeros((len(loop), 4))
    np.add.at(total, row, np.column_stack([vertices[pairs[:, 1]], np.ones(len(row))]))
    return total
