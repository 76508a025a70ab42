"""Measuring a route: length, what lies left and right of it, clean-up, which way it faces."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from partline.cut.cleanup import Effort, scrape_stretches
from partline.cut.cost import Skin
from partline.cut.cut import CutLine, Marks, OverFloor
from partline.cut.demould import Demould
from partline.cut.layout import bearings
from partline.cut.route import Route
from partline.geometry.paths import PricedGraph, SurfacePath
from partline.geometry.surface import Floats

# Detail is looked for so far from a line, then farther where there is none on one side [mm].
_LOOKS_MM = (8.0, 32.0, np.inf)


@dataclass(frozen=True, eq=False)
class Beside:
    """Distance from a line to the nearest detail on one side.

    Attributes
    ----------
    clearance_mm : float
        Over the surface; inf where there is none [mm].
    place_mm : tuple of float or None
        Where it is [mm].
    """

    clearance_mm: float
    place_mm: tuple[float, float, float] | None


def measured(
    route: Route,
    skin: Skin,
    plain: PricedGraph,
    demould: Demould,
    marks: Marks,
    *,
    effort: Effort | None = None,
    over: OverFloor | None = None,
) -> CutLine:
    """Return the line of a route with its figures, clipped at the end of the cut.

    Parameters
    ----------
    route : Route
    skin : Skin
    plain : PricedGraph
        The piece at one mm per mm, its flat underside shut.
    demould : Demould
    marks : Marks
    effort : Effort, optional
        Minutes of clean-up per mm.
    over : OverFloor, optional
        Where the line goes over the floor of the mould.
    """
    path, corridor = route.path, route.ground.corridor
    values = {
        "point": path.points,
        "detail": path.sample(skin.detail),
        "show": path.sample(skin.show),
        "edge": path.sample(skin.hard_edge.astype(np.float64)),
        "density": path.sample(route.ground.density),
    }
    cut = _clipped(values, np.array(corridor.along), corridor.end_mm)
    step = np.linalg.norm(np.diff(cut["point"], axis=0), axis=1)
    mean = {name: (v[1:] + v[:-1]) / 2 for name, v in cut.items() if name != "point"}
    length = float(step.sum())
    left, right = beside(path, skin.prized & ~route.ground.excused, plain)
    middle = _halfway(cut["point"], step)
    return CutLine(
        points=cut["point"],
        length_mm=length,
        clearance_left_mm=left.clearance_mm,
        clearance_right_mm=right.clearance_mm,
        closest_left_mm=left.place_mm,
        closest_right_mm=right.place_mm,
        worst_detail=float(cut["detail"].max()),
        cost=float((step * mean["density"]).sum()),
        share_on_show=float((step * mean["show"]).sum() / length) if length else 0.0,
        cleanup_min=(effort or Effort()).minutes(step, mean["detail"], mean["edge"]),
        azimuth_deg=float(bearings(middle[None], demould)[0]),
        marks=marks,
        side=corridor.side,
        over=over,
        scrape=scrape_stretches(cut["point"], plain.graph.surface, skin.detail),
    )


def _clipped(values: dict[str, Floats], along: Floats, end_mm: float) -> dict[str, Floats]:
    """Cut every row off where the line first reaches its end."""
    height = values["point"] @ along
    reached = np.flatnonzero(height >= end_mm)
    if not len(reached) or reached[0] == 0:
        return values
    k = int(reached[0])
    share = (end_mm - height[k - 1]) / (height[k] - height[k - 1])
    return {
        name: np.concatenate([v[:k], (v[k - 1] + share * (v[k] - v[k - 1]))[None]])
        for name, v in values.items()
    }


def _halfway(points: Floats, step: Floats) -> Floats:
    along = np.concatenate([[0.0], np.cumsum(step)])
    return np.array([np.interp(along[-1] / 2, along, points[:, k]) for k in range(3)])


def beside(
    path: SurfacePath, prized: NDArray[np.bool_], plain: PricedGraph
) -> tuple[Beside, Beside]:
    """Return the nearest detail left and right of a line, seen from outside, going up.

    The side of a vertex is that on which the shortest way to it leaves the line. Within one edge
    length: a point on an edge stands for the nearer end of it.
    """
    detail = np.flatnonzero(prized)
    if not len(detail):
        return Beside(np.inf, None), Beside(np.inf, None)
    surface = plain.graph.surface
    nearer = np.where(path.share < 0.5, path.ends[:, 0], path.ends[:, 1])
    chain, at = np.unique(nearer, return_index=True)
    ahead = np.gradient(path.points, axis=0) if len(path.points) > 1 else np.zeros((1, 3))
    spot = dict(zip(chain.tolist(), at.tolist(), strict=True))
    for reach in _LOOKS_MM:
        ways = plain.ways(chain, limit=reach)
        mine = detail[np.isfinite(ways.cost[detail])]
        begun = ways.start(mine)
        where = np.array([spot[v] for v in begun.tolist()], dtype=np.int64)
        away = surface.vertices[np.where(mine == begun, mine, ways.branch[mine])]
        across = np.cross(surface.vertex_normals[begun], ahead[where])
        side = np.einsum("ij,ij->i", across, away - path.points[where])
        sides = mine[side >= 0], mine[side <= 0]
        if all(len(mine) for mine in sides):
            break
    found = []
    for mine in sides:
        if not len(mine):
            found.append(Beside(np.inf, None))
            continue
        best = int(mine[np.argmin(ways.cost[mine])])
        x, y, z = (float(v) for v in surface.vertices[best])
        found.append(Beside(float(ways.cost[best]), (x, y, z)))
    return found[0], found[1]
