"""The smallest batch that is still sensible: for the scale, and for the cure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from partline.workshop.materials import Defaults, defaults
from partline.workshop.mixing import weights_of


@dataclass(frozen=True)
class LeastBatch:
    """The smallest sensible batch of a mix.

    Attributes
    ----------
    grams : float
        [g]
    by_scale_g : float or None
        Below this the scale's step may put the ratio off by more than is tolerated; None where
        the label's ratio is not known [g].
    by_cure_g : float or None
        Below this a small mass may not warm itself enough to cure as its label says; None for a
        rubber [g].
    enough : bool
        The batch that is planned is not smaller.
    words : tuple of str
    """

    grams: float
    by_scale_g: float | None
    by_cure_g: float | None
    enough: bool
    words: tuple[str, ...]


def least_for_scale_g(
    parts: Mapping[str, float], resolution_g: float, *, by: str = "weight",
    densities: Mapping[str, float] | None = None, tolerance: float | None = None,
) -> float:  # fmt: skip
    """Return the batch from which on rounding never puts the ratio off by more than a share [g].

    With h half a step, s and S the shares of the smallest and the greatest part and T the batch,
    the error is at most (1 + h/sT) / (1 - h/ST) - 1; this is solved for T.

    Raises
    ------
    WorkshopError
        As `partline.workshop.mixing.mix`.
    """
    weights = weights_of(parts, by, densities)
    tol = defaults().value("mix.ratio_tolerance") if tolerance is None else tolerance
    whole = sum(weights.values())
    least, most = min(weights.values()) / whole, max(weights.values()) / whole
    return float(resolution_g / 2.0 * (1.0 / least + (1.0 + tol) / most) / tol)


def least_batch(
    planned_g: float, parts: Mapping[str, float] | None, resolution_g: float, known: Defaults, *,
    by: str | None, densities: Mapping[str, float] | None, resin: bool,
) -> LeastBatch:  # fmt: skip
    """Return the smallest sensible batch beside the one that is planned.

    Parameters
    ----------
    planned_g : float
        [g]
    parts, by, densities
        The label's ratio; without it only the cure counts.
    resolution_g : float
        Step of the scale [g].
    known : Defaults
    resin : bool
        A resin needs a mass that warms itself; a rubber does not.
    """
    scale = None
    tol = known.value("mix.ratio_tolerance")
    if parts is not None and by is not None:
        scale = least_for_scale_g(parts, resolution_g, by=by, densities=densities, tolerance=tol)
    cure = known.value("casting.least_batch_g") if resin else None
    least = max(scale or 0.0, cure or 0.0)
    words = []
    if cure is not None and planned_g < cure:
        words.append(
            f"{planned_g:.0f} g is less than the {cure:.0f} g a label's pot life is for: a smaller "
            "batch cures slower and softer. Fill several moulds, or let it cure longer."
        )
    if scale is not None and planned_g < scale:
        words.append(
            f"On a scale with steps of {resolution_g:g} g a batch under {scale:.0f} g may be more "
            f"than {100 * tol:g} % off in its ratio."
        )
    return LeastBatch(least, scale, cure, planned_g >= least, tuple(words))
