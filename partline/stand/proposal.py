"""One way to stand a piece, and how it is said."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from partline.geometry.surface import Floats
from partline.stand.resting import DEEPEST

Kind = Literal["flat base", "open underside", "feet", "curved", "rest", "none"]


@dataclass(frozen=True, eq=False)
class Proposal:
    """One way to stand a piece.

    Attributes
    ----------
    up : (3,) float64
        Unit vector, upward, in the coordinates of the surface.
    kind : str
        "flat base", "open underside" (a level rim), "feet" (separate ones, flat or not), "curved"
        (a broad place that is not flat), "rest" (no more than what it lies steadiest on) or
        "none" (a round or pointed end).
    share : float
        Area that touches the floor, as a share of the outline seen from below.
    feet : int
        Separate patches that touch.
    tip_deg : float
        How far it must be tipped before it falls over [degrees]; negative where it falls at once.
    off_deg : float
        Angle from the stated up [degrees].
    cut_share : float
        How much to cut off below for a flat base of a tenth of the outline, as a share of the
        height; 0 where it stands flat enough.
    """

    up: Floats
    kind: Kind
    share: float
    feet: int
    tip_deg: float
    off_deg: float
    cut_share: float

    @property
    def is_stable(self) -> bool:
        """Whether its middle is over what touches."""
        return self.tip_deg >= 0.0

    @property
    def is_flat(self) -> bool:
        """Whether enough of it lies flat on the floor: a base, or three level feet."""
        return self.cut_share == 0.0

    @property
    def name(self) -> str:
        """What it stands on, in words, like "a flat base of 50 % of its outline"."""
        outline = f"{100 * self.share:.0f} % of its outline"
        return {
            "flat base": f"a flat base of {outline}",
            "open underside": f"the rim of its open underside, {outline}",
            "feet": f"{self.feet} feet{f', together {outline}' if self.is_flat else ''}",
        }.get(self.kind, "no base")

    def words(self, off: str = "") -> str:
        """Return how it stands in one sentence; `off` says how far it is turned."""
        cut = (
            f"to give it a flat base, cut {100 * self.cut_share:.1f} % of the height off below "
            "(sink, under [stand])"
            if self.cut_share < DEEPEST
            else "no level cut through its lowest quarter gives it a base"
        )
        if self.kind == "rest":
            return (
                f"It has no flat base and no feet. Of all ways to lie it lies steadiest so{off}: "
                f"it must be tipped {self.tip_deg:.0f}° before it falls over; {cut}."
            )
        if self.kind == "curved":
            places = "a curved place" if self.feet < 2 else f"{self.feet} places that are not flat"
            return f"It has no flat base but rests on {places}{off}; {cut}."
        if self.kind == "none":
            return f"It has no flat base and would roll or fall over{off}; {cut}."
        if self.is_flat:
            return f"It stands on {self.name}{off}."
        return f"It has no flat base but stands on {self.name}{off}; {cut}."
