"""What the stages say of a place in numbers, retold as a place on the piece."""

from __future__ import annotations

import re

import numpy as np

from partline.faces.figures import System
from partline.faces.words import detail_grade, place_words
from partline.geometry.surface import Floats
from partline.plan import Plan
from partline.stand.stand import Stand

_N = r"(-?\d+(?:\.\d+)?)"
# "(near 3, -5, 50 mm)", "(3, -5, 50) mm", "near 3, -5, 50 mm"
_PLACE = re.compile(
    rf"(?P<open>\()?(?:near |at )?(?P<inner>\()?{_N}, {_N}, {_N}(?(inner)\))(?: mm)?(?(open)\))"
)
# "detail of at least 0.53 of 1", "(detail 0.18 of 1 at most)"
_GRADE = re.compile(r"\bdetail (?:of (?:at least )?)?(\d(?:\.\d+)?) of 1\b")
# What only explains or measures; it waits until the last pages.
_FOR_LATER = ("estimate", "Uncut, ", "With one cut", "With two cuts", "no line there keeps more",
              "the rubber bears that", "No line can run", "No line can go",
              "No way leads from")  # fmt: skip
_TO_DO = " It may run on by itself"
# A bridge of rubber to be slit; the knife's page has them in a table.
_SLIT = re.compile(r"S\d+: ")


def retold(
    text: str, stand: Stand, system: System = "mm", *, to_stand: Floats | None = None
) -> str:
    """Return a text with points in the stand's pose said as places on the piece.

    With a (4, 4) matrix `to_stand` the points are in another pose, which it takes to the stand's.
    Beside how fine a detail is, 0 to 1, stands what to call it.
    Heights "above the cup's floor" become depths below the mouth face: the same figure, for the
    mouth face was cast against that floor, and it is the mouth face one measures from.
    """

    def placed(found: re.Match[str]) -> str:
        point = np.array([float(v) for v in found.groups()[2:5]])
        below = "in the foot block"
        if to_stand is not None:
            point = to_stand[:3, :3] @ point + to_stand[:3, 3]
            below = "on the underside"  # of what was scanned nothing is in the block
        words = place_words(point, stand, system, below=below)
        return f"({words})" if found["open"] else words

    said = _PLACE.sub(placed, text.replace("\u2212", "-"))
    said = _GRADE.sub(lambda found: f"{found[0]}, “{detail_grade(float(found[1]))}”", said)
    return said.replace("above the cup's floor", "below the mouth face")


def scan_retold(text: str, plan: Plan, system: System = "mm") -> str:
    """Return what was said of the scan, in the master's pose, with places on the piece.

    The stand lifts the master onto its foot block and, with a mouth of one's own, turns it first.
    """
    to_stand = plan.stand.master.to_pose @ np.linalg.inv(plan.master.to_pose)
    to_stand[2, 3] += plan.stand.lift_mm
    return retold(text, plan.stand, system, to_stand=to_stand)


def cut_notes(plan: Plan, system: System) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return what the cut says for the knife, and what only belongs on the last pages.

    Bridges of rubber are in neither: they have a table of their own.
    """
    said = []
    for words in plan.cut.words:
        # What is to be done about a figure stands beside the knife, the figure does not.
        figure, found, act = retold(words, plan.stand, system).partition(_TO_DO)
        said += [figure, f"The cut may run on by itself{act}"] if found else [figure]
    later = tuple(w for w in said if any(mark in w for mark in _FOR_LATER))
    return tuple(w for w in said if w not in later and not _SLIT.match(w)), later
