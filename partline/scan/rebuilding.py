"""The last resort for a scan that cannot be mended: a new closed surface round what is inside.

Only when asked. What is inside is told by winding numbers on a grid, the new surface runs
through the old one wherever there is one, and how far the two part is measured both ways.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numba import njit
from numpy.typing import NDArray

from partline.errors import NotSolid
from partline.geometry.nearest_faces import nearest_faces
from partline.geometry.rays import Tree, build_tree, first_hit
from partline.geometry.surface import Floats, Surface
from partline.progress import Progress, silent, span
from partline.scan.draft import Draft, Finding, at
from partline.scan.edges import Longs
from partline.scan.netting import net, well_composed
from partline.scan.rebuild_doubt import drawn_doubt
from partline.scan.winding import Dipoles, dipoles, winding_numbers
from partline.scan.wording import percent, rounded

# Choices of this tool, no published source:
# cells along the diagonal where no cell size is stated,
CELLS = 300
# nodes of the grid, at most (about half a gigabyte of memory),
MOST_NODES = 60_000_000
# a winding number between these leaves it open whether a place is inside.
DOUBTFUL = (0.25, 0.75)
# Winding numbers are first taken at every so many nodes.
_COARSE = 4


@dataclass(frozen=True)
class Rebuild:
    """That a new surface is asked for.

    Attributes
    ----------
    cell : float or None
        Size of the cells [mm]; a three-hundredth of the diagonal where None.
    """

    cell: float | None = None


@dataclass(frozen=True, eq=False)
class _Field:
    """Winding numbers at the nodes `low + cell * (i, j, k)`."""

    low: Floats
    cell: float
    number: NDArray[np.float32]


def rebuilt(
    draft: Draft, cell: float | None = None, *, unit: str = "mm", progress: Progress = silent
) -> tuple[Draft, Finding]:
    """Make a new closed surface of a draft, holes, overlaps and all.

    Parameters
    ----------
    draft : Draft
        Cleaned: neighbours agree which side is outside.
    cell : float, optional
        Size of the grid's cells, in the draft's unit; a three-hundredth of its diagonal if left
        out. Edges come out about as long, and nothing finer is kept.
    unit : str
        Word for the unit.
    progress : Progress, optional

    Returns
    -------
    draft : Draft
        Closed; each face has the file number of the old face it lies on, or -1 where it was made
        up, farther than a cell from any.
    finding : Finding
        With the deviation both ways, and in `doubt` the volume between winding numbers of a
        quarter and three quarters, how much the holes leave open, and what drawing it at the
        cell may have added or cut off.

    Raises
    ------
    NotSolid
        If nothing is inside, or the cells are too many or too few.
    """
    cell = _checked_cell(draft, draft.diagonal / CELLS if cell is None else cell, unit)
    source = dipoles(draft.vertices, draft.faces)
    field = _winding_grid(draft, source, cell, span(progress, 0.0, 0.6))
    inside = well_composed(field.number)
    if not inside.any():
        raise NotSolid(
            "A new surface cannot be made: the scan surrounds nothing, like a sheet or a piece "
            "open on one whole side. Scan the rest of it."
        )
    progress(0.6, "drawing the new surface")
    steps, faces = net(inside, lambda starts, axes: _crossing(source.tree, field, starts, axes))
    vertices = field.low + cell * steps
    progress(0.8, "measuring how far it is from the scan")
    fresh = Draft(vertices, faces, np.zeros(len(faces), dtype=np.int64))
    away, numbers = nearest_faces(source.tree, vertices[faces].mean(axis=1))
    lost, _ = nearest_faces(build_tree(Surface(vertices, faces)), draft.vertices)
    made_up = away > cell
    fresh = Draft(vertices, faces, np.where(made_up, -1, draft.file_faces[numbers]))
    doubt = _doubt(field) + drawn_doubt(
        draft, fresh, away, source, cell=cell, progress=span(progress, 0.9, 1.0)
    )
    progress(1.0, "new surface ready")
    return fresh, _finding(fresh, away, lost, cell, unit, doubt)


def _checked_cell(draft: Draft, cell: float, unit: str) -> float:
    counts = np.ptp(draft.vertices, axis=0) / cell + 2 * _COARSE
    nodes = float(np.prod(counts))
    if nodes > MOST_NODES:
        least = cell * (nodes / MOST_NODES) ** (1 / 3)
        raise NotSolid(
            f"Cells of {cell:.3g} {unit} would be {nodes / 1e6:.0f} million; "
            f"{MOST_NODES / 1e6:.0f} million is the most. State a cell of {least * 1.05:.2g} "
            f"{unit} or more."
        )
    if cell > draft.diagonal / 20:
        raise NotSolid(
            f"Cells of {cell:.3g} {unit} are too coarse for a piece {draft.diagonal:.3g} {unit} "
            f"across. State a cell of {draft.diagonal / 100:.2g} {unit} or less."
        )
    return cell


def _winding_grid(draft: Draft, source: Dipoles, cell: float, progress: Progress) -> _Field:
    """Winding numbers at all nodes: worked out near the surface and where they are doubtful."""
    used = draft.vertices[np.unique(draft.faces)]
    blocks = np.ceil(np.ptp(used, axis=0) / (cell * _COARSE)).astype(int) + 2
    # Off the planes that models are drawn on, or whole rows of nodes would lie on the surface.
    low = used.min(axis=0) - cell * (_COARSE - np.array([0.271, 0.317, 0.353]))
    coarse = np.indices(blocks + 1).reshape(3, -1).T
    rough = winding_numbers(
        source, low + cell * _COARSE * coarse, progress=span(progress, 0.0, 0.2)
    ).reshape(blocks + 1)
    busy = _busy(source.tree, low, cell * _COARSE, tuple(blocks))
    busy |= ~_alike(rough)
    # A quiet block is all inside or all outside, like its first corner.
    number = np.repeat(np.repeat(np.repeat(np.round(rough), _COARSE, 0), _COARSE, 1), _COARSE, 2)
    last = _COARSE - 1
    number = np.ascontiguousarray(number[:-last, :-last, :-last], dtype=np.float32)
    wanted = _nodes_of(busy)
    nodes = np.argwhere(wanted)
    number[wanted] = winding_numbers(source, low + cell * nodes, progress=span(progress, 0.2, 1.0))
    return _Field(low, cell, number.astype(np.float32, copy=False))


def _alike(rough: Floats) -> NDArray[np.bool_]:
    """Blocks whose eight corners are plainly outside, or plainly inside."""
    low, high = rough, rough
    for axis in range(3):
        one = [slice(None)] * 3
        two = [slice(None)] * 3
        one[axis], two[axis] = slice(0, -1), slice(1, None)
        low = np.minimum(low[tuple(one)], low[tuple(two)])
        high = np.maximum(high[tuple(one)], high[tuple(two)])
    return (high < DOUBTFUL[0]) | (low > DOUBTFUL[1])


@njit(nogil=True, cache=True)
def _busy(tree, low, size, shape):  # type: ignore[no-untyped-def]
    """Blocks that the box of a face reaches."""
    busy = np.zeros(shape, dtype=np.bool_)
    first = np.empty(3, np.int64)
    last = np.empty(3, np.int64)
    for row in range(len(tree.corners)):
        for axis in range(3):
            values = tree.corners[row, :, axis]
            first[axis] = int(np.floor((values.min() - low[axis]) / size))
            last[axis] = int(np.floor((values.max() - low[axis]) / size))
        busy[first[0] : last[0] + 1, first[1] : last[1] + 1, first[2] : last[2] + 1] = True
    return busy


def _nodes_of(busy: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Fine nodes of the busy blocks, those on their sides included."""
    cells = np.repeat(np.repeat(np.repeat(busy, _COARSE, 0), _COARSE, 1), _COARSE, 2)
    nodes = np.zeros(np.array(cells.shape) + 1, dtype=bool)
    for i, j, k in np.ndindex(2, 2, 2):
        a, b, c = cells.shape
        nodes[i : i + a, j : j + b, k : k + c] |= cells
    return nodes


