"""A hand on the vents: take one in the picture, drag its end over the piece, let go."""

from __future__ import annotations

from collections.abc import Callable

from qtpy.QtCore import QTimer

from partline.faces.tipping import on_stand
from partline.faces.vent_places import vent_ends, vent_moved, vent_under
from partline.faces.viewer.pane import Pane
from partline.faces.workbench import Workbench
from partline.geometry.surface import Floats

# So near the pointer must be to a vent to take hold of it [window points].
_REACH = 9.0


class VentHand:
    """Drags vents of the resin pour, nothing tipped.

    Attributes
    ----------
    held : int or None
        The vent in the hand.
    place : (3,) float64 or None
        Where its end is held now, in the pose of the stand [mm].
    """

    def __init__(self, bench: Workbench, pane: Pane, redraw: Callable[[], None]) -> None:
        self._bench, self._pane, self._redraw = bench, pane, redraw
        self.open = False
        self.held: int | None = None
        self.place: Floats | None = None
        self._at: tuple[float, float] | None = None
        self._soon = QTimer(pane, singleShot=True, interval=0)
        self._soon.timeout.connect(self._moved)

    def ready(self) -> bool:
        """Tell whether there are vents to be dragged in the picture."""
        plan, view = self._bench.plan, self._bench.view
        return bool(self.open and plan is not None and vent_ends(plan) and view.pour == "resin"
                    and view.tip is None and view.shows("air")
                    and not self._bench.stale())  # fmt: skip

    def moved(self) -> tuple[int, Floats] | None:
        """Return which vent is moved and where its end is held; None while none is."""
        return None if self.held is None or self.place is None else (self.held, self.place)

    def _under(self, x: float, y: float) -> int | None:
        plan = self._bench.plan
        if plan is None:
            return None
        origin, along = self._pane.ray(x, y)
        start = on_stand(plan, origin, "resin")
        return vent_under(plan, start, on_stand(plan, origin + along, "resin") - start,
                          within_mm=_REACH * self._pane.per_point())  # fmt: skip

    def grabbed(self, kind: str, x: float, y: float) -> bool:
        """Take a drag that begins on a vent; anything else is not for this hand."""
        if kind == "hover":
            return self._under(x, y) is not None
        if kind == "press":
            self.held, self.place = self._under(x, y), None
            return self.held is not None
        self._at = (x, y)
        if kind == "move":
            self._soon.start()
        else:
            self._release()
        return True

    def _moved(self) -> None:
        plan = self._bench.plan
        if self.held is None or self._at is None or plan is None:
            return
        place = self._pane.place_at(*self._at)
        if place is not None:
            self.place = on_stand(plan, place, "resin")
            self._redraw()

    def _release(self) -> None:
        self._soon.stop()
        self._moved()
        held, place, self.held, self.place = self.held, self.place, None, None
        bench = self._bench
        if held is not None and place is not None and bench.plan and bench.base is not None:
            bench.change(base=vent_moved(bench.plan, bench.base, held, place))
