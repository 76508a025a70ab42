"""Stills of a plan, off-screen, as PNG bytes; drawn in a process of their own.

Where a computer has no graphics library, VTK ends the process it runs in and nothing can be
caught; a separate process turns that into words, and keeps drawing out of a window's threads.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass, replace

from partline.apart import call_apart
from partline.errors import MissingExtra, WorkEnded
from partline.faces.actor import Actor
from partline.faces.added_sides import Eye, side_words
from partline.faces.framing import look_at
from partline.faces.light_plan import light_plan
from partline.faces.picture_panels import DRAWING, PANEL, Framed, drawn
from partline.faces.scene import NUMBERED, actors
from partline.faces.view import View
from partline.faces.zone_tags import sides_of_zones
from partline.plan import Plan
from partline.progress import Progress, silent, span

VIEWS = ("first", "cut", "rubber_air", "resin_air", "detail")

_MARGIN = 1.14
_WAIT_S = 300.0
_USUAL_S = 5.0


@dataclass(frozen=True, eq=False)
class Panel:
    """One panel of a still: what is in it, from where, and the words over it."""

    actors: tuple[Actor, ...]
    eye: Eye
    words: str


def stills(
    plan: Plan, views: Sequence[str] = VIEWS, *, scale: float = 1.0, progress: Progress = silent
) -> dict[str, bytes]:
    """Return a PNG for each named view.

    Parameters
    ----------
    plan : Plan
    views : sequence of str
        Of "first" (the piece in its cup), "cut" (three sides, the back among them),
        "rubber_air", "resin_air" (numbered as in the tables) and "detail" (front, back, and the
        sides it takes to show every zone that has a number).
    scale : float
        1 is 900 x 1000 pixels a panel.
    progress : Progress
        Hears every half second that the drawing goes on.

    Raises
    ------
    ValueError
        If there is no such view.
    MissingExtra
        If this computer cannot draw.
    """
    unknown = [name for name in views if name not in VIEWS]
    if unknown:
        raise ValueError(f"No view {', '.join(unknown)}; there are {', '.join(VIEWS)}.")
    light = light_plan(plan, span(progress, 0.0, 0.2))
    shown = {}
    for k, name in enumerate(views):
        progress(0.2 + 0.1 * k / len(views), DRAWING)
        shown[name] = panels(light, name)
    return rendered(shown, scale=scale, progress=span(progress, 0.3, 1.0))


def panels(plan: Plan, name: str) -> tuple[Panel, ...]:
    """Return the panels of a named view."""
    bare = View().switched("cut", False)
    if name == "first":
        return (_panel(plan, bare, (0.3, -1.0, 0.3), ""),)
    # Without the cup the piece fills the picture, and is read at the size of a palm.
    close = bare.switched("cup", False)
    if name == "cut":
        show = close.switched("cut", True)
        return tuple(_panel(plan, show, eye, words) for eye, words in _SIDES)
    show, height = {
        "detail": (close.switched("detail", True), 0.2),
        "rubber_air": (close.switched("air", True).switched("mouth", False), -0.25),
        "resin_air": (close.switched("air", True).poured("resin"), 0.25),
    }[name]
    words = {"rubber_air": "{}, from a little below", "resin_air": "turned over, {}"}
    said = words.get(name, "{}")
    sides: list[tuple[Eye, str]] = [((0.3, -1.0, height), "front"), ((-0.3, 1.0, height), "back")]
    if name == "detail":
        more = sides_of_zones(plan, show, [eye for eye, _ in sides], NUMBERED)
        sides += [(eye, side_words(eye)) for eye in more]
    return tuple(_panel(plan, show, eye, said.format(words)) for eye, words in sides)


# Left and right as the piece's own, its front toward the viewer.
_SIDES: tuple[tuple[Eye, str], ...] = (
    ((1.0, 0.15, 0.12), "right side"),
    ((0.0, 1.0, 0.12), "back"),
    ((-1.0, 0.15, 0.12), "left side"),
)


def _panel(plan: Plan, view: View, eye: Eye, words: str) -> Panel:
    return Panel(tuple(actors(plan, view.seen_from(eye))), eye, words)


def rendered(
    stills_: dict[str, tuple[Panel, ...]], *, scale: float = 1.0, progress: Progress = silent
) -> dict[str, bytes]:
    """Draw panels side by side in a separate process and return a PNG for each name.

    Raises
    ------
    MissingExtra
        If this computer cannot draw.
    """
    shown = {name: framed(found) for name, found in stills_.items()}
    said = ""
    for window in (None, "vtkOSOpenGLRenderWindow"):
        environment = dict(os.environ)
        if window is not None:
            environment["VTK_DEFAULT_OPENGL_WINDOW"] = window
        try:
            return call_apart(
                drawn, shown, scale=scale, progress=progress, words=DRAWING, usual_s=_USUAL_S,
                most_s=_WAIT_S, environment=environment,
            )  # fmt: skip
        except WorkEnded:
            said = "its graphics library is missing or broke off"
        except TimeoutError:
            said = f"drawing took longer than {_WAIT_S:.0f} seconds"
        except (ImportError, OSError, RuntimeError) as fault:
            said = str(fault) or type(fault).__name__
    raise MissingExtra(
        f"This computer cannot draw the pictures ({said}). Everything else works without them. "
        "On Debian or Ubuntu install the drawing libraries with: apt install libegl1 "
        "libgl1-mesa-dri; elsewhere update the graphics driver."
    )


def draw_panels(found: Sequence[Panel], *, scale: float = 1.0) -> bytes:
    """Draw panels side by side in this process and return a PNG.

    Call it only where drawing is known to work; `rendered` is the safe way.
    """
    return drawn({"": framed(found)}, scale=scale)[""]


def framed(found: Sequence[Panel]) -> tuple[Framed, ...]:
    """Return the panels of one still, all at one scale and each just fitting."""
    aspect = PANEL[0] / PANEL[1]
    looks = [look_at(p.actors, p.eye, aspect=aspect, margin=_MARGIN) for p in found]
    largest = max(look.half_mm for look in looks)
    return tuple(
        Framed(panel.actors, replace(look, half_mm=largest), panel.words)
        for panel, look in zip(found, looks, strict=True)
    )
