"""The job file: what the sculptor decided, read from TOML and checked."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from partline.job_fields import (
    Quantity,
    count_of_cuts,
    defaults_beside_job,
    mesh_beside_job,
    mesh_unit,
    side,
)
from partline.job_part import Part as _Part
from partline.job_part import key as _key
from partline.job_run import RatesPart, RunPart
from partline.job_vents import VentsPart

# In the file lengths, masses, times and the like are texts with a unit ("62 mm", "2 7/16 in",
# "30 min"), and a key has no unit in its name: `height = "62 mm"` becomes `height_mm` [mm].

Point = tuple[float, float, float]
Turn = Annotated[float, Field(ge=-360, le=360)]
Lean = Annotated[float, Field(ge=0, le=90)]
Share = Annotated[float, Field(ge=-1, le=1)]
FaceNumbers = tuple[Annotated[int, Field(strict=True, ge=0)], ...]
PartDensity = Annotated[float, Quantity("density", 0.3, 10.0)]
ExtraShare = Annotated[float, Quantity("percent", 0.001, 400.0)]
PartAmount = Annotated[float, Field(strict=True, gt=0, le=1e6)]


class Measured(_Part):
    """One measured distance between two points given in the file's own coordinates."""

    start: Point = Field(description="one point, in the file's own coordinates")
    stop: Point = Field(description="the other point")
    length_mm: Annotated[float, Quantity("length", 0.1, 5000.0)] = Field(
        validation_alias="length", description="what the rule reads between them"
    )


class ScanPart(_Part):
    """[scan]: the mesh file and its finished size; exactly one of height, measured, units.

    A GLB or 3MF file says its unit itself, so there all three may be left out.
    """

    file: Annotated[Path, BeforeValidator(mesh_beside_job)] = Field(
        description="STL, OBJ, PLY, GLB or 3MF; counts from this file's folder"
    )
    height_mm: Annotated[float | None, Quantity("length", 0.5, 5000.0)] = _key(
        "height", "how tall the finished piece is as it stands"
    )
    measured: Measured | None = _key("measured", "or one distance between two points")
    units: Annotated[str | None, BeforeValidator(mesh_unit)] = _key(
        "units", "or the unit the file is drawn in: mm, cm, m, in, ft"
    )
    up: Annotated[str | Point, BeforeValidator(side)] = _key(
        "up", "which way is up in the file: an axis or three numbers", "+z"
    )
    front: Annotated[str | Point, BeforeValidator(side)] = _key(
        "front", "which way its face looks in the file: an axis, or three numbers", "-y"
    )
    rebuild: bool = _key(
        "rebuild", "last resort: a new closed surface round a scan that cannot be mended", False
    )
    cell_mm: Annotated[float | None, Quantity("length", 0.001, 100.0)] = _key(
        "cell", "size of its cells at finished size; nothing finer is kept"
    )


class MouthPart(_Part):
    """Where the resin goes in: the base, or a place given by a point or face numbers."""

    at: Literal["base", "point", "faces"] = _key("at", "base, point or faces", "base")
    point: Point | None = _key("point", "a point in the file's own coordinates")
    faces: FaceNumbers = _key("faces", "face numbers of the file, counted from 0", ())


class StandPart(_Part):
    """[stand]: how it stands; None means the default for its size."""

    mouth: MouthPart = _key("mouth", "where the resin goes in", MouthPart())
    foot_block: bool = _key("foot_block", "a stub under the piece that leaves the mouth", True)
    foot_block_height_mm: Annotated[float | None, Quantity("length", 1.0, 300.0)] = _key(
        "foot_block_height", "how high that stub is"
    )
    wall_mm: Annotated[float | None, Quantity("length", 1.0, 200.0)] = _key(
        "wall", "least rubber beside the piece"
    )
    headroom_mm: Annotated[float | None, Quantity("length", 1.0, 300.0)] = _key(
        "headroom", "least rubber over its highest point"
    )
    sink_mm: Annotated[float | None, Quantity("length", 0.0, 50.0)] = _key(
        "sink", "how much of the lowest part is trimmed flat"
    )
    show: Literal["front", "front and sides", "all round"] = _key(
        "show", "what is on show: front, front and sides, all round", "front"
    )
    container: str | None = _key("container", "a container by name, if it must be that one")
    master_density: Annotated[float | None, Quantity("density", 0.05, 20.0)] = _key(
        "master_density", "of the master: weight by volume; says how hard it floats"
    )


