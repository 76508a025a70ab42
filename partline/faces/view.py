"""What is shown, without any toolkit: layers, the pour, the tip, from where."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

PourName = Literal["rubber", "resin"]
Eye = tuple[float, float, float]

LAYERS = (
    "piece", "detail", "cut", "air", "zones", "cup", "foot block", "mouth", "front", "labels",
)  # fmt: skip
STAGES = ("piece", "stand", "air", "cut", "weigh", "pour", "after")


@dataclass(frozen=True)
class View:
    """What is shown.

    Attributes
    ----------
    layers : frozenset of str
        Which of `LAYERS` are on.
    pour : str
        "rubber" (mouth down, in the cup) or "resin" (the block turned over, mouth up).
    eye : tuple of float
        From the piece toward the eye, any length; the front is at (0, -1, 0).
    selected : int or None
        Index of the pocket that is pointed out.
    tip : tuple of float or None
        Which way the block is tipped (the side that goes down, clockwise from the front mark)
        and how far [degrees]; None when it is level.
    step : int or None
        The step of the resin pour that is played: the air is what remains in it.
    moving : bool
        The tip is being dragged: what is slow to draw is left out until it is let go.
    choice : int or None
        Index of the alternative cut that is shown beside the chosen one.
    knife_mm : float or None
        Height above the cup's floor at which the cut's end is tried on the slider [mm].
    section : tuple of float or None
        Where the block is shown cut open: to which side the half lies that is taken away, from
        the front toward the right [degrees], and how far from the middle, -1 to 1; None for whole.
    mouth : tuple of float or None
        Another place for the mouth that is looked at, in the pose of the stand [mm].
    filled : float or None
        Share of the cavity that is shown full of resin, 0 to 1; None shows the piece itself.
    """

    layers: frozenset[str] = frozenset(
        {"piece", "cut", "cup", "foot block", "mouth", "front", "labels"}
    )
    pour: PourName = "rubber"
    eye: Eye = (0.25, -1.0, 0.28)
    selected: int | None = None
    tip: tuple[float, float] | None = None
    step: int | None = None
    moving: bool = False
    choice: int | None = None
    knife_mm: float | None = None
    section: tuple[float, float] | None = None
    mouth: Eye | None = None
    filled: float | None = None

    def shows(self, layer: str) -> bool:
        """Tell whether a layer is on."""
        return layer in self.layers

    def switched(self, layer: str, on: bool) -> View:
        """Return the view with one layer on or off.

        Raises
        ------
        ValueError
            If there is no such layer.
        """
        if layer not in LAYERS:
            raise ValueError(f"No layer {layer!r}; there are {', '.join(LAYERS)}.")
        return replace(self, layers=self.layers | {layer} if on else self.layers - {layer})

    def poured(self, pour: PourName) -> View:
        """Return the view in the rubber pour or in the resin pour."""
        return replace(self, pour=pour, selected=None, tip=None, step=None, filled=None,
                       moving=False)  # fmt: skip

    def seen_from(self, eye: Eye) -> View:
        """Return the view seen from another side."""
        return replace(self, eye=eye)

    def tipped(self, tip: tuple[float, float] | None, *, moving: bool = False) -> View:
        """Return the view with the block tipped; a tip of nothing is level."""
        level = tip is None or tip[1] < 0.05
        return replace(self, tip=None if level else tip, step=None, moving=moving, selected=None)

    def played(self, step: int, tip: tuple[float, float] | None) -> View:
        """Return the view in a step of the resin pour, with the air that remains in it."""
        return replace(self.poured("resin").switched("air", True).tipped(tip), step=step)

    def opened(self, section: tuple[float, float] | None, *, moving: bool = False) -> View:
        """Return the view with the block cut open, or whole again."""
        return replace(self, section=section, moving=moving)

    def entered(self, stage: str, *, planned: bool) -> View:
        """Return the view on opening a stage: what it is about; the layers change it from there.

        Parameters
        ----------
        stage : str
            One of `STAGES`.
        planned : bool
            There is a plan, whose layers can be shown.
        """
        view = self
        if planned:
            view = view.switched("air", stage in ("air", "after"))
            view = view.switched("zones", stage == "cut")
            wanted = {"cut": "cut", "weigh": "cup"}.get(stage)
            view = view if wanted is None else view.switched(wanted, True)
        if planned and stage == "after":
            # Voids are written down by the numbers of the resin pour as it stands level.
            view = view.poured("resin")
        view = replace(view, filled=None, mouth=view.mouth if stage == "stand" else None)
        return view if stage == "cut" else replace(view, choice=None, knife_mm=None)
