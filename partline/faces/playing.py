"""Filling and rocking the mould step by step: how it is tipped, and a sentence for each step."""

from __future__ import annotations

from dataclasses import dataclass

from partline.faces.figures import bubble, count
from partline.faces.resin_moves import Step, moves
from partline.faces.tipping import Tip
from partline.faces.words import bench_side, worth_tipping
from partline.plan import Plan, Pour


@dataclass(frozen=True)
class Played:
    """One step of the resin pour.

    Attributes
    ----------
    words : str
        What to do, how long, and what it leaves: one sentence.
    tip : tuple of float or None
        The side that goes down, clockwise from the front mark, and how far [degrees]; None for
        level.
    """

    words: str
    tip: Tip | None


def played(plan: Plan) -> tuple[Played, ...]:
    """Return the steps from level to upright again, the same as on the bench sheet.

    A mould that is neither tipped nor rocked has no steps to play.
    """
    steps = moves(plan)
    if not steps:
        return ()
    pour = plan.resin_pour
    last, rocks = len(steps) - 1, [s for s in steps if s.words == "rock"]
    shown = [
        Played(f"Stand it level, mouth up; filled like this it would hold {_air(pour)}.", None)
    ]
    done = 0
    for k, step in enumerate(steps):
        if step.words == "rock":
            shown.append(_rock(step, done, len(rocks), pour))
            done += 1
        elif step.words == "fill":
            shown.append(_fill(step))
        elif k == last and rocks:
            shown.append(Played(f"Stand it upright and top it up once more; {_kept(pour)}.", None))
        else:
            shown.append(Played(_stand_up(pour, bool(rocks)), None))
    return tuple(shown)


def _air(pour: Pour) -> str:
    level = pour.level
    return f"{bubble(level.volume_mm3)} of air in {count(len(level.pockets), 'place')}"


def _left(mm3: float) -> str:
    return f"{bubble(mm3)} of air is left" if mm3 > 0 else "no air is left"


def _fill(step: Step) -> Played:
    if step.azimuth_deg is None or step.tilt_deg < 1.0:
        return Played("Keep it level and fill in a thin stream down one side.", None)
    down = f"your {bench_side(step.azimuth_deg)} side {step.tilt_deg:.0f}° down"
    return Played(f"Tip it, {down}, and fill in a thin stream down that side.",
                  (step.azimuth_deg, step.tilt_deg))  # fmt: skip


def _stand_up(pour: Pour, rocked: bool) -> str:
    act = "Stand it up, top it up and cap it" if rocked else "Stand it up and top it up"
    if pour.rocking is not None:
        left = pour.rocking.before_mm3
    elif pour.tipped is not None and worth_tipping(pour):
        left = pour.tipped.left_mm3
    else:
        return f"{act}."
    return f"{act}; {_left(left)}."


def _rock(step: Step, done: int, many: int, pour: Pour) -> Played:
    azimuth = step.azimuth_deg or 0.0
    after = pour.rocking.after_each_mm3[done] if pour.rocking is not None else 0.0
    return Played(
        f"Move {done + 1} of {many}: your {bench_side(azimuth)} side {step.tilt_deg:.0f}° down, "
        f"hold it {step.hold}, then upright again; {_left(after)}.",
        (azimuth, step.tilt_deg),
    )


def _kept(pour: Pour) -> str:
    rocking = pour.rocking
    if rocking is None or rocking.after_mm3 <= 0:
        return "no air stays"
    places = f" in {count(len(rocking.kept), 'place')}" if rocking.kept else ""
    return f"{bubble(rocking.after_mm3)} of air stays{places}"
