"""Say where a piece is stood aslant though it has a base to stand on."""

from __future__ import annotations

from partline.geometry.directions import unit
from partline.stand.proposal import Proposal
from partline.stand.proposing import LEGS
from partline.stand.stand import Stand


def lean_words(stand: Stand, base: Proposal) -> str:
    """Return what a person should know of a piece that stands off a base it has.

    Parameters
    ----------
    stand : Stand
    base : Proposal
        As `off_base` finds it, of the stand's master in its pose.
    """
    alone = (
        " It touches the floor with one foot only as it is stated."
        if base.feet >= LEGS and stand.feet == 1
        else ""
    )
    up = unit(stand.master.to_pose[:3, :3].T @ base.up)
    trimmed = f", so {stand.sink_mm:.2g} mm is trimmed off aslant" if stand.sink_mm else ""
    shown = ", ".join(str(round(float(v), 5) + 0.0) for v in up)
    return (
        f"It stands {base.off_deg:.0f}° off {base.name}{trimmed}.{alone} "
        f"To stand it level on that, write up = [{shown}] under [scan] and plan again; if it is "
        "meant to lean, leave it."
    )
