"""The zigzag that lets the cut close again: in the outer rubber, never crossing itself."""

from __future__ import annotations

import math

import numpy as np
from scipy.spatial import cKDTree

from partline.card.cutting_card import Keys, Strokes
from partline.card.swept import crossings, strip
from partline.card.unrolling import Layout
from partline.geometry.rays import Rays
from partline.geometry.surface import Floats, Surface
from partline.progress import Progress, silent

WALL_SHARE = 0.45
"""Width of the zigzag as a share of the rubber it is cut in: 0.3 to 0.5 is common practice."""

_STEP_MM = 0.5
_LEAST_MM = 1.0  # a narrower half is not worth the knife: the cut is smooth there
_ROUNDS = 12


def keys_of(
    strokes: Strokes,
    layout: Layout,
    *,
    free_mm: Floats,
    piece: Floats,
    rays: Rays,
    width_mm: float,
    pitch_mm: float,
    flank_deg: float,
    smooth_mm: float,
    progress: Progress = silent,
) -> Keys:
    """Return the zigzag of a cut, as wide as the corridor lets it be.

    Parameters
    ----------
    strokes : Strokes
    layout : Layout
        The outside laid flat.
    free_mm : (k,) float64
        How far detail lets the keys go sideways at each stroke [mm].
    rays : Rays
        Against the piece.
    piece : (n, 3) float64
        Points of the piece: the keys end a smooth depth before it [mm].
    width_mm, pitch_mm, flank_deg : float
        Crest to crest across the line, length of one zigzag, slope of its flanks.
    smooth_mm : float
        Next to the piece the cut stays smooth so far; 0 for jagged all the way in [mm].
    progress : Progress
    """
    line = _Line(strokes, layout, rays, smooth_mm)
    rise = math.tan(math.radians(flank_deg))
    pitch = max(pitch_mm, 2 * width_mm / rise)
    half = np.minimum(width_mm / 2, WALL_SHARE * strokes.depths_mm / 2)
    half = np.minimum(half, np.minimum(free_mm, 0.5 * line.radii()))
    near = cKDTree(piece)
    for turn in range(_ROUNDS + len(half)):
        progress(1.0 - 0.9**turn, "fitting the keys")
        half = np.where(half < _LEAST_MM, 0.0, half)
        offset = _zigzag(line, half, pitch, rise)
        rows = line.rows(offset)
        surface = strip(rows, line.splits)
        tight = _tight(line, rows, offset, surface, near)
        if not len(tight) or not half.any():
            break
        reach = np.searchsorted(line.arc, line.at[tight])
        # At first only those at fault give way; if that does not help, more of their neighbours.
        side = 2 + max(0, turn - _ROUNDS)
        reach = np.unique(np.clip(reach[:, None] + np.arange(-side, side), 0, len(half) - 1))
        half[reach] *= 0.6 if turn < _ROUNDS else 0.0
    outside = line.outside(offset)
    return Keys(offset, outside, half, smooth_mm, width_mm, pitch, flank_deg, surface)


def _tight(
    line: _Line, rows: list[Floats], offset: Floats, surface: Surface, near: cKDTree
) -> np.ndarray:
    """Return the stations whose keys come too near to the piece or pass through others."""
    close = np.asarray(near.query(rows[1])[0]) < 0.8 * line.smooth
    close &= np.abs(offset) > 0.05
    crossed = crossings(surface)[:, 0] % len(line.at)
    return np.union1d(np.flatnonzero(close), crossed).astype(np.int64)


