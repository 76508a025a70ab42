"""The demould chart as plain lines: how much the rubber stretches for each end of the cut."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from partline.cut.cut import Cut, CutLine
from partline.faces.figures import System, length
from partline.faces.sheet_parts import depth_words
from partline.geometry.surface import Floats
from partline.plan import Plan


@dataclass(frozen=True, eq=False)
class Chart:
    """The chart in shares of its box, 0 to 1 to the right and up.

    Attributes
    ----------
    snaking, straight : (k, 2) float64
        The two bounds of the stretch over the place of the cut's end.
    limit : float
        The rubber's working strain.
    low_mm, high_mm : float
        Places of the cut's end at the left and right edge: above the cup's floor, or along the way
        to the hinge [mm].
    top : float
        Stretch at the upper edge [1].
    """

    snaking: Floats
    straight: Floats
    limit: float
    low_mm: float
    high_mm: float
    top: float

    def share_of(self, at_mm: float) -> float:
        """Return how far to the right a place lies."""
        share = (at_mm - self.low_mm) / max(self.high_mm - self.low_mm, 1e-9)
        return float(np.clip(share, 0.0, 1.0))


def chart_of(cut: Cut) -> Chart | None:
    """Return the chart of a cut; None where there is no curve to show."""
    curve = cut.curve
    sane = np.isfinite(curve.snaking) & np.isfinite(curve.straight)
    if int(sane.sum()) < 2:
        return None
    height, snaking, straight = (v[sane] for v in (curve.cut_to_mm, curve.snaking, curve.straight))
    top = max(2.0 * cut.working_strain, 1e-3)
    low, high = float(height.min()), float(height.max())
    along = (height - low) / max(high - low, 1e-9)

    def line(stretch: Floats) -> Floats:
        return np.column_stack([along, np.clip(stretch / top, 0.0, 1.0)])

    return Chart(line(snaking), line(straight), cut.working_strain / top, low, high, top)


def likely_end(line: CutLine) -> float:
    """Return where a line is likely to end, as the chart of its cut counts it [mm]."""
    return (line.over or line.marks).likely_mm


def stretch_at(cut: Cut, at_mm: float) -> tuple[float, float]:
    """Return the stretch, snaking and straight, with the cut's end at a place [1]."""
    curve = cut.curve
    order = np.argsort(curve.cut_to_mm)
    return (
        float(np.interp(at_mm, curve.cut_to_mm[order], curve.snaking[order])),
        float(np.interp(at_mm, curve.cut_to_mm[order], curve.straight[order])),
    )


def chart_words(plan: Plan, at_mm: float, system: System) -> str:
    """Return in words what a cut that ends at a place of the chart asks of the rubber."""
    cut = plan.cut
    least, most = stretch_at(cut, at_mm)
    limit = cut.working_strain
    if most <= limit:
        said = "it comes out"
    elif least <= limit:
        said = "it comes out if it is worked out piece by piece, not pulled straight"
    else:
        said = "the rubber would be overstretched: cut further"
    return (
        f"Cut {end_words(plan, at_mm, system)}: the rubber stretches "
        f"{100 * least:.0f} to {100 * most:.0f} %, its working limit is {100 * limit:.0f} %: "
        f"{said}. An estimate."
    )


def end_words(plan: Plan, at_mm: float, system: System) -> str:
    """Return where a cut ends in words; over the floor it is measured across that floor."""
    lines = plan.cut.lines
    if lines and lines[0].over is not None:
        return depth_words(plan, lines[0], at_mm, system)
    return f"to {length(at_mm, system)} below the mouth face"
