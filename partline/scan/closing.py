"""Close holes and an open underside; leave alone what would be a guess."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from partline.geometry.surface import Floats
from partline.scan.crossing import crossing_pairs
from partline.scan.draft import Draft, Finding
from partline.scan.edges import Longs
from partline.scan.holes import Rim, rims
from partline.scan.master import MOST_OPEN
from partline.scan.patching import LONGEST_RIM, Patch, patched, plinth
from partline.scan.undersides import is_base, is_underside
from partline.scan.volume_doubt import UNSURE, volume_doubt
from partline.scan.wording import percent

# Choices of this tool, no published source:
# holes are filled where the interval that they leave is no wider than this share of the volume,
MOST_BETWEEN = MOST_OPEN
# or no more of the surface than this share is missing
MOST_MISSING = 0.01
# and the interval is no wider than this.
MOST_EVER = 0.05
# Triangulating a rim takes time with the cube of its points: so much for all of them together.
_MOST_WORK = 4.0 * LONGEST_RIM**3
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
        Holes filled so that the curvature carries on, if all of them leave little in doubt.
    large : tuple of Rim
        Holes that are neither, whatever a filling would be: nobody knows what was there.
    """

    bases: tuple[Rim, ...]
    small: tuple[Rim, ...]
    large: tuple[Rim, ...]


def sorted_holes(draft: Draft) -> Closing:
    """Sort the holes of a draft that stands in its pose (+Z up).

    A hole that lies underneath is a base where the skin meets it at an edge; a round hole of a
    body that merely happens to lie there is a hole, unless it is too large for one.
    """
    found = rims(draft)
    volume = abs(draft.face_volumes().sum() + _fan_volumes(draft, found))
    skin = 0.5 * float(np.linalg.norm(draft.face_vectors(), axis=1).sum())
    bases, small, large, work = [], [], [], 0.0
    for rim in found:
        wide = rim.area > MOST_MISSING * (skin + rim.area)
        if is_underside(draft, rim) and (wide or is_base(rim)):
            bases.append(rim)
            continue
        work += float(len(rim.loop)) ** 3
        # A filling is no smaller than the flat hole, and the least doubt is known before it.
        is_lost = wide and 2 * UNSURE * rim.area * rim.width > MOST_BETWEEN * volume
        if is_lost or len(rim.loop) > LONGEST_RIM or work > _MOST_WORK:
            large.append(rim)
        else:
            small.append(rim)
    return Closing(tuple(bases), tuple(small), tuple(large))


def _fan_volumes(draft: Draft, found: list[Rim]) -> float:
    """Signed volume that fans over the rims add, about the same point as `face_volumes`."""
    middle = 0.5 * (draft.vertices.min(axis=0) + draft.vertices.max(axis=0))
    total = 0.0
    for rim in found:
        points = draft.vertices[rim.loop] - middle
        hub = np.array(rim.place) - middle
        total += float(np.cross(points, np.roll(points, -1, axis=0)).sum(axis=0) @ hub) / 6.0
    return total


def closed(draft: Draft, closing: Closing) -> tuple[Draft, list[Finding]]:
    """Fill the undersides and the holes that may be filled.

    An underside gets a cap stretched over its rim. Where that cap would cut through the piece,
    as under a relief with a wavy rim, walls are carried down from the rim to a level base.
    """
    if not (closing.bases or closing.small):
        return draft, []
    plinths = [False] * len(closing.bases)
    result, owner, sure = _filled(draft, closing, plinths)
    if any(not rim.is_flat for rim in closing.bases):
        cut = _cut_by(result, owner, len(closing.bases))
        plinths = [
            int(cut[k]) > max(20, MOST_CUT * len(rim.loop)) for k, rim in enumerate(closing.bases)
        ]
        if any(plinths):
            other, owner, _ = _filled(draft, closing, plinths)
            better = _cut_by(other, owner, len(closing.bases)).sum() < cut.sum()
            result, plinths = (other, plinths) if better else (result, [False] * len(plinths))
    bases = len(closing.bases)
    found = [_base_found(rim, plinths[k], float(sure[k, 0])) for k, rim in enumerate(closing.bases)]
    if closing.small:
        worst = closing.small[0]
        doubt, area = sure[bases:].sum(axis=0).tolist()
        whole = 0.5 * float(np.linalg.norm(result.face_vectors(), axis=1).sum())
        note = f"{percent(area / whole if whole > 0 else 1.0)} of the surface was missing"
        found.append(
            Finding("hole", len(closing.small), worst.length, worst.place, note, doubt, area)
        )
    return result, found


def left_open(draft: Draft, filled: Finding) -> float:
    """Return the width of the interval that the holes leave, as a share of the volume, 1 at most.

    Parameters
    ----------
    draft : Draft
        Closed.
    filled : Finding
        Of kind "hole".
    """
    volume = abs(float(draft.face_volumes().sum()))
    between = 2.0 * filled.doubt
    return between / volume if between < volume else 1.0


