"""Panels drawn side by side off-screen, as a PNG; what is called in the drawing process.

Only what is drawn with is loaded here: a process has to load it anew for every plan.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from partline.faces.actor import Actor
from partline.faces.framing import Look
from partline.progress import Progress, silent

DRAWING = "Drawing the pictures"
PANEL = (900, 1000)
_INK = "#23262b"


@dataclass(frozen=True, eq=False)
class Framed:
    """One panel of a still: what is in it, seen how, and the words over it."""

    actors: tuple[Actor, ...]
    look: Look
    words: str


def drawn(
    stills: Mapping[str, Sequence[Framed]], *, scale: float = 1.0, progress: Progress = silent
) -> dict[str, bytes]:
    """Draw panels side by side in this process and return a PNG for each name.

    Call it only where drawing is known to work. All panels are drawn in one window, one after
    the other: what several show is handed to the drawing library once.

    Parameters
    ----------
    stills : mapping of str to sequence of Framed
    scale : float
        1 is 900 x 1000 pixels a panel.
    progress : Progress
        Hears of every still.
    """
    progress(0.0, DRAWING)
    import pyvista as pv

    from partline.faces.drawing import paper

    plotter = pv.Plotter(off_screen=True, window_size=[int(v * scale) for v in PANEL])
    plotter.enable_anti_aliasing("msaa", multi_samples=4)
    paper(plotter)
    found = {}
    for k, (name, panels) in enumerate(stills.items(), start=1):
        progress(k / (len(stills) + 1), DRAWING)
        found[name] = _png(np.hstack([_seen(plotter, panel, scale) for panel in panels]))
    plotter.close()
    return found


def _seen(plotter: Any, panel: Framed, scale: float) -> NDArray[np.uint8]:
    """Return the (h, w, 3) picture of a panel."""
    from partline.faces.drawing import aim, draw, see_outsides_only

    draw(panel.actors, plotter, text_px=int(32 * scale))
    see_outsides_only(plotter)
    plotter.add_text(panel.words, position="lower_left", font_size=int(17 * scale), color=_INK,
                     name="words", render=False)  # fmt: skip
    aim(plotter, panel.look)
    plotter.render()
    return np.array(plotter.screenshot(return_img=True))


def _png(picture: NDArray[np.uint8]) -> bytes:
    import pyvista as pv
    from vtkmodules.vtkIOImage import vtkPNGWriter

    high, wide, _ = picture.shape
    image = pv.ImageData(dimensions=(wide, high, 1))
    # The library counts rows from the bottom.
    image.point_data["colour"] = np.ascontiguousarray(picture[::-1]).reshape(-1, 3)
    writer = vtkPNGWriter()
    writer.SetInputData(image)
    writer.WriteToMemoryOn()
    writer.Write()
    return bytes(memoryview(writer.GetResult()))
