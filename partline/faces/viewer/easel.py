"""The picture of a workbench: the bare piece with its marks, or its plan."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from partline.faces import colours
from partline.faces.actor import Actor
from partline.faces.coins import COINS
from partline.faces.scene import actors, bare_actors
from partline.faces.sizing import faces_near
from partline.faces.tipping import Tip
from partline.faces.viewer.hands import Hands
from partline.faces.viewer.pane import Pane
from partline.faces.workbench import Workbench
from partline.geometry.surface import Ints, Surface

# Questions that a click on the piece answers.
_CLICKED = ("points", "front", "mouth")


class Easel:
    """Draws a workbench in a pane, and remembers what it was fitted to."""

    def __init__(self, bench: Workbench, pane: Pane, hands: Hands) -> None:
        self._bench, self._pane, self._hands = bench, pane, hands
        self._fitted: object = None
        self._tip: Tip | None = None
        self._dragged = False
        # The block was wholly in the picture before this tip; the picture is fitted to a tip.
        self._held, self._widened = True, False

    def fit_again(self) -> None:
        """Fit the next picture to the pane, though nothing has changed."""
        self._fitted = None

    def draw(self, lengths: Literal["mm", "inches"]) -> None:
        """Draw what there is to see now."""
        bench, pane = self._bench, self._pane
        if bench.master is None:
            pane.show_actors(())
            return
        shown, fit, surface = self._scene(lengths)
        pane.pick_on(surface)
        self._hands.follow()
        renew = self._ran_out(shown) or fit != self._fitted
        pane.show_actors(shown, eye=bench.view.eye if renew else None)
        self._fitted = fit
        if renew:
            self._widened = bench.view.tip is not None

    def _ran_out(self, shown: Sequence[Actor]) -> bool:
        """Tell whether a new tip takes the block out of the picture, or brings it back level.

        Not while it is still dragged, when the picture would jump under the hand; and not where
        someone has come so near that it was not all in the picture before.
        """
        view, pane = self._bench.view, self._pane
        if view.tip == self._tip and not self._dragged:
            return False
        if not self._dragged:
            self._held = pane.holds(pane.shown)
        self._tip, self._dragged = view.tip, view.moving
        if view.moving:
            return False
        return (view.tip is None and self._widened) or (self._held and not pane.holds(shown))

    def _scene(
        self, lengths: Literal["mm", "inches"]
    ) -> tuple[list[Actor], object, Surface | None]:
        """Return what is shown, what it must be fitted to, and what a click lands on."""
        bench, stale = self._bench, self._bench.stale()
        if bench.plan is not None and not stale & {"piece", "stand"}:
            zones = self._hands.zones
            if zones is None and bench.base is not None:
                zones = bench.base.zones
            shown = actors(bench.plan, bench.view, zones=zones, stale="cut" in stale,
                           lines=self._hands.lines.lines,
                           vent=self._hands.vents.moved())  # fmt: skip
            return shown, (id(bench.plan.stand), bench.view.pour), None
        surface = bench.shown_surface()
        coin = COINS[lengths] if bench.height_mm is not None else None
        shown = bare_actors(surface, marked=self._marked(surface), view=bench.view, coin=coin)
        fit = (id(bench.master), bench.up, bench.front, bench.height_mm)
        return shown, fit, surface if bench.question() in _CLICKED else None

    def _marked(self, surface: Surface) -> list[tuple[str, Ints, str]]:
        size = float(surface.extents.max())
        marks = [(f"point {k + 1}", pick, colours.CUT, 0.015)
                 for k, pick in enumerate(self._bench.measured or ())]  # fmt: skip
        if self._bench.mouth is not None:
            marks.append(("mouth", self._bench.mouth, colours.MOUTH, 0.05))
        return [
            (word, faces_near(surface, pick.face, within_mm=reach * size), colour)
            for word, pick, colour, reach in marks
        ]
