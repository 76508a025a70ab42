"""The stills drawn while papers are written: drawing is a process of its own."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager

from partline.faces.aside import aside
from partline.faces.picture import stills
from partline.plan import Plan
from partline.progress import Progress

# The answer when it is there; waits for it, telling so, and may raise `MissingExtra`.
Answer = Callable[[Progress], dict[str, bytes]]

_USUAL_S = 5.0


def stills_aside(plan: Plan) -> AbstractContextManager[Answer]:
    """Draw the stills of a plan beside the work within, which asks for them when it needs them.

    However that work ends, the drawing ends with it.
    """
    return aside(
        lambda heard: stills(plan, progress=heard), "Drawing the pictures", usual_s=_USUAL_S
    )
