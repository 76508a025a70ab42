"""Which way to tip: the direction with the least trapped air, with a proof of how good it is."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from partline.air.cavity import Cavity
from partline.air.direction_map import DirectionMap
from partline.air.pockets import VISIBLE_MM, direction
from partline.air.sweep import Sweep
from partline.errors import CavityError
from partline.geometry.directions import (
    Pour,
    angle_between,
    cell_centres,
    cone_cells,
    split_cells,
    tip_of,
    turn_between,
)
from partline.geometry.surface import Floats
from partline.progress import Progress, silent, span

# Two directions whose air differs by less than the smallest bubble that shows are as good.
VISIBLE_MM3 = np.pi / 6.0 * VISIBLE_MM**3
# Proved to this volume [mm^3] or this share of the best, whichever is more.
TOLERANCE = (0.5, 0.05)
# Cells split at a time: enough for all threads, few enough that a new best tells soon.
BATCH = 24
# A direction is refined to this step; a hand tips no finer [radians].
FINEST = np.radians(0.25)


def search_directions(
    cavity: Cavity,
    *,
    about: ArrayLike = (0.0, 0.0, -1.0),
    within_deg: float = 60.0,
    spacing_deg: float = 6.0,
    pour: Pour = "resin",
    tolerance: tuple[float, float] = TOLERANCE,
    max_analyses: int = 7000,
    progress: Progress = silent,
) -> DirectionMap:
    """Return the upward direction that traps the least air, and the map of all that were tried.

    The cone is covered with spherical triangles. Each is analysed at its middle, which also
    bounds from below what any of its directions can trap (every way out of a pocket crosses its
    lid); the triangles with the least bounds are cut into four until none can hold a direction
    better by more than the tolerance. Among directions as good as the best the one that tips
    least is taken.

    Parameters
    ----------
    cavity : Cavity
    about : (3,) float
        Up when nothing is tipped, in the cavity's pose.
    within_deg : float
        Half angle of the cone [degrees].
    spacing_deg : float
        Edge of the first triangles [degrees], or finer.
    pour : {"resin", "rubber"}
        How the answer is said at the bench: looking into the mouth, or down onto the cup.
    tolerance : (float, float)
        Stop when proved to this volume [mm^3] or this share of the best, whichever is more.
    max_analyses : int
        Stop after about so many directions, proved or not; the first map is always finished.
    progress : Progress

    Returns
    -------
    DirectionMap

    Raises
    ------
    CavityError
        If `about` has no length, or the cone or spacing cannot be used.

    References
    ----------
    Land and Doig (1960), An automatic method of solving discrete programming problems.
    """
    axis = direction(about)
    if not 0.0 <= within_deg <= 180.0:
        raise CavityError(f"A cone of {within_deg} degrees cannot be searched; give 0 to 180.")
    if not 0.0 < spacing_deg <= 90.0:
        raise CavityError(f"A spacing of {spacing_deg} degrees cannot be used; give up to 90.")
    search = _Search(Sweep(cavity), axis, within_deg, progress)
    search.cover(max(int(np.ceil(np.log2(90.0 / spacing_deg))), 0), span(progress, 0.0, 0.3))
    search.polish(4, np.radians(spacing_deg) / 2.0, span(progress, 0.3, 0.35))
    search.prove(tolerance, max_analyses, span(progress, 0.35, 0.9))
    # The proof stops at its tolerance, perhaps beside a better direction it has come close to.
    search.polish(2, np.radians(spacing_deg) / 4.0, span(progress, 0.9, 0.95))
    search.prefer_upright()
    progress(1.0, "Tip found")
    return search.result(pour)


class _Search:
    """What has been tried so far: directions with their air, cells with their bounds."""

    def __init__(self, sweep: Sweep, axis: Floats, within_deg: float, progress: Progress) -> None:
        self.sweep, self.axis, self.within_deg = sweep, axis, within_deg
        self.progress = progress
        self.directions = np.empty((0, 3))
        self.volumes = np.empty(0)
        self.cells = np.empty((0, 3, 3))
        self.least = np.empty(0)
        self.level = float(self.try_(axis[None])[0][0])

    def try_(
        self,
        directions: Floats,
        radii: Floats | None = None,
        progress: Progress = silent,
        words: str = "Trying tips",
    ) -> tuple[Floats, Floats]:
        """Analyse directions and remember them."""
        volume, least = self.sweep(directions, radii, progress=progress, words=words)
        self.directions = np.concatenate([self.directions, directions])
        self.volumes = np.concatenate([self.volumes, volume])
        return volume, least

    def cover(self, levels: int, progress: Progress) -> None:
        """Cover the cone and analyse every cell's middle."""
        if self.within_deg == 0.0:
            return
        self.cells, centres, radii = cone_cells(self.axis, self.within_deg, levels)
        _, self.least = self.try_(centres, radii, progress)

    def polish(self, count: int, step: float, progress: Progress) -> None:
        """Walk downhill from the best few directions that lie apart, halving the step."""
        if self.within_deg == 0.0:
            return
        start = self._best_apart(count, 2.0 * step)
        points, values = self.directions[start], self.volumes[start]
        done = 0.0
        while step > FINEST:
            ring = np.concatenate([self._ring(p, step) for p in points])
            volume, _ = self.try_(ring, progress=span(progress, done, done + 0.1 * (1.0 - done)))
            done += 0.1 * (1.0 - done)
            moved = False
            for i in range(len(points)):
                mine = slice(6 * i, 6 * i + 6)
                k = int(np.argmin(volume[mine]))
                if volume[mine][k] < values[i]:
                    points[i], values[i], moved = ring[mine][k], volume[mine][k], True
            if not moved or self.sweep.analyses > 20000:
                step /= 2.0
            else:
                step *= 0.75

    def _best_apart(self, count: int, apart: float) -> list[int]:
        """Return the best `count` directions tried, no two nearer than `apart` [radians]."""
        listed: list[int] = []
        for k in np.argsort(self.volumes, kind="stable"):
            if (angle_between(self.directions[listed], self.directions[k]) >= apart).all():
                listed.append(int(k))
            if len(listed) == count:
                break
        return listed

    def _ring(self, middle: Floats, step: float) -> Floats:
        """Return (6, 3) directions a step away, brought into the cone."""
        turn = turn_between([0.0, 0.0, 1.0], middle)
        a = np.arange(6) * np.pi / 3.0
        local = np.column_stack(
            [np.sin(step) * np.cos(a), np.sin(step) * np.sin(a), np.full(6, np.cos(step))]
        )
        return self._inside(local @ turn.T)

    def _inside(self, directions: Floats) -> Floats:
        """Return the directions, those outside the cone brought to its rim."""
        return cell_centres(np.repeat(directions[:, None], 3, axis=1), self.axis, self.within_deg)[
            0
        ]

    def prove(self, tolerance: tuple[float, float], most: int, progress: Progress) -> None:
        """Split the cells that may hold something better until none is left."""
        while len(self.cells):
            best = float(self.volumes.min())
            wanted = best - max(tolerance[0], tolerance[1] * best)
            open_ = np.flatnonzero(self.least < wanted)
            if len(open_) == 0 or self.sweep.analyses >= most:
                return
            begun = min(1.0, self.sweep.analyses / most)
            words = f"Trying tips: {self.sweep.analyses} so far, best {best:.1f} mm³"
            worst = open_[np.argsort(self.least[open_], kind="stable")[:BATCH]]
            children = split_cells(self.cells[worst])
            floor = np.tile(self.least[worst], 4)
            children, floor = self._touching(children, floor)
            centres, radii = cell_centres(children, self.axis, self.within_deg)
            part = span(progress, begun, min(1.0, begun + len(children) / most))
            _, least = self.try_(centres, radii, part, words)
            self.cells = np.concatenate([np.delete(self.cells, worst, axis=0), children])
            self.least = np.concatenate([np.delete(self.least, worst), np.maximum(least, floor)])

    def _touching(self, cells: Floats, floor: Floats) -> tuple[Floats, Floats]:
        """Return the cells that reach into the cone."""
        middle = cells.sum(axis=1)
        middle /= np.linalg.norm(middle, axis=1, keepdims=True)
        far = angle_between(middle[:, None], cells).max(axis=1)
        touch = angle_between(middle, self.axis) <= np.radians(self.within_deg) + far + 1e-12
        return cells[touch], floor[touch]

    def _chosen(self) -> int:
        """Return the direction that tips least among those as good as the best."""
        good = np.flatnonzero(self.volumes <= self.volumes.min() + VISIBLE_MM3)
        return int(good[np.argmin(angle_between(self.directions[good], self.axis))])

    def prefer_upright(self) -> None:
        """Look between the chosen direction and level for a smaller tip that does as well."""
        for _ in range(2):
            chosen = self.directions[self._chosen()]
            tilt = float(angle_between(chosen, self.axis))
            if tilt < FINEST:
                return
            share = np.arange(1, 16) / 16.0
            sideways = chosen - (chosen @ self.axis) * self.axis
            sideways /= np.linalg.norm(sideways)
            t = (share * tilt)[:, None]
            self.try_(np.cos(t) * self.axis + np.sin(t) * sideways)

    def result(self, pour: Pour) -> DirectionMap:
        """Return the map of everything tried."""
        best = self._chosen()
        volume = float(self.volumes[best])
        least = float(self.least.min()) if len(self.least) else volume
        azimuth, tilt = tip_of(self.directions[best], pour)
        return DirectionMap(
            about=self.axis,
            within_deg=self.within_deg,
            directions=self.directions,
            volumes_mm3=self.volumes,
            best=self.directions[best].copy(),
            best_volume_mm3=volume,
            level_volume_mm3=self.level,
            gap_mm3=max(0.0, volume - least),
            azimuth_deg=azimuth,
            tilt_deg=tilt,
        )
