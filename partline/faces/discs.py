"""The two discs at true size: where the piece stands in the cup, what shows at the mouth."""

from __future__ import annotations

import numpy as np

from partline.air.vent import Vent
from partline.cut.cut import CutLine
from partline.faces.colours import CUT, INK, VENT
from partline.faces.cut_starts import first_stroke, start_deg
from partline.faces.drawings import GHOST
from partline.faces.figures import System, length, plain
from partline.faces.paper import Drawing, label, path
from partline.faces.ready_words import vent_name
from partline.faces.words import way_to_tip, worth_tipping
from partline.geometry.directions import side
from partline.geometry.nearest import nearest_on_outline
from partline.geometry.surface import Floats
from partline.plan import Plan
from partline.workshop.fitting import turned_axes

_LABEL = 23.0  # room beside the mouth disc for "cut 2: 101°" [mm]


def placing_disc(plan: Plan, system: System = "mm") -> Drawing:
    """Return the cup's floor from above, front toward you: where the foot block stands."""
    up = np.array([1.0, -1.0])
    body = _floor(plan, up)
    feet = [o * up for o in mouth_outlines(plan)]
    body += (
        f'<path d="{path(feet)}" fill="{GHOST}" fill-rule="evenodd" stroke="{INK}" '
        f'stroke-width="0.5"/>'
    )
    x, y = np.asarray(plan.container.centre_mm) * up
    body += _front_arrow(x, y, _to_front(plan))
    largest = max(feet, key=lambda o: float(np.prod(np.ptp(o, axis=0))))
    middle = (largest.min(axis=0) + largest.max(axis=0)) / 2
    body += label(middle[0], middle[1] + 1, "stands here", size=3, anchor="middle")
    notes = (
        "1:1, seen from above, front toward you. Lay it in the cup, prick or trace the outline "
        f"onto the floor, take it out. Cup floor {length(plan.container.floor_width_mm, system)}."
    )
    return _disc(plan, "Placing disc", body, notes, up)


def mouth_disc(plan: Plan) -> Drawing:
    """Return what shows at the mouth face, looking into it, front toward you: cuts and notch."""
    over = np.array([-1.0, -1.0])
    body = _floor(plan, over)
    feet = [o * over for o in mouth_outlines(plan)]
    body += (
        f'<path d="{path(feet)}" fill="{GHOST}" fill-rule="evenodd" stroke="{INK}" '
        f'stroke-width="0.5"/>'
    )
    centre = np.asarray(plan.container.centre_mm, dtype=np.float64)
    for number, line in enumerate(plan.cut.lines, 1):
        body += _start_of_cut(plan, line, number, over)
    if worth_tipping(plan.resin_pour):
        azimuth, _ = way_to_tip(plan.resin_pour)
        edge = _to_wall(plan, centre, side(azimuth, "resin")[:2]) * over
        inward = -side(azimuth, "resin")[:2] * over
        across = np.array([-inward[1], inward[0]])
        tip = np.array([edge + 3.5 * across, edge + 6 * inward, edge - 3.5 * across])
        words = edge + 9.5 * inward
        body += f'<path d="{path([tip])}" fill="#fff" stroke="{INK}" stroke-width="0.6"/>'
        body += label(words[0], words[1] + 1, "notch", size=3, anchor="middle")
    vents = plan.resin_pour.vents
    for k, vent in enumerate(vents.vents if vents is not None else ()):
        body += _vent(vent, vent_name(k), over)
    x, y = centre * over
    body += _front_arrow(x, y, _to_front(plan))
    notes = (
        "1:1, looking into the mouth, front toward you (so mirrored against the placing disc). "
        "Degrees run clockwise from the front mark."
    )
    return _disc(plan, "Mouth disc", body, notes, over, labels=_LABEL if _small(plan) else 0.0)


def _vent(vent: Vent, name: str, flip: Floats) -> str:
    """Return where a vent comes out, as wide as it is."""
    x, y = vent.exit[:2] * flip
    return (
        f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{vent.diameter_mm / 2:.2f}" fill="#fff" '
        f'stroke="{VENT}" stroke-width="0.5"/>'
        + label(x, y - vent.diameter_mm / 2 - 1.0, name, size=3.2, anchor="middle", bold=True,
                colour=VENT)
    )  # fmt: skip


def _floor_half(plan: Plan) -> tuple[float, float]:
    """Return half the width and depth that the floor takes up on the paper [mm]."""
    box = plan.container
    if box.kind != "box":
        return box.floor_width_mm / 2, box.floor_width_mm / 2
    half = np.abs(_corners(plan) - np.asarray(box.centre_mm)).max(axis=0)
    return float(half[0]), float(half[1])


def _to_front(plan: Plan) -> float:
    """Return how far the wall lies in front of the floor's middle [mm]."""
    middle = np.asarray(plan.container.centre_mm)
    return float(np.linalg.norm(_to_wall(plan, middle, np.array([0.0, -1.0])) - middle))


def _corners(plan: Plan) -> Floats:
    """Return the (4, 2) corners of a box's floor, turned as it stands [mm]."""
    box = plan.container
    half = np.array([box.floor_width_mm, box.floor_depth_mm]) / 2
    signs = np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])
    return np.asarray(signs * half @ turned_axes(box.turn_deg) + np.asarray(box.centre_mm))


