"""The piece seen from two sides with the places of air numbered as in the table."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from partline.faces.air_rows import AirRow
from partline.faces.colours import AIR, INK
from partline.faces.drawings import EDGE, GHOST, SEEN_FROM, Ghosts, Quarter, Side
from partline.faces.figures import plain
from partline.faces.paper import Drawing, label, path
from partline.geometry.surface import Floats

# On paper, whatever the scale of the drawing [mm].
_BALL, _STEP, _BESIDE = 3.7, 8.2, 9.0
_WIDE, _HIGH = 84.0, 78.0


@dataclass(frozen=True, eq=False)
class Mark:
    """A word, the (3,) place it names [mm], its colour, and a (3,) end of a line from there."""

    words: str
    place: Floats
    colour: str = AIR
    end: Floats | None = None


def air_views(
    outlines: Ghosts, rows: tuple[AirRow, ...], *, mouth_up: bool, high_mm: float = _HIGH
) -> tuple[Drawing, Drawing]:
    """Return the piece from the front and from one side with the places of air numbered.

    Parameters
    ----------
    outlines : Ghosts
    rows : tuple of AirRow
    mouth_up : bool
        The block turned over for the resin, or standing as for the rubber.
    high_mm : float
        Height on paper that it may take [mm].
    """
    marks = tuple(Mark(str(r.number), r.apex) for r in rows)
    return marked_views(outlines, marks, mouth_up=mouth_up, high_mm=high_mm)


def marked_views(
    outlines: Ghosts, marks: tuple[Mark, ...], *, mouth_up: bool, high_mm: float = _HIGH
) -> tuple[Drawing, Drawing]:
    """Return the piece from the front and from one side with places marked; see `air_views`."""
    left: Quarter = 90 if mouth_up else 270
    front, side = Side(0, mouth_up), Side(left, mouth_up)
    return _view(outlines, marks, front, high_mm), _view(outlines, marks, side, high_mm)


def _view(outlines: Ghosts, marks: tuple[Mark, ...], view: Side, high_mm: float) -> Drawing:
    seen = outlines.seen(view)
    corners = np.vstack(seen)
    (left, top), (right, bottom) = corners.min(axis=0), corners.max(axis=0)
    room = (_WIDE - 2 * (_BESIDE + _BALL + 1)) / (right - left), (high_mm - 16) / (bottom - top)
    scale = min(1.0, *room)
    places = [(m.words, view.on_paper(m.place)[0]) for m in marks]
    colour = {m.words: m.colour for m in marks}
    balls = _spread(places, left - _BESIDE / scale, right + _BESIDE / scale, _STEP / scale)
    ys = [ball[1] for _, _, ball in balls]
    high = min([top, *ys]) - 6 / scale
    low = max([bottom, *ys]) + 6 / scale
    edge = (_BESIDE + _BALL + 1) / scale
    if view.mouth_up:
        name, pose = SEEN_FROM[view.quarter], "turned over, mouth up"
    else:
        name, pose = "from the front" if view.quarter == 0 else "from the left", "as it stands"
    body = (
        f'<path d="{path(seen)}" fill="{GHOST}" fill-rule="evenodd" stroke="{EDGE}" '
        f'stroke-width="{0.3 / scale:.2f}"/>'
        + _front(view, left, right, top if view.mouth_up else bottom, scale)
        + "".join(_line(m, view, scale) for m in marks)
        + "".join(_ball(words, place, ball, scale, colour[words]) for words, place, ball in balls)
    )
    return Drawing(f"Seen {name}, {pose}", left - edge, high, right - left + 2 * edge, low - high,
                   body, f"{plain(100 * scale, 0)} % of true size", scale)  # fmt: skip


def _spread(
    places: list[tuple[str, Floats]], left: float, right: float, step: float
) -> list[tuple[str, Floats, Floats]]:
    """Return words, place and a spot beside the piece for each, no two nearer than a step."""
    spots: list[tuple[str, Floats, Floats]] = []
    middle = (left + right) / 2
    for x, near in ((left, True), (right, False)):
        column = sorted(
            (p for p in places if (p[1][0] < middle) == near), key=lambda p: float(p[1][1])
        )
        ys: list[float] = []
        for _, place in column:
            ys.append(max(float(place[1]), ys[-1] + step) if ys else float(place[1]))
        # A crowd is centred on its places instead of running off below them.
        over = ys[-1] - float(column[-1][1][1]) if ys else 0.0
        spots += [
            (words, place, np.array([x, y - over / 2]))
            for (words, place), y in zip(column, ys, strict=True)
        ]
    return spots


def _line(mark: Mark, view: Side, scale: float) -> str:
    """Return the line from a mark's place to its end; nothing where it has none."""
    if mark.end is None:
        return ""
    (ax, ay), (bx, by) = view.on_paper(np.vstack([mark.place, mark.end]))
    return (
        f'<path d="M{ax:.2f} {ay:.2f}L{bx:.2f} {by:.2f}" stroke="{mark.colour}" '
        f'stroke-width="{0.9 / scale:.2f}"/>'
        f'<circle cx="{bx:.2f}" cy="{by:.2f}" r="{1.0 / scale:.2f}" fill="#fff" '
        f'stroke="{mark.colour}" stroke-width="{0.5 / scale:.2f}"/>'
    )


def _ball(words: str, place: Floats, ball: Floats, scale: float, colour: str) -> str:
    (px, py), (x, y) = place, ball
    size = (4.6 if len(words) < 2 else 3.4) / scale
    return (
        f'<path d="M{px:.2f} {py:.2f}L{x:.2f} {y:.2f}" stroke="{colour}" '
        f'stroke-width="{0.3 / scale:.2f}"/>'
        f'<circle cx="{px:.2f}" cy="{py:.2f}" r="{1.1 / scale:.2f}" fill="{colour}"/>'
        f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{_BALL / scale:.2f}" fill="#fff" '
        f'stroke="{colour}" stroke-width="{0.7 / scale:.2f}"/>'
        + label(x, y + 1.6 / scale, words, size=size, anchor="middle", bold=True, colour=colour)
    )


def _front(view: Side, left: float, right: float, mouth: float, scale: float) -> str:
    """Return the word mouth at its end, and where the front is."""
    away = -1.5 if view.mouth_up else 4.0
    middle = (left + right) / 2
    words = label(middle, mouth + away / scale, "mouth", size=2.8 / scale, anchor="middle",
                  colour=INK)  # fmt: skip
    if view.quarter in (0, 180):
        return words
    ahead = float(np.array([0.0, -1.0, 0.0]) @ view.right)
    x = right if ahead > 0 else left
    arrow = "front \u2192" if ahead > 0 else "\u2190 front"
    anchor = "end" if ahead > 0 else "start"
    # On a small drawing both have no room side by side.
    words = words if (right - left) * scale > 34.0 else ""
    return words + label(x, mouth + away / scale, arrow, size=2.8 / scale, anchor=anchor)
