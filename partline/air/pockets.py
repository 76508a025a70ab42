"""Trapped air in one pose, exact for the mesh."""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from partline.air.cavity import Cavity
from partline.air.fans import Fans
from partline.air.kernels import Workspace, climb, joins, workspace
from partline.air.measuring import inside, levels, volume_above, volumes
from partline.air.merging import CLOSED, merge
from partline.air.necks import widths
from partline.air.trapped_air import Pocket, TrappedAir
from partline.errors import CavityError, InternalError
from partline.geometry.directions import unit
from partline.geometry.surface import Floats, Ints

VISIBLE_MM = 0.5  # diameter of the smallest bubble that shows; common practice, no source
NARROW_MM = 3.0  # about two capillary lengths of resin; from memory
# Joins whose lesser body is shallower than this are roughness; their width is not asked.
ROUGH_MM = 0.25


class Tree:
    """Merge tree of one direction, cut off where bodies of air meet the outside.

    Attributes
    ----------
    up : (3,) float64
    work : Workspace
        Heights, labels and tops.
    count : int
        Number of tops; label `count` is the outside.
    first, second : (j,) int32
        Labels joined, highest join first.
    vertex : (j,) int32
        Vertex of each join.
    level : (j,) float64
        Height of each join [mm].
    """

    def __init__(self, fans: Fans, up: Floats, work: Workspace) -> None:
        self.up, self.work = up, work
        self.count = climb(fans, up, work)
        self.first, self.second, self.vertex, missed = joins(fans, up, work, self.count)
        if missed >= 0:
            x, y, z = fans.vertices[missed]
            raise InternalError(
                f"A ray up from ({x:.3f}, {y:.3f}, {z:.3f}) mm met nothing though the cavity is "
                "closed. Please keep the mesh and report this."
            )
        self.level = work.heights[self.vertex]

    def merged(self, shut: np.ndarray) -> tuple[Floats, Ints, Ints, np.ndarray]:
        """Return (spill, pocket, door, merged) of `kernels.merge` with some joins shut."""
        return merge(self.first, self.second, self.level, shut, self.count)


def direction(up: ArrayLike) -> Floats:
    """Return `up` at unit length, or say what is wrong with it."""
    try:
        return unit(up)
    except ValueError as error:
        raise CavityError(f"The upward direction cannot be used. {error}") from error


def trapped_air(
    cavity: Cavity,
    up: ArrayLike,
    *,
    level: Literal["brim", "open"] = "brim",
    visible_mm: float = VISIBLE_MM,
    narrow_mm: float = NARROW_MM,
) -> TrappedAir:
    """Return the air that stays in a cavity filled slowly with `up` upward.

    A point keeps its air exactly when it lies higher than the best, over all ways to an outlet,
    of the lowest point on the way. Exact for the mesh by gravity alone; the volumes with narrow
    joins shut are an estimate.

    Parameters
    ----------
    cavity : Cavity
    up : (3,) float
        Upward direction in the cavity's own pose.
    level : {"brim", "open"}
        Capped or topped up to the highest outlet, or open and full to the lowest outlet point.
    visible_mm : float
        Diameter of the smallest bubble that counts as a pocket [mm].
    narrow_mm : float
        Joins narrower than this may hold air back by surface tension [mm].

    Raises
    ------
    CavityError
        If `up` has no length.
    InternalError
        If a ray inside a closed cavity meets nothing.

    References
    ----------
    Carr, Snoeyink and Axen (2003), Computing contour trees in all dimensions.
    Bose, van Kreveld and Toussaint (1998), Filling polyhedral molds.
    """
    u = direction(up)
    fans = cavity.fans
    work = workspace(fans)
    tree = Tree(fans, u, work)
    open_shut = np.zeros(len(tree.level), dtype=bool)
    spill, pocket, door, joined = tree.merged(open_shut)
    rim = float((fans.vertices[fans.outlets] @ u).min()) if level == "open" else CLOSED
    by_pocket, short = _measured(fans, tree, spill, pocket, rim)

    shut = _narrow_joins(cavity, tree, joined, narrow_mm)
    if shut.any():
        spill_n, pocket_n, _, _ = tree.merged(shut)
        narrow, _ = _measured(fans, tree, spill_n, pocket_n, rim)
    else:
        pocket_n, narrow = pocket, by_pocket
    return _assembled(cavity, tree, (spill, pocket, door), by_pocket, (pocket_n, narrow), short,
                      visible_mm=visible_mm, level=level)  # fmt: skip


