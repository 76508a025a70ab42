"""The air of both pours of a job, and the moves that free it."""

from __future__ import annotations

from partline.air.cavity import Cavity
from partline.air.directions_search import search_directions
from partline.air.pockets import trapped_air
from partline.air.preferring import Mending, preferred
from partline.air.rocking import plan_rocking
from partline.air.tipping import plan_tipped_fill
from partline.detail.detail_map import DetailMap
from partline.geometry.directions import Pour as PourName
from partline.geometry.directions import level_up
from partline.geometry.surface import Floats
from partline.job import Job, MaterialPart
from partline.pour import Pour
from partline.progress import Progress, silent, span
from partline.readying import detail_on
from partline.stand.stand import Stand
from partline.workshop.materials import Defaults

# A plan's search stops here with the gap it has reached; the search alone goes on to its proof.
# On large meshes sooner, so that it visits no more vertices than these.
MOST_TIPS = 1500
LEAST_TIPS = 400
MOST_VISITS = 3e8


def pour_rubber(
    stand: Stand, known: Defaults, progress: Progress = silent, *, detail: DetailMap
) -> Pour:
    """Return the air of the rubber pour."""
    weight = detail_on(stand.rubber_cavity, stand, detail)
    return _pour(stand.rubber_cavity, "rubber", tip_reach(stand, known, "rubber"), known, progress,
                 weight=weight)  # fmt: skip


def pour_resin(
    job: Job,
    stand: Stand,
    known: Defaults,
    progress: Progress = silent,
    *,
    detail: DetailMap | None = None,
) -> Pour:
    """Return the air of the resin pour, and the moves that free it."""
    weight = None if detail is None else detail_on(stand.cavity, stand, detail)
    return _pour(stand.cavity, "resin", tip_reach(stand, known, "resin"), known, progress,
                 material=job.resin, weight=weight)  # fmt: skip


def tip_reach(stand: Stand, known: Defaults, pour: PourName) -> float:
    """Return how far the mould is tipped at most while it is filled [degrees]."""
    if pour == "rubber":
        return known.value("stand.max_tilt_rubber_deg")
    # An open mould tips no farther than its reservoir allows; nor does anyone tip past a limit.
    return min(stand.tilt_limit_deg, known.value("air.max_tilt_resin_deg"))


def _pour(
    cavity: Cavity,
    pour: PourName,
    reach_deg: float,
    known: Defaults,
    progress: Progress,
    *,
    material: MaterialPart | None = None,
    weight: Floats | None = None,
) -> Pour:
    """Return the air of one pour: level, tipped the best way within reach, and rocked.

    `material` is the resin's; without one nothing is rocked. `weight` is the detail at the
    cavity's vertices: of tips as good it tells which spoils least.
    """
    visible = known.value("air.visible_bubble_mm")
    narrow = known.value("air.neck_mm")
    up = level_up(pour)
    for k, part in enumerate(("rays", "vertex_normals", "edges", "ring", "face_vectors")):
        progress(0.002 * k, "Making the cavity ready")
        getattr(cavity.surface, part)
    progress(0.01, "Making the cavity ready")
    _ = cavity.fans
    progress(0.015, "Making the cavity ready")
    directions = search_directions(
        cavity,
        about=up,
        within_deg=max(reach_deg, 0.5),
        pour=pour,
        max_analyses=_most_tips(len(cavity.surface.vertices)),
        progress=span(progress, 0.015, 0.4),
    )
    directions = preferred(
        cavity, directions, weight, pour=pour, mending=_mending(pour, known), visible_mm=visible,
        progress=span(progress, 0.4, 0.42),
    )  # fmt: skip
    level, best = (
        trapped_air(cavity, u, visible_mm=visible, narrow_mm=narrow) for u in (up, directions.best)
    )
    tipped = plan_tipped_fill(
        cavity,
        pour=pour,
        max_tilt_deg=reach_deg,
        also=directions.best[None],
        visible_mm=visible,
        progress=span(progress, 0.42, 0.7),
    )
    rocking = None
    if material is not None:
        kind = known.of_kind("resin", material.kind)
        rocking = plan_rocking(
            cavity,
            up=up,
            air_in=tipped.left_in,
            max_tilt_deg=known.value("air.max_tilt_resin_deg"),
            visible_mm=visible,
            viscosity_pa_s=kind["viscosity_pa_s"].value,
            density=material.density or kind["density"].value,
            progress=span(progress, 0.7, 1.0),
        )
    return Pour(level, best, directions, tipped, rocking)


def _most_tips(vertices: int) -> int:
    """Return how many tips of a cavity with so many vertices are tried at most."""
    return min(MOST_TIPS, max(LEAST_TIPS, round(MOST_VISITS / vertices)))


def _mending(pour: PourName, known: Defaults) -> Mending:
    """Return what air left in a pour costs: rubber marks all castings of a block, resin one."""
    if pour == "rubber":
        castings, place = known.value("run.life"), "lump"
    else:
        castings, place = 1.0, "void"
    return Mending(
        castings, known.value(f"finish.{place}_min"), known.value(f"finish.{place}_detail_min")
    )
