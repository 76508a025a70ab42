"""The part of a job file that says whether vents are wanted, how wide, and for how much air."""

from __future__ import annotations

from typing import Annotated

from partline.job_fields import Quantity
from partline.job_part import Part, key


class VentsPart(Part):
    """[vents]: holes that let out the air that tipping and rocking leave; None: the default."""

    wanted: bool = key("wanted", "plan vents where tipping and rocking leave air", True)
    largest_air_mm3: Annotated[float | None, Quantity("volume", 0.01, 1e6)] = key(
        "largest_air", 'how much air may stay in a casting in all, like "5 mm3"'
    )
    diameter_mm: Annotated[float | None, Quantity("length", 0.3, 12.0)] = key(
        "diameter", "of a vent"
    )
    at: tuple[tuple[float, float, float], ...] = key(
        "at", "where vents go, in the file's own coordinates; left out: where it is best", ()
    )
