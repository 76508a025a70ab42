"""Diagnose a mesh file: what is in it, what is wrong, and whether it can be a master."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import numpy as np

from partline.errors import NotSolid
from partline.geometry.surface import Floats
from partline.progress import Progress, silent, span
from partline.scan.bodies import outward
from partline.scan.counting import Counts, counts, grid_step
from partline.scan.crossing import crossing_pairs
from partline.scan.draft import Draft, Finding, Place, at
from partline.scan.edges import Longs
from partline.scan.fault_words import Fault, fault_words
from partline.scan.files import MeshFile
from partline.scan.health import Health, Hole
from partline.scan.holes import Rim, rims
from partline.scan.joining import gaps_joined, seams_joined, without_degenerate
from partline.scan.nesting import Nesting, nesting
from partline.scan.opening import Opened, opened
from partline.scan.orienting import Direction, turning
from partline.scan.overlapping import closed_bodies, overlapping
from partline.scan.posing import pose
from partline.scan.rebuilding import Rebuild
from partline.scan.repairing import facing, refusal, solid
from partline.scan.repeating import without_repeated
from partline.scan.sharing import sharing
from partline.scan.sizing import Measurement, Size, size_warnings, unit_warnings
from partline.scan.turning import agreeing
from partline.scan.untangling import untangled
from partline.scan.wording import counted, plain_volume, sentence, volume_words

NEEDLESS = (
    "The file is closed and sound as it is: it needs no new surface, and without one nothing of "
    "its detail is lost."
)


def diagnose(
    path: str | Path | Opened,
    *,
    height_mm: float | None = None,
    units: str | None = None,
    measured: Measurement | None = None,
    up: Direction = "+z",
    front: Direction = "-y",
    rebuild: Rebuild | None = None,
    progress: Progress = silent,
) -> Health:
    """Read a mesh file and say what is in it; see `diagnosed`."""
    return diagnosed(path, height_mm=height_mm, units=units, measured=measured, up=up, front=front,
                     rebuild=rebuild, progress=progress)[0]  # fmt: skip


def diagnosed(
    path: str | Path | Opened,
    *,
    height_mm: float | None = None,
    units: str | None = None,
    measured: Measurement | None = None,
    up: Direction = "+z",
    front: Direction = "-y",
    rebuild: Rebuild | None = None,
    progress: Progress = silent,
) -> tuple[Health, Draft]:
    """Read a mesh file and say what is in it; a mesh that cannot be a master is no error here.

    Parameters are those of `read_master`, but the size may be left out: then lengths are in the
    file's own unit and the words say so.

    Returns
    -------
    health : Health
    shown : Draft
        What there is to look at, in the pose that was asked for: the scan as it came, cleaned; or
        the new surface, where one was asked for and made.

    Raises
    ------
    ScanError
        If the file cannot be read as a mesh at all.
    UnitError, StandError
        If the size or the directions make no sense.
    """
    stated = Size(height_mm, units, measured).checked(needed=False)
    turning(up, front)  # said before the file is read
    scan = opened(path, span(progress, 0.0, 0.4))
    file, clean, found, size = scan.file, scan.clean, scan.found, scan.size(stated)
    draft, joins = seams_joined(file.draft)
    draft, nothing = without_degenerate(draft)
    degenerate = file.collapsed + sum(finding.count for finding in nothing)
    if not len(draft.faces):
        draft = file.draft
    unit = "mm" if size.words[0] != "n" else "file units"
    matrix = pose(clean if len(clean.faces) else draft, size, up=up, front=front)
    shown = clean.moved(matrix) if len(clean.faces) else draft.moved(matrix)
    draft = draft.moved(matrix)
    progress(0.4, "counting faults")
    tally = _without_false_volume(draft, counts(draft))
    pairs = crossing_pairs(draft, progress=span(progress, 0.4, 0.6))
    repairs = [sentence(finding.moved(matrix), unit) for finding in found]
    warnings: list[str] = []
    why = ""
    more: list[Finding] = []
    mended: tuple[float, float] | None = None
    try:
        if not len(clean.faces):
            raise refusal([])
        clean, more, warnings = solid(
            clean.moved(matrix), span(progress, 0.6, 1.0), unit=unit,
            pairs=None if found else pairs, rebuild=rebuild,
        )  # fmt: skip
        shown = shown if rebuild is None else clean
        repairs += [sentence(finding, unit) for finding in more]
        if rebuild is not None and draft.table.is_closed and not (len(found) or len(pairs)):
            warnings = [NEEDLESS, *warnings]
        mended = float(clean.face_volumes().sum()), float(sum(f.doubt for f in more))
    except NotSolid as fault:
        why = str(fault)
    shared = sharing(draft, tally.label, closed_bodies(draft, tally.label))
    tangle = nesting(draft, tally.label, pairs, held_by=shared.held_by,
                     partly=overlapping(draft, tally.label, shared))  # fmt: skip
    scale = float(np.cbrt(np.linalg.det(matrix[:3, :3])))
    crossing = len(np.unique(pairs))
    extents = np.ptp((shown if why else clean).vertices, axis=0)
    if mended is not None and size.height_mm is not None and rebuild is None:
        # What was closed may have grown; the master has the height as stated.
        grown = size.height_mm / float(extents[2])
        extents, mended = extents * grown, (mended[0] * grown**3, mended[1] * grown**3)
    health = _health(
        file,
        draft,
        tally,
        unit=unit,
        size_words=_size_words(size, extents),
        extents=at(extents),
        joins=sum(finding.count for finding in joins),
        degenerate=degenerate,
        crossing=crossing,
        tangle=tangle,
        faults=_faults(draft, tally, tangle, pairs, degenerate),
        scale=scale,
        turn=turning(up, front),
        repairs=tuple(repairs),
        warnings=(
            *(size_warnings(extents, size) if unit == "mm" else ()),
            *unit_warnings(size, file.unit),
            *([file.left_out] if file.left_out else []),
            *warnings,
        ),
        why=why,
        mended=mended,
        is_twice=bool(tangle.overlapping) or any(f.kind == "overlap" for f in more),
        specks=next((f.moved(matrix) for f in found if f.kind == "speck"), None),
        grid=grid_step(file.draft.vertices) * scale,
    )
    return health, shown.compacted()


def _size_words(size: Size, extents: np.ndarray) -> str:
    if size.words[0] == "n":
        plain = " x ".join(f"{value:.4g}" for value in extents)
        return f"{size.words}: {plain} wide, deep and high"
    return size.told(extents)


def _health(
    file: MeshFile,
    draft: Draft,
    tally: Counts,
    *,
    unit: str,
    size_words: str,
    extents: tuple[float, float, float],
    joins: int,
    degenerate: int,
    crossing: int,
    tangle: Nesting,
    faults: list[Fault],
    turn: Floats,
    scale: float,
    repairs: tuple[str, ...],
    warnings: tuple[str, ...],
    why: str,
    mended: tuple[float, float] | None,
    is_twice: bool,
    specks: Finding | None,
    grid: float,
) -> Health:
    joined, gaps = gaps_joined(draft)
    seams = tally.open_edges - int((joined.table.counts == 1).sum())
    holes = tuple(_hole(rim) for rim in rims(_agreed(joined)))
    faults = [*(_seam_fault(seams, gap) for gap in gaps), *faults]
    lines, marks = fault_words(holes, faults, unit, specks)
    verdict = why or (
        "It can be a master once mended:" if repairs else "It can be a master as it is."
    )
    as_mended = " as mended" if mended and repairs and not mended[1] else ""
    low, high = (None, None) if mended is None else (mended[0] - mended[1], sum(mended))
    words = (
        f"Size: {size_words}.",
        f"{counted(tally.bodies, 'body', 'bodies')}.",
        *lines,
        *([f"No volume is given for the file as it is: {_why_none(tally)}."]
          if tally.volume is None else []),
        *([_twice_words(tally, extents, unit)] if tally.volume is not None and is_twice else []),
        *([f"Coordinates lie on a grid of {grid:.2g} {unit}: relief finer than two steps of it "
           "is not detail."] if grid > 1e-5 * max(extents) else []),
        verdict,
        *repairs,
        *([f"Volume as a master: {volume_words(*mended, unit)}{as_mended}."] if mended else []),
        *warnings,
    )  # fmt: skip
    return Health(
        path=file.name, sha256=file.sha256, unit=unit, size=extents, size_words=size_words,
        vertices=len(draft.vertices), faces=file.triangles, joined_vertices=joins,
        bodies=tally.bodies, open_edges=tally.open_edges, seam_edges=seams, holes=holes,
        crowded_edges=tally.crowded_edges, pinched_vertices=tally.pinched_vertices,
        disagreeing_edges=tally.disagreeing_edges, flipped_faces=tally.flipped_faces,
        duplicate_faces=tally.duplicate_faces, degenerate_faces=degenerate,
        flat_faces=tally.flat_faces, crossing_faces=crossing,
        inside_out_bodies=tally.inside_out_bodies, nested_bodies=len(tangle.nested),
        overlapping_bodies=len(tangle.overlapping), volume=tally.volume,
        master_volume=mended and mended[0], master_volume_low=low, master_volume_high=high,
        grid_step=grid,
        up=at(turn[2]), front=at(-turn[1]), scale=scale, marks=marks,
        is_solid=not why, repairs=repairs, warnings=warnings, refusal=why, words=words,
    )  # fmt: skip


def _without_false_volume(draft: Draft, tally: Counts) -> Counts:
    """Return the counts without a volume where skin is there twice: it cancels or adds up.

    Walls without thickness enclose nothing and take nothing away.
    """
    if tally.volume is None or not tally.duplicate_faces:
        return tally
    kinds = {finding.kind for finding in without_repeated(draft)[1]}
    return dataclasses.replace(tally, volume=None) if kinds - {"folded"} else tally


def _twice_words(tally: Counts, extents: Place, unit: str) -> str:
    volume = tally.volume or 0.0
    volume = 0.0 if abs(volume) < 1e-9 * max(extents) ** 3 else volume
    off = "; what is inside out or hollow is taken off" if tally.inside_out_bodies else ""
    return (
        f"The file as it is encloses {plain_volume(volume, unit)}, each body by itself: what they "
        f"share is counted more than once{off}."
    )


def _why_none(tally: Counts) -> str:
    if tally.duplicate_faces and not tally.open_edges:
        return "faces are there twice"
    if tally.open_edges or not tally.disagreeing_edges:
        return "it is not closed"
    return "its faces disagree which side is outside"


def _agreed(draft: Draft) -> Draft:
    """Return the draft with its faces turned as they belong.

    Else the seams between faces that disagree would count as holes, and the underside of a scan
    that is inside out would face up.
    """
    for step in (without_repeated, agreeing, untangled, agreeing, outward):
        draft, _ = step(draft)
    return draft


def _seam_fault(edges: int, gap: Finding) -> Fault:
    words = (
        f"{counted(edges, 'open edge', 'open edges')} along seams, not round holes: "
        f"{counted(gap.count, 'vertex', 'vertices')} a rounding apart are joined"
    )
    return Fault(words, edges, gap.place)


def _hole(rim: Rim) -> Hole:
    return Hole(rim.length, rim.place, len(rim.loop), rim.is_flat, facing(rim.normal))


def _faults(
    draft: Draft, tally: Counts, tangle: Nesting, pairs: Longs, degenerate: int
) -> list[Fault]:
    """Every kind of fault with its number and the place of the first."""
    places = dict(tally.places)
    if len(pairs):
        places["crossing"] = at(draft.vertices[draft.faces[pairs[0, 0]]].mean(axis=0))
    for name, found in (("nested", tangle.nested), ("overlapping", tangle.overlapping)):
        if found:
            places[name] = found[0]
    named = (
        ("crowded_edges", tally.crowded_edges, "edge", "edges", "with more than two faces"),
        ("pinched_vertices", tally.pinched_vertices, "vertex", "vertices",
         "where sheets only touch"),
        ("flipped_faces", tally.flipped_faces, "face", "faces", "turned the wrong way"),
        ("duplicate_faces", tally.duplicate_faces, "face", "faces",
         "on the same corners as one before"),
        ("degenerate", degenerate, "face", "faces", "naming a corner twice"),
        ("flat_faces", tally.flat_faces, "face", "faces", "without area"),
        ("crossing", len(np.unique(pairs)), "face", "faces", "passing through others"),
        ("overlapping", len(tangle.overlapping), "body", "bodies", "passing through another"),
        ("nested", len(tangle.nested), "body", "bodies", "inside another"),
        ("inside_out_bodies", tally.inside_out_bodies, "body", "bodies", "inside out or hollow"),
    )  # fmt: skip
    return [
        Fault(f"{counted(n, one, many)} {words}", n, places.get(name))
        for name, n, one, many, words in named
        if n
    ]