class ZonePart(_Part):
    """[[zones]]: stay off, go here, pass through and the like, by point or file face numbers."""

    kind: Literal["stay off", "go here", "pass through", "start here", "end here"] = Field(
        description="stay off, go here, pass through, start here or end here"
    )
    point: Point | None = _key("point", "middle, in the file's own coordinates")
    radius_mm: Annotated[float | None, Quantity("length", 0.1, 2000.0)] = _key(
        "radius", "round the point, at finished size"
    )
    faces: FaceNumbers = _key("faces", "or face numbers of the file, counted from 0", ())


class CutPart(_Part):
    """[cut]"""

    cuts: Annotated[Literal["auto", "over the floor"] | int, BeforeValidator(count_of_cuts)] = _key(
        "cuts", "auto, 0, 1, 2 or over the floor", "auto"
    )
    sides: tuple[Literal["left", "right", "back"], ...] = _key(
        "sides", "on which sides the lines run, seen from the front; left out: where it is best", ()
    )
    margin_mm: Annotated[float | None, Quantity("length", 0.0, 200.0)] = _key(
        "margin", "how far to stay from fine detail where that is possible"
    )
    next_to_piece: Literal["smooth", "jagged"] = _key(
        "next_to_piece", "the last few millimetres of the cut: smooth, or jagged all the way in",
        "smooth",
    )  # fmt: skip


class MaterialPart(_Part):
    """[rubber] and [resin]: what stands on the label; None is asked for on the sheet."""

    kind: str = Field(description="what sort it is")
    parts: dict[str, PartAmount] | None = _key("parts", "mixing ratio on the label, part by part")
    by: Literal["weight", "volume"] | None = _key("by", "the ratio is by weight or by volume")
    part_densities: dict[str, PartDensity] | None = _key(
        "part_densities", "density of each part, for a ratio by volume"
    )
    extras: dict[str, ExtraShare] | None = _key(
        "extras", 'pigment and filler, each as a share of the polyol part, like "2 %"'
    )
    extras_in: str | None = _key("extras_in", "the part they go into, if it is not the polyol part")
    density: Annotated[float | None, Quantity("density", 0.3, 10.0)] = _key(
        "density", "when cured, from the technical sheet"
    )
    pot_life_min: Annotated[float | None, Quantity("time", 0.5, 2880.0)] = _key(
        "pot_life", "on the label"
    )
    shore_a: Annotated[float | None, Field(strict=True, ge=0, le=100)] = _key(
        "shore_a", "hardness on the label, Shore A"
    )
    elongation_percent: Annotated[float | None, Quantity("percent", 5.0, 2000.0)] = _key(
        "elongation", "elongation at break on the technical sheet"
    )
    linear_shrinkage_percent: Annotated[float | None, Quantity("percent", -5.0, 10.0)] = _key(
        "linear_shrinkage", "linear shrinkage on the technical sheet"
    )


