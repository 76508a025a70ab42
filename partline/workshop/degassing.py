"""Degassing: the cup to do it in, and what the gauge reads where the shop stands."""

from __future__ import annotations

from dataclasses import dataclass

from partline.errors import WorkshopError
from partline.units import factor
from partline.workshop.materials import Defaults
from partline.workshop.pressure import bubble_share, local_kpa
from partline.workshop.rubber import degassing_cup_mm3


@dataclass(frozen=True)
class Degassing:
    """Degassing a mix of rubber.

    Attributes
    ----------
    chamber : bool
        Whether the user has one.
    cup_mm3 : float
        Least volume of the cup [mm^3].
    ratio : float
        Cup over rubber [1].
    goal_kpa : float
        Pressure to reach [kPa absolute].
    here_kpa : float
        The air in the shop, by its altitude [kPa absolute].
    gauge_kpa, gauge_inhg : float or None
        What a gauge then reads below the room's air; None without a chamber whose rating is
        known.
    swell : float
        How many times a bubble grows on the way [1].
    words : tuple of str
    """

    chamber: bool
    cup_mm3: float
    ratio: float
    goal_kpa: float
    here_kpa: float
    gauge_kpa: float | None
    gauge_inhg: float | None
    swell: float
    words: tuple[str, ...]


def degassing_of(
    rubber_mm3: float, *, chamber: bool, rating_kpa: float | None, altitude_m: float,
    known: Defaults,
) -> Degassing:  # fmt: skip
    """Return how a mix is degassed.

    Parameters
    ----------
    rubber_mm3 : float
        Rubber mixed [mm^3].
    chamber : bool
        There is a vacuum chamber.
    rating_kpa : float or None
        The lowest pressure inside for which chamber and lid are rated [kPa absolute]; without it
        no reading of a gauge is planned.
    altitude_m : float
    known : Defaults

    Raises
    ------
    WorkshopError
        If the chamber is not rated for the pressure wanted, or a figure cannot be.
    """
    goal = known.value("container.degassing_goal_kpa")
    ratio = known.value("container.degassing_ratio")
    here = local_kpa(altitude_m)
    cup = degassing_cup_mm3(rubber_mm3, ratio)
    if goal >= here:
        raise WorkshopError(
            f"container.degassing_goal_kpa is {goal:g} kPa absolute; the air in the shop presses "
            f"with {here:.1f} kPa, so that is no vacuum."
        )
    swell = bubble_share(goal - here, here_kpa=here)
    words = [f"A cup of at least {cup / 1e6:.2g} L: {ratio:g} times the rubber, for it rises."]
    gauge = inches = None
    if not chamber:
        words = [
            "No vacuum chamber: brush a first coat onto the detail, then pour one thin stream "
            "from 30 to 60 cm. Rubber thinner than 10 Pa s often needs no more."
        ]
    elif rating_kpa is None:
        words.append(
            f"Down to {goal:g} kPa absolute is wanted, but what chamber and lid are rated for was "
            "not given (vacuum_chamber_rating); no reading of the gauge is planned until then."
        )
    else:
        if rating_kpa > goal + 1e-9:
            raise WorkshopError(
                f"[shop] vacuum_chamber_rating: chamber and lid are rated down to {rating_kpa:.3g} "
                f"kPa absolute, and degassing wants {goal:g} kPa. Nothing is planned beyond a "
                "rating: use a chamber rated for it, or say vacuum_chamber = false."
            )
        gauge = here - goal
        inches = gauge / float(factor("pressure", "inHg"))
        words.append(
            f"Down to {goal:g} kPa absolute. At {altitude_m:g} m a gauge then reads about "
            f"{inches:.1f} inHg ({gauge:.0f} kPa) below the room; the weather moves that by 1 "
            "inHg either way. Bubbles grow "
            f"{swell:.0f} times by volume before they break."
        )
        words.append("It rises, crests and falls; stop one to two minutes after it has fallen. "
                     "If it nears the rim, let air in and begin again.")  # fmt: skip
    return Degassing(chamber, cup, ratio, goal, here, gauge, inches, swell, tuple(words))
