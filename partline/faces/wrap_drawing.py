"""The wrap of the cutting card at true size: bands, depths, leans, front, mouth edge and web."""

from __future__ import annotations

import numpy as np

from partline.card.cutting_card import BladeCut, CuttingCard, Mark, Stops
from partline.card.unrolling import layout_of
from partline.faces.colours import CUT, INK
from partline.faces.figures import inches, length, plain
from partline.faces.paper import Drawing, hatched, label, path
from partline.faces.wrap_words import Placer, Words
from partline.geometry.directions import side
from partline.geometry.surface import Floats

BAND = "#f6dfcb"
_TAB = 8.0
_TICK = 2.2
_ROOM = 7.0
_ONE_PLACE = 1.0  # stops nearer than the knife can tell [mm]
_WEB_LINES = 5  # lines along the hatched web that words keep off, like any other line

Cuts = tuple[BladeCut, ...]


def wrap_drawing(
    card: CuttingCard, *, notch_deg: float | None = None, wide_mm: float | None = None
) -> Drawing:
    """Return the wrap, seen from outside, mouth edge up.

    Parameters
    ----------
    card : CuttingCard
    notch_deg : float, optional
        Where the notch goes at the mouth, clockwise from the front mark looking into it.
    wide_mm : float, optional
        Room for an overview with the depths alone, shrunk if it must be; else at true size [mm].
    """
    wrap = card.wrap
    cuts = tuple(cut for cut in card.cuts if cut.face == "side")
    low, high = wrap.outline.min(axis=0), wrap.outline.max(axis=0)
    wide = float(high[0] - low[0]) + 2 * _ROOM + _TAB
    scale = 1.0 if wide_mm is None else min(1.0, wide_mm / wide)
    # Letters of an overview keep nearly their size on paper.
    size = 1.0 if scale == 1.0 else 0.8 / scale
    body = _web(card, cuts, size)
    for cut in cuts:
        body += band(cut)
    notch = None if notch_deg is None else _notch_place(card, notch_deg)
    body += _sheet(card, size, notch)
    if notch is not None:
        body += _notch(*notch, size)
    body += "".join(cut_line(cut, size) for cut in cuts)
    placer = Placer(_taken(card, cuts, notch), low, high)
    body += "".join(marked(cut, placer, size, wide_mm is None) for cut in cuts)
    fits = "your own" if card.own else "a stock"
    notes = (
        f"1:1. Printed side out, mouth edge at the mouth face, FRONT on the front mark. For {fits} "
        f"{card.container}: mouth edge {length(wrap.round_mouth_mm)} round, far edge "
        f"{length(wrap.round_far_mm)}."
    )
    if wide_mm is not None:
        notes = "an overview, not to lay on the block: the one at true size is in card.pdf"
    room = _ROOM * max(1.0, 0.6 * size)
    return Drawing("Wrap", float(low[0]) - _ROOM, float(low[1]) - room - 2, wide,
                   float(high[1] - low[1]) + 2 * room + 2, body, notes, scale,
                   placer.spans + _spans(cuts, card.wrap.front, notch))  # fmt: skip


def _spans(
    cuts: Cuts, front: Floats, notch: tuple[float, float] | None
) -> tuple[tuple[float, float], ...]:
    """Return from where to where cuts, the front mark with its word and the notch reach [mm]."""
    found = [(cut.middle[:, 0], 0.0) for cut in cuts] + [(front[:, 0], 8.0)]
    found += [(np.array(notch[:1]), 4.0)] if notch else []
    return tuple((float(x.min()) - beside, float(x.max()) + beside) for x, beside in found)


def _web(card: CuttingCard, cuts: Cuts, size: float) -> str:
    web = card.wrap.web
    if not len(web):
        return ""
    near, far = np.split(web, 2)
    edge = (
        ""
        if card.over is not None
        else (
            f'<path d="{path([near], closed=False)}" fill="none" stroke="{INK}" '
            'stroke-width="0.6"/>'
        )
    )
    taken = np.vstack([card.wrap.front, *[cut.middle[-1:] for cut in cuts]])
    x, y = _roomiest((near + far[::-1]) / 2, taken)
    return (
        hatched("wrapweb", path([web]))
        + edge
        + label(x, y + 1.4, "DO NOT CUT", size=4.2 * size, anchor="middle", bold=True)
    )


