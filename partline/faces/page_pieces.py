"""Pieces that several pages of the bench sheet share: weighing, air, which way to tip."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from partline.faces.drawings import Ghosts
from partline.faces.figures import System
from partline.faces.paper import PaperName, room
from partline.faces.sheet_blocks import (
    Big,
    Block,
    Bold,
    Box,
    Caution,
    Inline,
    Line,
    Own,
    Table,
    Text,
    sentence,
)
from partline.plan import Plan
from partline.workshop.batch import LeastBatch
from partline.workshop.materials import Defaults
from partline.workshop.timing import PotLife, Timing


@dataclass(frozen=True, eq=False)
class Desk:
    """What every page is written from.

    Attributes
    ----------
    plan : Plan
    system : {"mm", "inches", "both"}
    paper : {"A4", "Letter"}
    outlines : Ghosts
    known : Defaults
        The usual figures, the user's own among them.
    """

    plan: Plan
    system: System
    paper: PaperName
    outlines: Ghosts
    known: Defaults

    @property
    def room(self) -> tuple[float, float]:
        """Width and height for drawings of true size [mm]."""
        return room(self.paper)

    def caution(self, *names: str) -> Caution:
        """Return the usual cautions of a step."""
        lines = [line for name in names for line in self.known.cautions[name]]
        # Each list ends by deferring to the data sheet; once is enough in one frame.
        return Caution(tuple(dict.fromkeys(lines[::-1]))[::-1])


def small(*text: Inline) -> Line:
    """Return a line that is only there to be looked up."""
    return Line(text, "small")


def stop_blocks(timing: Timing) -> tuple[Block, ...]:
    """Return the large warning that stands above a weighing table; none where there is time."""
    if timing.verdict != "no go":
        return ()
    words = " ".join(timing.words)
    return (Line(("Not enough time: do not mix yet",), "act"), Line((Bold(words),)))


def time_blocks(timing: Timing, life: PotLife) -> tuple[Block, ...]:
    """Return whether the work gets done within the pot life; `stop_blocks` says where not."""
    words = " ".join(timing.words)
    if timing.verdict == "no go":
        return ()
    head = "There is time. " if timing.verdict == "go" else "Is there time? "
    return (Line((Bold(head), words)), small(" ".join(life.words)))


def batch_blocks(batch: LeastBatch) -> tuple[Block, ...]:
    """Return a warning where a batch is smaller than what still weighs and cures well."""
    return () if batch.enough else (Line((Bold(" ".join(batch.words)),)),)


def weighing_blocks(w: dict[str, Any]) -> tuple[Block, ...]:
    """Return the table a mix is weighed by, or the boxes for the label's ratio."""
    if not w["rows"]:
        return (_ask(w),)
    rows = tuple((((Own(r["part"])),), (r["grams"],), (Big(r["reads"]),)) for r in w["rows"])
    words = " ".join(sentence(s) for s in w["words"])
    tail: Text = (" Pot life ", w["pot_life"], ".") if w["pot_life"] else ()
    return (
        Table(
            (("in this order",), ("weigh in",), ("the scale then reads",)),
            rows,
            (0.4, 0.27, 0.33),
            "scale",
        ),
        small(
            f"{words} Do not zero again in between. Rounded to your scale the ratio is off by "
            f"{w['error']} % at most.",
            *tail,
        ),
    )


def _ask(w: dict[str, Any]) -> Box:
    empty: tuple[Text, ...] = ((), (), ())
    return Box(
        (
            Line((Bold("The label’s ratio was not given."), " Mix ", Big(w["total"]), " in all. "
                  "Fill in from the label before mixing anything:")),
            Table(
                (("part, as on your label",), ("parts",), ("grams",), ("the scale then reads",)),
                ((("small part:",), *empty), (("large part:",), *empty)),
                (0.4, 0.15, 0.2, 0.25),
                "blank",
            ),
            small(
                "By weight or by volume? The label says. By weight: grams of a part = "
                f"{w['total'].words} × its parts ÷ all parts. A ratio by volume is not a ratio by "
                "weight: measure it by volume, or put the parts’ densities in the job file."
            ),
        )
    )  # fmt: skip


def air_blocks(a: dict[str, Any]) -> tuple[Block, ...]:
    """Return the numbered places of a pour as a table, and what they come to."""
    blocks: list[Block] = []
    if a["rows"]:
        tipped = bool(a["changed"])
        rows = tuple(
            ((Bold(str(r["number"])),), (r["place"],), (r["level"],), (r["ball"],),
             *(((r["tipped"],),) if tipped else ()), (r["wide"],))
            for r in a["rows"]
        )  # fmt: skip
        head = ("no.", "where: on the piece as it stands, front toward you, height above its base",
                "air, level (exact)", "as a ball across (exact)",
                *((f"{a['how']} (exact)",) if tipped else ()),
                "does it clear by itself? (estimate)")  # fmt: skip
        shares = (0.06, 0.35, 0.14, 0.14, 0.13, 0.18) if tipped else (0.06, 0.44, 0.16, 0.16, 0.18)
        blocks.append(Table(tuple((h,) for h in head), rows, shares))
        if a["more_any"]:
            blocks.append(small(f"And {a['more']}, together ", a["more_mm3"], "."))
    else:
        blocks.append(Line(("No place holds a bubble that one would see.",)))
    tip: Text = ("; ", a["tipped"], f" {a['how']}") if a["changed"] else ()
    total: list[Inline] = ["In all ", a["level"], " level, of that ", a["fine"],
                           " in fine bubbles too small to number", *tip, "."]  # fmt: skip
    if a["closed"]:
        total += [" ", a["closed"], " has no way out in any pose."]
    return (*blocks, small(*total))


def tip_blocks(a: dict[str, Any], verb: str) -> tuple[Block, ...]:
    """Return which way to tip and how far; the side named goes down."""
    if not a["tip"]:
        return (
            Line(("Keep it level",), "act"),
            Line(("No tip within reach saves air that one would notice.",)),
        )
    rubber = a["name"] == "rubber"
    where: Text = (
        ("Prop the ", Bold(a["up_side"]), " side up by about ", a["prop"],
         f" (on a base {a['base']} wide).")
        if rubber
        else (f"That is the piece’s {a['piece_side']} side.",)
    )  # fmt: skip
    looking = "looking down into the cup" if rubber else "looking into the mouth"
    return (
        Line((f"{verb}: your ", Bold(a["down_side"]), " side goes down ", Big(a["tilt"])), "act"),
        Line((
            "Stand with the front mark toward you. ", *where, " Said exactly: the side ",
            a["down"], f" clockwise from the front mark goes down, {looking}.",
        )),
    )  # fmt: skip
