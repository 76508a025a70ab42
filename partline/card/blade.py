"""The blade: from each point of a line on the piece a straight stroke to the outside."""

from __future__ import annotations

from itertools import product

import numpy as np
from numpy.typing import NDArray

from partline.card.approach import SPACING_MM
from partline.card.block import Block
from partline.card.clear import barred, let_out
from partline.card.cutting_card import Strokes
from partline.card.guide import Guide, followed
from partline.card.swept import crossings, strip
from partline.geometry.rays import Rays
from partline.geometry.surface import Floats, Ints
from partline.progress import Progress, silent

# A field this much weaker at the foot than one that rises evenly to the wall: over a pit as deep
# as twice its width it fades by exp(-2 pi), the slowest wave between two walls.
_PIT = float(np.exp(-2 * np.pi))
_OFF = 0.1  # gaps and views are looked into from this far off the piece [mm]
_SUNK = 0.5  # between two feet the skin bulges by less than this [mm]
_RINGS_DEG = (5.0, 10.0, 16.0, 24.0, 34.0, 46.0, 60.0, 75.0)
_FINE_DEG = (0.7, 1.5, 2.5, 4.0)
_ROUND = 12
_SMOOTHNESS = 20.0
_BLOCKED = 50.0
_PARTED_MM = 6.0
_OPEN = 0.6  # a cell off the foot, the piece must be so far for the guide to see the gap [cells]
_BESIDE = 12  # so many feet to either side lend their ends to a stroke
_REVERSED = 20.0  # a mm of coming out in the wrong order
_SHARP = float(np.cos(np.radians(30.0)))


def strokes_of(
    block: Block,
    guide: Guide,
    rays: Rays,
    feet: Floats,
    normals: Floats,
    *,
    progress: Progress = silent,
) -> Strokes:
    """Return straight strokes from the feet, led by the guide, clear of the piece and each other.

    Each stroke ends where the guide's field line ends, if a straight blade can go that way. Where
    it cannot, the whole line is decided at once: among directions round the guide's, those that
    are clear, stray least from it and least from their neighbours (dynamic programming).

    Parameters
    ----------
    feet, normals : (k, 3) float64
        Points of the line on the piece [mm], and the way out of the piece there.
    progress : Progress
    """
    words = "leading the blade's strokes"
    progress(0.0, words)
    feet, normals, wanted, led, pit, splits = _led(block, guide, rays, feet, normals)
    progress(0.4, words)
    chosen = _chosen(block, rays, feet, wanted, led, splits)
    progress(0.8, words)
    ends, clear = let_out(block, rays, feet, chosen)
    # Often a straight blade bridges the place where the guide's lines part.
    splits = _parted(feet, chosen)
    ends = _filled(block, feet, ends, clear)
    ends, clear, splits = _untangled(block, rays, feet, ends, clear, splits)
    shut = barred(rays, feet, ends) & clear[1:] & clear[:-1]
    splits = np.union1d(splits, np.flatnonzero(shut)).astype(np.int32)
    return Strokes(feet, ends, clear, pit, splits)