def _crossing(tree: Tree, field: _Field, starts: Longs, axes: Longs) -> Floats:
    """Where the boundary crosses each edge: at the old surface, else by the winding numbers."""
    ends = starts + np.eye(3, dtype=np.int64)[axes]
    one = field.number[tuple(starts.T)].astype(np.float64)
    two = field.number[tuple(ends.T)].astype(np.float64)
    between = (one > 0.5) != (two > 0.5)  # a filled node has no crossing of its own
    share = np.where(between, (0.5 - one) / np.where(between, two - one, 1.0), 0.5)
    outer = np.where((one < two)[:, None], starts, ends)
    sign = np.where(one < two, 1.0, -1.0)
    origins = field.low + field.cell * outer
    along = np.eye(3)[axes] * (sign * field.cell)[:, None]
    hit = _first_within(tree, origins, along)
    hit = np.where(sign > 0, hit, 1.0 - hit)
    return np.where(np.isfinite(hit), hit, share)


@njit(nogil=True, cache=True)
def _first_within(tree, origins, along):  # type: ignore[no-untyped-def]
    """Share of each stretch at which it first meets a face; inf where it meets none."""
    out = np.empty(len(origins))
    for k in range(len(origins)):
        o, d = origins[k], along[k]
        share, face = first_hit(tree, o[0], o[1], o[2], d[0], d[1], d[2], 0.0, 1.0, -1)
        out[k] = share if face >= 0 else np.inf
    return out


def _doubt(field: _Field) -> float:
    """How far the volume may be off: to where winding numbers are a quarter or three quarters."""
    cell = field.cell**3
    wide, narrow = (float((field.number > level).sum()) * cell for level in DOUBTFUL)
    middle = float((field.number > 0.5).sum()) * cell
    return max(wide - middle, middle - narrow)


def _finding(
    fresh: Draft, away: Floats, lost: Floats, cell: float, unit: str, doubt: float
) -> Finding:
    area = np.linalg.norm(fresh.face_vectors(), axis=1)
    near = away <= cell
    share = float(area[~near].sum() / area.sum())
    mean = float(np.average(away[near], weights=area[near])) if near.any() else 0.0
    worst = int(np.argmax(away))
    made_up = (
        f"apart from {percent(share)} of its area, made up over holes up to {rounded(away[worst])} "
        f"{unit} from any scan, "
        if share > 0
        else ""
    )
    most = float(away[near].max()) if near.any() else 0.0
    note = (
        f"from the new surface to the scan {rounded(mean)} {unit} on average and {rounded(most)} "
        f"{unit} at most, {made_up}and from the scan to the new surface {rounded(lost.mean())} "
        f"{unit} on average and {rounded(lost.max())} {unit} at most"
    )
    place = at(fresh.vertices[fresh.faces[worst]].mean(axis=0))
    return Finding("rebuilt", len(fresh.faces), cell, place, note, doubt)
