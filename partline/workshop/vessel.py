"""A container before a piece stands in it: its inner sizes, checked."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from partline.errors import WorkshopError
from partline.workshop.materials import StockItem


@dataclass(frozen=True)
class Vessel:
    """Inner sizes of a container.

    Attributes
    ----------
    name : str
    kind : str
        "cup", "pipe" or "box".
    own : bool
        From the user's own shelf.
    source : str
        Where its sizes come from.
    floor_mm, rim_mm : float
        Inner width at the floor and at the rim [mm].
    floor_depth_mm : float
        A box: inner size along y at the floor; else the width [mm].
    height_mm : float
        From the inner floor to the rim [mm].
    floor_rise_mm : float
        How far the inner floor lies above the table [mm].
    ring_width_mm, ring_depth_mm : float
        Of a gutter round a raised floor; 0 where the floor is flat [mm].
    """

    name: str
    kind: str
    own: bool
    source: str
    floor_mm: float
    rim_mm: float
    floor_depth_mm: float
    height_mm: float
    floor_rise_mm: float
    ring_width_mm: float = 0.0
    ring_depth_mm: float = 0.0

    @property
    def ring_mm3(self) -> float:
        """Volume of that gutter [mm^3]."""
        width, depth, ring = self.floor_mm, self.floor_depth_mm, self.ring_width_mm
        if self.kind == "box":
            return (width * depth - (width - 2 * ring) * (depth - 2 * ring)) * self.ring_depth_mm
        return math.pi * ring * (width - ring) * self.ring_depth_mm

    @property
    def slope(self) -> float:
        """By how much each side leans outward per mm of height [1]."""
        return (self.rim_mm - self.floor_mm) / 2.0 / self.height_mm


def own_vessels(shelf: Iterable[Any], pipe_height_mm: float) -> tuple[Vessel, ...]:
    """Return the user's own containers.

    Parameters
    ----------
    shelf : iterable
        With the attributes of `partline.job.ShelfItem`.
    pipe_height_mm : float
        A pipe taller than this is cut to it [mm].

    Raises
    ------
    WorkshopError
        If a size is missing or cannot be.
    """
    return tuple(_own(item, pipe_height_mm) for item in shelf)


def _own(item: Any, pipe_height_mm: float) -> Vessel:
    if item.kind not in ("cup", "pipe", "box"):
        raise WorkshopError(f'"{item.name}" on the shelf is a "{item.kind}"; say cup, pipe or box.')
    if item.kind == "cup" and item.floor_mm is None:
        raise WorkshopError(
            f'"{item.name}" on the shelf is a cup, and a cup tapers: measure its inner width at '
            "the floor (floor) too."
        )
    floor = item.rim_mm if item.floor_mm is None else item.floor_mm
    depth = item.rim_mm if item.depth_mm is None else item.depth_mm
    sizes = {"rim": item.rim_mm, "floor": floor, "height": item.height_mm, "depth": depth}
    for key, size in sizes.items():
        if not (math.isfinite(size) and size > 0):
            raise WorkshopError(f'"{item.name}" on the shelf: {key} is {size:g} mm.')
    if floor > item.rim_mm:
        raise WorkshopError(
            f'"{item.name}" on the shelf is wider at the floor ({floor:g} mm) than at the rim '
            f"({item.rim_mm:g} mm): the cured block would not come out."
        )
    deep = depth - (item.rim_mm - floor) if item.kind == "box" else floor
    if deep <= 0:
        raise WorkshopError(f'"{item.name}" on the shelf tapers to nothing from front to back.')
    if not 0 <= 2 * item.ring_width_mm < min(floor, deep) or item.ring_depth_mm < 0:
        raise WorkshopError(
            f'"{item.name}" on the shelf: a gutter {item.ring_width_mm:g} mm wide and '
            f"{item.ring_depth_mm:g} mm deep (ring_width, ring_depth) leaves no floor."
        )
    height = min(item.height_mm, pipe_height_mm) if item.kind == "pipe" else item.height_mm
    return Vessel(item.name, item.kind, True, "measured by you", floor, item.rim_mm, deep,
                  height, item.floor_rise_mm, item.ring_width_mm,
                  item.ring_depth_mm)  # fmt: skip


def stock_vessels(stock: Iterable[StockItem], pipe_height_mm: float) -> tuple[Vessel, ...]:
    """Return containers that can be bought; a pipe is cut to `pipe_height_mm` [mm]."""
    return tuple(
        Vessel(s.name, s.kind, False, s.source, s.floor_mm, s.rim_mm,
               s.floor_mm if s.depth_mm is None else s.depth_mm - (s.rim_mm - s.floor_mm),
               min(s.height_mm, pipe_height_mm) if s.kind == "pipe" else s.height_mm,
               s.floor_rise_mm)
        for s in stock
    )  # fmt: skip
