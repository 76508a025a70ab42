"""Holes and faults in sentences, the places numbered as in the picture."""

from __future__ import annotations

from dataclasses import dataclass

from partline.scan.draft import Finding, Place
from partline.scan.health import Hole, Mark
from partline.scan.sizing import MM_PER_INCH
from partline.scan.wording import counted, measure, near

MOST_HOLES = 12


@dataclass(frozen=True)
class Fault:
    """One kind of fault.

    Attributes
    ----------
    words : str
        Like "3 edges with more than two faces".
    count : int
    place : Place or None
        Where the first of them is.
    """

    words: str
    count: int
    place: Place | None


def fault_words(
    holes: tuple[Hole, ...], faults: list[Fault], unit: str, specks: Finding | None = None
) -> tuple[list[str], tuple[Mark, ...]]:
    """Return a sentence for each hole, kind of fault and speck, and the numbered places.

    Of many specks only the largest has one.
    """
    lines: list[str] = []
    marks: list[Mark] = []

    def said(words: str, place: Place | None) -> None:
        if place is None:
            lines.append(words)
            return
        marks.append(Mark(len(marks) + 1, place, words))
        lines.append(f"[{len(marks)}] {words}")

    for hole in holes[:MOST_HOLES]:
        flat = "flat" if hole.is_flat else "not flat"
        said(
            f"Hole {_length(hole.length, unit)} round, {flat}, facing {hole.faces}, "
            f"{near(hole.place, unit)}.",
            hole.place,
        )
    if len(holes) > MOST_HOLES:
        lines.append(f"{len(holes) - MOST_HOLES} more holes, all smaller.")
    for fault in faults:
        if fault.place is None:
            said(f"{fault.words}.", None)
        else:
            first = ", the first" if fault.count > 1 else ","
            said(f"{fault.words}{first} {near(fault.place, unit)}.", fault.place)
    for size, place in specks.each if specks else ():
        said(f"Stray speck {measure(size, unit)} across, {near(place, unit)}.", place)
    if specks and not specks.each and specks.place:
        said(
            f"{counted(specks.count, 'stray speck', 'stray specks')}, the largest "
            f"{measure(specks.size, unit)} across, {near(specks.place, unit)}.",
            specks.place,
        )
    return lines, tuple(marks)


def _length(value: float, unit: str) -> str:
    inches = f" ({value / MM_PER_INCH:.2f} in)" if unit == "mm" else ""
    return measure(value, unit) + inches
