"""What stands behind one key of a job file: its quantity, its range, its words."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import GetCoreSchemaHandler, ValidationInfo
from pydantic_core import CoreSchema, core_schema

from partline import units
from partline.errors import ScanError, UnitError
from partline.scan.formats import kind_of
from partline.unit_names import LENGTH
from partline.workshop.pressure import local_kpa


def _altitude(text: object) -> float:
    return units.length_mm(text) / 1000.0


# kind: how it is read, and how it is written again (without losing a digit)
_WAYS: dict[str, tuple[Callable[[Any], float], str]] = {
    "length": (units.length_mm, "mm"),
    "altitude": (_altitude, "m"),
    "volume": (units.volume_mm3, "mm3"),
    "mass": (units.mass_g, "g"),
    "time": (units.minutes, "min"),
    "density": (units.density, "g/cm3"),
    "percent": (units.percent, "%"),
    "temperature": (units.celsius, "C"),
    "pressure": (units.pressure_kpa, "kPa absolute"),
}


def from_file(info: ValidationInfo) -> bool:
    """Tell whether a value comes from a job file, where a quantity needs its unit."""
    return bool(info.context and info.context.get("from_file"))


@dataclass(frozen=True)
class Quantity:
    """A quantity with a unit in the file and a plain float in partline's own unit here.

    Attributes
    ----------
    kind : str
        "length" [mm], "altitude" [m], "volume" [mm^3], "mass" [g], "time" [min],
        "density" [g/cm^3], "percent" [%], "temperature" [degrees Celsius] or "pressure"
        [kPa absolute].
    low, high : float
        Least and greatest value that can be meant, both included.
    """

    kind: str
    low: float
    high: float

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        return core_schema.with_info_before_validator_function(self._checked, handler(source))

    def _checked(self, value: object, info: ValidationInfo) -> float | None:
        if value is None:
            return None
        try:
            number = self._number(value, info)
        except UnitError as error:
            raise ValueError(str(error)) from error
        if not math.isfinite(number) or not self.low <= number <= self.high:
            unit = self.unit
            raise ValueError(
                f"{_shown(value, unit)} cannot be meant; it must lie between {self.low:g} {unit} "
                f"and {self.high:g} {unit}."
            )
        return number

    def _number(self, value: object, info: ValidationInfo) -> float:
        plain = isinstance(value, (int, float)) and not isinstance(value, bool)
        if plain and not from_file(info):
            return float(value)  # type: ignore[arg-type]
        if self.kind == "pressure":
            return units.pressure_kpa(
                value, local_kpa=local_kpa(info.data.get("altitude_m") or 0.0)
            )
        return _WAYS[self.kind][0](value)

    @property
    def unit(self) -> str:
        """Unit it is written in."""
        return _WAYS[self.kind][1]

    def written(self, number: float) -> str:
        """Return the text of a number that reads back as exactly that number."""
        shown = repr(int(number)) if number == int(number) else repr(float(number))
        return f'"{shown} {self.unit}"'


def _shown(value: object, unit: str) -> str:
    return f'"{value}"' if isinstance(value, str) else f"{value} {unit}"


def axis(value: object) -> object:
    """Bring "z", "+Z", "-y" to one form; raise ValueError for what names no axis."""
    text = str(value).strip().lower()
    text = text if text[:1] in "+-" else f"+{text}"
    if not isinstance(value, str) or text[1:] not in ("x", "y", "z"):
        raise ValueError(f'{value!r} is not an axis of the file; write "+x", "-x", "+y" ... "-z".')
    return text


def side(value: object) -> object:
    """Bring an axis, or any direction of three numbers, to one form."""
    if isinstance(value, str):
        return axis(value)
    numbers = list(value) if isinstance(value, (list, tuple)) else []
    plain = all(isinstance(v, (int, float)) and not isinstance(v, bool) for v in numbers)
    if len(numbers) != 3 or not plain or not math.isfinite(size := math.hypot(*numbers)):
        raise ValueError(f'{value!r} is no side; write an axis like "-y", or three numbers.')
    if size < 1e-9:
        raise ValueError('three noughts point nowhere; write an axis like "-y".')
    return tuple(float(v) for v in numbers)


def mesh_unit(value: object) -> object:
    """Bring a mesh file's unit to mm, cm, m, in or ft; raise ValueError for anything else."""
    if value is None:
        return None
    short = {"millimeter": "mm", "centimeter": "cm", "meter": "m", "inch": "in", "foot": "ft"}
    name = LENGTH.units.get(value.strip().lower()) if isinstance(value, str) else None
    if name is None:
        raise ValueError(f'{value!r} is not a unit of length; write "mm", "cm", "m", "in" or "ft".')
    return short[name]


