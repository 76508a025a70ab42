"""Where the sheet's numbers come from: usual figures used, methods, certificates, the file."""

from __future__ import annotations

import partline
from partline.faces.figures import Said, System, bubble, length, plain
from partline.job import MaterialPart
from partline.plan import Plan
from partline.workshop.materials import Default, Defaults, defaults, wall_for

Row = tuple[str, Said]


def used_figures(plan: Plan, system: System) -> list[Row]:
    """Return every usual figure the plan rests on, its value and whose it is.

    Raises
    ------
    WorkshopError
        If the user's own file of defaults cannot be read.
    """
    job, box = plan.job, plan.container
    known = defaults(job.shop.defaults)
    usual_wall = wall_for(float(plan.master.surface.extents.max()), job.shop.defaults)
    rows: list[Row] = [
        ("inner sizes of the container", Said(box.name, "yours" if box.own else "default",
                                              box.source)),
        _figure("least rubber beside the piece", length(plan.stand.wall_mm, system),
                job.stand.wall_mm, usual_wall),
        _figure("least rubber over its highest point", length(plan.stand.headroom_mm, system),
                job.stand.headroom_mm, known.get("stand.headroom_mm")),
        _figure("trimmed off below the seat", length(plan.stand.sink_mm, system),
                job.stand.sink_mm, known.get("stand.sink_mm")),
        _density("rubber", job.rubber, _ratio(box.rubber_g, box.rubber_volume_mm3 / 1e3), known),
        _density("resin", job.resin, plan.resin.density, known),
    ]  # fmt: skip
    rows += _vent_figures(plan, known, system)
    rows += _run_figures(plan, known)
    rows += [(known.get(k).words, _said(known.get(k), _words(known.get(k), system)))
             for k in _ALWAYS]  # fmt: skip
    return rows


_ALWAYS = (
    "container.loss_share", "container.degassing_ratio", "container.lip_share",
    "casting.loss_share", "casting.loss_least_g", "air.visible_bubble_mm", "air.neck_mm",
    "stand.max_tilt_rubber_deg", "air.max_tilt_resin_deg", "detail.finest_mm",
    "detail.margin_mm", "detail.margin_share", "cut.web_mm", "cut.first_try_share",
    "cut.working_strain_share", "cut.shore_tolerance", "cut.hand_accuracy_mm",
    "finish.seam_min_per_10mm", "finish.seam_texture_min_per_10mm", "finish.seam_face_min_per_10mm",
    "run.days_to_make_block", "run.day_h", "run.hands_on_min", "run.spare_share",
    "run.near_end_share", "finish.gate_min", "finish.void_min", "finish.void_detail_min",
    "finish.lump_min", "finish.lump_detail_min", "finish.prime_min",
)  # fmt: skip


def _vent_figures(plan: Plan, known: Defaults, system: System) -> list[Row]:
    """Return what vents are planned with, where they are wanted."""
    found, asked = plan.resin_pour.vents, plan.job.vents
    if found is None:
        return []
    wide = known.value("air.vent_mm") if asked.diameter_mm is None else asked.diameter_mm
    stub = known.get("finish.vent_stub_min")
    return [
        _figure(known.get("air.vent_mm").words, length(wide, system), asked.diameter_mm,
                known.get("air.vent_mm")),
        _figure(known.get("air.vent_left_mm3").words, bubble(found.largest_mm3),
                asked.largest_air_mm3, known.get("air.vent_left_mm3")),
        (stub.words, _said(stub, _words(stub, system))),
    ]  # fmt: skip


def _run_figures(plan: Plan, known: Defaults) -> list[Row]:
    """Return what the run is planned with: from the log, the job file, or usual."""
    terms, asked = plan.run.terms, plan.job.run
    share = asked.yield_share if terms is None else terms.yield_share
    rows = [
        _figure(known.get(f"run.{key}").words, value,
                0.0 if key in asked.model_fields_set else None, known.get(f"run.{key}"))
        for key, value in (
            ("yield_share", f"{plain(100 * share, 0)} %"),
            ("life", str(asked.life if terms is None else terms.life)),
            ("pulls_per_day", str(asked.pulls_per_day if terms is None else terms.pulls_per_day)),
        )
    ]  # fmt: skip
    if plan.production is not None and plan.production.yield_from == "log":
        words, found = rows[0]
        rows[0] = (words, Said(found.words, "yours", "measured: the log of pulls"))
    return rows


