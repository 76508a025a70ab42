"""Trapped air in one pose, exact for the mesh."""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from partline.air.cavity import Cavity, no_ceiling
from partline.air.fans import Fans
from partline.air.kernels import Workspace, climb, joins
from partline.air.measuring import inside, levels, volume_above, volumes
from partline.air.merging import CLOSED, merge
from partline.air.necks import Joins, Meeting, door_widths, levels_if_shut, met
from partline.air.trapped_air import Pocket, TrappedAir
from partline.errors import CavityError
from partline.geometry.directions import unit
from partline.geometry.surface import Floats, Ints

VISIBLE_MM = 0.5  # diameter of the smallest bubble that shows; common practice, no source
NARROW_MM = 3.0  # about two capillary lengths of resin; from memory


class Tree:
    """Merge tree of one direction, cut off where bodies of air meet the outside.

    Attributes
    ----------
    up : (3,) float64
    work : Workspace
        Heights, labels and tops.
    count : int
        Number of tops; label `count` is the outside.
    joins : Joins
        All joins, highest first.
    """

    def __init__(self, fans: Fans, up: Floats, work: Workspace) -> None:
        self.up, self.work = up, work
        self.count = climb(fans, up, work, True)
        first, second, vertex, missed, crossing = joins(fans, up, work, self.count)
        if missed >= 0:
            raise no_ceiling(fans, missed)
        level = work.heights[vertex]
        self.joins = Joins(first, second, vertex, level, self.count, up, work.crossing[:crossing])

    def merged(self) -> tuple[Floats, Ints, Ints]:
        """Return (spill, pocket, door) of `merging.merge`."""
        joins = self.joins
        spill, pocket, door = merge(joins.first, joins.second, joins.level, self.count)
        return spill, pocket, door

    def merged_at(self, level: Floats) -> tuple[Floats, Ints]:
        """Return (spill, pocket) with the joins at other levels; -inf leaves one out."""
        order = np.argsort(-level, kind="stable")[: np.count_nonzero(level > CLOSED)]
        spill, pocket, _ = merge(
            self.joins.first[order], self.joins.second[order], level[order], self.count
        )
        return spill, pocket


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
    of the lowest point on the way. Exact for the mesh by gravity alone. With
    ways narrower than `narrow_mm` shut, each whole, it is an estimate: a way that is narrow above
    and wide below counts as narrow.

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
        Joins narrower than this may hold air back by surface tension [mm]; 0 where that is not
        asked: then nothing counts as narrow, and no neck is measured (inf).

    Raises
    ------
    CavityError
        If `up` has no length, or the surface is found to run through itself.

    References
    ----------
    Carr, Snoeyink and Axen (2003), Computing contour trees in all dimensions.
    Bose, van Kreveld and Toussaint (1998), Filling polyhedral molds.
    """
    u = direction(up)
    fans = cavity.fans
    with cavity.workspace() as work:
        tree = Tree(fans, u, work)
        spill, pocket, door = tree.merged()
        rim = float((fans.vertices[fans.outlets] @ u).min()) if level == "open" else CLOSED
        by_pocket, short = _measured(fans, tree, spill, pocket, rim)

        pocket_n, narrow, meeting = pocket, by_pocket, None
        if narrow_mm > 0.0:
            meeting = met(fans, work, tree.joins)
            lower = levels_if_shut(fans, u, work, tree.joins, *meeting, narrow_mm)
            if (lower != tree.joins.level).any():
                spill_n, pocket_n = tree.merged_at(lower)
                narrow, _ = _measured(fans, tree, spill_n, pocket_n, rim)
        return _assembled(
            cavity, tree, (spill, pocket, door), by_pocket, (pocket_n, narrow), short, meeting,
            visible_mm=visible_mm, narrow_mm=narrow_mm, level=level,
        )  # fmt: skip


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


def _assembled(
    cavity: Cavity,
    tree: Tree,
    merged: tuple[Floats, Ints, Ints],
    by_pocket: Floats,
    narrow: tuple[Ints, Floats],
    short: float,
    meeting: Meeting | None,
    *,
    visible_mm: float,
    narrow_mm: float,
    level: Literal["brim", "open"],
) -> TrappedAir:
    """Return the result with its pockets sorted, named and mapped back to the cavity."""
    spill, pocket, door = merged
    fans, work = cavity.fans, tree.work
    bottom = levels(spill, pocket, work, tree.count)
    smallest = np.pi / 6.0 * visible_mm**3
    shown = np.flatnonzero(by_pocket >= smallest).astype(np.int32)
    shown = shown[np.argsort(-by_pocket[shown], kind="stable")]
    # With narrow joins shut a pocket's tops may lie in several bodies, or one body be wider.
    pocket_n, volume_n = narrow
    open_ = spill[shown] != CLOSED
    neck = np.where(open_, np.inf, 0.0)
    if meeting is not None:
        doors = door[shown[open_]]
        neck[open_] = door_widths(fans, tree.up, work, tree.joins, *meeting, doors, narrow_mm)
    pockets = []
    for i, body in enumerate(shown):
        labels = np.flatnonzero(pocket == body)
        tops = work.tops[labels]
        tops = tops[np.argsort(-work.heights[tops], kind="stable")]
        held = max(float(volume_n[np.unique(pocket_n[labels])].sum()), float(by_pocket[body]))
        pockets.append(
            Pocket(
                volume_mm3=float(by_pocket[body]),
                apex=fans.vertices[tops[0]].copy(),
                spill_level_mm=float(spill[body]),
                depth_mm=float(work.heights[tops[0]] - bottom[body]),
                neck_mm=float(neck[i]),
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