def _measured(
    fans: Fans, tree: Tree, spill: Floats, pocket: Ints, rim: float
) -> tuple[Floats, float]:
    """Return pocket volumes and what an open mould is short, for a rim level (-inf: brim)."""
    level_of = levels(spill, pocket, tree.work, tree.count)
    if rim == CLOSED:
        return volumes(fans, tree.up, tree.work, level_of, pocket, tree.count), 0.0
    # Above the rim nothing is poured: only pockets that would spill below it are sealed.
    sealed = np.where(spill < rim, level_of, np.inf)
    held = volumes(fans, tree.up, tree.work, sealed, pocket, tree.count)
    above = np.where(spill < rim, rim, np.inf)
    sealed_above = volumes(fans, tree.up, tree.work, above, pocket, tree.count)
    return held, volume_above(fans, tree.up, tree.work.heights, rim) - float(sealed_above.sum())


def _narrow_joins(cavity: Cavity, tree: Tree, joined: np.ndarray, narrow_mm: float) -> np.ndarray:
    """Return which joins are narrower than `narrow_mm`; roughness is not asked.

    When narrow joins are shut, others take their place: asked again until nothing new is narrow.
    """
    heights, tops = tree.work.heights, tree.work.tops
    shut = np.zeros(len(tree.level), dtype=bool)
    known = np.zeros(len(tree.level), dtype=bool)
    top = heights[tops[: tree.count]]
    # A ray's join starts at a top, a door at an outlet: neither is a neck.
    between = (tree.second < tree.count) & (tops[tree.first] != tree.vertex)
    depth = (
        np.minimum(
            top[np.minimum(tree.first, tree.count - 1)],
            top[np.minimum(tree.second, tree.count - 1)],
        )
        - tree.level
    )
    worth = between & (depth > ROUGH_MM)
    while True:
        ask = np.flatnonzero(worth & joined & ~known)
        if len(ask) == 0:
            return shut
        known[ask] = True
        narrow = widths(cavity.fans, cavity.points, tree.vertex[ask]) < narrow_mm
        if not narrow.any():
            return shut
        shut[ask[narrow]] = True
        _, _, _, joined = tree.merged(shut)


def _assembled(
    cavity: Cavity,
    tree: Tree,
    merged: tuple[Floats, Ints, Ints],
    by_pocket: Floats,
    narrow: tuple[Ints, Floats],
    short: float,
    *,
    visible_mm: float,
    level: Literal["brim", "open"],
) -> TrappedAir:
    """Return the result with its pockets sorted, named and mapped back to the cavity."""
    spill, pocket, door = merged
    fans, work = cavity.fans, tree.work
    bottom = levels(spill, pocket, work, tree.count)
    smallest = np.pi / 6.0 * visible_mm**3
    shown = np.flatnonzero(by_pocket >= smallest)
    shown = shown[np.argsort(-by_pocket[shown], kind="stable")]
    # With narrow joins shut a pocket's tops may lie in several bodies, or one body be wider.
    pocket_n, volume_n = narrow
    doors = tree.vertex[door[shown]] if len(shown) else np.empty(0, dtype=np.int32)
    neck = widths(fans, cavity.points, doors) if len(shown) else np.empty(0)
    pockets = []
    for i, body in enumerate(shown):
        labels = np.flatnonzero(pocket == body)
        tops = work.tops[labels]
        tops = tops[np.argsort(-work.heights[tops], kind="stable")]
        held = max(float(volume_n[np.unique(pocket_n[labels])].sum()), float(by_pocket[body]))
        closed = spill[body] == CLOSED
        pockets.append(
            Pocket(
                volume_mm3=float(by_pocket[body]),
                apex=fans.vertices[tops[0]].copy(),
                spill_level_mm=float(spill[body]),
                depth_mm=float(work.heights[tops[0]] - bottom[body]),
                neck_mm=0.0 if closed else float(neck[i]),
                wide_enough=bool(abs(held - by_pocket[body]) <= max(smallest, 0.01 * held)),
                narrow_volume_mm3=held,
                tops=fans.original[tops],
            )
        )
    return TrappedAir(
        up=tree.up,
        volume_mm3=float(by_pocket.sum()),
        fine_mm3=float(by_pocket[by_pocket < smallest].sum()),
        narrow_volume_mm3=max(float(volume_n.sum()), float(by_pocket.sum())),
        closed_mm3=float(by_pocket[np.unique(pocket[spill == CLOSED])].sum()),
        top_up_mm3=short,
        pockets=tuple(pockets),
        level=level,
        pocket_of=_pocket_of(cavity, tree, spill, pocket, shown),
    )


def _pocket_of(cavity: Cavity, tree: Tree, spill: Floats, pocket: Ints, shown: Ints) -> Ints:
    """Return for each vertex of the cavity the visible pocket it lies in, or -1."""
    rank = np.full(tree.count, -1, dtype=np.int32)
    rank[shown] = np.arange(len(shown), dtype=np.int32)
    result = np.full(len(cavity.surface.vertices), -1, dtype=np.int32)
    inside(spill, rank[pocket], tree.work, cavity.fans.original, result)
    return result
