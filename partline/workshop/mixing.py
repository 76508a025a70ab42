"""A mix on the scale: small part first, what it reads as each part goes in."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from itertools import accumulate

from partline.errors import WorkshopError
from partline.workshop.materials import defaults
from partline.workshop.mix import Mix


def parse_ratio(text: str, names: Sequence[str] = ("rubber", "hardener")) -> dict[str, float]:
    """Read a ratio as a label gives it: "10:1" is ten of rubber to one of hardener.

    Parameters
    ----------
    text : str
        Numbers with ":" or "to" between them, e.g. "10:1", "100:90", "100 to 3.5".
    names : sequence of str
        What the numbers stand for, in the label's order.

    Raises
    ------
    WorkshopError
        If it is not a ratio, or has not one number for each name.
    """
    numbers = re.split(r"\s*(?::|\bto\b)\s*", text.strip())
    if len(numbers) < 2 or not all(re.fullmatch(r"\d+(\.\d+)?|\.\d+", n) for n in numbers):
        raise WorkshopError(
            f'ratio: "{text}" is not a ratio. Write it as on the label, like 10:1 '
            f"({names[0]} to {names[-1]})."
        )
    if len(numbers) != len(names):
        raise WorkshopError(
            f'ratio: "{text}" has {len(numbers)} numbers, but there are {len(names)} parts '
            f"({', '.join(names)})."
        )
    return _checked_parts({name: float(n) for name, n in zip(names, numbers, strict=True)})


def mix(
    total_g: float,
    parts: Mapping[str, float],
    *,
    by: str = "weight",
    densities: Mapping[str, float] | None = None,
    extras: Mapping[str, float] | None = None,
    extras_in: str | None = None,
    resolution_g: float = 0.1,
) -> Mix:
    """Return a mix: grams of each part, small part first, and the scale's running totals.

    The small part goes in first, because a drop too much of it can still be answered by more of
    the large one.

    Parameters
    ----------
    total_g : float
        The whole mix [g].
    parts : mapping of str to float
        The label's ratio, e.g. {"hardener": 1, "rubber": 10}; at least two.
    by : {"weight", "volume"}
        How the ratio counts.
    densities : mapping of str to float, optional
        Of each part [g/cm^3]; asked for when the ratio is by volume.
    extras : mapping of str to float, optional
        Pigment and filler, each as a share by weight of the polyol part [percent]. That part then
        goes first, they are stirred into it, and the whole mix counts them.
    extras_in : str, optional
        The part they go into, where no part's name has "polyol" in it.
    resolution_g : float
        Smallest step of the scale [g].

    Raises
    ------
    WorkshopError
        If a figure cannot be, a density is missing, or a part is too small for the scale.
    """
    total = _positive("total_g", total_g, "g")
    step = _positive("resolution_g", resolution_g, "g")
    amounts = weights_of(parts, by, densities)
    label = sorted(amounts, key=lambda part: amounts[part])
    order, added = label, _added(amounts, extras, extras_in)
    if added:
        carrier = carrier_of(amounts, extras_in)
        small = sorted(added, key=lambda part: added[part])
        order = [carrier, *small, *(part for part in label if part != carrier)]
    weights = {**amounts, **added}
    whole = sum(weights.values())
    exact = {part: total * weights[part] / whole for part in order}
    counts = {part: math.floor(grams / step + 0.5) for part, grams in exact.items()}
    for part in order:
        if counts[part] == 0:
            raise WorkshopError(
                f"{part}: {exact[part]:.3g} g of it is less than the scale's step of {step:g} g "
                "can weigh. Mix more, or use a finer scale (resolution_g)."
            )
    grams = tuple(_stepped(counts[part], step) for part in order)
    reads = tuple(_stepped(n, step) for n in accumulate(counts[part] for part in order))
    # A ratio is right or wrong against the part there is most of.
    most = label[-1]
    error = max(
        abs(counts[part] / counts[most] / (exact[part] / exact[most]) - 1.0) for part in label
    )
    words = _words(order, reads, step, error)
    if added:
        words = (*words, f"Stir {' and '.join(small)} well into the {carrier} before anything else "
                         "goes in.")  # fmt: skip
    return Mix(tuple(order), grams, reads, reads[-1], error, words, tuple(added))


def carrier_of(parts: Mapping[str, float], named: str | None) -> str:
    """Return the part that pigment and filler go into.

    Raises
    ------
    WorkshopError
        If it is named but is no part, or is not named and no part is called a polyol.
    """
    if named is not None:
        if named not in parts:
            raise WorkshopError(f'extras_in: "{named}" is not among the parts '
                                f"({', '.join(parts)}).")  # fmt: skip
        return named
    found = [part for part in parts if "polyol" in part.lower()]
    if len(found) != 1:
        raise WorkshopError(
            "extras: which part do they go into? Name it with extras_in; for a polyurethane it is "
            f"the polyol part (parts here: {', '.join(parts)})."
        )
    return found[0]


def _added(
    amounts: dict[str, float], extras: Mapping[str, float] | None, named: str | None
) -> dict[str, float]:
    if not extras:
        return {}
    base = amounts[carrier_of(amounts, named)]
    for name, share in extras.items():
        if name in amounts:
            raise WorkshopError(f'extras: "{name}" is already one of the parts.')
        _positive(f"extras: {name}", share, "%")
    return {name: share / 100.0 * base for name, share in extras.items()}


def _positive(key: str, value: float, unit: str) -> float:
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not math.isfinite(value):
        raise WorkshopError(f"{key} is {value!r}; a number of {unit} is wanted.")
    if value <= 0:
        raise WorkshopError(f"{key} is {value:g} {unit}; it must be more than 0.")
    if value > 1e7:
        raise WorkshopError(f"{key} is {value:g} {unit}; more than ten tonnes cannot be meant.")
    return float(value)


def _checked_parts(parts: Mapping[str, float]) -> dict[str, float]:
    if len(parts) < 2:
        raise WorkshopError(f"parts: a mix has at least two parts; here there are {len(parts)}.")
    for part, amount in parts.items():
        if len(part.strip()) < 2:
            raise WorkshopError(
                f'parts: "{part}" alone is not a name: labels differ in what they call {part}. '
                "Say hardener, rubber, isocyanate part, polyol part."
            )
        plain = isinstance(amount, (int, float)) and not isinstance(amount, bool)
        if not plain or not math.isfinite(amount) or amount <= 0:
            raise WorkshopError(f"parts: {part} is {amount!r}; it must be a number more than 0.")
    return {part: float(amount) for part, amount in parts.items()}


def weights_of(
    parts: Mapping[str, float], by: str = "weight", densities: Mapping[str, float] | None = None
) -> dict[str, float]:
    """Return a label's ratio by weight, whichever way the label counts.

    Raises
    ------
    WorkshopError
        As `mix`.
    """
    return _by_weight(_checked_parts(parts), by, densities)


def _by_weight(
    parts: dict[str, float], by: str, densities: Mapping[str, float] | None
) -> dict[str, float]:
    if by == "weight":
        return parts
    if by != "volume":
        raise WorkshopError(f'by: "{by}" is not a way to count; say "weight" or "volume".')
    known = densities or {}
    missing = [part for part in parts if part not in known]
    if missing:
        raise WorkshopError(
            f"densities: a ratio by volume needs the density of {', '.join(missing)} to be "
            "weighed. The technical sheet gives it, also as specific gravity."
        )
    for part in parts:
        _positive(f"densities: {part}", known[part], "g/cm³")
    return {part: amount * known[part] for part, amount in parts.items()}


def _stepped(count: int, step: float) -> float:
    """Return count steps of the scale without the dust of floating point."""
    return round(count * step, 9)


def _words(
    order: Sequence[str], reads: Sequence[float], step: float, error: float
) -> tuple[str, ...]:
    places = max(0, min(3, math.ceil(-math.log10(step) - 1e-9)))
    pours = [f"{part} to {read:.{places}f}" for part, read in zip(order, reads, strict=True)]
    words = ["; ".join(["cup on, zero", *pours])]
    tolerance = defaults().value("mix.ratio_tolerance")
    if error > tolerance:
        words.append(
            f"The scale's step of {step:g} g puts the ratio {100 * error:.1f} % off; more than "
            f"{100 * tolerance:g} % is commonly thought too much. Mix more or use a finer scale."
        )
    return tuple(words)
