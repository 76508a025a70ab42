"""The questions of the bench in their order: how each is put, and the buttons that answer it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Asked:
    """A question: its heading, how to answer it, the button and the button's tooltip."""

    heading: str
    how: str
    button: str
    tip: str


QUESTIONS = {
    "scan": Asked(
        "Open a scan of your piece",
        "An STL, OBJ, PLY, GLB or 3MF file, or a job you saved. You can also drop it here.",
        "Open a scan…",
        "Choose the file with the scan of the finished master.",
    ),
    "height": Asked(
        "How tall is the finished piece?",
        "A scan does not know its size. Measure the real piece as it stands, or type the height "
        "you want it made.",
        "Use this height",
        "Sizes the whole piece so that it stands as tall as you typed.",
    ),
    "points": Asked(
        "Click on two points",
        "Two places whose distance you can measure on the real piece. The further apart, the "
        "better. Drag to turn the piece between the clicks.",
        "Type its height instead",
        "Goes back to typing how tall the finished piece is.",
    ),
    "distance": Asked(
        "How far apart are the two points?",
        "Measured straight from one to the other, not along the surface.",
        "Use this distance",
        "Sizes the whole piece so that the two points lie so far apart.",
    ),
    "front": Asked(
        "Which side is the front?",
        "Click on the front of the piece; or drag it round until the front looks at you and press "
        "the button. If it lies on its side, lay it over first with the buttons below.",
        "The side I see is the front",
        "Takes the side that now looks at you as the front, the side on show.",
    ),
    "mouth": Asked(
        "Where does the resin go in?",
        "Most pieces are filled through the base they stand on. To fill it elsewhere, turn the "
        "piece and click on that place.",
        "Fill it through the base",
        "The mouth of the mould will be where the piece stands on its foot block.",
    ),
    "cups": Asked(
        "Which cups have you?",
        "Measure each inside with a rule; it is kept for every job. With none on the shelf, sizes "
        "on sale are tried.",
        "Go on",
        "Takes the cups in the list, and goes on to the labels.",
    ),
    "rubber": Asked(
        "What does the rubber's label say?",
        "What you have not at hand, leave empty: the sheet leaves room for it.",
        "Go on",
        "Takes what you read on the rubber's label.",
    ),
    "resin": Asked(
        "What does the resin's label say?",
        "What you have not at hand, leave empty: the sheet leaves room for it.",
        "Go on",
        "Takes what you read on the resin's label.",
    ),
    "ratings": Asked(
        "Scale, vacuum and pressure",
        "As on their plates. Nothing is planned beyond a rating, and none is assumed.",
        "Go on",
        "Takes what your scale, chamber and pot can do.",
    ),
    "number": Asked(
        "How many do you want?",
        "From this come castings, moulds and days.",
        "Go on",
        "Takes how many good castings you want.",
    ),
    "plan": Asked(
        "Ready to work it out",
        "Where air stays, where to cut and how far, which cup, what to weigh. A big scan takes "
        "some minutes.",
        "Work out the plan",
        "Computes the whole plan in the background; you can stop it at any time.",
    ),
    "done": Asked(
        "The plan",
        "",
        "Make the bench sheet…",
        "Writes the sheet to print for the bench into a folder you choose.",
    ),
}


_LATER = ("Leave it as it is",
          "Goes on to the plan; what has not been said is asked for on the sheet.")  # fmt: skip

OTHER_WAYS = {
    "scan": ("Try the sample…", "Opens a sleepy ram for a coat peg, with everything answered."),
    "height": ("Measure between two points…",
               "Sizes the piece by a distance between two points that you click on."),
    "distance": ("Click again…", "Forgets the two points and lets you click on two others."),
    "cups": _LATER, "rubber": _LATER, "resin": _LATER, "ratings": _LATER, "number": _LATER,
    "done": ("Change something…", "Goes back to how it stands, its front, its mouth or height."),
}  # fmt: skip
"""The second button of a question: its words and its tooltip."""


HOMES = {
    "scan": "piece", "height": "piece", "points": "piece", "distance": "piece",
    "front": "stand", "mouth": "stand", "plan": "stand",
    "cups": "weigh", "rubber": "weigh", "resin": "weigh", "ratings": "weigh", "number": "weigh",
}  # fmt: skip
"""The stage that a question belongs to."""


HINTS = {
    "piece": "Drag: turn · wheel: nearer · shift-drag: move",
    "stand": "Turn it till it stands right; later stages follow by themselves.",
    "air": "Click on the dial, or press “Drag tips it” and drag in the picture.",
    "cut": "Paint where the cut must stay off; the line moves by itself.",
    "weigh": "What the scale reads, in the order of pouring.",
    "pour": "Make the sheet and take it to the bench.",
    "after": "What is left to do once the castings are out.",
}
"""One line for each stage, for whoever is here for the first time."""
