"""A plan in plain sentences: where on the piece, which way to tip, the first page's lines."""

from __future__ import annotations

import math
import re

import numpy as np
from numpy.typing import ArrayLike

from partline.air.trapped_air import Pocket, TrappedAir
from partline.cut.cut import Cut, CutLine, ScrapeStretch
from partline.cut.route import PLAIN
from partline.faces.figures import System, Tag, count, length, plain, scale_decimals, weight
from partline.faces.left_open import casting_open_g, grams_said
from partline.geometry.directions import Pour as PourName
from partline.plan import Plan, Pour
from partline.stand.stand import Stand
from partline.workshop.mix import Mix

# Eight sides as seen standing at the bench with the front mark toward you; the azimuth runs
# clockwise as one looks down, so a quarter turn from the front is on one's left in both pours.
_BENCH = ("front", "front left", "left", "back left", "back", "back right", "right", "front right")
# Looking into the mouth the block is turned over: a quarter turn is the piece's own right (+X).
_PIECE_FROM_MOUTH = (
    "front", "front right", "right", "back right", "back", "back left", "left", "front left",
)  # fmt: skip

SPELLINGS = {
    "aluminium": "aluminum", "behaviour": "behavior", "cancelled": "canceled",
    "catalogue": "catalog", "centimetre": "centimeter", "centimetres": "centimeters",
    "centre": "center", "centred": "centered", "centres": "centers", "colour": "color",
    "coloured": "colored", "colours": "colors", "favour": "favor", "fibre": "fiber",
    "fibres": "fibers", "grey": "gray", "labelled": "labeled", "labour": "labor",
    "levelled": "leveled", "licence": "license", "litre": "liter", "litres": "liters",
    "metre": "meter", "metres": "meters", "millilitre": "milliliter",
    "millilitres": "milliliters", "millimetre": "millimeter", "millimetres": "millimeters",
    "mould": "mold", "moulded": "molded", "moulding": "molding", "moulds": "molds",
    "mouldmaker": "moldmaker", "neighbour": "neighbor", "neighbours": "neighbors",
    "odour": "odor", "plough": "plow", "polymerise": "polymerize", "programme": "program",
    "recognise": "recognize", "remoulded": "remolded", "sceptical": "skeptical",
    "sensitise": "sensitize", "sensitised": "sensitized", "sensitises": "sensitizes",
    "stabilise": "stabilize", "sulphur": "sulfur", "travelled": "traveled", "tyre": "tire",
    "vapour": "vapor", "vapours": "vapors", "whilst": "while",
}  # fmt: skip
"""British word to US word; whole words only, capitals kept."""

_BRITISH = re.compile(rf"\b({'|'.join(sorted(SPELLINGS, key=len, reverse=True))})\b", re.IGNORECASE)


def american(text: str) -> str:
    """Return a text in US spelling; words that are not on the list stay as they are."""

    def swapped(found: re.Match[str]) -> str:
        word = found.group()
        new = SPELLINGS[word.lower()]
        if word.isupper():
            return new.upper()
        return new.capitalize() if word[0].isupper() else new

    return _BRITISH.sub(swapped, text)


def bench_side(azimuth_deg: float) -> str:
    """Return which side that is at the bench, the front mark toward you: "back left"."""
    return _BENCH[round(azimuth_deg % 360.0 / 45.0) % 8]


def piece_side(azimuth_deg: float, pour: PourName) -> str:
    """Return which side of the piece that is, the piece standing with its front toward you.

    An azimuth of the rubber pour is seen from above, one of the resin pour or of a cut from
    the other end: left and right change over.
    """
    sides = _BENCH if pour == "rubber" else _PIECE_FROM_MOUTH
    return sides[round(azimuth_deg % 360.0 / 45.0) % 8]


def opposite(azimuth_deg: float) -> float:
    """Return the azimuth of the far side [degrees, 0 to 360)."""
    return (azimuth_deg + 180.0) % 360.0


def place_words(
    point: ArrayLike, stand: Stand, system: System = "mm", *, below: str = "in the foot block"
) -> str:
    """Say where a point is on the piece as it stands, front toward you.

    Parameters
    ----------
    point : (3,) float
        In the stand's pose [mm].
    below : str
        What to call places below the seat.

    Returns
    -------
    str
        E.g. "high on the left, at the back, 41 mm up"; the height is above the piece's base.
    """
    x, y, z = np.asarray(point, dtype=np.float64).tolist()
    low, high = stand.piece.bounds.tolist()
    up = z - stand.seat_mm
    share = up / max(stand.top_mm - stand.seat_mm, 1e-9)
    level = "high" if share > 2 / 3 else "low" if share < 1 / 3 else "half-way up"
    across = _beyond(x, low[0], high[0])
    deep = _beyond(y, low[1], high[1])
    sideways = {-1: "on the left", 0: "", 1: "on the right"}[across]
    depth = {-1: "at the front", 0: "", 1: "at the back"}[deep]
    where = ", ".join(w for w in (sideways, depth) if w) or "in the middle"
    if up < -0.5:
        return f"{below}, {where}"
    return f"{level} {where}, {length(round(up), system)} up"


