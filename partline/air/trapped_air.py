"""Air that stays in a cavity filled slowly in one pose."""

from __future__ import annotations

from dataclasses import dataclass

from partline.geometry.surface import Floats, Ints


@dataclass(frozen=True, eq=False)
class Pocket:
    """One body of trapped air.

    Attributes
    ----------
    volume_mm3 : float
        Its volume by gravity alone [mm^3].
    apex : (3,) float64
        Its highest point [mm].
    spill_level_mm : float
        Height along `up` at which it would spill toward an outlet [mm]; -inf for a closed body.
    depth_mm : float
        Height of the apex above the spill level [mm].
    neck_mm : float
        Width of the join over which it would spill, an estimate [mm].
    wide_enough : bool
        False where the answer hangs on a join narrower than 3 mm.
    narrow_volume_mm3 : float
        Its volume with ways narrower than 3 mm shut, an estimate [mm^3].
    tops : (k,) int32
        Vertices of the surface at its local tops, highest first.
    """

    volume_mm3: float
    apex: Floats
    spill_level_mm: float
    depth_mm: float
    neck_mm: float
    wide_enough: bool
    narrow_volume_mm3: float
    tops: Ints


@dataclass(frozen=True, eq=False)
class TrappedAir:
    """All air that stays in one pose.

    Attributes
    ----------
    up : (3,) float64
        The upward direction in the master's pose, unit length.
    volume_mm3 : float
        All trapped air by gravity alone, exact for this mesh [mm^3].
    fine_mm3 : float
        The part of it in pockets below the visible size [mm^3].
    narrow_volume_mm3 : float
        The same total with ways narrower than 3 mm shut, an estimate [mm^3].
    closed_mm3 : float
        The part of it in bodies without any outlet [mm^3].
    top_up_mm3 : float
        What an open mould still takes above its lowest outlet point [mm^3]; 0 at brim level.
    pockets : tuple of Pocket
        Visible pockets, largest first.
    level : str
        "brim" or "open".
    pocket_of : (n,) int32
        For each vertex of the cavity the index of the visible pocket it lies in (above the
        spill level), -1 elsewhere.
    """

    up: Floats
    volume_mm3: float
    fine_mm3: float
    narrow_volume_mm3: float
    closed_mm3: float
    top_up_mm3: float
    pockets: tuple[Pocket, ...]
    level: str
    pocket_of: Ints
