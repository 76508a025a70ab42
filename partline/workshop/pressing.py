"""The pressure pot: what to set it to, never above its plate, and what that does to bubbles."""

from __future__ import annotations

from dataclasses import dataclass

from partline.errors import WorkshopError
from partline.units import factor
from partline.workshop.materials import Defaults
from partline.workshop.pressure import bubble_share, local_kpa, planned_gauge_kpa


@dataclass(frozen=True)
class Pressing:
    """Casting under pressure.

    Attributes
    ----------
    gauge_kpa : float or None
        To set, above the room's air; None where the pot's rating is not known [kPa].
    rating_gauge_kpa : float or None
        What the plate allows, above the room's air [kPa].
    bubble_share, width_share : float or None
        What is left of a bubble by volume and by diameter (Boyle) [1].
    words : tuple of str
    """

    gauge_kpa: float | None
    rating_gauge_kpa: float | None
    bubble_share: float | None
    width_share: float | None
    words: tuple[str, ...]


def pressing_of(
    rating_kpa: float | None, wanted_kpa: float | None, altitude_m: float, known: Defaults
) -> Pressing:
    """Return what a pressure pot is set to.

    Parameters
    ----------
    rating_kpa : float or None
        On its plate [kPa absolute].
    wanted_kpa : float or None
        What the user would like [kPa absolute]; else what is usual.
    altitude_m : float
    known : Defaults

    Raises
    ------
    WorkshopError
        If more is wanted than the plate allows, or a pressure is wanted and no rating given.
    """
    here = local_kpa(altitude_m)
    psi = float(factor("pressure", "psi"))
    if wanted_kpa is not None and wanted_kpa <= here:
        raise WorkshopError(
            f"[shop] pressure is {wanted_kpa:.0f} kPa absolute, no more than the air in the room "
            f"({here:.0f} kPa). Write it with gauge."
        )
    if rating_kpa is None:
        if wanted_kpa is not None:
            raise WorkshopError(
                "[shop] pressure is asked for, but the pot's own rating is not given. Add "
                "pressure_pot_rating, as on its plate; nothing is planned without it."
            )
        return Pressing(None, None, None, None, (
            "Whether there is a pressure pot, and what its plate allows, was not said "
            "(pressure_pot_rating): no pressure is planned.",
        ))  # fmt: skip
    if wanted_kpa is not None and wanted_kpa > rating_kpa + 1e-9:
        raise WorkshopError(
            f"[shop] pressure is {(wanted_kpa - here) / psi:.0f} psi gauge, and the pot is rated "
            f"for {(rating_kpa - here) / psi:.0f} psi gauge (pressure_pot_rating). Nothing is "
            "planned above a rating."
        )
    share = known.value("casting.pressure_share")
    usual = known.value("casting.pressure_usual_kpa")
    goal = usual if wanted_kpa is None else wanted_kpa - here
    gauge = planned_gauge_kpa(rating_kpa, here_kpa=here, share=share, usual_kpa=goal)
    left = bubble_share(gauge, here_kpa=here)
    words = [
        f"{gauge / psi:.0f} psi ({gauge / 100:.1f} bar) on the gauge; the plate allows "
        f"{(rating_kpa - here) / psi:.0f} psi.",
        f"A bubble shrinks to {100 * left:.0f} % of its volume, {100 * left ** (1 / 3):.0f} % of "
        "its width: fine fizz goes out of sight, a trapped pocket does not.",
        "The mould must itself have cured under that pressure, or without bubbles, or the casting "
        "shows bumps.",
    ]
    if gauge < goal - 1e-9:
        words.insert(1, f"Less than the {goal / psi:.0f} psi wished for: {100 * share:g} % of the "
                        "plate is planned with (common practice).")  # fmt: skip
    return Pressing(gauge, rating_kpa - here, left, left ** (1.0 / 3.0), tuple(words))
