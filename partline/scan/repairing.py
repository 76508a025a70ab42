"""Mend a mesh step by step, each step listed, and refuse what would leave the volume a guess."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from manifold3d import Error

from partline.errors import NotSolid
from partline.progress import Progress, silent, span
from partline.scan.bodies import (
    Shells,
    as_manifold,
    outward,
    united,
    without_flakes,
    without_specks,
)
from partline.scan.closing import (
    MOST_BETWEEN,
    MOST_EVER,
    MOST_MISSING,
    Closing,
    closed,
    is_guess,
    left_open,
    sorted_holes,
)
from partline.scan.columns import winding_volumes
from partline.scan.crossing import crossing_pairs
from partline.scan.draft import Draft, Finding, at
from partline.scan.edges import Longs
from partline.scan.joining import gaps_joined, seams_joined, without_degenerate
from partline.scan.rebuilding import Rebuild, rebuilt
from partline.scan.repeating import without_repeated
from partline.scan.surface_like import refuse_crowded, refuse_pieces
from partline.scan.turning import agreeing, disagreeing
from partline.scan.untangling import untangled
from partline.scan.wording import counted, measure, near, percent, rounded

Step = Callable[[Draft], tuple[Draft, list[Finding]]]
# Faces that pass through each other are let through, with a warning, while no more than this
# share of the volume is counted twice or inside out. A choice of this tool, no source.
MOST_TWICE = 0.005
# A hole with a rim longer than this share of the diagonal is large enough to look at.
LOOK_AT = 0.19

LAST_RESORT = (
    " As a last resort a new closed surface can be made round it, at a stated cell size and with "
    "the difference measured: rebuild = true under [scan], or --rebuild."
)

# Specks and their holes are dropped without a look at each.
_MOST_SPECKS = 20_000


def _checked_untangled(draft: Draft) -> tuple[Draft, list[Finding]]:
    refuse_crowded(draft)
    return untangled(draft)


def _checked_specks(draft: Draft) -> tuple[Draft, list[Finding]]:
    refuse_pieces(draft, pieces=10 * _MOST_SPECKS, holes=_MOST_SPECKS)
    draft, found = without_specks(draft)
    refuse_pieces(draft)
    return draft, found


CLEANING: tuple[tuple[str, Step], ...] = (
    ("joining vertices at one place", seams_joined),
    ("joining open edges a rounding apart", gaps_joined),
    ("dropping faces that are nothing", without_degenerate),
    ("dropping faces that are there twice", without_repeated),
    ("turning faces to agree", agreeing),
    ("parting sheets that touch", _checked_untangled),
    ("turning faces to agree", agreeing),
    ("dropping specks", _checked_specks),
    ("turning bodies outward", outward),
)


def cleaned(draft: Draft, progress: Progress = silent) -> tuple[Draft, list[Finding]]:
    """Do what needs neither the size nor the pose: join, drop, turn, part.

    Raises
    ------
    NotSolid
        If it has more crowded edges, pieces or holes than are looked at one by one.
    """
    found: list[Finding] = []
    for k, (words, step) in enumerate(CLEANING):
        progress(k / len(CLEANING), words)
        if not len(draft.faces):
            break
        draft, more = step(draft)
        found += more
    return draft, found


def solid(
    draft: Draft,
    progress: Progress = silent,
    *,
    unit: str = "mm",
    pairs: Longs | None = None,
    rebuild: Rebuild | None = None,
) -> tuple[Draft, list[Finding], list[str]]:
    """Make a cleaned mesh in its pose [mm] into one solid.

    Parameters
    ----------
    draft : Draft
    progress : Progress, optional
    unit : str
        Word for the unit of length.
    pairs : (k, 2) int64, optional
        Faces of the draft that pass through each other, if they are known already; used while
        nothing has to be mended.
    rebuild : Rebuild, optional
        Make a new surface instead of mending the old one.

    Returns
    -------
    draft : Draft
        Closed, agreeing, outward.
    found : list of Finding
        What was mended.
    warnings : list of str
        What a person should know.

    Raises
    ------
    NotSolid
        If the volume would be a guess; every fault is named with its place.
    """
    progress(0.0, "closing holes")
    closing = sorted_holes(draft) if len(draft.faces) else None
    if closing is None:
        raise refusal([])
    if rebuild is None:
        faults = fabric_faults(draft, unit) + hole_faults(closing, unit)
        if faults:
            raise refusal(faults, last_resort=LAST_RESORT)
        draft, found = closed(draft, closing)
        faults = guess_faults(draft, found, unit)
        if faults:
            raise refusal(faults, last_resort=LAST_RESORT)
    else:
        draft, found = _anew(draft, closing, rebuild, unit, span(progress, 0.0, 0.4))
    progress(0.4, "turning bodies outward")
    for step in (without_flakes, outward, united, _parted_again):
        draft, more = step(draft)
        found += more
    progress(0.6, "looking for faces that pass through each other")
    faults, warnings = crossing_faults(
        draft, unit, None if found else pairs, span(progress, 0.6, 0.9)
    )
    progress(0.92, "trying the solid")
    faults += body_faults(draft, unit)
    if faults:
        raise refusal(faults, last_resort="" if rebuild else LAST_RESORT)
    progress(0.97, "counting bodies")
    warnings += _base_warnings(found) + _hole_warnings(draft, found, unit)
    warnings += _open_warnings(draft, found)
    return draft, found, warnings + _body_warnings(draft, unit)


def _anew(
    draft: Draft, closing: Closing, rebuild: Rebuild, unit: str, progress: Progress
) -> tuple[Draft, list[Finding]]:
    """A new surface; an open underside gets its cap first, or it would bulge."""
    draft, found = closed(draft, Closing(closing.bases, (), ()))
    draft, finding = rebuilt(draft, rebuild.cell, unit=unit, progress=progress)
    draft, specks = without_specks(draft)
    return draft, [*found, finding, *specks]


def _parted_again(draft: Draft) -> tuple[Draft, list[Finding]]:
    """A filling or a union may touch itself at a vertex: part it, which moves nothing."""
    return untangled(draft)[0], []


def refusal(faults: list[str], *, last_resort: str = "") -> NotSolid:
    """Return the error that names all faults, and at its end what can still be tried."""
    return NotSolid(
        "The mesh is not a solid, so its volume would be a guess. "
        + " ".join(faults or ["No faces are left after cleaning."])
        + last_resort
    )


def fabric_faults(draft: Draft, unit: str) -> list[str]:
    """Name crowded edges that are left, and sheets with one side only."""
    if not len(draft.faces):
        return []
    faults = []
    table = draft.table
    crowded = np.flatnonzero(table.counts > 2)
    if len(crowded):
        place = at(draft.vertices[table.edges[crowded[0]]].mean(axis=0))
        faults.append(
            f"More than two faces meet at {counted(len(crowded), 'edge', 'edges')}, the first "
            f"{near(place, unit)}: rebuild the surface there in the program you model with."
        )
    odd = disagreeing(table).one_sided
    if odd.any():
        place = at(draft.vertices[draft.faces[int(np.argmax(odd))]].mean(axis=0))
        faults.append(
            f"{counted(int(odd.sum()), 'face', 'faces')} {near(place, unit)} belong to a sheet "
            "with a twist that has no outside: cut it there and join it again."
        )
    return faults


def hole_faults(closing: Closing | None, unit: str) -> list[str]:
    """Name the holes that cannot be filled without guessing."""
    if closing is None:
        return []
    faults = []
    if closing.large:
        worst = closing.large[0]
        small = counted(len(closing.small), "small one", "small ones")
        besides = f" (and {small})" if closing.small else ""
        faults.append(
            f"It is open: {counted(len(closing.large), 'large hole', 'large holes')}{besides}, "
            f"the largest {measure(worst.length, unit)} round, "
            f"{near(worst.place, unit)}, facing {facing(worst.normal)}. Fill them in the program "
            "you scan or model with; if one is the underside, state up so that it faces down."
        )
    return faults


def guess_faults(draft: Draft, found: list[Finding], unit: str) -> list[str]:
    """Say so where the holes as filled in a closed draft leave the volume a guess."""
    return [
        f"It is open: {counted(filled.count, 'hole', 'holes')}, the largest "
        f"{measure(filled.size, unit)} round, {near(filled.place, unit)}; {filled.note}, and flat "
        f"and curved fillings leave "
        f"{percent(left_open(draft, filled))} of the volume open. "
        f"Holes are filled that leave no more than {percent(MOST_BETWEEN)} open, or "
        f"{percent(MOST_EVER)} where no more than {percent(MOST_MISSING)} of the surface is "
        "missing. Scan those places again or fill them in the program you model with."
        for filled in found
        if filled.kind == "hole" and filled.place is not None and is_guess(draft, filled)
    ]


def facing(normal: np.ndarray) -> str:
    """Return which way a direction in the master's pose faces, in one word or two."""
    names = (("right", "left"), ("back", "front"), ("up", "down"))
    axis = int(np.argmax(np.abs(normal)))
    return names[axis][0 if normal[axis] > 0 else 1]