def _beyond(value: float, low: float, high: float) -> int:
    """Return -1, 0 or 1: the lower, middle or upper third."""
    third = (high - low) / 3.0
    return -1 if value < low + third else 1 if value > high - third else 0


def way_to_tip(pour: Pour) -> tuple[float, float]:
    """Return the side that goes down while filling and how far [degrees]."""
    if pour.tipped is not None:
        return pour.tipped.azimuth_deg, pour.tipped.tilt_deg
    return pour.directions.azimuth_deg, pour.directions.tilt_deg


def worth_tipping(pour: Pour) -> bool:
    """Tell whether tipping saves more air than a hand would notice."""
    if pour.tipped is not None:
        level, left = pour.tipped.level_mm3, pour.tipped.left_mm3
    else:
        level, left = pour.level.volume_mm3, pour.best.volume_mm3
    return way_to_tip(pour)[1] >= 1.0 and level - left > max(0.5, 0.05 * level)


def notch_side(plan: Plan) -> float | None:
    """Return the side of the mouth where the notch goes [degrees]; None where nothing is tipped."""
    return way_to_tip(plan.resin_pour)[0] if worth_tipping(plan.resin_pour) else None


def prop_mm(tilt_deg: float, base_mm: float) -> float:
    """Return how high [mm] to prop one side of a base so wide [mm] for a tilt [degrees]."""
    return base_mm * math.sin(math.radians(tilt_deg))


def tip_words(pour: Pour, name: PourName) -> str:
    """Say which way and how far to tip; the side named goes down."""
    if not worth_tipping(pour):
        return "Nothing to gain by tipping: keep it level."
    down, tilt = way_to_tip(pour)
    looking = "looking down into the cup" if name == "rubber" else "looking into the mouth"
    piece = "" if name == "rubber" else f" (the piece's {piece_side(down, name)})"
    return (
        f"Front mark toward you: your {bench_side(down)} side{piece} goes down by "
        f"{plain(tilt, 0)}°. That is {plain(down, 0)}° clockwise from the front mark, "
        f"{looking}."
    )


def mix_words(mix: Mix | None, resolution_g: float) -> str:
    """Return e.g. "hardener to 27.0, then rubber to 297.0": what the scale reads."""
    if mix is None:
        return "ratio not known: read it off the label"
    decimals = scale_decimals(resolution_g)
    steps = zip(mix.parts, mix.scale_reads, strict=True)
    return ", then ".join(f"{part} to {reads:.{decimals}f} g" for part, reads in steps)


def has_height(plan: Plan) -> bool:
    """Whether the master is as tall as the job states; a new surface may be rounded off."""
    stated = plan.job.scan.height_mm
    return stated is not None and abs(plan.master.height_mm - stated) < 0.05


def shrinkage_tag(plan: Plan) -> Tag:
    """Return whose figures the shrinkage is of: measured or both stated, it is the user's own."""
    stated = (plan.job.rubber.linear_shrinkage_percent, plan.job.resin.linear_shrinkage_percent)
    is_own = plan.production is not None and plan.production.size.measured > 0
    return "yours" if is_own or None not in stated else "default"


def first_lines(plan: Plan, system: System = "mm") -> tuple[str, ...]:
    """Return the five lines of the first page: size and cup, rubber, resin, air, cut."""
    box = plan.container
    resolution = plan.job.shop.scale_resolution_g
    rubber = mix_words(plan.rubber_mix, resolution)
    if plan.rubber_mix is None:
        rubber = f"about {weight(box.mix_g)} rubber, {rubber}"
    stand = plan.stand
    cast = length(stand.top_mm - stand.seat_mm, system)
    sunk = f", {cast} of it cast" if stand.sunk_mm else ""
    return (
        f"{length(plan.master.height_mm, system)} tall{sunk} · {box.name}"
        + ", as none of your own fits" * bool(box.too_small),
        rubber,
        _casting_line(plan),
        air_line(plan, system),
        cut_line(plan.cut, system),
    )


def _casting_line(plan: Plan) -> str:
    said = grams_said(plan.resin.casting_g, casting_open_g(plan), "estimate").words
    return f"{'' if said.startswith('between') else 'about '}{said} resin a casting"


def air_line(plan: Plan, system: System = "mm") -> str:
    """Return how many places hold air in each pour, level, and where the worst is."""
    resin, rubber = plan.resin_pour.level, plan.rubber_pour.level
    if not resin.pockets and not rubber.pockets:
        return "no place holds air"
    if not resin.pockets:
        return (
            f"{_holding(rubber)} in the rubber, {_worst(rubber, plan.stand, system)}; "
            "none in the resin"
        )
    tail = f"; {len(rubber.pockets) or 'none'}{' more' * bool(rubber.pockets)} in the rubber"
    return f"{_holding(resin)} in the resin, {_worst(resin, plan.stand, system)}{tail}"