class _Line:
    """The cut along the outside: strokes between the given ones, and what is sideways there."""

    def __init__(self, strokes: Strokes, layout: Layout, rays: Rays, smooth_mm: float) -> None:
        self.layout, self.rays = layout, rays
        self.middle = layout.lay(strokes.ends)
        steps = np.linalg.norm(np.diff(self.middle, axis=0), axis=1)
        self.arc = np.concatenate([[0.0], np.cumsum(steps)])
        self.at = np.unique(np.concatenate([self.arc, np.arange(0.0, self.arc[-1], _STEP_MM)]))
        self.feet = _between(self.at, self.arc, strokes.feet)
        self.paper = _between(self.at, self.arc, self.middle)
        self.ends = layout.roll(self.paper)
        ahead = np.gradient(_eased(self.paper), axis=0)
        ahead /= np.maximum(np.linalg.norm(ahead, axis=1, keepdims=True), 1e-12)
        self.left = np.column_stack([ahead[:, 1], -ahead[:, 0]])
        depths = np.linalg.norm(self.ends - self.feet, axis=1)
        # Thin rubber: a third of it stays smooth.
        self.smooth = np.minimum(smooth_mm, depths / 3)
        self.depths = depths
        first = np.searchsorted(self.at, self.arc[strokes.splits])
        last = np.searchsorted(self.at, self.arc[strokes.splits + 1])
        self.splits = np.concatenate(
            [np.arange(a, max(b, a + 1)) for a, b in zip(first, last, strict=True)]
            or [np.zeros(0, int)]
        ).astype(np.int32)
        nudge = layout.roll(self.paper + 0.01 * self.left) - self.ends
        inward = (self.feet - self.ends) / np.maximum(depths, 1e-9)[:, None]
        nudge -= np.einsum("ij,ij->i", nudge, inward)[:, None] * inward
        self.sideways = nudge / np.maximum(np.linalg.norm(nudge, axis=1, keepdims=True), 1e-12)

    def radii(self) -> Floats:
        """Return (k,) the radius of the line's bends on the outside, at each stroke [mm]."""
        eased = _eased(self.paper)
        ahead = np.gradient(eased, self.at, axis=0, edge_order=1)
        bend = np.gradient(ahead, self.at, axis=0, edge_order=1)
        turn = np.abs(ahead[:, 0] * bend[:, 1] - ahead[:, 1] * bend[:, 0])
        radius = np.linalg.norm(ahead, axis=1) ** 3 / np.maximum(turn, 1e-6)
        return np.interp(self.arc, self.at, radius)

    def outside(self, offset: Floats) -> Floats:
        return self.layout.roll(self.paper + offset[:, None] * self.left)

    def rows(self, offset: Floats) -> list[Floats]:
        """Return the surface from the outside in: keys at full width, fading, smooth, the foot."""
        aside = offset[:, None] * self.sideways
        share = (self.smooth / np.maximum(self.depths, 1e-9))[:, None]

        def inside(share_left: Floats) -> Floats:
            return self.feet + share_left * (self.ends - self.feet)

        if not (self.smooth > 0).any():
            return [self.outside(offset), self._on_piece(offset)]
        return [self.outside(offset), inside(2 * share) + aside, inside(share), self.feet]

    def _on_piece(self, offset: Floats) -> Floats:
        """Return where a jagged cut meets the piece, straight in from the zigzag outside."""
        start = self.ends + offset[:, None] * self.sideways
        way = self.feet - self.ends
        share, face = self.rays.first(start, way)
        # Beside an edge of the piece a stroke may pass it by: it then goes as deep as the line.
        share = np.where((face >= 0) & (share < 1.5), share, 1.0)
        return np.asarray(start + share[:, None] * way)


def _between(at: Floats, arc: Floats, values: Floats) -> Floats:
    return np.column_stack([np.interp(at, arc, column) for column in values.T])


def _eased(points: Floats, rounds: int = 8) -> Floats:
    """Return a line with its small corners taken off, ends kept."""
    out = points.copy()
    for _ in range(rounds):
        out[1:-1] = (out[:-2] + 2 * out[1:-1] + out[2:]) / 4
    return out


def _zigzag(line: _Line, half: Floats, pitch: float, rise: float) -> Floats:
    """Return (q,) offsets: a triangle wave of the flank's slope, cut flat at the free width."""
    free = np.interp(line.at, line.arc, half)
    phase = np.mod(line.at / pitch + 0.25, 1.0)
    wave = (1.0 - 4.0 * np.abs(phase - 0.5)) * pitch * rise / 4
    return np.asarray(np.clip(wave, -free, free))
