"""What the cutting card says in words: where no straight blade goes, how long a one it takes."""

from __future__ import annotations

import math

import numpy as np

from partline.card.cutting_card import BladeCut, Keys, Mark, Strokes
from partline.workshop.container import Container

# The ledge of a foot block reaches no farther from the seat than a hand tells [mm].
_LEDGE_MM = 1.5


def of_cut(number: int, strokes: Strokes, keys: Keys, *, seat_mm: float = 0.0) -> tuple[str, ...]:
    """Return what is particular about one cut.

    Parameters
    ----------
    seat_mm : float
        Height of the foot block, 0 without one [mm].
    """
    said = []
    shut = int(np.count_nonzero(~strokes.clear))
    if shut:
        z = strokes.feet[~strokes.clear, 2]
        said.append(
            f"Cut {number}: along {100 * shut / len(strokes.clear):.0f} % of it (from "
            f"{z.min():.0f} to {z.max():.0f} mm below the mouth) no straight blade reaches the "
            "line from outside. "
            "Cut there by feel, from the sides that do reach, with the point of a scalpel."
        )
    heights = np.sort(strokes.feet[strokes.splits, 2])
    # Splits within a few millimetres are one place to a hand.
    for place in (
        np.split(heights, np.flatnonzero(np.diff(heights) > 5.0) + 1) if len(heights) else ()
    ):
        what = "the blade's way parts to both sides of something"
        join = "at the piece"
        if place.mean() <= seat_mm + _LEDGE_MM:
            ledge = abs(place.mean() - seat_mm) <= _LEDGE_MM
            what = "the blade's way parts at " + (
                "the ledge where foot block and piece meet" if ledge else "the foot block"
            )
            join = "in its corner" if ledge else "at the block"
        said.append(
            f"Cut {number}: {place.mean():.0f} mm below the mouth {what}: cut up to there from "
            f"each side and join the two cuts {join}."
        )
    if strokes.pit.any():
        said.append(
            f"Cut {number}: in the pit {strokes.feet[strokes.pit, 2].mean():.0f} mm below the "
            "mouth the blade goes straight in through the pit's mouth."
        )
    plain = float(np.mean(keys.half_mm <= 0))
    if plain > 0.02:
        said.append(
            f"Cut {number}: smooth along {100 * plain:.0f} % of its length, where the rubber, a "
            "bend of the line or detail leaves no room for a zigzag."
        )
    return tuple(said)


def of_card(
    container: Container, hand_mm: float, cuts: tuple[BladeCut, ...], blade_mm: float | None
) -> tuple[str, ...]:
    """Return what holds for all the cuts of a card."""
    said = []
    if not container.own:
        said.append(
            f'The sizes of "{container.name}" are {container.source}. Measure your own at the '
            "three places, put the numbers into the job file and plan again before you print "
            "this wrap."
        )
    if not cuts:
        return (*said, "No cut is planned: the block is not opened with a knife.")
    said.append(
        f"Lines are placed to a tenth of a millimetre; a hand follows them within about "
        f"{hand_mm:g} mm, and depth on a blade is no better. Stop short and feel for the "
        "piece."
    )
    return (*said, _reach(cuts, blade_mm))


def _reach(cuts: tuple[BladeCut, ...], blade_mm: float | None) -> str:
    """Return how long a blade must be, or where the user's is too short."""
    depths = [cut.strokes.depths_mm for cut in cuts]
    worst = int(np.argmax([d.max() for d in depths]))
    deepest = float(depths[worst].max())
    near = cuts[worst].strokes.ends[int(depths[worst].argmax())]
    mark = min(cuts[worst].marks, key=lambda m: float(np.linalg.norm(near - m.place_mm)))
    where = f"at mark {mark.number} of cut {cuts[worst].number}"
    if blade_mm is None:
        return (
            f"The blade must reach {math.ceil(deepest)} mm out of its holder ({where}). Measure "
            "yours; with blade in the job file's [shop] the card says where it is too short."
        )
    if deepest <= blade_mm:
        return f"Your blade of {blade_mm:g} mm reaches everywhere: {deepest:.0f} mm {where}."
    places = [
        f"{_marks(short)} of cut {cut.number}"
        for cut in cuts
        if (short := [m for m in cut.marks if m.short_mm > 0])
    ] or [f"near mark {mark.number} of cut {cuts[worst].number}"]
    return (
        f"Your blade of {blade_mm:g} mm is too short at {', '.join(places)}: {deepest:.0f} mm at "
        "the deepest. Take a longer one, or cut there in two passes: as deep as it goes, spread "
        "the lips, and go on from the bottom of the first."
    )


def _marks(marks: list[Mark]) -> str:
    numbers = [str(m.number) for m in marks]
    if len(numbers) == 1:
        return f"mark {numbers[0]}"
    return f"marks {', '.join(numbers[:-1])} and {numbers[-1]}"
