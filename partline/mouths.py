"""Where the resin could go in: three or four mouths of one piece, side by side."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from partline.air.cavity import Cavity
from partline.air.pockets import trapped_air
from partline.air.tipping import plan_tipped_fill
from partline.cut.cut import Cut
from partline.cut.layout import rim_of
from partline.cutting import cut_of
from partline.detail.detail_map import DetailMap
from partline.detail.relief import detail_map
from partline.errors import NoPath, StandError
from partline.geometry.directions import Pour, level_up
from partline.geometry.surface import Floats
from partline.job import Job, MouthPart
from partline.job_run import stated
from partline.plan import read_scan, stand_up
from partline.pouring import tip_reach
from partline.progress import Progress, silent, span
from partline.stand.stand import Stand
from partline.workshop.materials import Defaults, defaults
from partline.workshop.minutes import Choice, compared

# Sides of the piece on which a mouth is sought, in the master's pose.
_SIDES = {
    "on top": (0.0, 0.0, 1.0),
    "on the back": (0.0, 1.0, 0.0),
    "on the left": (-1.0, 0.0, 0.0),
    "on the right": (1.0, 0.0, 0.0),
}
# A mouth's scar spoils the skin so far round it [mm]; common practice, no source.
_SCAR_MM = 3.0


@dataclass(frozen=True)
class MouthRow:
    """One mouth in the table.

    Attributes
    ----------
    name : str
        "at the base" or on which side, as the piece stands in the job.
    mouth : MouthPart
        To put into the job file; its point is in the file's own coordinates.
    rubber_air_mm3, resin_air_mm3 : float
        Air that stays in either pour with nothing tipped: exact for this mesh [mm^3].
    rubber_tipped_mm3, resin_tipped_mm3 : float
        The same after the best tipped fill that this mouth allows, the block upright again [mm^3].
    cuts : int
    cut_length_mm : float
    closest_mm : float
        Least distance of a line to detail [mm]; inf where there is none.
    stretch : float
        Left at the "likely" mark (snaking) [1].
    cleanup_min : float
        For one casting [min].
    scar_mm2 : float
        Area of the foot that is sawn off [mm^2].
    scar_detail : float
        Mean detail weight round it, 0 (plain skin) to 1.
    refused : str
        Why this mouth will not do; "" where it does.
    places : int
        Places that hold visible air in the resin, nothing tipped: voids to fill.
    verdict : str
        Whether the piece comes out.
    """

    name: str
    mouth: MouthPart
    rubber_air_mm3: float
    resin_air_mm3: float
    rubber_tipped_mm3: float
    resin_tipped_mm3: float
    cuts: int
    cut_length_mm: float
    closest_mm: float
    stretch: float
    cleanup_min: float
    scar_mm2: float
    scar_detail: float
    refused: str = ""
    places: int = 0
    verdict: str = ""


def compare_mouths(job: Job, *, most: int = 4, progress: Progress = silent) -> tuple[MouthRow, ...]:
    """Return the mouth of a job beside others, each with its air, cut, stretch and scar.

    The others lie on the plainest even place of the top, the back and the sides, plainest first.

    Parameters
    ----------
    job : Job
    most : int
        How many mouths, the job's own among them.
    progress : Progress

    Raises
    ------
    PartlineError
        If the job's own mouth cannot be planned, or the scan cannot be read.
    """
    known = defaults(job.shop.defaults)
    master = read_scan(job, span(progress, 0.0, 0.1))
    share = 0.9 / most
    own, stand, detail = _row(job, "as in the job" if job.stand.mouth.at != "base" else
                              "at the base", known, span(progress, 0.1, 0.1 + share))  # fmt: skip
    rows = [own]
    to_file = np.linalg.inv(stand.master.to_pose)
    for k, (name, point) in enumerate(_places(stand, detail)[: most - 1], start=1):
        p = to_file[:3, :3] @ (point - (0.0, 0.0, stand.lift_mm)) + to_file[:3, 3]
        mouth = MouthPart(at="point", point=(float(p[0]), float(p[1]), float(p[2])))
        part = span(progress, 0.1 + k * share, 0.1 + (k + 1) * share)
        changed = job.model_copy(update={"stand": job.stand.model_copy(update={"mouth": mouth})})
        try:
            rows.append(_row(changed, name, known, part)[0])
        except (NoPath, StandError) as error:
            nan = float("nan")
            rows.append(MouthRow(name, mouth, nan, nan, nan, nan, 0, nan, nan, nan, nan, nan, nan,
                                 refused=str(error)))  # fmt: skip
    progress(1.0, f"{len(rows)} mouths of {master.path} compared")
    return tuple(rows)


def _row(
    job: Job, name: str, known: Defaults, progress: Progress
) -> tuple[MouthRow, Stand, DetailMap]:
    """Return the row of a job's own mouth, with how the piece then stands and its detail."""
    master = read_scan(job, silent)
    stand = stand_up(job, master, known, span(progress, 0.0, 0.2))
    detail = detail_map(
        stand.piece,
        made=stand.made_faces,
        finest_mm=known.value("detail.finest_mm"),
        progress=span(progress, 0.2, 0.5),
    )
    cut = cut_of(job, stand, detail, known, span(progress, 0.5, 0.8))
    row = _filled(job, name, known, stand, detail, cut, span(progress, 0.8, 1.0))
    return row, stand, detail


