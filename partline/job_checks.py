"""What must hold between the keys of a job file."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from partline.errors import WorkshopError
from partline.job import Job, MaterialPart, ShelfItem
from partline.scan.formats import has_unit
from partline.workshop.degassing import degassing_of
from partline.workshop.materials import defaults
from partline.workshop.mixing import carrier_of
from partline.workshop.pressing import pressing_of
from partline.workshop.pressure import local_kpa

Place = tuple[str | int, ...]
Fault = tuple[Place, str]


def crossed(job: Job, data: dict[str, Any], *, check_files: bool) -> Iterator[Fault]:
    """Yield every contradiction between keys, with the key it is best mended at."""
    yield from _scan(job)
    yield from _mouth(job)
    yield from _zones(job)
    yield from _sides(job)
    yield from _kinds(job, check_files=check_files)
    for table in ("rubber", "resin"):
        if table in data:
            yield from _material(table, getattr(job, table))
    names = [item.name for item in job.shelf]
    for k, item in enumerate(job.shelf):
        if names.index(item.name) != k:
            yield ("shelf", k, "name"), f'"{item.name}" is on the shelf twice; call one otherwise.'
        yield from ((("shelf", k, key), words) for key, words in shelf_faults(item))
    if job.shop.pressure_pot_rating_kpa is not None:
        yield from _pot(job)
    if job.shop.defaults is None or check_files:
        yield from _ratings(job)


def _scan(job: Job) -> Iterator[Fault]:
    scan = job.scan
    given = [k for k, v in (("height", scan.height_mm), ("measured", scan.measured),
                            ("units", scan.units)) if v is not None]  # fmt: skip
    if len(given) > 1:
        yield (
            ("scan", given[-1]),
            (f"{' and '.join(given)} each set the size; keep exactly one of them."),
        )
    if not given and not has_unit(scan.file):
        yield (
            ("scan",),
            (
                'its size is not said. Give exactly one: height = "62 mm", measured = { start = '
                '[0, 0, 0], stop = [0, 0, 1], length = "20 mm" }, or units = "mm".'
            ),
        )
    if scan.measured is not None and scan.measured.start == scan.measured.stop:
        yield ("scan", "measured"), "both points are the same; there is no length between them."
    if scan.cell_mm is not None and not scan.rebuild:
        yield ("scan", "cell"), "goes with rebuild = true; add that, or leave it out."
    if _along(scan.up, scan.front):
        yield (
            ("scan", "front"),
            f"{_written(scan.front)} lies along up, {_written(scan.up)}; the front must look "
            "sideways.",
        )


def _written(side: str | tuple[float, float, float]) -> str:
    """Return a direction as it is written in a job."""
    return f'"{side}"' if isinstance(side, str) else str(list(side))


def _along(up: str | tuple[float, float, float], front: str | tuple[float, float, float]) -> bool:
    """Tell whether a front lies along up, within half a degree."""
    (a, b, c), (x, y, z) = (_numbers(side) for side in (up, front))
    square = math.hypot(b * z - c * y, c * x - a * z, a * y - b * x)
    return square < 0.01 * math.hypot(a, b, c) * math.hypot(x, y, z)


def _numbers(side: str | tuple[float, float, float]) -> tuple[float, float, float]:
    if not isinstance(side, str):
        return side
    x, y, z = (float(name == side[1]) for name in "xyz")
    return x, y, z


def _mouth(job: Job) -> Iterator[Fault]:
    mouth = job.stand.mouth
    if mouth.at == "point" and mouth.point is None:
        yield ("stand", "mouth"), 'at = "point" needs the point: point = [x, y, z].'
    if mouth.at == "faces" and not mouth.faces:
        yield ("stand", "mouth"), 'at = "faces" needs face numbers: faces = [12, 13].'
    if mouth.at != "point" and mouth.point is not None:
        yield ("stand", "mouth", "point"), f'a point is given, but at = "{mouth.at}".'
    if mouth.at != "faces" and mouth.faces:
        yield ("stand", "mouth", "faces"), f'face numbers are given, but at = "{mouth.at}".'


def _zones(job: Job) -> Iterator[Fault]:
    for k, zone in enumerate(job.zones):
        if (zone.point is None) == (not zone.faces):
            yield ("zones", k), "give either a point with a radius, or face numbers."
        elif zone.point is not None and zone.radius_mm is None:
            yield ("zones", k, "point"), 'a point needs a radius beside it, like radius = "6 mm".'
        elif zone.point is None and zone.radius_mm is not None:
            yield ("zones", k, "radius"), "a radius goes with a point, not with face numbers."


def _sides(job: Job) -> Iterator[Fault]:
    sides, cuts = job.cut.sides, job.cut.cuts
    if not sides:
        return
    if len(sides) != 1 and sorted(sides) != ["left", "right"]:
        yield (
            ("cut", "sides"),
            (
                'Lines run on one side ("left", "right" or "back"), or on "left" and "right"; '
                f"{', '.join(sides)} cannot be."
            ),
        )
    elif cuts not in ("auto", len(sides)):
        yield ("cut", "sides"), f"{len(sides)} named here, but cuts is {cuts}; mend one of them."


def _kinds(job: Job, *, check_files: bool) -> Iterator[Fault]:
    own = job.shop.defaults
    if own is not None and not check_files:
        return  # a job opened for show, perhaps on another machine
    try:
        known = defaults(own)
    except WorkshopError as error:
        yield ("shop", "defaults"), str(error)
        return
    for table, material in (("rubber", job.rubber), ("resin", job.resin)):
        try:
            known.of_kind(table, material.kind)
        except WorkshopError as error:
            yield (table, "kind"), str(error)


def _material(table: str, material: MaterialPart) -> Iterator[Fault]:
    parts = material.parts
    if parts is None:
        if material.by is not None:
            yield (table, "by"), "says how the ratio counts, but parts (the ratio) is missing."
        if material.extras:
            yield (table, "extras"), "a share of which part? parts (the ratio) is missing."
        return
    if len(parts) < 2:
        yield (table, "parts"), "a mix has at least two parts."
    for letter in sorted(part for part in parts if len(part.strip()) < 2):
        yield (
            (table, "parts"),
            (
                f'"{letter}" alone is not a name: labels differ in what they call {letter}. Say '
                "hardener, rubber, isocyanate part, polyol part."
            ),
        )
    if material.by is None:
        yield (
            (table, "parts"),
            ('the ratio counts by weight or by volume? Add by = "weight" or by = "volume".'),
        )
    known = material.part_densities or {}
    missing = [part for part in parts if part not in known]
    if material.by == "volume" and missing:
        yield (
            (table, "by"),
            (
                f"a ratio by volume needs part_densities for {', '.join(missing)} to be weighed "
                "(the technical sheet gives them, also as specific gravity)."
            ),
        )
    if material.extras:
        try:
            carrier_of(parts, material.extras_in)
        except WorkshopError as error:
            yield (table, "extras"), str(error)
        for name in sorted(set(material.extras) & set(parts)):
            yield (table, "extras"), f'"{name}" is already one of the parts.'
    for part in sorted(set(known) - set(parts)):
        yield (table, "part_densities"), f'"{part}" is not among the parts.'


def shelf_faults(item: ShelfItem) -> Iterator[tuple[str, str]]:
    """Yield key and words of each contradiction in a container's sizes."""
    if item.kind == "cup" and item.floor_mm is None:
        yield "floor", "a cup tapers: measure its inner width at the floor too."
    if item.floor_mm is not None and item.floor_mm > item.rim_mm:
        yield (
            "floor",
            (
                f"{item.floor_mm:g} mm is wider than the rim ({item.rim_mm:g} mm): the cured block "
                "would not come out. Are they the wrong way round?"
            ),
        )
    if item.kind == "pipe" and item.floor_mm not in (None, item.rim_mm):
        yield "floor", "a pipe is as wide at the floor as at the rim; call it a cup."
    if (item.ring_width_mm > 0) != (item.ring_depth_mm > 0):
        key = "ring_width" if item.ring_width_mm == 0 else "ring_depth"
        yield key, "a gutter has both: ring_width and ring_depth."
    narrow = min(s for s in (item.floor_mm, item.rim_mm) if s is not None)
    if 2 * item.ring_width_mm >= narrow:
        yield "ring_width", f"two gutters of that width leave nothing of a {narrow:g} mm floor."
    if item.kind != "box" and item.depth_mm is not None:
        yield "depth", "only a box has a depth; a cup or pipe is round."