def crossing_faults(
    draft: Draft, unit: str, pairs: Longs | None = None, progress: Progress = silent
) -> tuple[list[str], list[str]]:
    """Judge faces that pass through each other: (faults, warnings)."""
    pairs = crossing_pairs(draft, progress=progress) if pairs is None else pairs
    if not len(pairs):
        return [], []
    faces = np.unique(pairs)
    place = at(draft.vertices[draft.faces[pairs[0, 0]]].mean(axis=0))
    progress(1.0, "weighing what is counted twice")
    share = winding_volumes(draft).doubtful_share
    words = (
        f"{counted(len(faces), 'face passes', 'faces pass')} through others, the first "
        f"{near(place, unit)}"
    )
    if share > MOST_TWICE:
        return [
            f"{words}, and {100 * share:.1f} % of the volume is counted twice or inside out; "
            f"{100 * MOST_TWICE:g} % is the most that is let through. Join the overlapping parts "
            "into one solid in the program you model with."
        ], []
    return [], [f"{words}; {percent(share)} of the volume is counted twice or inside out there."]


def body_faults(draft: Draft, unit: str) -> list[str]:
    """The last check: closed, agreeing, some volume, and taken by the boolean library."""
    table = draft.table
    if len(draft.faces) and not table.is_closed:
        bad = np.flatnonzero((table.counts != 2) | (table.ahead_counts != 1))
        place = at(draft.vertices[table.edges[bad[0]]].mean(axis=0))
        return [
            f"{counted(len(bad), 'edge does', 'edges do')} not close, the first "
            f"{near(place, unit)}. Mend the surface there in the program you model with."
        ]
    # Joining bodies thinner than a rounding may leave no face at all.
    volume = float(draft.face_volumes().sum()) if len(draft.faces) else 0.0
    if volume <= 1e-9 * draft.diagonal**3:
        return ["It encloses no volume: it is a sheet, not a body. Give it thickness."]
    if as_manifold(draft).status() != Error.NoError:
        return ["The library that joins solids does not take it. Mend it where you model."]
    return []