def _led(
    block: Block, guide: Guide, rays: Rays, feet: Floats, normals: Floats
) -> tuple[Floats, Floats, Floats, Floats, NDArray[np.bool_], Ints]:
    """Follow the guide from each foot, more densely where neighbouring lines part."""
    lines = followed(guide, block, feet, normals)
    known = _in_sight(rays, feet, normals, float(guide.step.max()))
    for _ in range(6):
        ends = _bridged(block, feet, np.array([line[-1] for line in lines]), known)
        apart = np.linalg.norm(np.diff(ends, axis=0), axis=1)
        close = np.linalg.norm(np.diff(feet, axis=0), axis=1)
        thin = np.flatnonzero((apart > 4.0) & (close > 0.1))
        if not len(thin):
            break
        middles = (feet[thin] + feet[thin + 1]) / 2
        ways = normals[thin] + normals[thin + 1]
        # Across a gap the two cancel: either will do.
        facing = np.linalg.norm(ways, axis=1, keepdims=True) < 0.2
        ways = np.where(facing, normals[thin], ways)
        ways /= np.linalg.norm(ways, axis=1, keepdims=True)
        middles = _on_skin(rays, middles, ways)
        between = followed(guide, block, middles, ways)
        feet = np.insert(feet, thin + 1, middles, axis=0)
        normals = np.insert(normals, thin + 1, ways, axis=0)
        seen = _in_sight(rays, middles, ways, float(guide.step.max()))
        known = np.insert(known, thin + 1, seen)
        for place, line in zip(thin[::-1], between[::-1], strict=True):
            lines.insert(int(place) + 1, line)
    ends = _bridged(block, feet, np.array([line[-1] for line in lines]), known)
    apart = np.linalg.norm(np.diff(ends, axis=0), axis=1)
    close = np.linalg.norm(np.diff(feet, axis=0), axis=1)
    splits = np.flatnonzero((apart > _PARTED_MM) & (close <= 0.15)).astype(np.int32)
    even = 1.0 / np.maximum(np.linalg.norm(ends - feet, axis=1), 1e-9)
    pit = np.linalg.norm(guide.at(feet + 0.5 * normals), axis=1) < _PIT * even
    pit &= known
    wanted = ends - feet
    for k in np.flatnonzero(pit):
        wanted[k] = _last_seen(rays, feet[k] + _OFF * normals[k], lines[k]) - feet[k]
    wanted /= np.maximum(np.linalg.norm(wanted, axis=1, keepdims=True), 1e-12)
    return feet, normals, wanted, ends, pit, splits


def _on_skin(rays: Rays, points: Floats, normals: Floats) -> Floats:
    """Return points halfway between feet, put out to the skin where they lie in the piece."""
    out, face = rays.first(points + _SUNK * normals, -normals)
    sunk = (face >= 0) & (out < _SUNK)
    return points + np.where(sunk, _SUNK - out, 0.0)[:, None] * normals


def _in_sight(rays: Rays, feet: Floats, normals: Floats, cell_mm: float) -> NDArray[np.bool_]:
    """Tell which feet the guide's grid is fine enough for: those in no gap of a cell or two."""
    across, face = rays.first(feet + _OFF * normals, normals)
    hit = face >= 0
    known = ~hit | (across > 2 * cell_mm)
    # In the bottom of a notch the way out of one flank goes into the other.
    known[hit] &= rays.entering(face[hit], normals[hit])
    return known & (_clearance(rays, feet + cell_mm * normals) > _OPEN * cell_mm)


def _bridged(block: Block, feet: Floats, ends: Floats, known: NDArray[np.bool_]) -> Floats:
    """Lead feet in gaps that the guide's grid is too coarse for between those beside them."""
    if known.all() or not known.any():
        return ends
    steps = np.maximum(np.linalg.norm(np.diff(feet, axis=0), axis=1), 1e-9)
    at = np.concatenate([[0.0], np.cumsum(steps)])
    led = np.column_stack([np.interp(at, at[known], column[known]) for column in ends.T])
    ways = led - feet
    inside = feet.copy()
    inside[:, 2] = np.clip(inside[:, 2], 0.0, block.height_mm)
    return np.where(known[:, None], ends, feet + block.exits(inside, ways)[:, None] * ways)


def _clearance(rays: Rays, points: Floats) -> Floats:
    """Return (k,) about how far points in the rubber are from the piece [mm]."""
    ways = np.array([w for w in product((-1.0, 0.0, 1.0), repeat=3) if any(w)])
    ways /= np.linalg.norm(ways, axis=1, keepdims=True)
    far, face = rays.first(
        np.repeat(points, len(ways), axis=0), np.tile(ways, (len(points), 1)), nearest=0.0
    )
    return np.asarray(np.where(face >= 0, far, np.inf).reshape(-1, len(ways)).min(axis=1))


def _last_seen(rays: Rays, eye: Floats, line: Floats) -> Floats:
    """Return the farthest point along a line that a straight blade reaches from its start."""
    points = line[2:]
    if not len(points):
        return np.asarray(line[-1])
    seen = rays.first(eye, points - eye)[0] >= 1.0
    return np.asarray(points[np.flatnonzero(seen)[-1]] if seen.any() else points[0])


