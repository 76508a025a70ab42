"""The cut in words: certificate, verdict, what else a hand should know."""

from __future__ import annotations

import numpy as np

from partline.cut.demould import Bridge
from partline.cut.route import PLAIN, Ground, Route
from partline.cut.rubber import FIRM_SHARE, HAND_STRAIN, stiffness_mpa

_SIDE = {
    "back": "up the back",
    "left": "on the left, seen from the front",
    "right": "on the right, seen from the front",
}


def side_words(name: str) -> str:
    """Return where a line runs, for the middle of a sentence."""
    return _SIDE[name]


def certificate(routes: tuple[Route, ...]) -> str:
    """Return what no line could do better, per line; exact for this mesh and these bounds."""
    if not routes:
        return "No cut is made, so no detail is crossed."
    said = []
    for g in (route.ground for route in routes):
        where = side_words(g.corridor.name)
        x, y, z = g.worst_place_mm
        if g.worst_needed <= PLAIN:
            said.append(
                f"The line {where} crosses plain skin only (detail {g.limit:.2f} of 1 at "
                f"most), {_clear(g)}."
            )
        else:
            said.append(
                f"Every line {where} from the mouth to there must cross detail of at least "
                f"{g.worst_needed:.2f} of 1 (near {x:.0f}, {y:.0f}, {z:.0f} mm); this one "
                f"crosses nothing noticeably worse, {_clear(g)}."
            )
    return " ".join(said)


def _clear(g: Ground) -> str:
    if g.excused.any() and g.margin_mm > 0:
        return (
            f"at least {g.margin_mm:.1f} mm from all other prized detail than that which "
            "lies right across its way"
        )
    if g.margin_mm > 0:
        return f"at least {g.margin_mm:.1f} mm from prized detail"
    return "close beside prized detail: no line keeps clear of it"


def verdict(snaking: float, straight: float, *, working: float, elongation: float) -> str:
    """Return one sentence on whether the piece comes out; an estimate."""
    rings = (
        f"the tightest ring left closed stretches by {snaking:.0%} if the piece snakes out and by "
        f"{straight:.0%} pulled straight; this rubber bears {working:.0%} each time"
    )
    if straight <= working:
        return f"Comes out: {rings}."
    if snaking <= working:
        return f"Try it: {rings}."
    if snaking <= FIRM_SHARE * elongation:
        return f"Comes out with a firm pull that wears the mould: {rings}."
    return f"Will not come out without tearing: {rings}."


def bridge_words(bridges: tuple[Bridge, ...], end_mm: float) -> list[str]:
    """Return a sentence for each bridge of rubber that has to be slit, largest first."""
    said = []
    largest = sorted(bridges, key=lambda b: b.low_mm - b.high_mm)
    for bridge in largest[:3]:
        x, y, z = bridge.place_mm
        high = min(bridge.high_mm, end_mm)
        said.append(
            f"Rubber is caught between limbs from {bridge.low_mm:.0f} to {high:.0f} mm above the "
            f"cup's floor (near {x:.0f}, {y:.0f}, {z:.0f} mm): slit this bridge too, or it must "
            f"stretch by {bridge.stretch:.0%}."
        )
    if len(largest) > 3:
        said.append(f"{len(largest) - 3} smaller bridges of rubber are caught as well.")
    return said


def rubber_words(lips: float, count: int, shore_a: float) -> list[str]:
    """Return what opening the block asks of the rubber, with the band of +-5 Shore points."""
    low, middle, high = (
        stiffness_mpa(float(np.clip(s, 0, 95))) for s in (shore_a - 5, shore_a, shore_a + 5)
    )
    said = [
        f"Rubber of Shore A {shore_a:.0f} has a stiffness of about {middle:.2f} MPa "
        f"({low:.2f} to {high:.2f} for 5 points either way; Gent 1958, an estimate)."
    ]
    if count:
        said.insert(0, f"Laying the lips open bends them by about {lips:.0%} (estimate).")
    if count == 1 and lips > HAND_STRAIN:
        said.insert(1, "That is more than a hand bends with ease; two cuts open more easily.")
    return said
