"""Over the floor of the mould: one line up a side and over the top, the other side a hinge.

The block then opens like a book laid on its spine. What must stretch is judged as for any other
cut, only with the sections across the way from the start to the hinge instead of level: rings
that lie beyond the end of the cut stay closed. The mouth opens them too, so it is an upper bound.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from partline.cut.alternatives import SHARED, corridor_mm, shared
from partline.cut.bench import Bench
from partline.cut.cost import Skin
from partline.cut.cut import Cut, Marks, OverFloor
from partline.cut.demould import Demould, demould
from partline.cut.how_far import TOP_SHARE, Depth, marks_of
from partline.cut.layout import OVER, Corridor, outside_of, rim_of
from partline.cut.route import Ground, Route, draw_route, find_ground
from partline.cut.seen import seen_from
from partline.cut.walled import no_line
from partline.cut.weighing import Opened, built
from partline.errors import NoPath
from partline.geometry.cores import in_parts
from partline.geometry.paths import SurfacePath, cheapest_path, priced
from partline.geometry.surface import Floats
from partline.progress import Progress, silent, span

_UP = np.array([0.0, 0.0, 1.0])
# Where the line may start, the hinge across from it, and the level way there.
STARTS: dict[str, tuple[str, tuple[float, float, float]]] = {
    "back": ("front", (0.0, -1.0, 0.0)),
    "left": ("right", (1.0, 0.0, 0.0)),
    "right": ("left", (-1.0, 0.0, 0.0)),
}
# The line keeps within this share of the half width on either side of the middle, so that both
# halves open alike. Common practice, no source.
_BAND = 0.7
# On the rim it starts within so much of its side [degrees]; common practice, no source.
_START_DEG = 65.0
# The top of the piece, which the floor of the mould lies on, begins at this share of its height.
_TOP = 0.75
_LEVELS = 60
_DRAWING = "drawing a line over the floor of the mould"


@dataclass(frozen=True, eq=False)
class _Side:
    """The piece seen along the way from where the line starts to the hinge."""

    start: str
    toward: Floats
    rings: Demould
    far: Floats  # (n,) place of each vertex along the way
    aside: Floats  # (n,) how far from the middle, in half widths
    depth: Depth


def over_floor(
    bench: Bench, *, apart_from: Sequence[Floats] = (), progress: Progress = silent
) -> tuple[Cut, Route]:
    """Return the cheapest cut over the floor of the mould and its route.

    Parameters
    ----------
    bench : Bench
    apart_from : sequence of (k, 3) float64
        Lines whose corridors it is to keep out of where another start lets it [mm].

    Raises
    ------
    NoPath
        If none can be cut.
    """
    progress(0.0, _DRAWING)
    sees = seen_from(bench.stand.piece, _UP[None], spots=bench.spots) > 0
    bench = replace(bench, skin=_from_above(bench, sees))
    top = _top_of(bench, sees)
    starts = tuple(STARTS)
    tried = in_parts(lambda k, _: _tried(bench, starts[k], top), len(starts), 1,
                     progress=span(progress, 0.1, 0.75), words=_DRAWING)  # fmt: skip
    found = [one for one in tried if not isinstance(one, NoPath)]
    if not found:
        raise no_line({
            f"over the floor from the {start}": str(why)
            for start, why in zip(starts, tried, strict=True)
        })  # fmt: skip
    half = corridor_mm(bench)

    def rank(one: tuple[_Side, Ground, SurfacePath]) -> tuple[bool, float]:
        path = one[2]
        return shared([path.points], apart_from, half) >= SHARED, path.cost

    side, ground, _ = min(found, key=rank)
    progress(0.75, _DRAWING)
    route = draw_route(bench.plain, bench.skin, ground)
    progress(0.9, _DRAWING)
    return _cut(bench, side, route), route


def _tried(
    bench: Bench, start: str, top: NDArray[np.bool_]
) -> tuple[_Side, Ground, SurfacePath] | NoPath:
    """Return where a line from one side may run and roughly the cheapest, or why there is none."""
    try:
        side = _side(bench, start, top)
        return side, *_rough(bench, side, top)
    except NoPath as error:
        return error


def _from_above(bench: Bench, sees: NDArray[np.bool_]) -> Skin:
    """Return the skin for a blade that comes down through the far face as well as from the side."""
    skin, stand = bench.skin, bench.stand
    down = np.minimum(skin.deep_mm, stand.top_mm - stand.piece.vertices[:, 2])
    return replace(
        skin, shut=np.where(sees, 0.0, skin.shut), deep_mm=np.where(sees, down, skin.deep_mm)
    )


def _top_of(bench: Bench, sees: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Tell which vertices in the upper part of the piece see straight up to the mould's floor."""
    stand = bench.stand
    high = stand.seat_mm + _TOP * (stand.top_mm - stand.seat_mm)
    return sees & outside_of(stand) & (stand.piece.vertices[:, 2] >= high)