def _figure(what: str, words: str, stated: float | None, usual: Default) -> Row:
    """Return a row: stated in the job, else the usual figure with its tag."""
    if stated is not None:
        return what, Said(words, "yours", "stated in the job file")
    return what, _said(usual, words)


def _said(usual: Default, words: str) -> Said:
    source = f"{usual.tag}: {usual.source}" if usual.source else usual.tag
    return Said(words, "yours" if usual.tag == "measured by you" else "default", source)


def _words(usual: Default, system: System) -> str:
    if usual.unit == "mm":
        return length(usual.value, system)
    if usual.unit == "deg":
        return f"{plain(usual.value, 0)}°"
    if usual.unit == "" and usual.value <= 1:
        return f"{plain(100 * usual.value, 0)} %"
    unit = usual.unit.removesuffix("s") if usual.value == 1 else usual.unit
    return f"{plain(usual.value, 2)} {unit}".strip()


def _density(table: str, material: MaterialPart, used: float, known: Defaults) -> Row:
    words = f"{plain(used, 2)} g/cm³"
    what = f"density of the {table} ({material.kind})"
    if material.density is not None:
        return what, Said(words, "yours", "stated in the job file")
    return what, _said(known.of_kind(table, material.kind)["density"], words)


def _ratio(part: float, whole: float) -> float:
    return part / whole if whole > 0 else 0.0


def methods(plan: Plan) -> list[str]:
    """Return how the numbers tagged estimate and exact were found, one sentence each."""
    filled = (
        "Volume, resin and rubber from … to …: between a flat filling of the scan's holes and as "
        "far beyond a curved one, wider where their rims are rough; for a new surface, by what "
        "lies between it and the scan and by what its holes leave open. An estimate."
    )
    return [
        *([filled] if plan.master.volume_doubt_mm3 else []),
        "Trapped air: for slow filling, followed over the mesh itself from every high place to "
        "the mouth; exact for this mesh, not for what a scan did not see.",
        f"Best tip: searched within {plain(plan.resin_pour.directions.within_deg, 0)}° (resin) and "
        f"{plain(plan.rubber_pour.directions.within_deg, 0)}° (rubber) of level; estimate of the "
        "direction, exact air in it.",
        "Stretch: the greatest girth that must pass each uncut ring, over that ring. The lower "
        "figure lets the piece snake out, the upper pulls all of it straight; a rubber's "
        "hardness varies by 5 Shore points either way.",
        "Neck width: the width of the join air would leave by, an estimate.",
        "Vents: for the air left upright after tipping and rocking; each stands straight and is "
        "followed anew as one more way out, so what it lets out is exact for this mesh.",
        "Narrow ends: where a ball as wide as the neck that clears does not fit against the skin, "
        "with one opening only; depth along the skin, width straight across, both estimates.",
    ]


def certificates(plan: Plan) -> list[str]:
    """Return what is proved about the plan, in words."""
    found = [plan.cut.certificate] if plan.cut.certificate else []
    if plan.cut.lines:
        found.append(
            f"The cut costs at most {plain(100 * plan.cut.gap, 1)} % more than the best line "
            "that exists on this mesh."
        )
    for name, pour in (("rubber", plan.rubber_pour), ("resin", plan.resin_pour)):
        way = pour.directions
        least = max(0.0, way.best_volume_mm3 - way.gap_mm3)
        said = (
            f"{name.capitalize()} pour: no tip within {plain(way.within_deg, 0)}° leaves less than "
            f"{bubble(least)} of air; the one named leaves {bubble(way.best_volume_mm3)}. {way.why}"
        )
        found.append(said.rstrip())
    return found


def provenance(plan: Plan) -> dict[str, str]:
    """Return the file, its hash and the version, to tell two sheets apart."""
    return {
        "file": plan.master.path,
        "sha256": plan.master.sha256,
        "version": partline.__version__,
        "size": plan.master.size_words,
    }
