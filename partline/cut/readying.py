"""Readying the bench on which cuts are weighed: what needs no line yet."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from partline.cut.bench import Bench
from partline.cut.cleanup import Effort
from partline.cut.cost import Weights, skin_of
from partline.cut.demould import demould
from partline.cut.how_far import how_far
from partline.cut.layout import led_from_mouth, outside_of
from partline.cut.loops import holes
from partline.cut.rubber import working_strain
from partline.cut.seen import LOOKING, spots_of
from partline.cut.zones import ZoneLike, laid_on
from partline.detail.detail_map import DetailMap
from partline.errors import JobError, NoPath
from partline.geometry.paths import priced, surface_graph
from partline.progress import Progress, silent, span
from partline.stand.stand import Stand

_MEASURING = "measuring what must stretch"


def ready_bench(
    stand: Stand,
    detail: DetailMap,
    *,
    show: str = "front",
    margin_mm: float | None = None,
    zones: Sequence[ZoneLike] = (),
    shore_a: float = 20.0,
    elongation_percent: float = 350.0,
    working_share: float = 0.25,
    web_mm: float | None = None,
    weights: Weights | None = None,
    effort: Effort | None = None,
    progress: Progress = silent,
) -> Bench:
    """Return all that every layout is weighed against; see `partline.cut.planning.plan_cut`.

    Raises
    ------
    JobError
        If `show` or a zone cannot be, or the detail is of another surface.
    NoPath
        If the stay-off zones cover everything.
    StandError
        If the web leaves nothing to cut.
    """
    working = working_strain(elongation_percent, working_share)
    height = stand.top_mm - stand.seat_mm
    margin = min(6.0, height / 10) if margin_mm is None else margin_mm
    if not margin >= 0:
        raise JobError(f"The margin must be 0 or more; it is {margin} mm.")
    progress(0.0, _MEASURING)
    _ = stand.piece.face_edges
    progress(0.1, _MEASURING)
    rings = led_from_mouth(demould(stand.piece, stand.seat_mm), stand)
    depth = how_far(stand, rings, working=working, web_mm=web_mm)
    progress(0.2, _MEASURING)
    plain = priced(surface_graph(stand.piece), np.where(outside_of(stand), 1.0, np.inf))
    laid = laid_on(stand, zones)
    if laid.stay_off[outside_of(stand)].all():
        raise NoPath(
            f"The stay-off zones cover the whole piece (all {int(laid.stay_off.sum())} vertices): "
            "no line is left. Make them smaller."
        )
    through = holes(stand.piece, progress=span(progress, 0.25, 0.4))
    progress(0.4, LOOKING)
    spots = spots_of(stand.piece)
    return Bench(
        stand=stand,
        rings=rings,
        depth=depth,
        plain=plain,
        skin=skin_of(
            plain,
            detail,
            laid,
            show=show,
            wall_mm=stand.wall_mm,
            height_mm=stand.block_height_mm,
            spots=spots,
            progress=span(progress, 0.44, 0.9),
        ),
        weights=weights or Weights(),
        margin_mm=margin,
        working=working,
        elongation=elongation_percent / 100,
        shore_a=shore_a,
        effort=effort or Effort(),
        holes=through,
        spots=spots,
    )
