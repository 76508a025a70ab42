"""The cut in words: certificate, verdict, what else a hand should know."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from partline.cut.bench import Bench
from partline.cut.cut import CutLine, OverFloor, Pit, RubberLoop
from partline.cut.demould import Bridge
from partline.cut.layout import SECTORS, Corridor, bearings, side_words
from partline.cut.route import PLAIN, Ground, Route
from partline.cut.rubber import EFFORT_STRAIN, FIRM_SHARE, HAND_STRAIN, stiffness_mpa
from partline.cut.straying import STRAY


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


def idle_words(bench: Bench, routes: Sequence[Route]) -> list[str]:
    """Return which starts and ends that were set lie on no line of a cut."""
    sectors = [SECTORS[route.ground.corridor.side] for route in routes]
    zones = bench.skin.zones
    said = []
    for what, places in (("start", zones.starts), ("end", zones.ends)):
        for place in places:
            way = float(bearings(place[None], bench.rings)[0])
            if not any(low <= way <= high for low, high in sectors):
                said.append(
                    f"The {what} that was set {way:.0f} degrees round from the front mark lies on "
                    "no line of this cut, so nothing follows it."
                )
    return said


def stray_words(corridors: Sequence[Corridor]) -> list[str]:
    """Return which lines had to be let out farther from their side than they like to."""
    return [
        f"The line {side_words(c.name)} may stray {c.stray_deg:.0f} degrees toward the front: "
        "nearer to its side no skin leads from the mouth to its end. Look at it before cutting; "
        "another front or mouth may give a better one."
        for c in corridors
        if c.stray_deg > STRAY
    ]


def verdict(
    snaking: float,
    straight: float,
    *,
    working: float,
    elongation: float,
    uncut: bool = False,
) -> str:
    """Return one sentence on whether the piece comes out; an estimate.

    A block that is not cut must be stretched whole, by hand, whatever its rubber bears.
    """
    rings = (
        f"the tightest ring left closed stretches by {100 * snaking:.0f} % if the piece snakes out "
        f"and by {100 * straight:.0f} % pulled straight; this rubber bears {100 * working:.0f} % "
        "each time"
    )
    if uncut and straight > EFFORT_STRAIN and snaking <= working:
        return (
            f"Hardly comes out by hand: {rings}, but hands stretch a whole block by about "
            f"{100 * EFFORT_STRAIN:.0f} % (common practice)."
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
            f"stretch by {100 * bridge.stretch:.0f} %."
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
        said.insert(0, f"Laying the lips open bends them by about {100 * lips:.0f} % (estimate).")
    if count == 1 and lips > HAND_STRAIN:
        said.insert(1, "One cut bends its lips more than a hand likes; two cuts open more easily.")
    return said


def over_words(over: OverFloor) -> str:
    """Return how a line over the floor is cut, and what it leaves whole."""
    return (
        f"Cut through the whole height on that side, then on over the floor of the mould; the "
        f"{over.hinge} stays whole from mouth to floor as a hinge, {over.web_mm:.0f} mm of rubber "
        "beside the end of the cut."
    )


# The cut that a bridge is slit from, by the side of its line; "" where the hand drew it.
_CUT_ON = {
    "back": "the cut up the piece's back",
    "left": "the cut on the piece's left",
    "right": "the cut on the piece's right",
    "": "the cut nearest to it",
}
# Energy that silicones for moulds bear at the end of a cut [kJ/m^2]; from memory.
TEARING_KJ_M2 = (5.0, 15.0)


def tearing_words(tearing: float) -> list[str]:
    """Return what pulls at the end of the cut, against what rubber bears; an estimate."""
    low, high = TEARING_KJ_M2
    said = (
        f"At its end the cut is driven on by about {tearing:.1f} kJ/m2; rubber for moulds bears "
        f"about {low:.0f} to {high:.0f} (estimate after Rivlin and Thomas 1953; the limits from "
        "memory)."
    )
    if tearing < low / 2:
        return [said]
    return [
        said + " It may run on by itself: blunt its end with a 3 mm hole punched in the outer "
        "wall only, and open the lips slowly."
    ]


def loop_words(loops: tuple[RubberLoop, ...], lines: tuple[CutLine, ...]) -> list[str]:
    """Return a sentence for each loop of rubber that has to be cut, and one for pin-holes.

    What is slit is numbered as `Cut.slits`.
    """
    said = []
    for number, loop in enumerate((one for one in loops if one.matters), 1):
        x, y, z = loop.place_mm
        where = f"through the hole near {x:.0f}, {y:.0f}, {z:.0f} mm"
        if loop.line < 0:
            said.append(
                f"Rubber passes {where}, {loop.opening_mm:.0f} mm thick: without a cut the piece "
                "does not come off it."
            )
            continue
        way = (
            f"slit this bridge too, from {_CUT_ON[lines[loop.line].side]}, "
            f"{loop.cut_mm:.0f} mm away"
            if not loop.apart
            else f"slit this bridge too, with a cut of its own ({loop.cut_mm:.0f} mm from any line)"
        )
        holds = (
            f"it must stretch by {100 * loop.stretch:.0f} %"
            if math.isfinite(loop.stretch)
            else "it stays on the piece"
        )
        said.append(
            f"S{number}: rubber passes {where}, {loop.opening_mm:.0f} mm thick: once the lips are "
            "open, "
            f"{way}, or {holds}."
        )
    fine = sum(not loop.matters for loop in loops)
    if fine:
        said.append(
            f"{fine} pin-hole{'s' * (fine > 1)}: the thread of rubber there tears or pulls out. "
            f"Stop {'them' if fine > 1 else 'it'} with wax or clay first if "
            f"{'they are' if fine > 1 else 'it is'} not wanted."
        )
    return said


def pit_words(pits: tuple[Pit, ...], working: float) -> list[str]:
    """Return a sentence for each of the worst pits that are wider inside than at their neck."""
    said = []
    for pit in pits[:3]:
        x, y, z = pit.place_mm
        bears = "the rubber bears that" if pit.stretch <= working else "more than the rubber bears"
        said.append(
            f"The pit near {x:.0f}, {y:.0f}, {z:.0f} mm is wider inside than at its neck "
            f"({pit.depth_mm:.0f} mm deep): its plug of rubber gives by {100 * pit.stretch:.0f} % "
            f"on the way out; {bears}."
        )
    return said
