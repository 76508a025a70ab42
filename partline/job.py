"""The job file: what the sculptor decided, read from TOML and checked."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict

# Lengths, masses, volumes and times are strings with a unit in the file ("62 mm", "2 7/16 in",
# "9 fl oz US", "30 min") and plain floats in mm, g, mm^3 and min here.


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Measured(_Part):
    """One measured distance between two points given in the file's own coordinates."""

    start: tuple[float, float, float]
    stop: tuple[float, float, float]
    length_mm: float


class ScanPart(_Part):
    """[scan]: the mesh file and its finished size; exactly one of height, measured, units."""

    file: Path
    height_mm: float | None = None
    measured: Measured | None = None
    units: str | None = None
    up: str = "+z"
    front: str = "-y"


class MouthPart(_Part):
    """Where the resin goes in: the base, or a place given by a point or face numbers."""

    at: Literal["base", "point", "faces"] = "base"
    point: tuple[float, float, float] | None = None
    faces: tuple[int, ...] = ()


class StandPart(_Part):
    """[stand]: how it stands; None means the default for its size."""

    mouth: MouthPart = MouthPart()
    foot_block: bool = True
    foot_block_height_mm: float | None = None
    wall_mm: float | None = None
    headroom_mm: float | None = None
    sink_mm: float | None = None
    show: Literal["front", "front and sides", "all round"] = "front"


class ZonePart(_Part):
    """[[zones]]: stay off / go here / pass through, by point and radius or file face numbers."""

    kind: Literal["stay off", "go here", "pass through"]
    point: tuple[float, float, float] | None = None
    radius_mm: float | None = None
    faces: tuple[int, ...] = ()


class CutPart(_Part):
    """[cut]"""

    cuts: Literal["auto"] | int = "auto"
    margin_mm: float | None = None


class MaterialPart(_Part):
    """[rubber] and [resin]: what stands on the label; None is asked for on the sheet."""

    kind: str
    parts: dict[str, float] | None = None
    by: Literal["weight", "volume"] | None = None
    part_densities: dict[str, float] | None = None
    density: float | None = None
    pot_life_min: float | None = None
    shore_a: float | None = None
    elongation_percent: float | None = None
    linear_shrinkage_percent: float | None = None


class ShelfItem(_Part):
    """[[shelf]]: a container of the user's own, measured inside."""

    name: str
    kind: Literal["cup", "pipe", "box"] = "cup"
    rim_mm: float
    floor_mm: float | None = None
    depth_mm: float | None = None
    height_mm: float
    floor_rise_mm: float = 0.0


class ShopPart(_Part):
    """[shop]: scale, room, and the ratings of the user's own equipment."""

    scale_resolution_g: float = 0.1
    room_celsius: float | None = None
    altitude_m: float = 0.0
    pressure_pot_rating_kpa: float | None = None
    vacuum_chamber: bool = False


class RunPart(_Part):
    """[run]"""

    good: int = 1
    yield_share: float = 0.85
    life: int = 20
    pulls_per_day: int = 10


class Job(_Part):
    """A whole job; `name` is printed on the sheet."""

    name: str
    scan: ScanPart
    stand: StandPart = StandPart()
    zones: tuple[ZonePart, ...] = ()
    cut: CutPart = CutPart()
    rubber: MaterialPart = MaterialPart(kind="condensation silicone")
    resin: MaterialPart = MaterialPart(kind="opaque polyurethane resin")
    shelf: tuple[ShelfItem, ...] = ()
    shop: ShopPart = ShopPart()
    run: RunPart = RunPart()