def _holding(air: TrappedAir) -> str:
    n = len(air.pockets)
    return f"{count(n, 'place')} hold{'s' if n == 1 else ''} air"


def _worst(air: TrappedAir, stand: Stand, system: System) -> str:
    worst: Pocket = max(air.pockets, key=lambda p: p.volume_mm3)
    return "worst " * (len(air.pockets) > 1) + place_words(worst.apex, stand, system)


def cut_line(cut: Cut, system: System = "mm") -> str:
    """Return how many cuts, on which side of the piece, and how near to detail."""
    if not cut.lines:
        return f"no cut: {short_verdict(cut)}"
    sides = [piece_side(line.azimuth_deg, "resin") for line in cut.lines]
    where = " and ".join(dict.fromkeys(sides))
    number = {1: "one cut", 2: "two cuts"}.get(cut.count, f"{cut.count} cuts")
    if not math.isfinite(cut.clearance_mm):
        return f"{number}, {where}, no detail near"
    if cut.clearance_mm < 0.5:
        return f"{number}, {where}, right beside detail"
    return f"{number}, {where}, {length(round(cut.clearance_mm), system)} from the nearest detail"


def detail_grade(weight: float) -> str:
    """Return in words how fine a detail is, from its weight on this piece, 0 to 1.

    Raises
    ------
    ValueError
        If it is not from 0 to 1.
    """
    if not 0.0 <= weight <= 1.0 + 1e-9:
        raise ValueError(f"The weight of a detail is from 0 to 1; this one is {weight!r}.")
    return next(words for most, words in _GRADES if weight <= most)


# Up to where a cut takes the skin for plain, then the rest in even steps; names of our own.
_GRADES = (
    (PLAIN, "plain skin"),
    (0.5, "soft detail"),
    (0.75, "clear detail"),
    (math.inf, "the finest on the piece"),
)  # fmt: skip


def short_verdict(cut: Cut) -> str:
    """Return the verdict without its reasons: "comes out"."""
    head = cut.verdict.split(":")[0].split(";")[0].strip().rstrip(".")
    return head[:1].lower() + head[1:]


def clearance_words(line: CutLine, stand: Stand, system: System = "mm") -> tuple[str, str]:
    """Say what lies nearest on your left and on your right as you cut, the mouth up.

    A cut line keeps left and right with the mouth down; the block is turned over for the
    knife, so they change over here.
    """
    left = (line.clearance_right_mm, line.closest_right_mm)
    right = (line.clearance_left_mm, line.closest_left_mm)
    return _near(*left, stand, system), _near(*right, stand, system)


def scrape_words(line: CutLine, stand: Stand, system: System = "mm") -> tuple[str, ...]:
    """Say which side of a seam never to scrape, the casting standing, looking at the seam.

    Each stretch of the line with the same skin beside it gets a sentence, from the base up.
    Where none are known, the side whose prized detail is nearer is left alone; where both lie
    within a hand's accuracy, neither side may be touched beyond the line itself.
    """
    if line.scrape:
        return tuple(_stretch(part, stand, system) for part in line.scrape)
    sides = sorted(
        (
            (line.clearance_left_mm, "left", line.closest_left_mm),
            (line.clearance_right_mm, "right", line.closest_right_mm),
        ),
        key=lambda side: side[0],
    )
    (near, side, place), (far, other, _) = sides
    if place is None or not math.isfinite(near):
        return ("from either side; no prized detail is near",)
    said = _near(near, place, stand, system)
    if far < _HAND_MM:
        return (f"on the line only, never beside it on either side: {said}",)
    return (f"from the {other} only, never on the {side}: {said}",)


def _stretch(part: ScrapeStretch, stand: Stand, system: System) -> str:
    low, high = (max(0.0, round(z - stand.seat_mm)) for z in (part.low_mm, part.high_mm))
    where = f"{length(low, system)} to {length(high, system)} up"
    if part.textured == "plain":
        return f"{where}: from either side, whichever stands high"
    if part.textured == "both":
        return f"{where}: neither side; fill the low side, draw the texture across it"
    other = "right" if part.textured == "left" else "left"
    return f"{where}: from the {other} only, never on the {part.textured}"


# How well a hand follows a line, with a little over [mm].
_HAND_MM = 3.0


def _near(
    clearance: float, place: tuple[float, float, float] | None, stand: Stand, system: System
) -> str:
    if place is None or not math.isfinite(clearance):
        return "no detail near"
    if clearance < 0.5:
        return f"right beside detail {place_words(place, stand, system)}"
    return f"{length(clearance, system)} to detail {place_words(place, stand, system)}"