def _base_warnings(found: list[Finding]) -> list[str]:
    if not any(finding.kind in ("uneven base", "plinth") for finding in found):
        return []
    return [
        "The underside was open with an uneven rim, so its base was made up here: the volume is "
        "that of the piece as closed. Close it where you model if it should be another."
    ]


def _hole_warnings(draft: Draft, found: list[Finding], unit: str) -> list[str]:
    return [
        f"A hole {measure(hole.size, unit)} round, {near(hole.place, unit)}, was filled as if the "
        "skin ran on smoothly over it: look whether something stood out or was carved there."
        for hole in found
        if hole.kind == "hole" and hole.place and hole.size > LOOK_AT * draft.diagonal
    ]


def _open_warnings(draft: Draft, found: list[Finding]) -> list[str]:
    doubt = sum(finding.doubt for finding in found if finding.kind == "rebuilt")
    share = doubt / float(draft.face_volumes().sum())
    if share <= MOST_BETWEEN:
        return []
    return [
        f"The new surface leaves {percent(share)} of the volume open, either way: resin and rubber "
        "are weighed for the surface as made up here. Look at it from all sides; a smaller cell "
        "follows the scan more closely, but not where there is none."
    ]


def _body_warnings(draft: Draft, unit: str) -> list[str]:
    parts = Shells.of(draft)
    warnings = []
    hollow = parts.volume < 0
    if hollow.any():
        place = at(0.5 * (parts.low[hollow][0] + parts.high[hollow][0]))
        warnings.append(
            f"{counted(int(hollow.sum()), 'closed hollow', 'closed hollows')} inside, "
            f"{rounded(-float(parts.volume[hollow].sum()), 3)} {unit}³ in all, "
            f"{near(place, unit)}: "
            "taken off the volume, but rubber cannot get there and a casting comes out solid."
        )
    bodies = int((parts.volume > 0).sum())
    if bodies > 1:
        warnings.append(f"It is {bodies} separate bodies. Each needs a mouth of its own.")
    return warnings
