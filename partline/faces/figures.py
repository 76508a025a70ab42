"""Numbers as a hand reads them: lengths, weights, volumes, and where each number comes from."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

System = Literal["mm", "inches", "both"]
Tag = Literal["exact", "estimate", "default", "yours"]

MM_PER_INCH = 25.4  # exact by definition (international inch, 1959; NIST SP 811 App. B.8)
KPA_PER_PSI = 6.894757293  # pound-force per square inch (NIST SP 811 App. B.8)
ML_PER_US_FL_OZ = 29.5735295625  # exact: 231 in^3 / 128 (NIST SP 811 App. B.8)

TAG_WORDS: dict[Tag, str] = {
    "exact": "worked out exactly for this mesh; a hand cuts within 2 to 3 mm all the same",
    "estimate": "worked out by a method that is not exact; the last page says which",
    "default": "a usual figure, not measured; the last page says whose; your data sheet wins",
    "yours": "stated by you in the job file",
}


@dataclass(frozen=True)
class Said:
    """Words with a number in them, and what kind of number it is.

    Attributes
    ----------
    words : str
        E.g. "62 mm".
    tag : {"exact", "estimate", "default", "yours"}
    source : str
        Method of an estimate or origin of a default; empty when there is nothing to add.
    """

    words: str
    tag: Tag
    source: str = ""


def plain(value: float, decimals: int = 1) -> str:
    """Return a number rounded to so many decimals, no trailing zeros, with a real minus sign."""
    if not math.isfinite(value):
        return "no limit" if value > 0 else "not known"
    text = f"{value:.{decimals}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text.replace("-", "−")


def inches(mm: float) -> str:
    """Return a length in inches: to the nearest 1/16, or in thousandths when under 1/8 in.

    Parameters
    ----------
    mm : float
        Length [mm].
    """
    value = mm / MM_PER_INCH
    if abs(value) < 0.125:
        return f"{plain(value, 3)} in"
    whole, part = divmod(round(abs(value) * 16), 16)
    sign = "−" if value < 0 else ""
    fraction = str(Fraction(part, 16)) if part else ""
    return f"{sign}{' '.join(w for w in (str(whole) if whole else '', fraction) if w)} in"


def length(mm: float, system: System = "mm") -> str:
    """Return a length in words, e.g. "62 mm", "2 7/16 in" or "62 mm (2 7/16 in)".

    Parameters
    ----------
    mm : float
        Length [mm].
    """
    if not math.isfinite(mm):
        return "no limit" if mm > 0 else "not known"
    metric = f"{plain(mm, 0 if abs(mm) >= 100 else 1)} mm"
    if system == "mm":
        return metric
    return inches(mm) if system == "inches" else f"{metric} ({inches(mm)})"


def weight(grams: float, *, decimals: int | None = None) -> str:
    """Return a weight [g]: whole grams from 20 g up, tenths below, unless decimals are given."""
    if decimals is None:
        return f"{plain(grams, 0 if abs(grams) >= 20 else 1)} g"
    return f"{grams:.{decimals}f} g"


def scale_decimals(resolution_g: float) -> int:
    """Return how many decimals a scale of this resolution [g] shows.

    Raises
    ------
    ValueError
        If the resolution is not a positive number.
    """
    if not (math.isfinite(resolution_g) and resolution_g > 0):
        raise ValueError(f"A scale's resolution must be above 0 g; this one is {resolution_g!r}.")
    return max(0, math.ceil(-math.log10(resolution_g) - 1e-9))


def bulk(mm3: float, system: System = "mm") -> str:
    """Return the volume of a liquid: millilitres or litres, US fluid ounces with inches."""
    millilitres = mm3 / 1000.0
    metric = f"{plain(millilitres / 1000, 1)} L" if millilitres >= 1000 else (
        f"{plain(millilitres, 0 if millilitres >= 20 else 1)} mL"
    )  # fmt: skip
    if system == "mm":
        return metric
    ounces = f"{plain(millilitres / ML_PER_US_FL_OZ, 1)} fl oz US"
    return ounces if system == "inches" else f"{metric} ({ounces})"


def gauge(kpa: float) -> str:
    """Return a pressure above the room [kPa], rounded down: "4.1 bar (60 psi) on the gauge"."""
    bar = math.floor(kpa / 10.0 + 1e-3) / 10.0
    psi = math.floor(kpa / KPA_PER_PSI + 1e-3)
    return f"{plain(bar)} bar ({psi} psi) on the gauge"


def bubble(mm3: float) -> str:
    """Return the volume of a bubble [mm^3] to two significant figures, no finer than a hundredth.

    A hundredth of a cubic millimetre is a ball of 0.27 mm, far below what anyone would fill.
    """
    if mm3 <= 0:
        return "0 mm³"
    if mm3 < 0.01:
        return "under 0.01 mm³"
    digits = max(0, 1 - math.floor(math.log10(mm3)))
    step = 10.0 ** (math.floor(math.log10(mm3)) - 1)
    return f"{plain(round(mm3 / step) * step, digits)} mm³"


def ball_mm(mm3: float) -> float:
    """Return the diameter [mm] of a ball of this volume [mm^3]."""
    return (6.0 * max(mm3, 0.0) / math.pi) ** (1.0 / 3.0)


def count(number: int, one: str, many: str | None = None) -> str:
    """Return e.g. "1 place", "3 places", "no places"."""
    return f"{number if number else 'no'} {one if number == 1 else many or one + 's'}"


_UNIT_BEHIND = re.compile(
    r"(?<=\d) (?=(?:\d+/\d+ in|mm³|mm|in|kg|g|mL|L|fl oz|oz|s|min|h|%|N|kPa|psi|bar)(?!\w))"
)


def unbroken(words: str) -> str:
    """Return words in which no line ends between a figure and its unit or its fraction."""
    return _UNIT_BEHIND.sub("\u00a0", words)


def parted(words: str) -> tuple[str, str]:
    """Return a figure and what stands in brackets behind it: "62 mm", "(2 7/16 in)"."""
    main, _, rest = words.partition(" (")
    return main, f"({rest}" if rest else ""
