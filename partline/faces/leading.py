"""Leading the cut's line by hand: what can be taken hold of, and what a drag of it says."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from partline.cut.tracing import Held, Trace, Track, held, track_of
from partline.cutting import bench_of_cut
from partline.errors import NoPath
from partline.faces.demould_chart import stretch_at
from partline.faces.figures import System, length
from partline.faces.painting import place_on_stand
from partline.faces.workbench import in_file
from partline.geometry.surface import Floats
from partline.job import ZonePart
from partline.plan import Plan
from partline.progress import Progress, silent, span
from partline.workshop.materials import defaults

Kind = Literal["start here", "end here", "pass through"]
LINE_KINDS: tuple[Kind, ...] = ("start here", "pass through", "end here")


@dataclass(frozen=True, eq=False)
class Handle:
    """A place of a line that can be dragged.

    Attributes
    ----------
    line : int
    kind : str
        "start here", "end here", or "pass through".
    place : (3,) float64
        In the pose of the stand [mm].
    zone : int
        Which of the zones says so already; -1 for none.
    """

    line: int
    kind: Kind
    place: Floats
    zone: int = -1


@dataclass(frozen=True, eq=False)
class Tracks:
    """The lines of a plan, ready to be dragged.

    Attributes
    ----------
    key : tuple
        What they were made for; see `tracks_key`.
    tracks : tuple of Track or None
        One a line; None where it cannot be led.
    """

    key: tuple[Any, ...]
    tracks: tuple[Track | None, ...]


def unled(zones: Sequence[ZonePart]) -> tuple[ZonePart, ...]:
    """Return the zones without those that lead lines."""
    return tuple(zone for zone in zones if zone.kind not in LINE_KINDS)


def tracks_key(plan: Plan) -> tuple[Any, ...]:
    """Return what tracks hang on: they hold while places of lines are moved about."""
    painted = unled(plan.job.zones)
    sides = tuple(line.side for line in plan.cut.lines)
    return plan.stand, plan.detail, painted, plan.job.cut.margin_mm, sides


def laid_tracks(plan: Plan, progress: Progress = silent) -> Tracks:
    """Return the lines of a plan ready to be dragged; some seconds of work.

    Raises
    ------
    PartlineError
        If the cut's bench cannot be laid, as in planning.
    """
    known = defaults(plan.job.shop.defaults)
    job = plan.job.model_copy(update={"zones": unled(plan.job.zones)})
    bench = bench_of_cut(job, plan.stand, plan.detail, known, span(progress, 0.0, 0.8))
    found: list[Track | None] = []
    for k, line in enumerate(plan.cut.lines):
        progress(0.8 + 0.1 * k, "laying out where the line can be led")
        try:
            led = bool(line.side) and line.over is None
            found.append(track_of(bench, line.side, line.marks.likely_mm) if led else None)
        except NoPath:
            # The line itself runs there only because it was led: it stays as it is.
            found.append(None)
    return Tracks(tracks_key(plan), tuple(found))


def handles(plan: Plan, zones: Sequence[ZonePart], lines: Sequence[Floats]) -> list[Handle]:
    """Return what of some lines can be dragged, beside the lines themselves.

    Parameters
    ----------
    zones : sequence of ZonePart
        As said now.
    lines : sequence of (k, 3) float64
        As drawn now, in the pose of the stand [mm].
    """
    found = []
    for k, points in enumerate(lines):
        found += [Handle(k, "start here", points[0]), Handle(k, "end here", points[-1])]
    for number, zone in enumerate(zones):
        if zone.kind != "pass through" or zone.point is None or not lines:
            continue
        place = place_on_stand(plan, zone)
        gaps = [float(np.linalg.norm(points - place, axis=1).min()) for points in lines]
        k = int(np.argmin(gaps))
        # A line need only touch the place: what can be taken is the spot where it does.
        if gaps[k] <= 1.5 * (zone.radius_mm or 0.0) + 0.5:
            near = lines[k][int(np.argmin(np.linalg.norm(lines[k] - place, axis=1)))]
            found.append(Handle(k, "pass through", near, number))
    return found


def taken(
    found: Sequence[Handle], lines: Sequence[Floats], origin: Floats, along: Floats,
    *, within_mm: float, before_mm: float = np.inf,
) -> Handle | None:  # fmt: skip
    """Return what lies under the pointer: a handle, else the line itself, else nothing.

    Parameters
    ----------
    found, lines
        As of `handles`.
    origin, along : (3,) float64
        The line of sight, in the pose of the stand; `along` of unit length [mm].
    within_mm : float
        How near it must be [mm].
    before_mm : float
        Where the line of sight meets the piece: nothing behind that is taken [mm].
    """

    def off(points: Floats) -> Floats:
        away = points - origin
        depth = away @ along
        gap = np.linalg.norm(away - depth[:, None] * along, axis=1)
        return np.where(depth <= before_mm + 2 * within_mm, gap, np.inf)

    if found:
        gaps = off(np.array([handle.place for handle in found]))
        if gaps.min() <= within_mm:
            return found[int(np.argmin(gaps))]
    best: tuple[float, Handle | None] = (0.7 * within_mm, None)
    for k, points in enumerate(lines):
        gaps = off(_dense(points, within_mm / 2))
        spot = int(np.argmin(gaps))
        if gaps[spot] < best[0]:
            best = float(gaps[spot]), Handle(k, "pass through", _dense(points, within_mm / 2)[spot])
    return best[1]


def _dense(points: Floats, step: float) -> Floats:
    """Return points along a line no farther apart than a step [mm]."""
    gap = np.linalg.norm(np.diff(points, axis=0), axis=1)
    along = np.concatenate([[0.0], np.cumsum(gap)])
    at = np.linspace(0.0, along[-1], int(along[-1] / max(step, 1e-3)) + 2)
    return np.column_stack([np.interp(at, along, points[:, k]) for k in range(3)])


def led_to(plan: Plan, kind: Kind, place: Floats) -> ZonePart:
    """Return what leads a line to a (3,) place in the pose of the stand [mm]."""
    radius = round(max(1.0, 0.015 * float(plan.stand.top_mm - plan.stand.seat_mm)), 3)
    point = in_file(plan.master, place - np.array([0.0, 0.0, plan.stand.lift_mm]))
    return ZonePart(kind=kind, point=point, radius_mm=radius)


@dataclass(frozen=True, eq=False)
class Lead:
    """A drag that is under way.

    Attributes
    ----------
    plan : Plan
    handle : Handle
    zones : tuple of ZonePart
        As they were said before it.
    hold : Held
    plain_cost : float
        Of the line as the hand found it, reckoned in the same way [mm].
    """

    plan: Plan
    handle: Handle
    zones: tuple[ZonePart, ...]
    hold: Held
    plain_cost: float

    def to(self, place: Floats, along: Floats | None = None) -> Trace:
        """Return the line with the held place as near as it can come to a (3,) place [mm].

        With a direction, to the line of sight through that place, which misses the piece.
        """
        return self.hold.moved_to(place, along)

    def said(self, trace: Trace) -> tuple[ZonePart, ...]:
        """Return the zones with the held place where a trace has it."""
        handle, mine = self.handle, led_to(self.plan, self.handle.kind, trace.place)
        if handle.zone >= 0:
            return (*self.zones[: handle.zone], mine, *self.zones[handle.zone + 1 :])
        if handle.kind == "pass through":
            return (*self.zones, mine)
        return (*(z for z in self.zones if not self._of_this_line(z)), mine)

    def _of_this_line(self, zone: ZonePart) -> bool:
        """Tell whether a zone says already where this end of this line lies."""
        if zone.kind != self.handle.kind or zone.point is None:
            return False
        place, which = place_on_stand(self.plan, zone), 0 if zone.kind == "start here" else -1
        ends = [line.points[which] for line in self.plan.cut.lines]
        return int(np.argmin(np.linalg.norm(ends - place, axis=1))) == self.handle.line


def took(
    plan: Plan, tracks: Tracks, zones: tuple[ZonePart, ...], lines: Sequence[Floats],
    handle: Handle,
) -> Lead:  # fmt: skip
    """Take hold of a handle.

    Raises
    ------
    NoPath
        If the line can be led nowhere else.
    """
    track = tracks.tracks[handle.line]
    if track is None:
        raise NoPath("This line can be led nowhere else.")
    places, which = _places(plan, track, zones, lines, handle)
    hold = held(track, places, which)
    return Lead(plan, handle, zones, hold, hold.moved_to(handle.place).cost)


def _places(
    plan: Plan, track: Track, zones: tuple[ZonePart, ...], lines: Sequence[Floats], handle: Handle
) -> tuple[list[NDArray[np.int64]], int]:
    """Return where a line may be from its start to its end, and which of these is held."""
    points, end = track.points, float(lines[handle.line][-1][2])
    z = points[:, 2]
    mine = [h for h in handles(plan, zones, lines) if h.line == handle.line and h.zone >= 0]
    through = sorted((h for h in mine if h.zone != handle.zone), key=lambda h: float(h.place[2]))
    start, stop = track.sources, track.targets(end)
    for zone in zones:
        if zone.kind not in ("start here", "end here") or zone.point is None:
            continue
        place, k = place_on_stand(plan, zone), 0 if zone.kind == "start here" else -1
        ends = np.array([line[k] for line in lines])
        if int(np.argmin(np.linalg.norm(ends - place, axis=1))) != handle.line:
            continue
        if k == 0:
            start = np.array([track.nearest(place, track.sources)])
        else:
            stop = np.array([track.nearest(place, stop)])
    open_ = np.flatnonzero(track.open)
    if handle.kind == "start here":
        start = track.sources
    elif handle.kind == "end here":
        low = max((float(h.place[2]) for h in through), default=plan.stand.seat_mm)
        stop = open_[(z[open_] > low) & (z[open_] <= track.never_past_mm)]
    places = [start, *(np.array([track.nearest(h.place)]) for h in through), stop]
    if handle.kind != "pass through":
        return places, 0 if handle.kind == "start here" else len(places) - 1
    # Places are passed in the order of their heights: it stays between its neighbours.
    which = 1 + sum(float(h.place[2]) < handle.place[2] for h in through)
    heights = [plan.stand.seat_mm, *(float(h.place[2]) for h in through), end]
    low, high = heights[which - 1], heights[which]
    free = open_[(z[open_] >= low) & (z[open_] <= high)]
    return [*places[:which], free, *places[which:]], which


def lead_words(lead: Lead, trace: Trace, system: System) -> str:
    """Return in a sentence what the line costs where it is dragged, and what must stretch."""
    more = trace.cost - lead.plain_cost
    dearer = f"{length(abs(more), system)} {'more' if more > 0 else 'less'} than before"
    dearer = "as before" if abs(more) < 0.5 else dearer
    end = float(trace.points[-1][2])
    least, most = stretch_at(lead.plan.cut, end)
    return (
        f"{length(trace.length_mm, system)} on the piece; it costs as much as "
        f"{length(trace.cost, system)} over plain skin, {dearer}. It ends "
        f"{length(end, system)} below the mouth face: the rubber stretches {100 * least:.0f} to "
        f"{100 * most:.0f} %, an estimate."
    )


def led_words(zones: Sequence[ZonePart]) -> str:
    """Return in a sentence how the lines are led; "" where they run by themselves."""
    many = {kind: sum(zone.kind == kind for zone in zones) for kind in LINE_KINDS}
    names = {"start here": ("start", "starts"), "pass through": ("place to pass through", "places "
             "to pass through"), "end here": ("end", "ends")}  # fmt: skip
    said = [f"{n} {names[kind][n > 1]}" for kind, n in many.items() if n]
    return f"Led by hand: {', '.join(said)}." if said else ""
