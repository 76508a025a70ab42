"""Between the steps of the resin pour: the mould as it turns, the resin as it rises."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from partline.faces.played_air import played_air
from partline.faces.playing import Played, played
from partline.faces.resin_level import level_at
from partline.faces.resin_moves import moves
from partline.faces.scene import actors
from partline.faces.tipping import Tip, from_dial, on_dial
from partline.faces.view import View
from partline.faces.words import worth_tipping
from partline.plan import Plan
from partline.progress import Progress, silent

# How many pictures a turn of the mould, a filling and a holding take.
TURN, FILL, HOLD = 6, 10, 4


@dataclass(frozen=True)
class Frame:
    """One picture of the pour.

    Attributes
    ----------
    step : int
        Which step of `playing.played` it belongs to.
    tip : tuple of float or None
        As in `View`.
    filled : float
        Share of the cavity that is full, 0 to 1.
    air : int or None
        The step whose air is in it; None while nothing is sealed in yet.
    held : str
        How long it has been held; "" where it is not.
    """

    step: int
    tip: Tip | None
    filled: float
    air: int | None
    held: str = ""


def frames_of(plan: Plan, steps: tuple[Played, ...]) -> tuple[Frame, ...]:
    """Return the pictures of a whole pour; each step ends as `playing.played` has it."""
    return tuple(frame for k in range(len(steps)) for frame in _step(plan, steps, k))


def _step(plan: Plan, steps: tuple[Played, ...], k: int) -> Iterator[Frame]:
    tip = steps[k].tip
    before = steps[k - 1].tip if k else None
    start, stop = _shares(plan, k)
    carried = k - 1 if k > 2 else None
    ways = [(before, None), (None, tip)] if before and tip else [(before, tip)]
    for one, other in ways if k else ():
        for share in np.linspace(0, 1, TURN + 1)[1:]:
            yield Frame(k, _between(one, other, float(share)), start, carried)
    if start < stop:
        for share in np.linspace(start, stop, FILL + 1)[1:]:
            yield Frame(k, tip, float(share), carried)
    seconds = _seconds(plan, k)
    for part in range(HOLD - 1 if seconds else 0):
        yield Frame(k, tip, stop, k, f"held {seconds * (part + 1) / HOLD:.0f} of {seconds:.0f} s")
    # Every step ends with its own air, whatever went before.
    yield Frame(k, tip, stop, k, f"held {seconds:.0f} s" if seconds else "")


def _shares(plan: Plan, k: int) -> tuple[float, float]:
    """Return how full the mould is when a step begins and when it ends."""
    tipped = plan.resin_pour.tipped
    full = tipped.filled_share if tipped is not None and worth_tipping(plan.resin_pour) else 1.0
    return {0: (0.0, 1.0), 1: (0.0, full), 2: (full, 1.0)}.get(k, (1.0, 1.0))


def _seconds(plan: Plan, k: int) -> float:
    """Return how long a step is held, as it is said on the sheet [s]; 0 where it is not."""
    hold = moves(plan)[k - 1].hold if k else ""
    rocking = plan.resin_pour.rocking
    if not hold or rocking is None:
        return 0.0
    return 5.0 * max(1, round(rocking.moves[k - 3].hold_s / 5))


def _between(one: Tip | None, other: Tip | None, share: float) -> Tip | None:
    """Return the tip on the straight way over the dial from one to another."""
    reach = max(one[1] if one else 0.0, other[1] if other else 0.0, 1.0)
    ends = [np.array(on_dial(tip, "resin", reach)) for tip in (one, other)]
    x, y = (1 - share) * ends[0] + share * ends[1]
    if np.hypot(x, y) * reach < 0.05:
        return None
    return other if share == 1.0 else from_dial(float(x), float(y), "resin", reach)


def readied(plan: Plan, progress: Progress = silent) -> None:
    """Work out what the pictures of a pour need, so that none of them keeps a window waiting."""
    steps = played(plan)
    if not steps:
        return
    progress(0.0, "following the air through the moves")
    played_air(plan)
    frames = frames_of(plan, steps)
    tips = list(dict.fromkeys(f.tip for f in frames if 0.0 < f.filled < 1.0))
    for k, tip in enumerate(tips):
        progress(0.4 + 0.3 * k / len(tips), "finding how high the resin stands")
        level_at(plan, View(pour="resin").tipped(tip), 0.5)
    for k, frame in enumerate({f.step: f for f in frames}.values()):
        progress(0.7 + 0.3 * k / len(steps), "laying out the pictures")
        actors(plan, shown_in(View(), frame))


def shown_in(view: View, frame: Frame) -> View:
    """Return a view of one picture of the pour."""
    if frame.air is None:
        empty = view.poured("resin").switched("air", False).tipped(frame.tip)
        return replace(empty, filled=frame.filled)
    return replace(view.played(frame.air, frame.tip), filled=frame.filled)