def is_guess(draft: Draft, filled: Finding) -> bool:
    """Whether the holes that were filled leave more in doubt than is filled unasked; as above."""
    share = left_open(draft, filled)
    skin = 0.5 * float(np.linalg.norm(draft.face_vectors(), axis=1).sum())
    return share > MOST_EVER or (share > MOST_BETWEEN and filled.area > MOST_MISSING * skin)


def _filled(draft: Draft, closing: Closing, plinths: list[bool]) -> tuple[Draft, Longs, Floats]:
    """Fill every hole; also return (m,) which base each face belongs to, -1 for the others, and
    the doubt and the area of each filling, (bases + small, 2)."""
    jobs = [(rim, True) for rim in closing.bases] + [(rim, False) for rim in closing.small]
    on_rim = np.zeros(len(draft.vertices), dtype=bool)
    for rim, _ in jobs:
        on_rim[rim.loop] = True
    near = _Near.of(draft, on_rim)
    points, faces, owner = [draft.vertices], [draft.faces], [np.full(len(draft.faces), -1)]
    count, sure = len(draft.vertices), []
    for k, (rim, underneath) in enumerate(jobs):
        edge, pairs = draft.vertices[rim.loop], near.pairs(rim.loop)
        taken, around = _taken(pairs, rim.loop), _around(draft.vertices, pairs, on_rim, rim.loop)
        patch = patched(edge, taken, around=None if underneath else around, coarse=underneath)
        doubt = 0.0
        if not (underneath and is_base(rim)):
            plate = patched(edge, taken, around=around, coarse=True) if underneath else patch
            # As far beyond the curved filling as the flat one is short of it.
            reach = 2.0 * plate.bulge if underneath else plate.bulge
            doubt = volume_doubt(rim, draft.vertices[np.unique(pairs)], reach)
        if underneath and plinths[k]:
            patch = plinth(edge, np.array(rim.place), np.array([0.0, 0.0, -1.0]))  # a level floor
        sure.append((doubt, _area(patch)))
        fresh = len(patch.points) - len(rim.loop)
        number = np.concatenate([rim.loop, count + np.arange(fresh)])
        points.append(patch.points[len(rim.loop) :])
        faces.append(number[patch.faces])
        owner.append(np.full(len(patch.faces), k if underneath else -1))
        count += fresh
    every = np.vstack(faces)
    added = np.full(len(every) - len(draft.faces), -1, dtype=np.int64)
    numbers = np.concatenate([draft.file_faces, added])
    return Draft(np.vstack(points), every, numbers), np.concatenate(owner), np.array(sure)


def _area(patch: Patch) -> float:
    a, b, c = (patch.points[patch.faces[:, k]] for k in range(3))
    return 0.5 * float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum())


def _cut_by(draft: Draft, owner: Longs, bases: int) -> Longs:
    """(bases,) how many faces of the filling of each base pass through others."""
    faces = np.unique(crossing_pairs(draft))
    mine = owner[faces]
    return np.bincount(mine[mine >= 0], minlength=bases)


def _base_found(rim: Rim, on_plinth: bool, doubt: float) -> Finding:
    if rim.is_flat and not on_plinth:
        return Finding("open base", 1, rim.length, rim.place, doubt=doubt)
    share = 100 * rim.unevenness / rim.width
    note = f"the rim leaves a plane by {share:.0f} % of its width"
    kind = "plinth" if on_plinth else "uneven base"
    return Finding(kind, 1, rim.length, rim.place, note, doubt)


@dataclass(frozen=True, eq=False)
class _Near:
    """The edges at rims, both ways, by the vertex they start from: found without a search."""

    both: Longs
    starts: Longs

    @classmethod
    def of(cls, draft: Draft, on_rim: np.ndarray) -> _Near:
        edges = draft.table.edges
        both = np.vstack([edges, edges[:, ::-1]])
        both = both[on_rim[both[:, 0]]]
        both = both[np.argsort(both[:, 0], kind="stable")]
        return cls(both, np.searchsorted(both[:, 0], np.arange(len(draft.vertices) + 1)))

    def pairs(self, loop: Longs) -> Longs:
        """(k, 2) rim vertex and neighbour, for all vertices of a rim."""
        return np.vstack([self.both[self.starts[v] : self.starts[v + 1]] for v in loop.tolist()])


def _taken(pairs: Longs, loop: Longs) -> set[tuple[int, int]]:
    """Edges of the mesh between two points of one rim, by their position on it."""
    place = {v: k for k, v in enumerate(loop.tolist())}
    found = ((place[a], place.get(b, -1)) for a, b in pairs.tolist())
    return {(a, b) for a, b in found if a < b}


def _around(vertices: Floats, pairs: Longs, on_rim: np.ndarray, loop: Longs) -> Floats:
    """(k, 4) sum and number of each rim point's neighbours in the mesh that are on no rim."""
    pairs = pairs[~on_rim[pairs[:, 1]]]
    number = {v: k for k, v in enumerate(loop.tolist())}
    row = np.array([number[v] for v in pairs[:, 0].tolist()], dtype=np.int64)
    total = np.zeros((len(loop), 4))
    np.add.at(total, row, np.column_stack([vertices[pairs[:, 1]], np.ones(len(row))]))
    return total
