"""Panels drawn side by side off-screen, as a PNG; what the drawing process runs.

Only what is drawn with is loaded here: a process has to load it anew for every plan.
"""

from __future__ import annotations

import gc
import io
import pickle
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from partline.faces.actor import Actor
from partline.faces.framing import Look

PANEL = (900, 1000)
_INK = "#23262b"


@dataclass(frozen=True, eq=False)
class Framed:
    """One panel of a still: what is in it, seen how, and the words over it."""

    actors: tuple[Actor, ...]
    look: Look
    words: str


def drawn(found: Sequence[Framed], *, scale: float = 1.0) -> bytes:
    """Draw panels side by side in this process and return a PNG.

    Call it only where drawing is known to work.

    Parameters
    ----------
    found : sequence of Framed
    scale : float
        1 is 900 x 1000 pixels a panel.
    """
    import pyvista as pv

    from partline.faces.drawing import aim, draw, paper, see_outsides_only

    width, height = (int(v * scale) for v in PANEL)
    plotter = pv.Plotter(
        off_screen=True, shape=(1, len(found)), border=False,
        window_size=[width * len(found), height],
    )  # fmt: skip
    plotter.enable_anti_aliasing("msaa", multi_samples=4)
    for k, panel in enumerate(found):
        plotter.subplot(0, k)
        plotter._partline_drawn = {}
        paper(plotter)
        draw(panel.actors, plotter, text_px=int(32 * scale))
        see_outsides_only(plotter)
        if panel.words:
            plotter.add_text(panel.words, position="lower_left", font_size=int(17 * scale),
                             color=_INK, name="words")  # fmt: skip
        aim(plotter, panel.look)
    buffer = io.BytesIO()
    plotter.screenshot(buffer, return_img=False)
    plotter.close()
    return buffer.getvalue()


def main(arguments: Sequence[str]) -> int:
    """Draw a task written by `picture.rendered`; the whole answer appears at once or not at all."""
    # It ends before there is much to clean up, and looking for it takes a tenth of its time.
    gc.disable()
    task, answer = map(Path, arguments)
    found, scale = pickle.loads(task.read_bytes())
    pictures = {name: drawn(panels, scale=scale) for name, panels in found.items()}
    half = answer.with_suffix(".half")
    half.write_bytes(pickle.dumps(pictures))
    half.replace(answer)
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