def _roomiest(line: Floats, taken: Floats) -> Floats:
    """Return the point of a line, off its ends, farthest from the places that are taken."""
    free = np.linalg.norm(line[:, None] - taken[None], axis=2).min(axis=1)
    # Half the longest words, and a little; of a short line, how far it is off the nearer end.
    off_ends = np.minimum(line[:, 0] - line[:, 0].min(), line[:, 0].max() - line[:, 0])
    room = np.minimum(off_ends, 20.0)
    place: Floats = line[np.lexsort((free, room))[-1]]
    return place


def _sheet(card: CuttingCard, size: float, notch: tuple[float, float] | None) -> str:
    wrap = card.wrap
    body = (
        f'<path d="{path([wrap.outline])}" fill="none" stroke="{INK}" stroke-width="0.3"/>'
        f'<path d="{path([wrap.mouth_edge], closed=False)}" fill="none" stroke="{INK}" '
        'stroke-width="0.9"/>'
    )
    for fold in wrap.folds:
        body += (
            f'<path d="{path([fold], closed=False)}" fill="none" stroke="{INK}" '
            'stroke-width="0.25" stroke-dasharray="6 2 1 2"/>'
        )
    # Beside whatever else is written along the edge.
    notches = [np.array([notch])] if notch else []
    taken = np.vstack([wrap.front[:1], *notches, *[cut.middle[:1] for cut in card.cuts]])
    x, y = _roomiest(wrap.mouth_edge, taken)
    body += label(x, y - 1.4, "mouth edge", size=3.0 * size, anchor="middle", bold=True)
    # A tab to tape the ends together, on the right.
    top, bottom = wrap.mouth_edge[-1], wrap.far_edge[-1]
    along = (bottom - top) / np.linalg.norm(bottom - top)
    out = np.array([along[1], -along[0]]) * _TAB
    tab = np.array([top, top + out + 2 * along, bottom + out - 2 * along, bottom])
    body += (
        f'<path d="{path([tab], closed=False)}" fill="none" stroke="{INK}" stroke-width="0.25" '
        'stroke-dasharray="2 1.5"/>'
    )
    middle = (top + bottom) / 2 + out / 2
    body += label(middle[0], middle[1], "tape", size=2.4 * size, anchor="middle")
    a, b = wrap.front
    tip = a + 0.16 * (b - a)
    body += (
        f'<path d="M{a[0]:.3f} {a[1]:.3f}L{b[0]:.3f} {b[1]:.3f}" fill="none" stroke="{INK}" '
        f'stroke-width="0.35" stroke-dasharray="1 2"/>'
        f'<circle cx="{tip[0]:.3f}" cy="{tip[1]:.3f}" r="1.6" fill="{INK}"/>'
    )
    return body + label(a[0], a[1] - 1.6, "FRONT", size=3.6 * size, anchor="middle", bold=True)


def _notch_place(card: CuttingCard, notch_deg: float) -> tuple[float, float]:
    ends = [cut.strokes.ends for cut in card.cuts]
    layout = layout_of(card.block, np.vstack(ends) if ends else np.zeros((0, 3)))
    axis = np.array([[*card.block.centre_mm, 0.0]])
    way = side(notch_deg, "resin")[None]
    x, y = layout.lay(axis + card.block.exits(axis, way, sides_only=True)[:, None] * way)[0]
    return float(x), float(y)


def _notch(x: float, y: float, size: float) -> str:
    return (
        f'<path d="M{x - 3.5:.2f} {y:.2f}l3.5 6l3.5 -6z" fill="#ffffff" stroke="{INK}" '
        'stroke-width="0.6"/>'
        + label(x, y + 6 + 3 * size, "notch", size=2.8 * size, anchor="middle")
    )


def band(cut: BladeCut) -> str:
    body = ""
    for run in cut.runs:
        left, right = cut.left[run], cut.right[run]
        body += (
            f'<path d="{path([np.vstack([left, right[::-1]])])}" fill="{BAND}"/>'
            f'<path d="{path([left, right], closed=False)}" fill="none" stroke="{CUT}" '
            'stroke-width="0.2" stroke-dasharray="1.5 1"/>'
        )
    return body