class ShelfItem(_Part):
    """[[shelf]]: a container of the user's own, measured inside."""

    name: str = Field(min_length=1, description="what you call it")
    kind: Literal["cup", "pipe", "box"] = _key("kind", "cup, pipe or box", "cup")
    rim_mm: Annotated[float, Quantity("length", 5.0, 3000.0)] = Field(
        validation_alias="rim", description="inner width at the rim (a box: side to side)"
    )
    floor_mm: Annotated[float | None, Quantity("length", 5.0, 3000.0)] = _key(
        "floor", "inner width at the floor, where it tapers"
    )
    depth_mm: Annotated[float | None, Quantity("length", 5.0, 3000.0)] = _key(
        "depth", "a box: inner size front to back at the rim"
    )
    height_mm: Annotated[float, Quantity("length", 5.0, 3000.0)] = Field(
        validation_alias="height", description="from the inner floor to the rim"
    )
    floor_rise_mm: Annotated[float, Quantity("length", 0.0, 200.0)] = _key(
        "floor_rise", "how far the inner floor lies above the table", 0.0
    )
    ring_width_mm: Annotated[float, Quantity("length", 0.0, 100.0)] = _key(
        "ring_width", "a gutter round a raised floor: how wide", 0.0
    )
    ring_depth_mm: Annotated[float, Quantity("length", 0.0, 100.0)] = _key(
        "ring_depth", "and how deep below that floor", 0.0
    )


class ShopPart(_Part):
    """[shop]: scale, room, and the ratings of the user's own equipment."""

    scale_resolution_g: Annotated[float, Quantity("mass", 0.001, 100.0)] = _key(
        "scale_resolution", "smallest step of your scale", 0.1
    )
    blade_mm: Annotated[float | None, Quantity("length", 3.0, 1000.0)] = _key(
        "blade", "how far your knife's blade reaches out of its holder"
    )
    room_celsius: Annotated[float | None, Quantity("temperature", -10.0, 60.0)] = _key(
        "room", "temperature of the room"
    )
    altitude_m: Annotated[float, Quantity("altitude", -500.0, 6000.0)] = _key(
        "altitude", "of the shop above the sea", 0.0
    )
    pressure_pot_rating_kpa: Annotated[float | None, Quantity("pressure", 100.0, 3000.0)] = _key(
        "pressure_pot_rating", 'on the pot\'s plate, like "60 psi gauge"; nothing goes above it'
    )
    pressure_kpa: Annotated[float | None, Quantity("pressure", 100.0, 3000.0)] = _key(
        "pressure", 'what to cast under, like "50 psi gauge"; never above the rating'
    )
    vacuum_chamber_rating_kpa: Annotated[float | None, Quantity("pressure", 0.0, 110.0)] = _key(
        "vacuum_chamber_rating",
        'what chamber and lid are rated for, like "0 kPa absolute" or "29 inHg vacuum"',
    )
    vacuum_chamber: bool = _key("vacuum_chamber", "is there a vacuum chamber", False)
    defaults: Annotated[Path | None, BeforeValidator(defaults_beside_job)] = _key(
        "defaults", "a file with your own default figures"
    )


class LookPart(_Part):
    """[look]: what the window shows when it opens the job; it changes no figure."""

    stage: Literal["piece", "stand", "air", "cut", "weigh", "pour", "after"] = _key(
        "stage", "the stage that is open", "piece"
    )
    pour: Literal["rubber", "resin"] = _key("pour", "the pour that is shown", "rubber")
    layers: tuple[Annotated[str, Field(min_length=1, max_length=40)], ...] = _key(
        "layers", "what is shown", ()
    )
    eye: Point | None = _key("eye", "from the piece toward the eye; its front is [0, -1, 0]")
    lengths: Literal["mm", "inches"] = _key("lengths", "how lengths are said", "mm")
    section: tuple[Turn, Share] | None = _key(
        "section", "cut open: which side is taken away, degrees, and how far from the middle"
    )
    tip: tuple[Turn, Lean] | None = _key("tip", "which way it is tipped and how far, degrees")
    step: Annotated[int, Field(ge=0, le=1000)] | None = _key(
        "step", "the step of the pour that is shown, counted from 0"
    )
    choice: Annotated[int, Field(ge=0, le=1000)] | None = _key(
        "choice", "the cut that is looked at beside the chosen one, counted from 0"
    )
    knife_mm: float | None = _key("knife_mm", "where the end of the cut is tried")
    mouth: Point | None = _key("mouth", "another mouth that is looked at, as it stands")


