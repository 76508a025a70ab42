"""Tipping the block by hand: the air of any tip, and what a drag in the picture does to it."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from partline.air.pockets import trapped_air
from partline.air.trapped_air import TrappedAir
from partline.faces.figures import bubble, count
from partline.faces.labels import screen_axes
from partline.faces.view import Eye, PourName, View
from partline.faces.words import bench_side
from partline.geometry.directions import azimuth_of, level_up, side, tipped_up, turn_between
from partline.geometry.surface import Floats
from partline.plan import Plan, Pour

# A drag across a third of a picture of a thousand points tips it about as far as a hand would.
_DEG_PER_POINT = 0.12

# From the stand's pose to the pose shown: for the resin the block is rolled over sideways.
SHOWN: dict[PourName, Floats] = {
    "rubber": np.array([1.0, 1.0, 1.0]),
    "resin": np.array([-1.0, 1.0, -1.0]),
}

Tip = tuple[float, float]


def on_stand(plan: Plan, point: Floats, pour: PourName) -> Floats:
    """Return a (3,) point of the picture, nothing tipped, in the pose of the stand [mm]."""
    place = np.asarray(point, dtype=np.float64)
    if pour == "resin":
        place = (place - np.array([0, 0, plan.container.fill_height_mm])) * SHOWN["resin"]
    return place


def pour_of(plan: Plan, pour: PourName) -> Pour:
    """Return the plan's air for a pour."""
    return plan.rubber_pour if pour == "rubber" else plan.resin_pour


def up_of(view: View) -> Floats:
    """Return the (3,) upward direction of a view in the stand's pose."""
    return level_up(view.pour) if view.tip is None else tipped_up(*view.tip, view.pour)


def air_of(plan: Plan, view: View) -> TrappedAir:
    """Return the air of the pour and tip that is shown, on the full mesh."""
    if view.tip is None:
        return pour_of(plan, view.pour).level
    return _tipped_air(plan, view.pour, view.tip)


@lru_cache(maxsize=4)
def _tipped_air(plan: Plan, pour: PourName, tip: Tip) -> TrappedAir:
    cavity = plan.stand.rubber_cavity if pour == "rubber" else plan.stand.cavity
    return trapped_air(cavity, tipped_up(*tip, pour))


def tip_turn(plan: Plan, view: View) -> Floats | None:
    """Return the (4, 4) turn of everything shown by the tip, about the middle; None when level."""
    if view.tip is None:
        return None
    spin = turn_between(SHOWN[view.pour] * up_of(view), [0.0, 0.0, 1.0])
    middle = np.array([*plan.container.centre_mm, plan.container.fill_height_mm / 2])
    middle[0] *= SHOWN[view.pour][0]
    turn = np.eye(4)
    turn[:3, :3], turn[:3, 3] = spin, middle - spin @ middle
    return turn


def reach_deg(plan: Plan, pour: PourName) -> float:
    """Return how far the block can be tipped in a pour [degrees]."""
    return max(pour_of(plan, pour).directions.within_deg, 1.0)


def on_dial(tip: Tip | None, pour: PourName, reach: float) -> tuple[float, float]:
    """Return where a tip lies on the dial: right and up from its middle, 1 at the rim.

    The dial is seen from above with the front at the bottom, as the block stands before one; a
    point on it says which side goes down.
    """
    if tip is None:
        return 0.0, 0.0
    x, y, _ = SHOWN[pour] * side(tip[0], pour) * min(tip[1] / reach, 1.0)
    return float(x), float(y)


def from_dial(x: float, y: float, pour: PourName, reach: float) -> Tip:
    """Return the tip of a point of the dial; beyond the rim is the rim."""
    share = min(float(np.hypot(x, y)), 1.0)
    away = SHOWN[pour] * np.array([x, y, 0.0])
    return (azimuth_of(away, pour) if share > 0 else 0.0), share * reach


def dragged(
    tip: Tip | None, across: float, down: float, *, eye: Eye, pour: PourName, reach: float
) -> Tip:
    """Return the tip after a drag in the picture: what is dragged toward goes down.

    Parameters
    ----------
    across, down : float
        How far the pointer went, to the right and toward the bottom edge [window points].
    eye : tuple of float
        From the piece toward the eye.
    """
    right, _, toward = screen_axes(eye)
    near = np.array([toward[0], toward[1]])
    near = near / max(float(np.linalg.norm(near)), 1e-9)
    x, y = on_dial(tip, pour, reach)
    step = _DEG_PER_POINT / reach * (across * right[:2] + down * near)
    return from_dial(x + float(step[0]), y + float(step[1]), pour, reach)


def stepped(tip: Tip | None, key: str, *, pour: PourName, reach: float) -> Tip:
    """Return the tip after an arrow key: 2 degrees toward the left, right, front or back."""
    x, y = on_dial(tip, pour, reach)
    step = 2.0 / reach
    dx, dy = {"left": (-step, 0), "right": (step, 0), "front": (0, -step), "back": (0, step)}[key]
    return from_dial(x + dx, y + dy, pour, reach)


def tip_line(plan: Plan, view: View) -> str:
    """Return in a sentence what the tip that is shown does to the air."""
    air = air_of(plan, view)
    held = f"{bubble(air.volume_mm3)} in {count(len(air.pockets), 'place')}"
    if view.tip is None:
        return f"Level: {held}."
    level = pour_of(plan, view.pour).level.volume_mm3
    way = bench_side(view.tip[0])
    return (
        f"Your {way} side {view.tip[1]:.0f}° down ({view.tip[0]:.0f}° clockwise from the front "
        f"mark): {held}. Kept level it would be {bubble(level)}."
    )
