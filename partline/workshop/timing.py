"""Pot life in this room, and whether the work gets done within it: go or no go."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from partline.errors import WorkshopError
from partline.workshop.materials import Defaults


@dataclass(frozen=True)
class PotLife:
    """How long a mix stays pourable in the user's room.

    Attributes
    ----------
    stated_min : float
        At `stated_at_c` [min].
    stated_at_c : float
        [degrees Celsius]
    from_label : bool
        False where it is only what is usual for that kind.
    room_c : float or None
        The room; None where it was not said [degrees Celsius].
    here_min : float or None
        In that room; None where the rule does not reach [min].
    words : tuple of str
    """

    stated_min: float
    stated_at_c: float
    from_label: bool
    room_c: float | None
    here_min: float | None
    words: tuple[str, ...]


@dataclass(frozen=True)
class Timing:
    """Whether a pour gets done before the mix thickens.

    Attributes
    ----------
    verdict : str
        "go", "no go", or "ask" where it would do but the label's pot life or the room is not known.
    steps : tuple of tuple (str, float)
        What is done, and its minutes, in order [min].
    total_min : float
        Their sum [min].
    limit_min : float or None
        By then it must be done, in the label's room where the user's is not known; None where
        the rule does not reach [min].
    least_pot_life_min : float
        What the pot life must be, in this room, for all of it [min].
    moves : int
        Moves of the filled mould there is time for; -1 where none are made or it is not known.
    words : tuple of str
    """

    verdict: str
    steps: tuple[tuple[str, float], ...]
    total_min: float
    limit_min: float | None
    least_pot_life_min: float
    moves: int
    words: tuple[str, ...]


def pot_life_at(stated_min: float, room_c: float, known: Defaults) -> float:
    """Return the pot life in a room [min]: twice as long for each 10 degrees colder.

    A common rule of workshops; chemical rates double or triple for each 10 degrees (Arrhenius
    1889, with activation energies of 50 to 80 kJ/mol from memory).

    Raises
    ------
    WorkshopError
        If the pot life cannot be, or the room is too cold or too warm for the rule.
    """
    if not (math.isfinite(stated_min) and stated_min > 0):
        raise WorkshopError(f"pot_life is {stated_min:g} min; it must be more than 0.")
    low, high = known.value("mix.pot_life_coldest_c"), known.value("mix.pot_life_warmest_c")
    if not low <= room_c <= high:
        raise WorkshopError(
            f"room is {room_c:g} C; how pot life changes with warmth is only known from {low:g} to "
            f"{high:g} C. Warm or cool the room and the material, or ask the technical sheet."
        )
    step = known.value("mix.pot_life_doubles_c")
    return float(stated_min * 2.0 ** ((known.value("mix.pot_life_at_c") - room_c) / step))


def pot_life(
    stated_min: float | None, usual_min: float, room_c: float | None, known: Defaults
) -> PotLife:
    """Return the pot life in the user's room.

    Parameters
    ----------
    stated_min : float or None
        On the label [min].
    usual_min : float
        What is usual for the kind, where the label's is not given [min].
    room_c : float or None
        [degrees Celsius]
    known : Defaults
    """
    at = known.value("mix.pot_life_at_c")
    minutes = usual_min if stated_min is None else stated_min
    words: list[str] = []
    if stated_min is None:
        words.append(
            f"The label's pot life was not given (pot_life); {minutes:g} min is only usual."
        )
    here: float | None = None
    if room_c is None:
        words.append(
            f"The room's temperature was not given (room); a label counts at {at:g} C, and a "
            "warm room halves it."
        )
    else:
        try:
            here = pot_life_at(minutes, room_c, known)
        except WorkshopError as error:
            words.append(str(error))
        else:
            words.append(
                f"About {here:.3g} min at {room_c:g} C, from {minutes:g} min at {at:g} C "
                "(rule of thumb: double for each 10 C colder)."
            )
    return PotLife(minutes, at, stated_min is not None, room_c, here, tuple(words))


def timed(steps: Sequence[tuple[str, float]], life: PotLife, share: float, *,
          goal: str, move_min: float = 0.0) -> Timing:  # fmt: skip
    """Return whether the steps end within a share of the pot life.

    Parameters
    ----------
    steps : sequence of (str, float)
        What is done, and its minutes [min].
    life : PotLife
    share : float
        Of the pot life by which all must be done [1].
    goal : str
        What must be done by then, e.g. "the pot is closed".
    move_min : float
        Length of one move; with it, how many there is time for is said [min].
    """
    for name, minutes in steps:
        if not (math.isfinite(minutes) and minutes >= 0):
            raise WorkshopError(f"{name}: {minutes:g} min cannot be.")
    total = math.fsum(minutes for _, minutes in steps)
    least = total / share
    # Where the room is not said the label's own is taken, and asked for.
    base = life.stated_min if life.room_c is None else life.here_min
    sure = life.from_label and life.here_min is not None
    limit = None if base is None else share * base
    doing = " + ".join(f"{name} {_minutes(m)}" for name, m in steps if m > 0)
    words = [f"{doing} = {_minutes(total)} until {goal}."]
    moves = -1
    if limit is None:
        verdict = "ask"
        words.append(
            f"That needs a pot life of at least {_minutes(least)} in your room: look at the label."
        )
    else:
        verdict = "no go" if total > limit + 1e-9 else "go" if sure else "ask"
        words.append(
            f"{100 * share:g} % of the pot life is {_minutes(limit)}: "
            + (f"there is time, {_minutes(limit - total)} to spare." if total <= limit + 1e-9 else
               f"too short by {_minutes(total - limit)}. Take a slower grade (pot life at least "
               f"{_minutes(least)} here), cool the material, or do less.")
        )  # fmt: skip
        if verdict == "ask":
            unknown = "its pot life" if not life.from_label else "the room's temperature"
            words.append(f"Check it against your label and room: {unknown} was not given.")
        if move_min > 0:
            moved = math.fsum(m for name, m in steps if name == "moves")
            moves = max(0, math.floor((limit - (total - moved)) / move_min + 1e-9))
            words.append(f"There is time for {moves} move{'s' * (moves != 1)} of "
                         f"{_minutes(move_min)}.")  # fmt: skip
    return Timing(verdict, tuple((n, float(m)) for n, m in steps), total, limit, least, moves,
                  tuple(words))  # fmt: skip


def _minutes(value: float) -> str:
    """Return minutes, or seconds below two minutes."""
    return f"{60 * value:.0f} s" if value < 2.0 else f"{value:.3g} min"
