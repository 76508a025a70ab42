"""The air of one pour, and what is done about it."""

from __future__ import annotations

from dataclasses import dataclass

from partline.air.brush import DeadEnd
from partline.air.cut_air import CutAir
from partline.air.direction_map import DirectionMap
from partline.air.rising import Rise
from partline.air.rocking_plan import RockingPlan
from partline.air.tipped_fill import TippedFill
from partline.air.trapped_air import TrappedAir
from partline.air.vent import VentPlan

# More narrow ends than this are only counted: nobody brushes more while resin thickens.
BRUSHED = 6


@dataclass(frozen=True, eq=False)
class Pour:
    """The air of one pour.

    Attributes
    ----------
    level : TrappedAir
        With nothing tipped.
    best : TrappedAir
        Tipped the best way within reach.
    directions : DirectionMap
    tipped : TippedFill or None
        The best way to fill tipped and stand up; what it leaves counts upright.
    rocking : RockingPlan or None
        Moves after that, of the capped mould; None in the rubber pour, which nobody rocks.
    vents : VentPlan or None
        For what those leave; None in the rubber pour, or where none are wanted.
    brush_first : tuple of DeadEnd
        Narrow dead ends to brush resin into before closing, the most detail first.
    brush_in_time : int
        How many of them there is time to brush within the pot life; the others get talc.
    cut_air : tuple of CutAir
        Pockets that the cuts run through.
    rise : Rise or None
        Whether a small bubble leaves in time.
    """

    level: TrappedAir
    best: TrappedAir
    directions: DirectionMap
    tipped: TippedFill | None = None
    rocking: RockingPlan | None = None
    vents: VentPlan | None = None
    brush_first: tuple[DeadEnd, ...] = ()
    brush_in_time: int = 0
    cut_air: tuple[CutAir, ...] = ()
    rise: Rise | None = None

    @property
    def stubs(self) -> int:
        """How many vents are planned; each leaves a stub on a casting."""
        return 0 if self.vents is None else len(self.vents.vents)

    @property
    def dusted(self) -> int:
        """How many of the numbered narrow ends get talc, as there is no time to brush them."""
        return max(len(self.narrow_ends) - self.brush_in_time, 0)

    @property
    def narrow_ends(self) -> tuple[DeadEnd, ...]:
        """The narrow ends that get a number, the most detail first; more are only counted."""
        return self.brush_first[:BRUSHED]

    @property
    def holds_s(self) -> tuple[float, ...]:
        """How long each move of the filled mould is held [s]."""
        return tuple(m.hold_s for m in self.rocking.moves) if self.rocking is not None else ()