def cut_line(cut: BladeCut, size: float, *, named: bool = True) -> str:
    """Return the cut's middle line, and dotted how it goes on if the piece does not come out."""
    middles = [cut.middle[run] for run in cut.runs]
    body = (
        f'<path d="{path(middles, closed=False)}" fill="none" stroke="{CUT}" '
        'stroke-width="0.7" stroke-linejoin="round"/>'
    )
    x, y = cut.middle[-1]
    far_x, far_y = _limit(cut)
    if np.hypot(far_x - x, far_y - y) > 1.0:
        body += (
            f'<path d="M{x:.2f} {y:.2f}L{far_x:.2f} {far_y:.2f}" fill="none" stroke="{CUT}" '
            'stroke-width="0.4" stroke-dasharray="0.4 1.6" stroke-linecap="round"/>'
        )
    start = cut.middle[0]
    if not named:
        return body
    return body + label(start[0], start[1] - 1.6, f"cut {cut.number}", size=3.4 * size,
                        anchor="middle", bold=True, colour=CUT)  # fmt: skip


def _limit(cut: BladeCut) -> tuple[float, float]:
    """Return where "never past" lies, straight on from the cut's end; the end where it does not."""
    end = float(cut.middle[-1, 0]), float(cut.middle[-1, 1])
    return dict(cut.stops).get("never past", end)


def marked(cut: BladeCut, placer: Placer, size: float, whole: bool) -> str:
    """Return the stops and marks of a cut with their words."""
    # Words stand rather on the side that the tips do not lean to, stops on the other.
    leans = np.mean([mark.tip_on_wrap_mm[0] - mark.on_wrap_mm[0] for mark in cut.marks])
    away = -1 if leans > 2.0 else 1
    body = ""
    for words, (x, y) in cut.stops:
        last = words == "never past"
        body += (
            f'<path d="M{x - 5:.2f} {y:.2f}H{x + 5:.2f}" stroke="{INK}" '
            f'stroke-width="{1.0 if last else 0.5}"/>'
        )
    for mark in cut.marks:
        body += _lean(mark) + placer.placed(_words(mark, size, whole), *mark.on_wrap_mm, away=away)
    for words, (x, y) in _together(cut.stops):
        body += placer.placed(Words(((words, 3.0 * size),)), x, y, away=-away)
    # Last, so that no word or ring covers a mark.
    return body + "".join(_tick(*mark.on_wrap_mm) for mark in cut.marks)


def _together(stops: Stops) -> Stops:
    """Return the stops with one set of words for those at one place."""
    found: list[tuple[str, tuple[float, float]]] = []
    for words, place in stops:
        if found and np.hypot(*np.subtract(place, found[-1][1])) < _ONE_PLACE:
            words, place = f"{found[-1][0]}, {words}", found.pop()[1]
        found.append((words, place))
    return tuple(found)


def _words(mark: Mark, size: float, whole: bool) -> Words:
    lean = "square in" if not mark.toward else f"tip {plain(mark.lean_deg, 0)}° to {mark.toward}"
    depth = f"{mark.number}  {plain(mark.depth_mm, 0)} mm"
    if not mark.clear:
        depth, lean = f"{mark.number}  no straight way", "by feel"
    elif whole:
        depth += f" · {inches(mark.depth_mm)}"
    lines = [(depth, 3.4 * size)] + ([(lean, 2.8 * size)] if whole else [])
    if mark.clear and mark.short_mm > 0:
        lines.append((f"blade {plain(max(1.0, mark.short_mm), 0)} mm too short", 2.8 * size))
    return Words(tuple(lines))


def _lean(mark: Mark) -> str:
    """Return where the tip ends below the outside: a line to an open ring."""
    if not (mark.toward and mark.clear):
        return ""
    (x, y), (tip_x, tip_y) = mark.on_wrap_mm, mark.tip_on_wrap_mm
    return (
        f'<path d="M{x:.3f} {y:.3f}L{tip_x:.3f} {tip_y:.3f}" fill="none" '
        f'stroke="{INK}" stroke-width="0.25"/><circle cx="{tip_x:.3f}" cy="{tip_y:.3f}" r="0.7" '
        f'fill="#ffffff" stroke="{INK}" stroke-width="0.25"/>'
    )


