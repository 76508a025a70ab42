"""A hand on the cut's line: take hold of it in the picture, drag, and let go."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from qtpy.QtCore import QTimer

from partline.errors import NoPath
from partline.faces.figures import System
from partline.faces.leading import (
    Handle,
    Lead,
    Tracks,
    handles,
    laid_tracks,
    lead_words,
    led_words,
    taken,
    took,
    tracks_key,
)
from partline.faces.tipping import on_stand
from partline.faces.viewer.jobs import Jobs
from partline.faces.viewer.pane import Pane
from partline.faces.workbench import Workbench
from partline.geometry.surface import Floats
from partline.plan import Plan

# So near the pointer must be to a place of the line to take hold of it [window points].
_REACH = 12.0


class LeadingHand:
    """Drags the start, the end and the places of a cut's lines.

    Attributes
    ----------
    lines : dict of int to (k, 3) float64
        Lines that were dragged and are not planned again yet, by their number [mm].
    words : str
        What is to be said of them now.
    end_mm : float or None
        Where the line that is dragged ends now [mm].
    """

    def __init__(self, bench: Workbench, pane: Pane, jobs: Jobs) -> None:
        self._bench, self._pane, self._jobs = bench, pane, jobs
        self.lines: dict[int, Floats] = {}
        self.words = ""
        self.end_mm: float | None = None
        self.system: System = "mm"
        self.changed: Callable[[], None] = lambda: None
        self._tracks: Tracks | None = None
        self._refused: object = None
        self._open = False
        self._drawn_for: Plan | None = None
        self._lead: Lead | None = None
        self._trace: Any = None
        self._at: tuple[float, float] | None = None
        # Many moves of the mouse in a row become one tracing.
        self._soon = QTimer(pane, singleShot=True, interval=0)
        self._soon.timeout.connect(self._moved)

    def dragging(self) -> bool:
        """Tell whether a line is in the hand."""
        return self._lead is not None

    def follow(self, *, open_: bool, system: System) -> None:
        """Make ready for a plan's lines while their stage is open, and let go of older ones."""
        self.system = system
        plan, self._open = self._bench.plan, open_
        if plan is not self._drawn_for:
            self._drawn_for, self.lines, self._lead = plan, {}, None
        if plan is None or not open_ or not plan.cut.lines:
            self.words = ""
            return
        if not self.lines:
            # What a drag has come to stands there until it is planned.
            self.words = led_words(self._bench.base.zones if self._bench.base else ())
        key = tracks_key(plan)
        if self.ready() or self._bench.stale():
            return
        self.words = "Getting the line ready to be dragged…"
        if self._refused != key:
            self._jobs.start_idle(lambda progress: laid_tracks(plan, progress), self._laid)

    def _laid(self, tracks: Tracks | None) -> None:
        self._tracks = tracks
        if tracks is None and self._bench.plan is not None:
            self._refused = tracks_key(self._bench.plan)
        self.changed()

    def ready(self) -> bool:
        """Tell whether the lines of the plan can be dragged."""
        plan = self._bench.plan
        return (plan is not None and self._open and self._tracks is not None
                and self._tracks.key == tracks_key(plan)
                and not self._bench.stale() & {"piece", "stand"})  # fmt: skip

    def _drawn(self) -> list[Floats]:
        plan = self._bench.plan
        assert plan is not None
        return [self.lines.get(k, line.points) for k, line in enumerate(plan.cut.lines)]

    def under(self, x: float, y: float) -> Handle | None:
        """Return what of the lines lies under a point of the pane."""
        bench, plan = self._bench, self._bench.plan
        if plan is None or bench.base is None or not self.ready():
            return None
        if bench.view.tip is not None or not bench.view.shows("cut"):
            return None
        pour = bench.view.pour
        origin, along = self._pane.ray(x, y)
        met = self._pane.place_at(x, y)
        depth = np.inf if met is None else float((met - origin) @ along)
        lines = self._drawn()
        return taken(handles(plan, bench.base.zones, lines), lines, on_stand(plan, origin, pour),
                     on_stand(plan, origin + along, pour) - on_stand(plan, origin, pour),
                     within_mm=_REACH * self._pane.per_point(), before_mm=depth)  # fmt: skip

    def grabbed(self, kind: str, x: float, y: float) -> bool:
        """Take a drag that begins on a line; anything else is not for this hand."""
        if kind == "hover":
            return self.under(x, y) is not None
        if kind == "press":
            return self._press(x, y)
        if self._lead is None:
            return False
        self._at = (x, y)
        if kind == "move":
            self._soon.start()
        else:
            self._release()
        return True

    def _press(self, x: float, y: float) -> bool:
        bench, plan, found = self._bench, self._bench.plan, self.under(x, y)
        if found is None or plan is None or bench.base is None or self._tracks is None:
            return False
        try:
            self._lead = took(plan, self._tracks, bench.base.zones, self._drawn(), found)
        except NoPath as fault:
            self.words = str(fault)
            self.changed()
        self._trace = None
        return True

    def _moved(self) -> None:
        if self._lead is None or self._at is None:
            return
        plan, pour = self._lead.plan, self._bench.view.pour
        place, along = self._pane.place_at(*self._at), None
        if place is None:
            place, sight = self._pane.ray(*self._at)
            along = on_stand(plan, place + sight, pour) - on_stand(plan, place, pour)
        self._trace = self._lead.to(on_stand(plan, place, pour), along)
        self.lines = {**self.lines, self._lead.handle.line: self._trace.points}
        self.words = lead_words(self._lead, self._trace, self.system)
        self.end_mm = float(self._trace.points[-1][2])
        self.changed()

    def _release(self) -> None:
        self._soon.stop()
        self._moved()
        lead, self._lead = self._lead, None
        base = self._bench.base
        if lead is not None and self._trace is not None and base is not None:
            zones = lead.said(self._trace)
            self._bench.change(base=base.model_copy(update={"zones": zones}))
