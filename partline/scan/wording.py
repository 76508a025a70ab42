"""What was found and mended, in sentences."""

from __future__ import annotations

import numpy as np

from partline.scan.draft import Finding, Place
from partline.scan.master import Repair

# Lengths below this are not told [the unit at hand].
FINEST = 1e-6
_SENTENCES = {
    "seam": "{n} joined with others at the same place along seams",
    "gap": "{n} joined across gaps of {gap}",
    "degenerate": "{n} dropped that name a corner twice",
    "duplicate": "{n} dropped that were there twice",
    "folded": "{n} dropped that lay back to back with nothing between",
    "two-sided": "{n} that {were} there twice, front and back, kept once",
    "turned": "{n} turned over to agree with their neighbours",
    "crowded edge": "{n} where more than two faces met, parted without moving anything",
    "pinch": "{n} where two sheets only touched, parted without moving anything",
    "speck": "{n} dropped, the largest {size} across",
    "inside out": "{n} turned right side out",
    "overlap": "{n} that overlap made into one solid",
    "hole": "{n} filled, the largest {size} round",
    "open base": "{n} closed with a flat cap, {size} round",
    "uneven base": "{n} closed with a cap stretched over its rim, {size} round",
    "rebuilt": "{n} of a new closed surface drawn round the scan, at cells of {fine}",
    "plinth": "{n} closed with walls from its rim down to a level base, {size} round",
}
_NAMES = {
    "seam": ("vertex", "vertices"),
    "gap": ("vertex", "vertices"),
    "degenerate": ("face", "faces"),
    "duplicate": ("face", "faces"),
    "folded": ("face", "faces"),
    "two-sided": ("face", "faces"),
    "turned": ("face", "faces"),
    "crowded edge": ("edge", "edges"),
    "pinch": ("vertex", "vertices"),
    "speck": ("stray speck", "stray specks"),
    "inside out": ("body", "bodies"),
    "overlap": ("body", "bodies"),
    "hole": ("hole", "holes"),
    "open base": ("open underside", "open undersides"),
    "uneven base": ("open underside", "open undersides"),
    "plinth": ("open underside", "open undersides"),
    "rebuilt": ("face", "faces"),
}


def counted(count: int, one: str, many: str) -> str:
    """Return "1 hole" or "3 holes"."""
    return f"{count} {one if count == 1 else many}"


def percent(share: float) -> str:
    """Return a small share in words."""
    return f"{rounded(100 * share)} %" if share >= 1e-4 else "less than 0.01 %"


def rounded(value: float, digits: int = 2) -> str:
    """Return few digits of a number, never as a power of ten: 0.013, 2.4, 120."""
    return f"{float(f'{value:.{digits}g}'):.12f}".rstrip("0").rstrip(".")


def measure(value: float, unit: str) -> str:
    """Return a length with its unit: to 0.1 mm, or to three digits where the unit is not known."""
    return f"{value:.1f} mm" if unit == "mm" else f"{rounded(value, 3)} {unit}"


def volume_words(volume: float, doubt: float, unit: str) -> str:
    """Return a volume [unit^3] with what it is: exact for the mesh, or an interval."""
    name, size = ("mL", 1e-3) if unit == "mm" else (f"{unit}³", 1.0)
    if doubt <= 0:
        return f"{plain_volume(volume, unit)}, exact for this mesh"
    if doubt < 5e-5 * volume:
        return f"{rounded(volume * size, 4)} {name}, within less than 0.01 % either way (estimate)"
    digits = max(3, 1 + int(np.ceil(np.log10(volume / doubt))))
    low, high = (rounded(v * size, digits) for v in (max(volume - doubt, 0.0), volume + doubt))
    return f"between {low} and {high} {name} (estimate)"


def plain_volume(volume: float, unit: str) -> str:
    """Return a volume [unit^3] to four digits, in mL where the unit is known."""
    name, size = ("mL", 1e-3) if unit == "mm" else (f"{unit}³", 1.0)
    return f"{rounded(volume * size, 4)} {name}"


def near(place: Place, unit: str = "mm") -> str:
    """Return words for a place: to 0.1 mm, or to three digits where the unit is not known."""
    if unit == "mm":
        x, y, z = (f"{round(value, 1) + 0.0:g}" for value in place)
    else:
        x, y, z = (rounded(round(value, 12) + 0.0, 3) for value in place)
    return f"near ({x}, {y}, {z}) {unit}"


def sentence(finding: Finding, unit: str = "mm") -> str:
    """Return one sentence for a person."""
    words = _SENTENCES[finding.kind].format(
        n=counted(finding.count, *_NAMES[finding.kind]),
        were="was" if finding.count == 1 else "were",
        size=measure(finding.size, unit),
        fine=f"{rounded(finding.size)} {unit}",
        gap=f"at most {rounded(finding.size)} {unit}"
        if finding.size > FINEST
        else f"less than {rounded(FINEST)} {unit}",
    )
    if finding.place is not None and finding.kind != "rebuilt":
        words += f", {near(finding.place, unit)}"
    if finding.note:
        words += f" ({finding.note})"
    if finding.doubt > 0:
        words += f"; that leaves {rounded(finding.doubt)} {unit}³ open, either way (estimate)"
    return words[0].upper() + words[1:] + "."


def repair(finding: Finding) -> Repair:
    """Return the repair for a finding in the master's pose [mm]."""
    return Repair(finding.kind, finding.count, sentence(finding), finding.size, finding.place)