class Job(_Part):
    """A whole job; `name` is printed on the sheet."""

    name: str = Field(min_length=1, description="printed on the sheet")
    scan: ScanPart
    stand: StandPart = StandPart()
    zones: tuple[ZonePart, ...] = ()
    cut: CutPart = CutPart()
    rubber: MaterialPart = MaterialPart(kind="condensation silicone")
    resin: MaterialPart = MaterialPart(kind="opaque polyurethane resin")
    vents: VentsPart = VentsPart()
    shelf: tuple[ShelfItem, ...] = ()
    shop: ShopPart = ShopPart()
    run: RunPart = RunPart()
    rates: RatesPart = RatesPart()
    look: LookPart = LookPart()


def load_job(
    path: str | Path, *, check_files: bool = True, scans: Sequence[str | Path] = ()
) -> Job:
    """Read a job file.

    Parameters
    ----------
    path : str or Path
        A TOML file in UTF-8.
    check_files : bool
        Also check that the files it names are there.
    scans : sequence of str or Path
        Folders from which it may read besides its own.

    Raises
    ------
    JobError
        If it is missing, not TOML, or says something that cannot be; the text names each fault
        with its key and line.
    """
    from partline.job_reading import load

    return load(Path(path), check_files=check_files, scans=scans)


def read_job(
    text: str, folder: str | Path, *, name: str = "the job", check_files: bool = True,
    scans: Sequence[str | Path] = (),
) -> Job:  # fmt: skip
    """Read the text of a job file; file names in it count from `folder`.

    Raises
    ------
    JobError
        As `load_job`.
    """
    from partline.job_reading import parse

    return parse(text, Path(folder), name=name, check_files=check_files, scans=scans)


def write_job(job: Job, folder: str | Path | None = None) -> str:
    """Return the commented text of a job file that reads back as the same job.

    Parameters
    ----------
    job : Job
    folder : str or Path, optional
        Where the text will be kept: files inside it are named from there.
    """
    from partline.job_writing import written

    return written(job, None if folder is None else Path(folder))


def starter_job(
    mesh_path: str | Path,
    *,
    name: str | None = None,
    height: str | None = None,
    units: str | None = None,
    up: str | Point = "+z",
    front: str = "-y",
    stands: str = "",
    file_unit: str = "",
    rebuild: bool = False,
    cell: str | None = None,
    folder: str | Path | None = None,
) -> str:
    """Return the text of a new job file, with the questions in the order of the bench.

    Nothing that must come from a label is filled in: it stands commented out and asked for.

    Parameters
    ----------
    mesh_path : str or Path
        The scan.
    name : str, optional
        Printed on the sheet; the scan's file name without it.
    height, units : str, optional
        Finished height with its unit ("62 mm"), or the unit of the file ("mm").
    up, front : str or (3,) float
        Axes of the file; up may be three numbers.
    stands : str
        How the piece stands so, in a sentence that is written beside it.
    file_unit : str
        Unit that the file itself says it is in (GLB, 3MF).
    rebuild : bool
        Ask for a new closed surface, with cells of a stated size if `cell` is given.
    cell : str, optional
        Like "0.4 mm".
    folder : str or Path, optional
        Where the text will be kept: a scan inside it is named from there.

    Raises
    ------
    JobError
        If the height, the unit or an axis cannot be read, or both height and unit are given.
    """
    from partline.job_writing import starter

    return starter(Path(mesh_path), name=name, height=height, units=units, up=up, front=front,
                   stands=stands, file_unit=file_unit, rebuild=rebuild, cell=cell,
                   folder=None if folder is None else Path(folder))  # fmt: skip
