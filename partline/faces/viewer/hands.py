"""What a drag with the left button does: turn the piece, tip the block, or paint on it."""

from __future__ import annotations

from collections.abc import Callable

from qtpy.QtCore import Qt, QTimer

from partline.faces.painting import BRUSHES, dabbed, place_in_file
from partline.faces.scene import piece_surface
from partline.faces.tipping import Tip, dragged, reach_deg
from partline.faces.viewer.leading_hand import LeadingHand
from partline.faces.viewer.pane import Pane
from partline.faces.viewer.vent_hand import VentHand
from partline.faces.workbench import Workbench
from partline.job import ZonePart


class Hands:
    """Takes drags in the picture for a workbench, one mode at a time.

    Parameters
    ----------
    redraw : callable
        Draws the picture again, with `zones` while a stroke is under way.
    """

    def __init__(
        self, bench: Workbench, pane: Pane, redraw: Callable[[], None], lines: LeadingHand
    ) -> None:
        self._bench, self._pane, self._redraw, self.lines = bench, pane, redraw, lines
        self.vents = VentHand(bench, pane, redraw)
        self.mode, self.radius_mm = "turn", 4.0
        self.zones: tuple[ZonePart, ...] | None = None
        self._last: tuple[float, float] | None = None
        self._tip: tuple[Tip | None, bool] | None = None
        # Many moves of the mouse in a row become one drawing.
        self._soon = QTimer(pane, singleShot=True, interval=0)
        self._soon.timeout.connect(self._tip_now)

    def take(self, mode: str) -> None:
        """Begin to do something else with a drag."""
        self.mode, self.zones, self._last = mode, None, None
        self.follow()

    def follow(self) -> None:
        """Fit the picture's clicks to the mode; without a plan a drag only turns."""
        plan, view = self._bench.plan, self._bench.view
        led = next((hand for hand in (self.lines, self.vents) if hand.ready()), None)
        if plan is None or (self.mode == "turn" and led is None):
            self._pane.grab = None
            return
        if self.mode == "turn" and led is not None:
            self._pane.grab = led.grabbed
            self._pane.pick_on(piece_surface(plan, view), leads=True)
            return
        self._pane.grab = self._grabbed
        self._pane.pick_on(piece_surface(plan, view) if self.mode in BRUSHES else None)
        self._pane.point_with(Qt.CrossCursor)

    def tip_to(self, tip: Tip | None, moving: bool) -> None:
        """Tip the block at the next chance."""
        self._tip = (tip, moving)
        self._soon.start()

    def _tip_now(self) -> None:
        if self._tip is not None:
            tip, moving = self._tip
            self._tip = None
            view = self._bench.view.switched("air", True)
            self._bench.change(view=view.tipped(tip, moving=moving))

    def _grabbed(self, kind: str, x: float, y: float) -> bool:
        if kind == "press":
            self._last = (x, y)
        if self.mode == "tip":
            self._tipping(kind, x, y)
        elif self.mode in BRUSHES:
            self._painting(kind, x, y)
        return True

    def _tipping(self, kind: str, x: float, y: float) -> None:
        plan, view = self._bench.plan, self._bench.view
        if plan is None or self._last is None:
            return
        tip = self._tip[0] if self._tip is not None else view.tip
        across, down = x - self._last[0], y - self._last[1]
        tip = dragged(tip, across, down, eye=view.eye, pour=view.pour,
                      reach=reach_deg(plan, view.pour))  # fmt: skip
        self._last = (x, y) if kind != "release" else None
        self.tip_to(tip, kind != "release")

    def _painting(self, kind: str, x: float, y: float) -> None:
        bench, plan = self._bench, self._bench.plan
        if plan is None or bench.base is None:
            return
        before = bench.base.zones if self.zones is None else self.zones
        place = None if kind == "release" else self._pane.place_at(x, y)
        if place is not None and (self.mode != "pass through" or kind == "press"):
            point = place_in_file(plan, place, bench.view.pour)
            zones = dabbed(before, self.mode, point, self.radius_mm, plan)  # type: ignore[arg-type]
            if zones != before or self.zones is None:
                self.zones = zones
                self._redraw()
        if kind == "release" and self.zones is not None:
            done, self.zones = self.zones, None
            if done != bench.base.zones:
                bench.change(base=bench.base.model_copy(update={"zones": done}))
