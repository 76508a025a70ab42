"""The part of a job file that says how many, by when, and what things cost in this shop."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import AfterValidator, BeforeValidator, Field, ValidationInfo, model_validator

from partline import units
from partline.errors import UnitError
from partline.job_fields import Quantity, share
from partline.job_part import Part, key

WEEK = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
Count = Annotated[int, Field(strict=True, ge=1, le=1000)]
Money = Annotated[float, Field(strict=True, ge=0, le=1e9)]


def _day(value: object) -> object:
    """Let through a date as TOML has it, or as the text "2027-03-01"."""
    if isinstance(value, datetime.datetime):
        raise ValueError(f"{value} has a time of day; a plain date is wanted, like 2027-03-01.")
    if value is None or isinstance(value, datetime.date):
        return value
    try:
        if isinstance(value, str) and len(value.strip()) == 10:
            return datetime.date.fromisoformat(value.strip())
    except ValueError:
        pass
    raise ValueError(f"{value!r} is not a date; write year, month, day, like 2027-03-01.")


def _weekday(value: object) -> object:
    short = value.strip().lower()[:3] if isinstance(value, str) else ""
    if short not in WEEK:
        raise ValueError(f"{value!r} is not a day of the week; write {', '.join(WEEK)}.")
    return short


def _share_or_none(value: object) -> object:
    """Read a share as `share` does, but let it be nothing at all (0)."""
    if value is None or (isinstance(value, (int, float)) and value == 0):
        return value if value is None or isinstance(value, bool) else 0.0
    if isinstance(value, str) and value.replace("%", "").strip() in ("0", "0.0"):
        return 0.0
    return share(value)


@dataclass(frozen=True)
class Rate(Quantity):
    """Money for a weight or a time, "38 per kg" in the file; here money per kg or per hour."""

    def _number(self, value: object, info: ValidationInfo) -> float:
        if isinstance(value, (int, float)) and not isinstance(value, bool):
            if info.context and info.context.get("from_file"):
                raise ValueError(f'{value} for how much? Write it like "{value} {self.unit}".')
            return float(value)
        amount, middle, unit = str(value).partition(" per ")
        try:
            money = float(amount)
            if not middle:
                raise ValueError
        except ValueError:
            raise ValueError(f'{value!r} is not a rate; write it like "38 {self.unit}".') from None
        one = f"1 {unit.strip()}" if unit.strip()[:1].isalpha() else unit
        try:
            kilos = self.kind == "mass"
            size = units.mass_g(one) / 1000.0 if kilos else units.minutes(one) / 60.0
        except UnitError as error:
            raise ValueError(str(error)) from error
        if size <= 0:
            raise ValueError(f'{value!r} is not a rate; write it like "38 {self.unit}".')
        return money / size

    @property
    def unit(self) -> str:
        """Unit it is written in."""
        return "per kg" if self.kind == "mass" else "per h"


def _below_one(value: float | None) -> float | None:
    if value is not None and value >= 1:
        raise ValueError("all of the price cannot be margin; write less than 100 %.")
    return value


PerKg = Annotated[float | None, Rate("mass", 0.0, 1e6)]
PerHour = Annotated[float | None, Rate("time", 0.0, 1e6)]
Date = Annotated[datetime.date, BeforeValidator(_day)]
Share = Annotated[float | None, BeforeValidator(_share_or_none)]


class RunPart(Part):
    """[run]: how many, and what limits a day; None means no such limit or a usual figure."""

    good: Annotated[int, Field(strict=True, ge=1, le=1_000_000)] = key(
        "good", "good castings wanted", 1
    )
    yield_share: Annotated[float, BeforeValidator(share)] = key(
        "yield_share", "share of castings that come out good", 0.85
    )
    life: Annotated[int, Field(strict=True, ge=1, le=10_000)] = key(
        "life", "castings one block lasts", 20
    )
    pulls_per_day: Count = key("pulls_per_day", "castings a day from one block", 10)
    blocks_at_once: Count = key("blocks_at_once", "blocks you cast in side by side", 1)
    days_wanted: Annotated[int | None, Field(strict=True, ge=1, le=100_000)] = key(
        "days_wanted", "working days it may take; more blocks are made to meet it"
    )
    cycle_min: Annotated[float | None, Quantity("time", 1.0, 20160.0)] = key(
        "cycle", "from one filling of a block to the next"
    )
    day_min: Annotated[float | None, Quantity("time", 15.0, 1440.0)] = key("day", "a working day")
    hands: Count | None = key("hands", "people who cast and clean up")
    pot_holds: Count | None = key("pot_holds", "blocks the pressure pot holds at once")
    pot_time_min: Annotated[float | None, Quantity("time", 1.0, 20160.0)] = key(
        "pot_time", "how long one load stays in the pot, filling and emptying it included"
    )
    make_block_min: Annotated[float | None, Quantity("time", 30.0, 525600.0)] = key(
        "make_block", "pouring, curing and cutting one block"
    )
    air_out_min: Annotated[float | None, Quantity("time", 0.0, 525600.0)] = key(
        "air_out", "airing before the first casting"
    )
    start: Date | None = key("start", "first day of work, like 2027-03-01")
    working_days: tuple[Annotated[str, BeforeValidator(_weekday)], ...] = key(
        "working_days", "days of the week you work on", WEEK[:5]
    )
    days_off: tuple[Date, ...] = key("days_off", "dates on which nobody works", ())
    generations: Annotated[int, Field(strict=True, ge=1, le=10)] = key(
        "generations", "1: cast from the master's block; 2: from a block made on a casting", 1
    )
    measured_on_master_mm: Annotated[float | None, Quantity("length", 0.5, 5000.0)] = key(
        "measured_on_master", "the length on the master that is measured on castings"
    )

    @model_validator(mode="after")
    def _some_day(self) -> RunPart:
        if not self.working_days:
            raise ValueError('no day is worked on; write working_days like ["mon", "tue"].')
        return self


class RatesPart(Part):
    """[rates]: what things cost in this shop. Nothing is assumed; what is missing is left out."""

    currency: str = key("currency", "how money is written", "")
    master: Money | None = key("master", "the master, once")
    rubber_per_kg: PerKg = key("rubber", 'like "38 per kg"')
    resin_per_kg: PerKg = key("resin", 'like "14 per kg"')
    pigment_per_kg: PerKg = key("pigment", 'like "60 per kg"')
    labour_per_h: PerHour = key("labour", 'like "25 per h"')
    block_labour_min: Annotated[float | None, Quantity("time", 0.0, 14400.0)] = key(
        "block_labour", "work of yours on one block: building, pouring, cutting"
    )
    consumables: Money | None = key("consumables", "cups, gloves, release; for one casting")
    packing: Money | None = key("packing", "for one good casting")
    contingency: Share = key("contingency", "share added for what goes wrong")
    overhead: Share = key("overhead", "share added for rent, light, tools")
    margin: Annotated[Share, AfterValidator(_below_one)] = key(
        "margin", "share of the price that is yours"
    )


def stated(part: Part, name: str) -> Any:
    """Return what a job states under a field, or None where the field was left to itself."""
    return getattr(part, name) if name in part.model_fields_set else None
