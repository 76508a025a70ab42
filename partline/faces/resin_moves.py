"""The moves of the resin pour in order: fill, stand up, rock; side, tilt, seconds, what is left."""

from __future__ import annotations

from dataclasses import dataclass

from partline.faces.words import way_to_tip, worth_tipping
from partline.plan import Plan


@dataclass(frozen=True)
class Step:
    """One move, from level and back.

    Attributes
    ----------
    words : str
        What is done meanwhile: "fill", "top up", "rock", at most two short words.
    azimuth_deg : float or None
        The side that goes down, clockwise from the front mark, looking into the mouth
        [degrees]; None for level.
    tilt_deg : float
        How far [degrees].
    hold : str
        How long, in words; empty when the hand decides.
    left_mm3 : float or None
        Air left in the piece when it stands upright after it [mm^3]; None where the next step
        tells.
    """

    words: str
    azimuth_deg: float | None
    tilt_deg: float
    hold: str = ""
    left_mm3: float | None = None


def moves(plan: Plan) -> tuple[Step, ...]:
    """Return the moves in order; none where all is done level.

    Filled tipped, stood up and topped up; then, capped, rocked, and topped up once more.
    """
    pour = plan.resin_pour
    rocked = pour.rocking.moves if pour.rocking is not None else ()
    tip = worth_tipping(pour)
    if not (tip or rocked):
        return ()
    side, tilt = way_to_tip(pour)
    fill = Step("fill", side, tilt) if tip else Step("fill", None, 0.0)
    if pour.rocking is None or not rocked:
        left = pour.tipped.left_mm3 if tip and pour.tipped is not None else None
        return (fill, Step("top up", None, 0.0, left_mm3=left))
    before, after = pour.rocking.before_mm3, pour.rocking.after_each_mm3
    rock = [Step("rock", m.azimuth_deg, m.tilt_deg, _seconds(m.hold_s), left)
            for m, left in zip(rocked, after, strict=True)]  # fmt: skip
    return (fill, Step("top up, cap", None, 0.0, left_mm3=before), *rock,
            Step("top up", None, 0.0, left_mm3=pour.rocking.after_mm3))  # fmt: skip


def _seconds(hold_s: float) -> str:
    return f"{5 * max(1, round(hold_s / 5))} s" if hold_s < 120 else f"{hold_s / 60:.1f} min"