def _taken(card: CuttingCard, cuts: Cuts, notch: tuple[float, float] | None) -> Floats:
    """Return points on all lines of the wrap that words should not cover."""
    wrap = card.wrap
    near, far = np.split(wrap.web, 2)
    across = [near + part * (far[::-1] - near) for part in np.linspace(0.0, 1.0, _WEB_LINES)]
    lines = [wrap.front, wrap.outline, *across]
    if notch is not None:
        x, y = notch
        lines += [np.array([[x - 5.0, y + d], [x + 5.0, y + d]]) for d in np.arange(0.0, 11.0)]
    found = [dense(line) for line in lines if len(line) > 1]
    return np.vstack([*found, *(points for cut in cuts for points in lines_of(cut))])


def lines_of(cut: BladeCut) -> list[Floats]:
    """Return points on the lines of one cut."""
    lines = [np.array([cut.middle[-1], _limit(cut)])]
    for run in cut.runs:
        lines += [cut.middle[run], cut.middle[run], cut.left[run], cut.right[run]]
    lines += [np.array([m.on_wrap_mm, m.tip_on_wrap_mm]) for m in cut.marks if m.toward]
    bars = [(5.0, place) for _, place in cut.stops] + [(_TICK, m.on_wrap_mm) for m in cut.marks]
    lines += [np.array([[x - half, y], [x + half, y]]) for half, (x, y) in bars]
    return [dense(line) for line in lines]


def dense(line: Floats) -> Floats:
    """Return a line with a point at least every millimetre."""
    arc = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1))])
    at = np.linspace(0.0, arc[-1], max(2, int(np.ceil(arc[-1])) + 1))
    return np.column_stack([np.interp(at, arc, column) for column in line.T])


def _tick(x: float, y: float) -> str:
    return (
        f'<path d="M{x - _TICK:.3f} {y:.3f}H{x + _TICK:.3f}" stroke="{INK}" stroke-width="0.35"/>'
        f'<circle cx="{x:.3f}" cy="{y:.3f}" r="0.6" fill="{INK}"/>'
    )


def zigzag_drawing(card: CuttingCard) -> Drawing | None:
    """Return one sample of the zigzag at true size, None when nothing is cut."""
    if not card.cuts:
        return None
    keys = card.cuts[0].keys
    rise = np.tan(np.radians(keys.flank_deg))
    run = np.linspace(0.0, 2.5 * keys.pitch_mm, 251)
    phase = np.mod(run / keys.pitch_mm + 0.25, 1.0)
    wave = np.clip((1 - 4 * np.abs(phase - 0.5)) * keys.pitch_mm * rise / 4,
                   -keys.width_mm / 2, keys.width_mm / 2)  # fmt: skip
    long = float(run[-1])
    half = keys.width_mm / 2
    body = (
        f'<path d="M0 {-half}H{long}V{half}H0Z" fill="{BAND}"/>'
        f'<path d="M0 0H{long}" stroke="{CUT}" stroke-width="0.4" stroke-dasharray="3 1.5"/>'
        f'<path d="{path([np.column_stack([run, wave])], closed=False)}" fill="none" '
        f'stroke="{INK}" stroke-width="0.8" stroke-linejoin="round"/>'
    )
    smooth = (
        f"smooth for the last {plain(keys.smooth_mm, 0)} mm next to the piece"
        if keys.smooth_mm > 0
        else "jagged all the way in"
    )
    notes = (
        f"1:1, a sample to take the eye in: {length(keys.width_mm)} across, {length(keys.pitch_mm)}"
        f" long, flanks {plain(keys.flank_deg, 0)}°; {smooth}. Stay within the band."
    )
    return Drawing("Sample of the zigzag", -2.0, -half - 2, max(long + 4, 90.0), 2 * half + 4,
                   body, notes)  # fmt: skip