def _pot(job: Job) -> Iterator[Fault]:
    rating, here = job.shop.pressure_pot_rating_kpa, local_kpa(job.shop.altitude_m)
    if rating is not None and rating <= here:
        yield (
            ("shop", "pressure_pot_rating"),
            (
                f"{rating:.0f} kPa absolute is no more than the air in the room ({here:.0f} kPa). "
                "The plate on a pot counts from there: write it with gauge."
            ),
        )


def _ratings(job: Job) -> Iterator[Fault]:
    """Nothing is planned beyond a rating; said before any long work."""
    shop = job.shop
    try:
        known = defaults(shop.defaults)
    except WorkshopError:
        return  # already said of its own key
    rating = shop.pressure_pot_rating_kpa
    if rating is None or rating > local_kpa(shop.altitude_m):
        try:
            pressing_of(rating, shop.pressure_kpa, shop.altitude_m, known)
        except WorkshopError as error:
            yield ("shop", "pressure"), str(error).removeprefix("[shop] ")
    if shop.vacuum_chamber:
        try:
            degassing_of(1.0, chamber=True, rating_kpa=shop.vacuum_chamber_rating_kpa,
                         altitude_m=shop.altitude_m, known=known)  # fmt: skip
        except WorkshopError as error:
            yield ("shop", "vacuum_chamber_rating"), str(error).removeprefix("[shop] ")
