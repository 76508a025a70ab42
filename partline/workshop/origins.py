"""Where each figure of a job comes from: the defaults, the user's own file, or the job itself."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from partline.job import Job
from partline.workshop.materials import Default, Defaults, defaults

# Keys of a job that stand in place of a default figure, where they are given.
_IN_STAND = ("headroom_mm", "foot_block_height_mm", "sink_mm")
_IN_RUN = ("yield_share", "life", "pulls_per_day")


@dataclass(frozen=True)
class Figure:
    """One figure, and whose it is.

    Attributes
    ----------
    default : Default
        As it holds without the job: the user's own file laid over what is shipped.
    value : float
        What a plan uses, in the default's unit.
    origin : str
        "default", "your file" or "job".
    """

    default: Default
    value: float
    origin: str

    @property
    def words(self) -> str:
        """Where it comes from, e.g. "default, published: rubber maker's tutorial"."""
        if self.origin == "job":
            return "your job file"
        source = f": {self.default.source}" if self.default.source else ""
        return f"{self.origin}, {self.default.tag}{source}"


def figures_of(job: Job | None = None, user_file: str | Path | None = None) -> tuple[Figure, ...]:
    """Return every figure with its origin; with a job only the kinds that it uses.

    Parameters
    ----------
    job : Job, optional
    user_file : str or Path, optional
        The user's own defaults; else those the job names.

    Raises
    ------
    WorkshopError
        If the user's file cannot be read or names what does not exist.
    """
    own = user_file or (job.shop.defaults if job is not None else None)
    known, shipped = defaults(own), defaults()
    given = _given(job, known) if job is not None else {}
    kinds = {"rubber": job.rubber.kind, "resin": job.resin.kind} if job is not None else {}
    found = []
    for key, figure in known.figures.items():
        table, _, rest = key.partition(".")
        if kinds.get(table) and not rest.startswith(f"{kinds[table]}."):
            continue
        mine = key not in shipped.figures or figure != shipped.figures[key]
        origin = "job" if key in given else "your file" if mine else "default"
        found.append(Figure(figure, given.get(key, figure.value), origin))
    return tuple(found)


def _given(job: Job, known: Defaults) -> dict[str, float]:
    """Return the figures that the job states itself, by their dotted key."""
    found: dict[str, Any] = {f"stand.{k}": getattr(job.stand, k) for k in _IN_STAND}
    found["detail.margin_mm"] = job.cut.margin_mm
    for table, material in (("rubber", job.rubber), ("resin", job.resin)):
        for name in known.of_kind(table, material.kind):
            found[f"{table}.{material.kind}.{name}"] = getattr(material, name, None)
    if job.stand.wall_mm is not None:
        sizes = ("small", "medium", "large", "very_large")
        found |= {f"stand.wall_{size}_mm": job.stand.wall_mm for size in sizes}
    found |= {f"run.{k}": getattr(job.run, k) for k in _IN_RUN if k in job.run.model_fields_set}
    return {k: float(v) for k, v in found.items() if v is not None and k in known.figures}


def asked_of(job: Job) -> tuple[str, ...]:
    """Return what stands on a label or a plate and was not given; none of it is assumed."""
    found = []
    for table, material in (("rubber", job.rubber), ("resin", job.resin)):
        if material.parts is None or material.by is None:
            found.append(f"[{table}] parts and by: the mixing ratio, by weight or by volume")
        if material.pot_life_min is None:
            found.append(f"[{table}] pot_life: until then its times are only what is usual")
        if material.density is None:
            found.append(f"[{table}] density: until then its grams are only what is usual")
    if job.stand.master_density is None:
        found.append("[stand] master_density: how hard the master floats")
    if job.shop.room_celsius is None:
        found.append("[shop] room: the pot life in your room")
    if job.shop.pressure_pot_rating_kpa is None:
        found.append("[shop] pressure_pot_rating: no pressure is planned without it")
    if job.shop.vacuum_chamber and job.shop.vacuum_chamber_rating_kpa is None:
        found.append("[shop] vacuum_chamber_rating: no reading of a gauge is planned without it")
    return tuple(found)