def _floor(plan: Plan, flip: Floats) -> str:
    half_x = _floor_half(plan)[0]
    x, y = np.asarray(plan.container.centre_mm) * flip
    style = f'fill="none" stroke="{INK}" stroke-width="0.4"'
    if plan.container.kind == "box":
        return f'<path d="{path([_corners(plan) * flip])}" {style}/>'
    return f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{half_x:.2f}" {style}/>'


def _front_arrow(x: float, y: float, half: float) -> str:
    """Return the arrow at the wall nearest to you, which is the front."""
    edge = y + half
    return (
        f'<path d="M{x:.2f} {edge + 0.3:.2f}l2 3.2h-4z" fill="{INK}"/>'
        f'<path d="M{x:.2f} {edge - 2:.2f}v2" stroke="{INK}" stroke-width="0.7"/>'
        + label(x, edge + 7.4, "FRONT", size=3.6, anchor="middle", bold=True)
    )


def _to_wall(plan: Plan, start: Floats, toward: Floats) -> Floats:
    """Return where a ray on the cup's floor from a point meets the wall [mm]."""
    box = plan.container
    half = np.array([box.floor_width_mm, box.floor_depth_mm]) / 2
    axes = turned_axes(box.turn_deg if box.kind == "box" else 0.0)
    p = axes @ (np.asarray(start, dtype=np.float64) - np.asarray(box.centre_mm))
    d = axes @ np.asarray(toward, dtype=np.float64)
    if box.kind == "box":
        steps = [(half[k] * np.sign(d[k]) - p[k]) / d[k] for k in (0, 1) if abs(d[k]) > 1e-12]
        return np.asarray(start + max(0.0, min(steps)) * np.asarray(toward))
    along = float(p @ d)
    reach = -along + float(np.sqrt(max(0.0, along**2 - p @ p + half[0] ** 2)))
    return np.asarray(start + max(0.0, reach) * np.asarray(toward))


def _start_of_cut(plan: Plan, line: CutLine, number: int, flip: Floats) -> str:
    """Return a cut across the mouth face: from where the line begins out to the wall."""
    stroke = first_stroke(plan, number)
    if stroke is None:
        begin = at_mouth(plan, line)[:2]
        stroke = begin, _to_wall(plan, begin, side(line.azimuth_deg, "resin")[:2])
    begin, end = stroke
    away = (end - begin) / max(float(np.linalg.norm(end - begin)), 1e-9)
    a, b = begin * flip, end * flip
    out, anchor = _beside(b, away * flip, plan)
    return (
        f'<path d="M{a[0]:.2f} {a[1]:.2f}L{b[0]:.2f} {b[1]:.2f}" stroke="{CUT}" '
        f'stroke-width="1.1"/><circle cx="{b[0]:.2f}" cy="{b[1]:.2f}" r="1.2" fill="{CUT}"/>'
        + label(
            out[0],
            out[1] + 1.2,
            f"cut {number}: {plain(start_deg(plan, number), 0)}°",
            size=3.2,
            anchor=anchor,
            bold=True,
            colour=CUT,
        )
    )


def _small(plan: Plan) -> bool:
    """Tell whether labels have room beside the disc on a page."""
    return 2 * _floor_half(plan)[0] < 130.0


def _beside(end: Floats, away: Floats, plan: Plan) -> tuple[Floats, str]:
    """Return where the label of a cut stands: outside the wall, beside the cut on a large disc.

    There it stands on the side away from the notch, which has the other.
    """
    if not _small(plan):
        centre = np.asarray(plan.container.centre_mm, dtype=np.float64)
        azimuth, _ = way_to_tip(plan.resin_pour)
        # The paper is mirrored.
        notch = -float(_to_wall(plan, centre, side(azimuth, "resin")[:2])[0])
        left = bool(end[0] < notch)
        return end - 6.0 * away + [-2.5 if left else 2.5, 0.0], "end" if left else "start"
    anchor = "middle" if abs(away[0]) < 0.5 else "start" if away[0] > 0 else "end"
    return end + (4.0 if anchor == "middle" else 2.5) * away, anchor


def _disc(
    plan: Plan, title: str, body: str, notes: str, flip: Floats, *, labels: float = 0.0
) -> Drawing:
    half_x, half_y = _floor_half(plan)
    x, y = np.asarray(plan.container.centre_mm) * flip
    room = 9.0
    wide = max(room, labels)
    return Drawing(title, float(x) - half_x - wide, float(y) - half_y - room,
                   2 * (half_x + wide), 2 * (half_y + room), body, notes)  # fmt: skip


def mouth_outlines(plan: Plan) -> tuple[Floats, ...]:
    """Return the outlines of the mouth face: the foot block's, or those of the piece itself."""
    block = plan.stand.foot_block
    return plan.stand.footprint if block is None else block.bottom


def at_mouth(plan: Plan, line: CutLine) -> Floats:
    """Return where a cut begins on the mouth face: (3,) nearest on the foot block's rim [mm]."""
    begin = line.points[0, :2]
    nearest = [nearest_on_outline(np.asarray(o), begin) for o in mouth_outlines(plan)]
    best = min(nearest, key=lambda p: float(np.linalg.norm(p - begin)))
    return np.array([*best, 0.0])