def _fan(middle: Floats, rings_deg: tuple[float, ...]) -> Floats:
    """Return (k, c, 3) directions: the middle one, then rings round it."""
    helper = np.eye(3)[np.abs(middle).argmin(axis=1)]
    u = np.cross(middle, helper)
    u /= np.linalg.norm(u, axis=1, keepdims=True)
    v = np.cross(middle, u)
    rings = [middle]
    for degrees in np.radians(rings_deg):
        for turn in 2 * np.pi * np.arange(_ROUND) / _ROUND:
            across = np.cos(turn) * u + np.sin(turn) * v
            rings.append(np.cos(degrees) * middle + np.sin(degrees) * across)
    return np.stack(rings, axis=1)


def _chosen(
    block: Block,
    rays: Rays,
    feet: Floats,
    wanted: Floats,
    led: Floats,
    splits: Ints,
) -> Floats:
    """Return (k, 3) the best direction at each foot, all together: roughly, then finely."""
    _, clear = let_out(block, rays, feet, wanted)
    if clear.all() and not len(splits):
        return wanted
    fan = np.concatenate([_fan(wanted, _RINGS_DEG), _to_neighbours(feet, led)], axis=1)
    rough = _best(block, rays, feet, wanted, led, fan)
    # Out of a notch strokes fan through one place: there they share an end rather than pass it.
    ends, _ = let_out(block, rays, feet, rough)
    fan = np.concatenate([_fan(rough, _FINE_DEG), _to_neighbours(feet, ends)], axis=1)
    return _best(block, rays, feet, wanted, led, fan)


def _best(
    block: Block,
    rays: Rays,
    feet: Floats,
    wanted: Floats,
    led: Floats,
    fan: Floats,
) -> Floats:
    """Return (k, 3) one direction of the (k, c, 3) fan for each foot, by dynamic programming."""
    k, c = fan.shape[:2]
    ends, clear = let_out(block, rays, np.repeat(feet, c, axis=0), fan.reshape(-1, 3))
    at = _progress(led, ends.reshape(k, c, 3))
    stray = ((fan - wanted[:, None]) ** 2).sum(axis=2)
    gaps = np.maximum(np.linalg.norm(np.diff(feet, axis=0), axis=1), SPACING_MM)
    # Each stroke counts for the stretch of line it stands for, so that dense places weigh no more.
    share = (np.append(gaps, gaps[-1]) + np.insert(gaps, 0, gaps[0])) / 2
    cost = share[:, None] * (stray + np.where(clear.reshape(k, c), 0.0, _BLOCKED))
    best = np.zeros((k, c), dtype=np.int64)
    total = cost[0]
    for i in range(1, k):
        turn = 2.0 - 2.0 * fan[i] @ fan[i - 1].T
        back = np.maximum(at[i - 1][None] - at[i][:, None], 0.0)
        reach = total[None] + turn * (_SMOOTHNESS / gaps[i - 1]) + _REVERSED * back
        best[i] = reach.argmin(axis=1)
        total = reach.min(axis=1) + cost[i]
    way = np.empty(k, dtype=np.int64)
    way[-1] = total.argmin()
    for i in range(k - 1, 0, -1):
        way[i - 1] = best[i, way[i]]
    return np.asarray(fan[np.arange(k), way])


def _to_neighbours(feet: Floats, led: Floats) -> Floats:
    """Return (k, n, 3) directions to where the guide leads from the feet on either side."""
    rows = np.arange(len(feet))
    shifts = [s for s in range(-_BESIDE, _BESIDE + 1) if s]
    ways = np.stack([led[np.clip(rows + s, 0, len(feet) - 1)] - feet for s in shifts], axis=1)
    return np.asarray(ways / np.maximum(np.linalg.norm(ways, axis=2, keepdims=True), 1e-12))