def count_of_cuts(value: object) -> object:
    """Let through "auto", 0, 1, 2 and "over the floor"; raise ValueError for anything else."""
    if value in ("auto", "over the floor") or (type(value) is int and value in (0, 1, 2)):
        return value
    raise ValueError(
        f'{value!r} is not a number of cuts; write "auto", 0, 1, 2 or "over the floor".'
    )


def share(value: object) -> object:
    """Read a share as 0.85 or "85 %"; raise ValueError otherwise."""
    if isinstance(value, str):
        try:
            value = units.percent(value) / 100.0
        except UnitError as error:
            raise ValueError(str(error)) from error
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise ValueError(f'{value!r} is not a share; write 0.85 or "85 %".')
    if not 0.0 < value <= 1.0:
        raise ValueError(
            f'{value:g} is not a share: more than 0 and at most 1, like 0.85 or "85 %".'
        )
    return float(value)


def mesh_beside_job(value: object, info: ValidationInfo) -> object:
    """As `beside_job`, of a file whose name is that of a mesh: a job reads no other as a scan."""
    return beside_job(value, info, kind=_is_mesh)


def defaults_beside_job(value: object, info: ValidationInfo) -> object:
    """As `beside_job`, of a TOML file by its name: a job reads no other as defaults."""
    return beside_job(value, info, kind=_is_toml)


def _is_mesh(path: Path) -> None:
    try:
        kind_of(path)
    except ScanError as error:
        raise ValueError(str(error)) from None


def _is_toml(path: Path) -> None:
    if path.suffix.lower() != ".toml":
        raise ValueError(f"{path.name} is not the name of a TOML file; defaults end in .toml.")


def beside_job(value: object, info: ValidationInfo, *, kind: Callable[[Path], None]) -> object:
    """Resolve a file name against the job file's folder; the file must be there if asked.

    A job comes from anywhere: it reads nothing but what lies in its own folder or below, or in a
    folder that the person gave, wherever links lead. Of what lies elsewhere nothing is told.
    """
    if value is None or not from_file(info):
        return value
    if not isinstance(value, str) or not value.strip() or "\0" in value:
        raise ValueError(f'{value!r} is not the name of a file; write it like "ram.ply".')
    context = info.context or {}
    path = Path(context["folder"]) / value
    kind(path)
    if not _lies_in(path, (context["folder"], *context.get("scans", ()))):
        raise ValueError(
            f"{value} lies outside the folder of the job, and a job reads only from there or "
            "below. Copy it beside the job, or give its folder: --scans FOLDER."
        )
    if context.get("check_files") and not path.is_file():
        what = "is a folder" if path.is_dir() else (
            "is no plain file" if path.exists() else "does not exist"
        )  # fmt: skip
        raise ValueError(f"{path} {what}. Names count from the folder of the job file.")
    return path


def _lies_in(path: Path, folders: Iterable[Path]) -> bool:
    try:
        real = path.resolve()
        return any(real.is_relative_to(Path(folder).resolve()) for folder in folders)
    except (OSError, RuntimeError):  # links that lead in a circle
        return False
