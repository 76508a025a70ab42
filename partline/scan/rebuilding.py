"""The last resort for a scan that cannot be mended: a new closed surface round what is inside.

Only when asked. What is inside is told by winding numbers on a grid, the new surface runs
through the old one wherever there is one, and how far the two part is measured both ways.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numba import njit

from partline.errors import NotSolid
from partline.geometry.nearest_faces import nearest_faces
from partline.geometry.rays import Tree, build_tree, first_hit
from partline.geometry.surface import Floats, Surface
from partline.progress import Progress, silent, span
from partline.scan.draft import Draft, Finding, at
from partline.scan.edges import Longs
from partline.scan.inside import COARSE, DOUBTFUL, Field, Grid, drawn_of, field_of, steps_of
from partline.scan.netting import net, well_composed
from partline.scan.rebuild_doubt import drawn_doubt
from partline.scan.winding import Dipoles, dipoles
from partline.scan.wording import percent, rounded

# Choices of this tool, no published source:
# cells along the diagonal where no cell size is stated, and at least,
CELLS = 300
COARSEST = 20
# nodes of the grid, at most (about half a gigabyte of memory),
MOST_NODES = 60_000_000
# and what may be asked to tell what is inside, some seconds' work: so many groups of faces, and
# so many more for each face. Scans ask up to as much without going all over the piece.
MOST_STEPS, STEPS_EACH = 2.2e8, 6e3
# And so much in all, with what is done to the new surface afterwards: measured in groups asked,
# STEPS_AFTER for each of its faces, and where the scan is open those asked for its doubt.
STEPS_AFTER = 500.0
MOST_WORK, WORK_EACH = 3.2e8, 1.2e4
MEASURING = "measuring how far it is from the scan"


@dataclass(frozen=True)
class Rebuild:
    """That a new surface is asked for.

    Attributes
    ----------
    cell : float or None
        Size of the cells [mm]; where None a three-hundredth of the diagonal, or coarser where
        faces lie all over the piece and not on its skin only.
    """

    cell: float | None = None


def rebuilt(
    draft: Draft, cell: float | None = None, *, unit: str = "mm", progress: Progress = silent
) -> tuple[Draft, Finding]:
    """Make a new closed surface of a draft, holes, overlaps and all.

    Parameters
    ----------
    draft : Draft
        Cleaned: neighbours agree which side is outside.
    cell : float, optional
        Size of the grid's cells, in the draft's unit; if left out a three-hundredth of its
        diagonal, or more where that would take too long. Edges come out about as long, and
        nothing finer is kept.
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
        If nothing is inside, or the cells are too many or too few, or would take too long.
    """
    source = dipoles(draft.vertices, draft.faces)
    is_usual = cell is None
    cell, grid = _chosen(draft, source, cell, unit)
    field = field_of(source, grid, span(progress, 0.0, 0.6))
    inside = well_composed(field.number)
    if not inside.any():
        raise NotSolid(
            "A new surface cannot be made: the scan surrounds nothing, like a sheet or a piece "
            "open on one whole side. Scan the rest of it."
        )
    progress(0.6, "drawing the new surface")
    steps, faces = net(inside, lambda starts, axes: _crossing(source.tree, field, starts, axes))
    vertices = field.low + cell * steps
    progress(0.8, MEASURING)
    away, numbers = nearest_faces(
        source.tree,
        vertices[faces].mean(axis=1),
        progress=span(progress, 0.8, 0.85),
        words=MEASURING,
    )
    lost, _ = nearest_faces(
        build_tree(Surface(vertices, faces)), draft.vertices,
        progress=span(progress, 0.85, 0.9), words=MEASURING,
    )  # fmt: skip
    made_up = away > cell
    fresh = Draft(vertices, faces, np.where(made_up, -1, draft.file_faces[numbers]))
    doubt = _doubt(field) + drawn_doubt(
        draft, fresh, away, source, cell=cell, progress=span(progress, 0.9, 1.0)
    )
    progress(1.0, "new surface ready")
    found = _finding(fresh, away, lost, cell, unit, doubt)
    if is_usual and cell > draft.diagonal / CELLS:
        usual = rounded(draft.diagonal / CELLS)
        found = replace(
            found,
            note=f"coarser than the usual {usual} {unit}, which would take long; {found.note}",
        )
    return fresh, found


def _chosen(draft: Draft, source: Dipoles, stated: float | None, unit: str) -> tuple[float, Grid]:
    """The cell as stated, or as fine as can be worked out in some seconds."""
    usual = draft.diagonal / CELLS
    cell = _checked_cell(draft, usual if stated is None else stated, unit)
    grid = Grid.round(draft, source, cell)
    more = max(1.0, usual / cell) ** 2
    while (load := _load(draft, source, grid)) > more:
        # The work goes with the square of the fineness, or its cube where faces lie everywhere.
        cell *= max(1.05, (load / more) ** 0.4)
        if cell > draft.diagonal / COARSEST:
            raise NotSolid(
                "A new surface cannot be made: faces lie through one another all over the piece. "
                "Remove what is not its skin in the program you scan or model with."
            )
        grid = Grid.round(draft, source, cell)
    if stated is not None and cell > stated:
        raise NotSolid(
            f"Cells of {stated:.3g} {unit} would take too long, as faces lie all over the piece "
            f"and not on its skin only. State a cell of {rounded(cell * 1.05)} {unit} or more, or "
            "remove what is not its skin."
        )
    return cell, grid


def _load(draft: Draft, source: Dipoles, grid: Grid) -> float:
    """Share that a new surface on the grid takes of the work that is allowed at the usual cell."""
    steps = steps_of(source, grid)
    faces, each = drawn_of(source, grid)
    work = steps + faces * (STEPS_AFTER + (0.0 if draft.table.is_closed else each))
    scan = len(draft.faces)
    return max(steps / (MOST_STEPS + STEPS_EACH * scan), work / (MOST_WORK + WORK_EACH * scan))


def _checked_cell(draft: Draft, cell: float, unit: str) -> float:
    nodes = float(np.prod(np.ptp(draft.vertices, axis=0) / cell + 2 * COARSE))
    if nodes > MOST_NODES:
        least = cell * (nodes / MOST_NODES) ** (1 / 3)
        raise NotSolid(
            f"Cells of {cell:.3g} {unit} would be {nodes / 1e6:.0f} million; "
            f"{MOST_NODES / 1e6:.0f} million is the most. State a cell of {least * 1.05:.2g} "
            f"{unit} or more."
        )
    if cell > draft.diagonal / COARSEST:
        raise NotSolid(
            f"Cells of {cell:.3g} {unit} are too coarse for a piece {draft.diagonal:.3g} {unit} "
            f"across. State a cell of {draft.diagonal / 100:.2g} {unit} or less."
        )
    return cell


def _crossing(tree: Tree, field: Field, starts: Longs, axes: Longs) -> Floats:
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


def _doubt(field: Field) -> float:
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
