"""The shells of a mesh: stray specks, hollows, bodies inside out, bodies that overlap."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from manifold3d import Error, Manifold, Mesh64, OpType

from partline.geometry.surface import Floats
from partline.scan.box_tree import meeting, tree_of
from partline.scan.crossing import crossing_pairs
from partline.scan.draft import Draft, Finding, at
from partline.scan.edges import Longs, shells
from partline.scan.nesting import boxes
from partline.scan.sharing import sharing
from partline.scan.turning import turned
from partline.scan.wording import counted, percent

# A shell with less than this share of the largest shell's area is a stray speck, unless it is
# closed and grown into another. A choice of this tool, no published source.
SPECK_SHARE = 1e-3
# So many are each told with its place; of more only the largest.
FEW_SPECKS = 12
# An open shell is inside out if, closed from the middle of its rims, it holds less than minus this
# share of what a ball of its area holds. A choice of this tool: scans with a whole side missing
# hold 0.17 to 0.98, a sheet nearly nothing.
_TOLD = 0.02
# Overlaps below this share of the volume are rounding.
SAME = 1e-9


@dataclass(frozen=True, eq=False)
class Shells:
    """Each shell of a draft.

    Attributes
    ----------
    label : (m,) int64
        Shell of each face.
    area, volume : (s,) float64
        Area and signed volume of each; an open one is closed from the middle of its rims.
    is_closed : (s,) bool
    low, high : (s, 3) float64
        Bounding boxes.
    """

    label: Longs
    area: Floats
    volume: Floats
    is_closed: np.ndarray
    low: Floats
    high: Floats

    @classmethod
    def of(cls, draft: Draft) -> Shells:
        """Measure the shells of a draft."""
        twins = draft.table.twins
        label = shells(twins)
        count = int(label.max(initial=-1)) + 1
        area = np.bincount(label, 0.5 * np.linalg.norm(draft.face_vectors(), axis=1), count)
        lone = np.flatnonzero(twins < 0)
        is_closed = np.bincount(label[lone // 3], minlength=count) == 0
        volume = np.bincount(label, _volumes(draft, label, lone), count)
        if count == 1:
            used = draft.compacted().vertices
            low, high = used.min(axis=0)[None], used.max(axis=0)[None]
        else:
            low, high = boxes(draft, label)
        return cls(label, area.astype(float), volume.astype(float), is_closed, low, high)

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.area)

    @property
    def is_told(self) -> np.ndarray:
        """(s,) whether the sign of the volume says which side is outside: not so of a sheet."""
        ball = self.area**1.5 / (6.0 * np.sqrt(np.pi))
        return self.is_closed | (np.abs(self.volume) > _TOLD * ball)


def _volumes(draft: Draft, label: Longs, lone: Longs) -> Floats:
    """(m,) signed volumes between each face and the middle of its shell's rims.

    What a cone from one point adds to close a rim is nothing as seen from that point: the sum over
    a shell is its volume so closed, wherever it lies. A closed shell may be seen from anywhere.
    """
    if not len(lone):
        return draft.face_volumes()
    corner = lone % 3
    ends = draft.faces[lone // 3, corner], draft.faces[lone // 3, (corner + 1) % 3]
    one, two = (draft.vertices[end] for end in ends)
    weight = np.linalg.norm(two - one, axis=1) + 1e-300
    count, owner = int(label.max()) + 1, label[lone // 3]
    total = np.bincount(owner, weight, count)
    from_ = np.tile(0.5 * (draft.vertices.min(axis=0) + draft.vertices.max(axis=0)), (count, 1))
    for axis in range(3):
        along = np.bincount(owner, weight * 0.5 * (one + two)[:, axis], count)
        np.divide(along, total, out=from_[:, axis], where=total > 0)
    a, b, c = (draft.vertices[draft.faces[:, k]] - from_[label] for k in range(3))
    return np.asarray(np.einsum("ij,ij->i", a, np.cross(b, c)) / 6.0)


def without_specks(draft: Draft) -> tuple[Draft, list[Finding]]:
    """Drop shells that are too small to be part of the piece."""
    parts = Shells.of(draft)
    small = parts.area < SPECK_SHARE * parts.area.max()
    if not small.any():
        return draft, []
    solid = np.flatnonzero(small & parts.is_closed & (parts.volume > 0))
    if len(solid):
        small[solid[_grown_in(draft, parts, solid)]] = False
    if not small.any():
        return draft, []
    size = np.linalg.norm(parts.high - parts.low, axis=1)
    worst = int(np.argmax(np.where(small, size, -1.0)))
    place = at(0.5 * (parts.low[worst] + parts.high[worst]))
    faces = int(small[parts.label].sum())
    few = np.flatnonzero(small) if small.sum() <= FEW_SPECKS else np.zeros(0, dtype=np.int64)
    each = tuple(
        (float(size[k]), at(0.5 * (parts.low[k] + parts.high[k])))
        for k in few[np.argsort(-size[few], kind="stable")]
    )
    finding = Finding(
        "speck", int(small.sum()), float(size[worst]), place, counted(faces, "face", "faces"),
        each=each,
    )  # fmt: skip
    return draft.kept(~small[parts.label]).compacted(), [finding]


def without_flakes(draft: Draft) -> tuple[Draft, list[Finding]]:
    """Drop closed shells with nothing in them, like a face and the filling of its own rim.

    They stay where there is nothing else: the last check says that it is a sheet.
    """
    parts = Shells.of(draft)
    flat = parts.is_closed & (np.abs(parts.volume) <= SAME * parts.area**1.5)
    if not flat.any() or flat.all():
        return draft, []
    first = int(np.flatnonzero(flat)[0])
    place = at(0.5 * (parts.low[first] + parts.high[first]))
    finding = Finding("folded", int(flat[parts.label].sum()), 0.0, place)
    return draft.kept(~flat[parts.label]).compacted(), [finding]


def _grown_in(draft: Draft, parts: Shells, some: Longs) -> np.ndarray:
    """(k,) whether each of some shells passes through another one."""
    corners = draft.vertices[draft.faces]
    low, high = corners.min(axis=1), corners.max(axis=1)
    near = meeting(tree_of(parts.low[some], parts.high[some]), low, high)
    label = parts.label[near]
    pairs = label[crossing_pairs(draft.kept(near))]
    return np.isin(some, pairs[pairs[:, 0] != pairs[:, 1]])


def outward(draft: Draft) -> tuple[Draft, list[Finding]]:
    """Turn bodies that are inside out; a shell turned inward inside another stays a hollow.

    Open ones too, where enough of them is there to tell: a scan is stood up, and its holes told
    from its underside, by where its skin faces.
    """
    parts = Shells.of(draft)
    turn = (parts.volume < 0) & parts.is_told
    held_by = _held_by(draft, parts, np.flatnonzero(turn))
    turn &= np.array([not held for held in held_by], dtype=bool)
    if not turn.any():
        return draft, []
    within = np.flatnonzero(parts.volume > 0)
    held_by = _held_by(draft, parts, within)
    for shell in within:
        # A hollow of a body that was turned is turned with it.
        if len(held_by[shell]) == 1:
            turn[shell] = turn[held_by[shell][0]]
    middle = at(0.5 * (parts.low[turn][0] + parts.high[turn][0]))
    return turned(draft, turn[parts.label]), [Finding("inside out", int(turn.sum()), 0.0, middle)]


def _held_by(draft: Draft, parts: Shells, asked: Longs) -> list[list[int]]:
    return sharing(draft, parts.label, parts.is_closed, asked).held_by


def united(draft: Draft) -> tuple[Draft, list[Finding]]:
    """Make one solid of bodies that overlap, so that nothing is counted twice.

    Left as it is, face numbers and all, where no boxes meet or nothing overlaps.
    """
    parts = Shells.of(draft)
    bodies = np.flatnonzero(parts.volume > 0)
    if len(bodies) < 2 or not _boxes_meet(parts, bodies):
        return draft, []
    hollows = np.flatnonzero(parts.volume <= 0)
    held_by = _held_by(draft, parts, hollows)
    solids = []
    for body in bodies:
        own = [s for s in hollows if held_by[s] == [body]]
        mask = np.isin(parts.label, np.array([body, *own]))
        solid = as_manifold(draft.kept(mask).compacted(), numbers=np.flatnonzero(mask))
        if solid.status() != Error.NoError:
            return draft, []  # found and named by the last check
        solids.append(solid)
    whole = Manifold.batch_boolean(solids, OpType.Add)
    total = float(parts.volume.sum())
    twice = total - float(whole.volume())
    if whole.status() != Error.NoError or twice <= SAME * total:
        return draft, []
    mesh = whole.to_mesh64()
    source = np.asarray(mesh.face_id, dtype=np.int64)
    result = Draft(
        np.array(mesh.vert_properties[:, :3], dtype=np.float64),
        np.array(mesh.tri_verts, dtype=np.int64),
        draft.file_faces[source],
    )
    note = f"{percent(twice / total)} of the volume had been counted twice"
    return result, [Finding("overlap", len(bodies), 0.0, None, note)]


def _boxes_meet(parts: Shells, bodies: Longs) -> bool:
    low, high = parts.low[bodies], parts.high[bodies]
    for k in range(len(bodies) - 1):
        if ((low[k + 1 :] <= high[k]) & (high[k + 1 :] >= low[k])).all(axis=1).any():
            return True
    return False


def as_manifold(draft: Draft, *, numbers: Longs | None = None) -> Manifold:
    """Return the draft as a solid of the boolean library; ask its `status()`."""
    mesh = Mesh64(
        np.ascontiguousarray(draft.vertices),
        np.ascontiguousarray(draft.faces, dtype=np.uint64),
        face_id=None if numbers is None else np.ascontiguousarray(numbers, dtype=np.uint64),
    )
    return Manifold(mesh)
