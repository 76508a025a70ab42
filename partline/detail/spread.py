"""Relief in each octave, as its spread about its own local mean, and what noise makes of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

import numpy as np
from scipy import sparse

from partline.detail.levels import Levels
from partline.detail.octaves import Octave
from partline.geometry.operators import area_normals, heat_smoothed, mass_and_laplacian
from partline.geometry.surface import Floats, Surface
from partline.progress import Progress, span
from partline.side_by_side import side_by_side

_POINT_ERROR = 3e-4  # error allowed to smoothed points, as a share of the shortest wave looked at
_SPREAD_ERROR = 1e-3  # error allowed to window means, as a share of their size
_WINDOW_EDGES = 2.0  # least root of t of the window, in edges; its width is four times that
_LEAST_SHARE = 1e-3  # of a window that must lie outside the band round hard edges
# What is coarse is looked at on a coarser mesh, as long as it spans so many edges there: the
# shortest wave of an octave six, the fewest that are trusted elsewhere; the root of t of a window
# three. Measured on two scans against the whole mesh, on the livelier half of the skin: the root
# of the variance moves by less than a hundredth as a rule, by about three on 98 of 100 at most.
WAVE_EDGES = 6.0
WINDOW_EDGES = 3.0
# What chance makes of a window is averaged over a window twice as wide: one will do, and moves its
# root by a hundredth on 90 of 100 vertices at most.
CHANCE_EDGES = 1.0


@dataclass(frozen=True, eq=False)
class OctaveSpread:
    """What one octave shows.

    Attributes
    ----------
    octave : Octave
    variance_mm2 : (n,) float64
        Mean square of the relief about its local mean (Sq^2 of ISO 25178-2, in a window; from
        memory), noise included; 0 in the band round hard edges [mm^2].
    noise_mm2 : (n,) float64
        The same made by noise alone on this mesh; 0 in the band [mm^2].
    """

    octave: Octave
    variance_mm2: Floats
    noise_mm2: Floats


def octave_spreads(
    surface: Surface,
    octaves: tuple[Octave, ...],
    *,
    operators: tuple[Floats, sparse.csr_array] | None = None,
    noise_mm: float,
    edge_mm: float,
    random: Floats,
    edge_distance_mm: Floats,
    band_mm: float | None,
    window_mm: float = 0.0,
    progress: Progress,
) -> Iterator[OctaveSpread]:
    """Yield what each octave shows, fine to coarse.

    Relief is d = n . (x_fine - x_coarse), x_t the points smoothed by (M + tL)^-1 M and n the
    normal of x_fine. What counts is its variance about its own mean in a window of twice the
    octave's scale: a plain limb or dome moves evenly, and an even shift is no detail.

    Parameters
    ----------
    surface : Surface
    octaves : tuple of Octave
        Each beginning where the one before ends.
    operators : ((n,) float, (n, n) sparse), optional
        Mass and Laplacian of the surface, where they are known already.
    noise_mm : float
        Noise of the vertices along the normal [mm].
    edge_mm : float
        Median edge length [mm].
    random : (n,) float
        One standard normal number per vertex: the octave's response to it, times the noise,
        is what noise alone makes here [1].
    edge_distance_mm : (n,) float
        Distance to the nearest hard edge [mm].
    band_mm : float or None
        Round a hard edge so much is left out; None: what `band_of` says of each octave [mm].
    window_mm : float
        Least root of t of the windows [mm]. A fixed one keeps the windows of the fine octaves the
        same on a finer and on a coarser mesh of one part.
    progress : Progress

    References
    ----------
    Desbrun et al. 1999 (implicit smoothing); Lee, Varshney and Jacobs 2005 look at several
    scales as well, but for attention, not for millimetres.
    """
    mass, laplacian = mass_and_laplacian(surface) if operators is None else operators
    levels = Levels(surface, mass, laplacian, edge_mm)
    columns = np.column_stack([surface.vertices - surface.bounds.mean(axis=0), random])
    chain = _Chain(levels, columns)
    # A conjugate-gradient step count grows with the length smoothed over, so does the time; the
    # window is never narrower than some edges.
    least = 2.0 * max(window_mm, _WINDOW_EDGES * edge_mm)
    cost = np.cumsum([0.2 * least, *(max(octave.scale_mm, least) for octave in octaves)])
    share = cost / cost[-1]
    words = [f"relief at {octave.scale_mm:.1f} mm" for octave in octaves]
    progress(0.0, words[0])
    ahead = chain.relief(octaves[0], span(progress, 0.0, float(share[0])), words[0])
    for number, octave in enumerate(octaves):
        part = span(progress, float(share[number]), float(share[number + 1]))
        band = band_of(octave, edge_mm) if band_mm is None else band_mm
        counted = (edge_distance_mm > band)[:, None].astype(float)
        look = _Look(levels, chain.at, octave, counted, window_mm, words[number])
        spreads = partial(look.spreads, ahead)
        if number + 1 == len(octaves):
            variance, chance = spreads(part)
        else:
            # The next relief does not wait for this one's spread: what only one core can do of
            # either has the other core beside it.
            onward = partial(chain.relief, octaves[number + 1], words=words[number])
            (variance, chance), ahead = side_by_side(
                spreads, onward, shares=(0.7, 0.3), progress=part
            )
        yield OctaveSpread(octave, variance, noise_mm**2 * chance)
    progress(1.0, "relief")


def band_of(octave: Octave, edge_mm: float) -> float:
    """Return how far round a hard edge an octave shows the edge, not the skin [mm].

    2 sqrt(t) of its coarser step; on the mesh even the finest step reaches two edges.
    """
    return float(max(2.0 * np.sqrt(octave.coarse_mm2), 2.0 * edge_mm))


class _Chain:
    """Relief of one octave after the other: each begins with what the one before ended with.

    Parameters
    ----------
    levels : Levels
    columns : (n, 4) float64
        What is smoothed: places about the middle [mm], one random number [1].

    Attributes
    ----------
    at : int
        Number of the mesh that the last relief was taken on.
    """

    def __init__(self, levels: Levels, columns: Floats) -> None:
        self.at = 0
        self._levels, self._columns = levels, columns
        self._fine: Floats | None = None

    def relief(self, octave: Octave, progress: Progress, words: str) -> Floats:
        """Return (k, 2) the relief of an octave [mm], and that of chance [1]."""
        progress(0.0, words)
        before, self.at = self.at, self._levels.coarsest(octave.s_mm / WAVE_EDGES, self.at)
        if self.at != before:
            self._columns, self._fine = self._levels.down(self._columns, before, self.at), None
        level = self._levels[self.at]
        allowed = np.array([_POINT_ERROR * octave.s_mm] * 3 + [_SPREAD_ERROR])

        def smoothed(time: float, start: Floats | None, part: Progress) -> Floats:
            return heat_smoothed(
                level.mass, level.laplacian, time, self._columns, tolerance=allowed, start=start,
                progress=part, words=words,
            )  # fmt: skip

        if self._fine is None:
            self._fine = smoothed(octave.fine_mm2, None, span(progress, 0.0, 0.25))
        fine = self._fine
        self._fine = coarse = smoothed(octave.coarse_mm2, fine, span(progress, 0.25, 1.0))
        normals = area_normals(np.ascontiguousarray(fine[:, :3]), level.surface)
        along = np.einsum("ij,ij->i", normals, fine[:, :3] - coarse[:, :3])
        return np.column_stack([along, fine[:, 3] - coarse[:, 3]])


@dataclass(frozen=True, eq=False)
class _Look:
    """A look at the relief of one octave.

    Attributes
    ----------
    levels : Levels
    at : int
        Number of the mesh that the relief was taken on.
    octave : Octave
    counted : (n, 1) float64
        Of the finest mesh: 0 in the band round hard edges, 1 elsewhere [1].
    window_mm : float
        Least root of t of the window [mm].
    words : str
        What progress is told.
    """

    levels: Levels
    at: int
    octave: Octave
    counted: Floats
    window_mm: float
    words: str

    def spreads(self, relief: Floats, progress: Progress) -> tuple[Floats, Floats]:
        """Return the variance of relief and of chance about their means, of the finest mesh."""
        progress(0.0, self.words)
        # The kernel's root-mean-square radius is 2 sqrt(t): a window twice the scale across. A
        # window of a few vertices would show chance, not spread: it is never narrower than eight
        # edges.
        edges = _WINDOW_EDGES * self.levels[self.at].edge_mm
        root = max(0.5 * self.octave.scale_mm, self.window_mm, edges)
        number = self.levels.coarsest(root / WINDOW_EDGES, self.at)
        variance = self._variance(relief[:, :1], root, number, span(progress, 0.0, 0.7))
        coarse = self.levels.coarsest(root / CHANCE_EDGES, number)
        chance = self._variance(relief[:, 1:], root, coarse, span(progress, 0.7, 0.9))
        # One draw of chance is uneven by chance; averaged over a wider window it is not, and still
        # follows a mesh that is fine here and coarse there.
        wide = self._averaged(chance, 4.0 * root**2, coarse, span(progress, 0.9, 1.0))
        both = [self.levels.up(variance, number, 0), self.levels.up(wide, coarse, 0)]
        shown, noise = (np.maximum(np.nan_to_num(f) * self.counted, 0.0)[:, 0] for f in both)
        return shown, noise

    def _averaged(self, chance: Floats, time: float, number: int, progress: Progress) -> Floats:
        """Mean of (k, 1) what chance makes in a wide window, of what counts in it."""
        level, counted = self.levels[number], self.levels.down(self.counted, 0, number)
        columns = np.nan_to_num(chance) * counted
        if not (counted == 1.0).all():
            columns = np.column_stack([columns, counted])
        allowed = 1e-2 * columns.mean(axis=0) + np.finfo(float).tiny ** 0.25
        wide = heat_smoothed(level.mass, level.laplacian, time, columns, tolerance=allowed,
                             start=columns, progress=progress, words=self.words)  # fmt: skip
        if wide.shape[1] == 1:
            return wide
        seen = wide[:, 1:] > _LEAST_SHARE
        return np.where(seen, wide[:, :1] / np.where(seen, wide[:, 1:], 1.0), 0.0)

    def _variance(self, relief: Floats, root: float, number: int, progress: Progress) -> Floats:
        """Variance of `relief` (n, 1) about its mean in the window, on one of the meshes.

        The window is itself a heat kernel; where some of it does not count, the rest is raised to
        the same sum. NaN where next to nothing of it counts.
        """
        counted = self.levels.down(self.counted, 0, self.at)
        columns = np.column_stack([relief, relief**2]) * counted
        whole = bool((counted == 1.0).all())
        if not whole:
            columns = np.column_stack([columns, counted])
        columns = self.levels.down(columns, self.at, number)
        size = np.sqrt(np.mean(columns**2, axis=0))
        allowed = _SPREAD_ERROR * np.maximum(size, np.finfo(float).tiny ** 0.25)
        level = self.levels[number]
        window = heat_smoothed(level.mass, level.laplacian, root**2, columns, tolerance=allowed,
                               progress=progress, words=self.words)  # fmt: skip
        if not whole:
            share = window[:, 2:]
            seen = share > _LEAST_SHARE
            window = np.where(seen, window[:, :2] / np.where(seen, share, 1.0), np.nan)
        # Rounding, and the few negative weights of obtuse triangles, could leave less than
        # nothing.
        return np.maximum(window[:, 1:2] - window[:, :1] ** 2, 0.0)
