"""No line from the mouth to its end: which two parts are left, and which zones lie between."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from partline.cut.layout import Corridor, side_words
from partline.cut.zones import Zones
from partline.errors import NoPath
from partline.geometry.patches import patches
from partline.geometry.paths import SurfaceGraph


def walled_off(
    graph: SurfaceGraph, corridor: Corridor, zones: Zones, open_: NDArray[np.bool_]
) -> NoPath:
    """Return the error of a corridor in which nothing joins the start of a line to its end.

    Parameters
    ----------
    graph : SurfaceGraph
    corridor : Corridor
    zones : Zones
    open_ : (n,) bool
        Vertices that a line may touch.
    """
    part = patches(graph.surface, open_)
    begun, ended = (
        open_ & np.isin(part, part[some[open_[some]]])
        for some in (corridor.sources, corridor.targets)
    )
    name = side_words(corridor.name)
    said = f"No way leads from the mouth to the end of the line {name}: "
    said += _reached(graph, begun, "the mouth", "up to", highest=True) + ", "
    said += _reached(graph, ended, "the end", "down to", highest=False)
    between = _numbers(graph, begun if begun.any() else ended, corridor, zones)
    if not between:
        return NoPath(
            f"{said}, and between them nothing may be cut. Choose another number of cuts, or "
            "turn the front."
        )
    listed = ", ".join(between[:-1]) + " and " * (len(between) > 1) + between[-1]
    several = len(between) > 1
    return NoPath(
        f"{said}; between them {'lie' if several else 'lies'} stay-off zone{'s' * several} "
        f"{listed}. Make {'one of them' if several else 'it'} smaller, or turn the front."
    )


def _reached(
    graph: SurfaceGraph, part: NDArray[np.bool_], what: str, way: str, *, highest: bool
) -> str:
    if not part.any():
        return f"nothing at {what} is open"
    points = graph.surface.vertices[part]
    x, y, z = points[points[:, 2].argmax() if highest else points[:, 2].argmin()]
    return f"the part with {what} goes {way} near {x:.0f}, {y:.0f}, {z:.0f} mm"


def _numbers(
    graph: SurfaceGraph, part: NDArray[np.bool_], corridor: Corridor, zones: Zones
) -> list[str]:
    """Return the numbers of the stay-off zones round a part; all in the corridor if it is empty."""
    low, high = graph.surface.edges.T
    beside = np.zeros(len(part), dtype=bool)
    beside[high[part[low]]] = True
    beside[low[part[high]]] = True
    shut = corridor.allowed & zones.stay_off & (beside if part.any() else True)
    return [str(k) for k in np.unique(zones.shut_by[shut]) if k > 0]


def no_line(refused: Mapping[str, str]) -> NoPath:
    """Return one error for lines that were all refused: why the first, and which others.

    Parameters
    ----------
    refused : mapping of str to str
        What each line is called, and why there is none.
    """
    (_, why), *others = refused.items()
    if not others:
        return NoPath(why)
    names = " or ".join(name for name, _ in others)
    return NoPath(f"{why} No other line can be cut either ({names}).")