def _side(bench: Bench, start: str, top: NDArray[np.bool_]) -> _Side:
    piece, stand = bench.stand.piece, bench.stand
    toward = np.array(STARTS[start][1])
    turn = np.stack([np.cross(_UP, toward), _UP, toward])
    pose = np.eye(4)
    pose[:3, :3] = turn
    turned = piece.moved(pose)
    low, high = (float(v) for v in turned.bounds[:, 2])
    rings = demould(turned, low, levels=_LEVELS)
    far = turned.vertices[:, 2]
    middle = np.interp(far, rings.levels, rings.centre[:, 0])
    half = np.interp(far, rings.levels, rings.half_width)
    aside = np.abs(turned.vertices[:, 0] - middle) / np.maximum(half, 1e-9)
    crown = far[top & (aside <= _BAND)]
    if not len(crown):
        raise NoPath(
            f"No line can go over the floor from the {start}: nothing of the upper quarter of the "
            "piece faces the floor of the mould there."
        )
    # The web beside the hinge is never thinner than the wall, nor has the line skin to end on
    # beyond the top of the piece.
    web = bench.depth.web_mm
    never = min(high + stand.wall_mm - web, low + TOP_SHARE * (high - low), float(crown.max()))
    bridges = tuple(b for b in rings.bridges if b.stretch > bench.working and b.low_mm < never)
    curve = rings.curve(bridges_cut=bool(bridges))
    marks, needed = marks_of(curve, low, high - low, never, bench.working)
    return _Side(start, toward, rings, far, aside, Depth(marks, curve, bridges, needed, web))


def _rough(bench: Bench, side: _Side, top: NDArray[np.bool_]) -> tuple[Ground, SurfacePath]:
    """Return where a line up one side and over the top may run, and roughly the cheapest there.

    Raises
    ------
    NoPath
        If the seat has no rim there, or nothing leads over the top.
    """
    stand, end = bench.stand, side.depth.marks.likely_mm
    rim = rim_of(stand)
    points = stand.piece.vertices[rim]
    arm = points - (points.min(axis=0) + points.max(axis=0)) / 2 if len(rim) else points
    way = arm[:, :2] @ side.toward[:2]
    near = way <= -np.cos(np.radians(_START_DEG)) * np.linalg.norm(arm[:, :2], axis=1)
    within = outside_of(stand) & (side.aside <= _BAND)
    targets = np.flatnonzero(within & top & (side.far >= end))
    allowed = within & (side.far < end)
    allowed[targets] = True
    sources = rim[near & allowed[rim]]
    if not len(sources) or not len(targets):
        what = "the mouth's rim" if not len(sources) else "the top of the piece"
        raise NoPath(
            f"No line can go over the floor from the {side.start}: {what} has no vertex in the "
            "middle of the piece, seen from there. Turn the front, or choose another cut."
        )
    corridor = Corridor(
        name=OVER + side.start,
        allowed=allowed,
        inward=np.clip(side.aside, 0.0, 1.0),
        sources=sources,
        targets=targets,
        end_mm=end,
        along=(float(side.toward[0]), float(side.toward[1]), 0.0),
    )
    ground = find_ground(
        bench.plain, bench.skin, bench.weights, corridor, margin_mm=bench.margin_mm
    )
    network = priced(bench.plain.graph, ground.density)
    return ground, cheapest_path(network, sources, targets, names=corridor.name)


def _cut(bench: Bench, side: _Side, route: Route) -> Cut:
    stand, marks = bench.stand, side.depth.marks
    floor = stand.block_height_mm
    side_wall = float(side.far.max()) + stand.wall_mm
    over = OverFloor(
        hinge=STARTS[side.start][0],
        toward=route.ground.corridor.along,
        try_here_mm=marks.try_here_mm,
        likely_mm=marks.likely_mm,
        never_past_mm=marks.never_past_mm,
        web_mm=side_wall - marks.likely_mm,
    )
    # Through the whole height of the block: the marks of the climb lie at its floor.
    whole = replace(side.depth, marks=Marks(floor, floor, floor))
    low = float(side.far.min()) - stand.wall_mm
    across = float(np.ptp(stand.piece.vertices @ np.cross(_UP, side.toward)))
    opened = Opened(
        rings=side.rings,
        depth=whole,
        end_mm=marks.likely_mm,
        web_mm=over.web_mm,
        across_mm=across,
        reach_mm=marks.likely_mm - low,
        over=over,
    )
    return built(bench, (route,), opened)
