"""Cost of a piece, rolled up from the shop's own rates; a rate not given is left out and asked."""

from __future__ import annotations

from dataclasses import dataclass

from partline.job_run import RatesPart


@dataclass(frozen=True)
class CostLine:
    """One line of the sum.

    Attributes
    ----------
    name : str
    each : float
        For one good piece [money].
    words : str
        How it comes about.
    """

    name: str
    each: float
    words: str


@dataclass(frozen=True)
class Cost:
    """What one good piece costs.

    Attributes
    ----------
    currency : str
    lines : tuple of CostLine
    each : float
        Cost of one good piece: the lines and what is added to them [money].
    price : float or None
        With the margin; None where none is given [money].
    total : float
        All good pieces [money].
    missing : tuple of str
        Keys of [rates] that are not given: left out of the sum.
    """

    currency: str
    lines: tuple[CostLine, ...]
    each: float
    price: float | None
    total: float
    missing: tuple[str, ...]


@dataclass(frozen=True)
class Amounts:
    """What a run takes.

    Attributes
    ----------
    good, blocks : int
    yield_share : float
        [1].
    rubber_g : float
        For one block, with what is lost and spare [g].
    resin_g, pigment_g : float
        For one casting, likewise [g].
    casting_min, finishing_min : float
        Work on one casting, and on a good one afterwards [min].
    """

    good: int
    blocks: int
    yield_share: float
    rubber_g: float
    resin_g: float
    pigment_g: float
    casting_min: float
    finishing_min: float


def cost(amounts: Amounts, rates: RatesPart) -> Cost:
    """Return what one good piece costs.

    Blocks and master are shared by the good castings; castings that fail are paid by the good
    ones (divided by the yield, not by whole castings, so that the figure does not jump about).

    Parameters
    ----------
    amounts : Amounts
    rates : RatesPart
        The shop's own; nothing is assumed.
    """
    shared = amounts.blocks / amounts.good
    per_yield = 1.0 / amounts.yield_share
    hour = None if rates.labour_per_h is None else rates.labour_per_h / 60.0
    lines: list[CostLine] = []

    def add(name: str, rate: float | None, amount: float, words: str) -> None:
        if rate is not None and amount > 0:
            lines.append(CostLine(name, rate * amount, words))

    of_all = f"shared by {amounts.good}"
    add("master", rates.master, 1.0 / amounts.good, of_all)
    add("rubber", rates.rubber_per_kg, amounts.rubber_g / 1000.0 * shared,
        f"{amounts.rubber_g:.0f} g for each of {amounts.blocks}, {of_all}")  # fmt: skip
    block_min = rates.block_labour_min
    add("work on the moulds", hour, (block_min or 0.0) * shared,
        f"{block_min or 0.0:g} min for each of {amounts.blocks}, {of_all}")  # fmt: skip
    failing = f"divided by a yield of {100 * amounts.yield_share:.3g} %"
    add("resin", rates.resin_per_kg, amounts.resin_g / 1000.0 * per_yield,
        f"{amounts.resin_g:.0f} g, {failing}")  # fmt: skip
    add("pigment", rates.pigment_per_kg, amounts.pigment_g / 1000.0 * per_yield,
        f"{amounts.pigment_g:.2g} g, {failing}")  # fmt: skip
    add("consumables", rates.consumables, per_yield, failing)
    add("casting", hour, amounts.casting_min * per_yield,
        f"{amounts.casting_min:g} min, {failing}")  # fmt: skip
    add("clean-up", hour, amounts.finishing_min, f"{amounts.finishing_min:.0f} min")
    add("packing", rates.packing, 1.0, "")
    base = sum(line.each for line in lines)
    for name, share in (("contingency", rates.contingency), ("overhead", rates.overhead)):
        add(name, share, base, f"{100 * (share or 0.0):g} % of what stands above it")
        base = sum(line.each for line in lines)
    price = base / (1.0 - rates.margin) if rates.margin is not None else None
    return Cost(rates.currency, tuple(lines), base, price, base * amounts.good, _missing(rates))


def _missing(rates: RatesPart) -> tuple[str, ...]:
    """Return the keys of [rates], as the file has them, that are not given."""
    return tuple(
        str(field.validation_alias or name)
        for name, field in RatesPart.model_fields.items()
        if name != "currency" and getattr(rates, name) is None
    )