def _progress(led: Floats, ends: Floats) -> Floats:
    """Return (k, c) how far along the line of the guide's ends each stroke comes out [mm].

    Field lines never cross, so their ends lie in order: strokes that keep it do not cross either.
    """
    rows = np.arange(len(led))
    ahead = led[np.minimum(rows + _BESIDE, rows[-1])] - led[np.maximum(rows - _BESIDE, 0)]
    ahead /= np.maximum(np.linalg.norm(ahead, axis=1, keepdims=True), 1e-12)
    # Steps count as ends do, by what lies ahead: from one stroke to the next only that compares.
    steps = np.einsum("kj,kj->k", np.diff(led, axis=0), (ahead[1:] + ahead[:-1]) / 2)
    long = np.concatenate([[0.0], np.cumsum(steps)])
    return np.asarray(long[:, None] + np.einsum("kcj,kj->kc", ends - led[:, None], ahead))


def _parted(feet: Floats, ways: Floats) -> Ints:
    """Return the strokes after which the next, though its foot is close, turns sharply away."""
    close = np.linalg.norm(np.diff(feet, axis=0), axis=1) <= 0.5
    turn = np.einsum("ij,ij->i", ways[:-1], ways[1:]) < _SHARP
    return np.flatnonzero(close & turn).astype(np.int32)


def _filled(block: Block, feet: Floats, ends: Floats, clear: NDArray[np.bool_]) -> Floats:
    """Lead strokes that no straight blade can make between those beside them that one can."""
    if clear.all() or not clear.any():
        return ends
    at = np.arange(len(feet), dtype=np.float64)
    ways = ends - feet
    ways /= np.maximum(np.linalg.norm(ways, axis=1, keepdims=True), 1e-12)
    led = np.column_stack([np.interp(at, at[clear], column[clear]) for column in ways.T])
    inside = feet.copy()
    inside[:, 2] = np.clip(inside[:, 2], 0.0, block.height_mm)
    return np.asarray(feet + block.exits(inside, led)[:, None] * led)


def _untangled(
    block: Block,
    rays: Rays,
    feet: Floats,
    ends: Floats,
    clear: NDArray[np.bool_],
    splits: Ints,
) -> tuple[Floats, NDArray[np.bool_], Ints]:
    """Ease crossing strokes toward their neighbours; split where they cross all the same."""
    k = len(feet)
    for _ in range(25):
        bad = _crossed(feet, ends, splits)
        if not len(bad):
            return ends, clear, splits
        ways = (ends - feet) / np.maximum(np.linalg.norm(ends - feet, axis=1, keepdims=True), 1e-12)
        eased = ways.copy()
        rows = np.unique(np.clip(bad[:, None] + np.arange(-2, 4), 1, k - 2))
        eased[rows] = ways[rows - 1] + ways[rows] + ways[rows + 1]
        eased /= np.maximum(np.linalg.norm(eased, axis=1, keepdims=True), 1e-12)
        new_ends, new_clear = let_out(block, rays, feet, eased)
        take = new_clear | ~clear
        ends = np.where(take[:, None], new_ends, ends)
        clear = np.where(take, new_clear, clear)
    while len(bad := _crossed(feet, ends, splits)):
        splits = np.union1d(splits, bad).astype(np.int32)
    return ends, clear, splits


def _crossed(feet: Floats, ends: Floats, splits: Ints) -> Ints:
    """Return the strokes after which the swept surface passes through itself."""
    k = len(feet)
    patches = np.setdiff1d(np.arange(k - 1), splits)
    surface = strip([ends, feet], splits)
    faces = crossings(surface)[:, 1] % len(patches)
    ahead, out = np.diff(feet, axis=0), np.diff(ends, axis=0)
    # A patch that is turned over: its two strokes pass each other.
    turned = np.einsum("ij,ij->i", ahead, out) < -0.5 * np.linalg.norm(
        ahead, axis=1
    ) * np.linalg.norm(out, axis=1)
    turned &= np.linalg.norm(out, axis=1) > 0.3
    turned[splits] = False
    return np.union1d(patches[faces], np.flatnonzero(turned)).astype(np.int64)