def _filled(
    job: Job, name: str, known: Defaults, stand: Stand, detail: DetailMap, cut: Cut,
    progress: Progress,
) -> MouthRow:  # fmt: skip
    visible, narrow = known.value("air.visible_bubble_mm"), known.value("air.neck_mm")
    airs, left = [], []
    poured: tuple[tuple[Pour, Cavity], ...] = (
        ("rubber", stand.rubber_cavity), ("resin", stand.cavity),
    )  # fmt: skip
    for k, (pour, cavity) in enumerate(poured):
        airs.append(trapped_air(cavity, level_up(pour), visible_mm=visible, narrow_mm=narrow))
        left.append(
            plan_tipped_fill(
                cavity,
                pour=pour,
                max_tilt_deg=tip_reach(stand, known, pour),
                visible_mm=visible,
                progress=span(progress, k / 2, (k + 1) / 2),
            ).left_mm3
        )
    rim = stand.piece.vertices[rim_of(stand)]
    beside = cKDTree(rim).query(stand.piece.vertices, distance_upper_bound=_SCAR_MM)[0]
    return MouthRow(
        name=name,
        mouth=job.stand.mouth,
        rubber_air_mm3=airs[0].volume_mm3,
        resin_air_mm3=airs[1].volume_mm3,
        rubber_tipped_mm3=left[0],
        resin_tipped_mm3=left[1],
        cuts=cut.count,
        cut_length_mm=cut.length_mm,
        closest_mm=cut.clearance_mm,
        stretch=cut.stretch,
        cleanup_min=cut.cleanup_min,
        scar_mm2=abs(sum(_area(outline) for outline in stand.footprint)),
        scar_detail=float(detail.weight[np.isfinite(beside)].mean()),
        places=len(airs[1].pockets),
        verdict=cut.verdict,
    )


def mouth_work(job: Job, rows: tuple[MouthRow, ...]) -> tuple[Choice, ...]:
    """Return the mouths that will do by the work of the job's whole run, in their order."""
    known = defaults(job.shop.defaults)
    stated_share = stated(job.run, "yield_share")
    share = known.value("run.yield_share") if stated_share is None else float(stated_share)
    return compared(
        known,
        [(r.name, r.cleanup_min, float(r.places), r.verdict) for r in rows if not r.refused],
        good=job.run.good,
        yield_share=share,
        foot=job.stand.foot_block,
    )


def _area(outline: Floats) -> float:
    x, y = outline.T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2


def _places(stand: Stand, detail: DetailMap) -> list[tuple[str, Floats]]:
    """Return a place for a mouth on each side, the plainest first, on the piece as it stands."""
    piece = stand.piece
    near = cKDTree(piece.vertices)
    found = []
    for name, side in _SIDES.items():
        reach = piece.vertices @ np.array(side)
        depth = (reach.max() - reach) / max(float(np.ptp(reach)), 1e-9)
        facing = (piece.vertex_normals @ np.array(side) > 0.85) & (depth < 0.25)
        facing &= piece.vertices[:, 2] > stand.seat_mm + 1e-6
        chosen = np.flatnonzero(facing)
        if not len(chosen):
            continue
        # A few hundred of them, spread by place.
        chosen = chosen[np.lexsort(piece.vertices[chosen].T)][:: max(len(chosen) // 300, 1)]
        around = near.query_ball_point(piece.vertices[chosen], _SCAR_MM)
        rough = np.array([detail.weight[np.asarray(a)].mean() for a in around])
        best = int(np.argmin(rough + depth[chosen]))
        found.append((float(rough[best]), name, piece.vertices[chosen[best]]))
    return [(name, place) for _, name, place in sorted(found, key=lambda f: f[0])]


def mouth_words(rows: tuple[MouthRow, ...]) -> list[str]:
    """Return the table as lines of text, a mouth a line after the heading."""
    said = [
        f"{'':<14}{'air in rubber, mm3':>20}{'air in resin, mm3':>20}",
        f"{'mouth':<14}{'level':>10}{'tipped':>10}{'level':>10}{'tipped':>10}{'cuts':>5}"
        f"{'length':>8}{'closest':>9}{'stretch':>9}{'clean-up':>10}{'scar':>9}{'on detail':>11}",
    ]
    for row in rows:
        if row.refused:
            said.append(f"{row.name:<14}will not do: {row.refused}")
            continue
        closest = f"{row.closest_mm:.1f} mm" if np.isfinite(row.closest_mm) else "none"
        air = (row.rubber_air_mm3, row.rubber_tipped_mm3, row.resin_air_mm3, row.resin_tipped_mm3)
        said.append(
            f"{row.name:<14}{''.join(f'{mm3:>10.1f}' for mm3 in air)}"
            f"{row.cuts:>5}{row.cut_length_mm:>5.0f} mm{closest:>9}{row.stretch:>9.0%}"
            f"{row.cleanup_min:>6.0f} min{row.scar_mm2 / 100:>5.1f} cm2{row.scar_detail:>11.0%}"
        )
    return said
