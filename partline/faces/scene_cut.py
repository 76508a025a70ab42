"""The cut as drawn: its lines with their ends, where they are led, what else was weighed."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from partline.faces import colours, shapes
from partline.faces.actor import Actor, thick, turned_over
from partline.faces.labels import Tag, screen_axes
from partline.faces.leading import handles
from partline.faces.view import View
from partline.geometry.surface import Floats
from partline.job import ZonePart
from partline.plan import Plan


def cut_shown(
    plan: Plan, view: View, led: Mapping[int, Floats] | None, zones: tuple[ZonePart, ...],
    *, solid: float,
) -> tuple[list[Actor], list[Tag]]:  # fmt: skip
    """Return the cut of a view and the words beside it.

    Parameters
    ----------
    led : mapping of int to (k, 3) float64 or None
        Lines that have been dragged elsewhere, by their number; they are drawn in full [mm].
    zones : tuple of ZonePart
        As said now.
    solid : float
        How solid the others are drawn [1].
    """
    shown: list[Actor] = []
    tags: list[Tag] = []
    led = led or {}
    lines = [led.get(k, line.points) for k, line in enumerate(plan.cut.lines)]
    for k, points in enumerate(lines):
        number = f" {k + 1}" if len(lines) > 1 else ""
        drawn, named = _line(plan, view, k, points, number, 1.0 if k in led else solid)
        shown += drawn
        tags += named
    for k, handle in enumerate(h for h in handles(plan, zones, lines) if h.zone >= 0):
        place = turned_over(handle.place[None], plan, view.pour)[0]
        bead = shapes.ball(place, 1.8 * thick(plan))
        shown.append(Actor(f"bead {k}", bead.vertices, bead.faces, colour=colours.LED))
    for slit, loop in enumerate(plan.cut.slits, 1):
        place = turned_over(np.array([loop.place_mm]), plan, view.pour)[0]
        tags.append(Tag(f"S{slit}", place, colours.CUT))
    if view.choice is not None and view.choice < len(plan.cut.alternatives):
        for k, line in enumerate(plan.cut.alternatives[view.choice].lines):
            points = turned_over(line.points, plan, view.pour)
            shown.append(Actor(f"other cut {k}", points, line=True, colour=colours.OTHER,
                               tube_mm=thick(plan)))  # fmt: skip
            tags.append(Tag(f"other line {k + 1}", points[len(points) // 2], colours.OTHER))
    if view.knife_mm is not None:
        _knife(plan, view, shown, tags)
    return shown, tags


def _line(
    plan: Plan, view: View, k: int, line: Floats, number: str, solid: float
) -> tuple[list[Actor], list[Tag]]:
    """Return one line with a ball where it starts and a cube where it stops."""
    points, wide = turned_over(line, plan, view.pour), thick(plan)
    shown = [Actor(f"cut {k}", points, line=True, colour=colours.CUT, tube_mm=wide, opacity=solid)]
    for mark, surface in (
        ("start", shapes.ball(points[0], 2.2 * wide)),
        ("stop", shapes.cube(points[-1], 2.0 * wide)),
    ):
        shown.append(Actor(f"{mark} {k}", surface.vertices, surface.faces, colour=colours.CUT,
                           opacity=solid))  # fmt: skip
    return shown, [
        Tag(f"cut{number} starts", points[0], colours.CUT),
        Tag(f"cut{number} stops", points[-1], colours.CUT),
    ]


def _knife(plan: Plan, view: View, shown: list[Actor], tags: list[Tag]) -> None:
    """The place that the cut's end is tried at, as a ring round the block."""
    at, lines = view.knife_mm or 0.0, plan.cut.lines
    if lines and lines[0].over is not None:
        ring = shapes.upright_ring(plan.container, lines[0].over.toward, at)
    else:
        ring = shapes.closed_ring(shapes.outline_at(plan.container, at))
    if not len(ring):
        return
    ring = turned_over(ring, plan, view.pour)
    shown.append(Actor("knife", ring, line=True, colour=colours.OTHER, tube_mm=thick(plan)))
    right = screen_axes(view.eye)[0]
    tags.append(Tag("cut to here", ring[int(np.argmax(ring @ right))], colours.OTHER, True))
