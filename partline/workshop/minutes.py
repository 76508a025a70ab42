"""Work on one piece: casting it, the parting line, voids, the foot; and what cuts cost in time."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from partline.errors import WorkshopError
from partline.workshop.materials import Defaults


@dataclass(frozen=True)
class Minutes:
    """Work on one good piece.

    Attributes
    ----------
    casting_min : float
        Preparing, mixing, brushing narrow ends, filling, demoulding, for one pull, good or not
        [min].
    seam_min : float
        Scraping the parting line [min].
    voids : float
        Voids to fill on a casting [1].
    voids_min, gate_min, prime_min : float
        Filling those, sawing off and dressing the foot, priming and looking over [min].
    finishing_min : float
        All of the clean-up of one good casting [min].
    each_min : float
        One good piece, with the pulls that fail [min].
    voids_seen : bool
        Voids were counted on castings; otherwise they are the places predicted.
    stubs_min : float
        Dressing the stubs of vents [min].
    """

    casting_min: float
    seam_min: float
    voids: float
    voids_min: float
    gate_min: float
    prime_min: float
    finishing_min: float
    each_min: float
    voids_seen: bool
    stubs_min: float = 0.0


def minutes_for(
    known: Defaults,
    *,
    seam_min: float,
    voids: float,
    yield_share: float,
    foot: bool = True,
    voids_seen: bool = False,
    vents: int = 0,
    brushed: int = 0,
) -> Minutes:
    """Return the work on one good piece; a pull that fails costs its casting, no clean-up.

    Parameters
    ----------
    known : Defaults
    seam_min : float
        Scraping the parting line of one casting [min].
    voids : float
        Voids on one casting [1].
    yield_share : float
        Share of castings that come out good [1].
    foot : bool
        Is there a foot to saw off.
    voids_seen : bool
    vents : int
        Vents that leave a stub on a casting.
    brushed : int
        Narrow ends that resin is brushed into.

    Raises
    ------
    WorkshopError
        If a figure cannot be.
    """
    for key, value in (
        ("seam_min", seam_min), ("voids", voids), ("vents", vents), ("brushed", brushed),
    ):  # fmt: skip
        if not (math.isfinite(value) and value >= 0):
            raise WorkshopError(f"{key} is {value:g}; it must be 0 or more.")
    if not 0 < yield_share <= 1:
        raise WorkshopError(f"yield_share is {yield_share:g}; it is a share from 0 to 1, not 0.")
    casting = known.value("run.hands_on_min") + brushed * known.value("casting.brush_s") / 60.0
    filling = voids * known.value("finish.void_min")
    gate = known.value("finish.gate_min") if foot else 0.0
    prime = known.value("finish.prime_min")
    stubs = vents * known.value("finish.vent_stub_min")
    finishing = seam_min + filling + gate + prime + stubs
    return Minutes(casting, seam_min, voids, filling, gate, prime, finishing,
                   casting / yield_share + finishing, voids_seen, stubs)  # fmt: skip


@dataclass(frozen=True)
class Choice:
    """One way to do it, by the work of the whole run.

    Attributes
    ----------
    name : str
        E.g. "two cuts", or a mouth.
    seam_min, voids : float
        Parting line of one casting [min], and voids on it [1].
    each_min, run_min : float
        Work on one good piece, and on all of them [min].
    chosen : bool
        The one the plan takes.
    verdict : str
        Whether the piece comes out.
    """

    name: str
    seam_min: float
    voids: float
    each_min: float
    run_min: float
    chosen: bool
    verdict: str


def compared(
    known: Defaults,
    choices: Sequence[tuple[str, float, float, str]],
    *,
    good: int,
    yield_share: float,
    foot: bool = True,
    vents: int = 0,
    brushed: int = 0,
) -> tuple[Choice, ...]:
    """Compare cut lines or mouths by the work of a whole run.

    Parameters
    ----------
    known : Defaults
    choices : sequence of (str, float, float, str)
        Name, minutes of parting line and voids on one casting, whether it comes out; the first
        is the one chosen.
    good : int
        Good castings wanted.
    yield_share : float
    foot : bool
    vents : int
        Vents of each.
    brushed : int
        Narrow ends of each that resin is brushed into.
    """
    found = []
    for k, (name, seam, voids, verdict) in enumerate(choices):
        one = minutes_for(known, seam_min=seam, voids=voids, yield_share=yield_share, foot=foot,
                          vents=vents, brushed=brushed)  # fmt: skip
        found.append(Choice(name, seam, voids, one.each_min, good * one.each_min, k == 0,
                            verdict))  # fmt: skip
    return tuple(found)
