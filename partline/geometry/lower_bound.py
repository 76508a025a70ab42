"""A proved lower bound of the cost of any curve between two sets on a surface.

A function that is linear on each triangle, 0 at the start and nowhere steeper than the least cost
per mm on its triangle is a certificate: along a curve it rises by no more than the curve costs,
so no curve to the end costs less than the least value there (a subsolution of the eikonal
equation). One that is as large as can be is sought by alternating directions (Belyaev and Fayolle
2020, "An ADMM-based scheme for distance function approximation"); what it leaves too steep is
taken off, so what is proved does not hang on how well it settled. With one such function from
either end, whatever no curve as cheap as a known one can touch is left out and the rest is split
finer (branch and bound).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.sparse import coo_array, csc_array, csr_array, diags_array
from scipy.sparse.csgraph import connected_components
from scipy.sparse.linalg import splu

from partline.geometry.surface import Floats, Surface
from partline.progress import Progress, silent, span

_Index = NDArray[np.int64]
_LEVELS = 3  # rounds of leaving out and splitting
# Triangles times rounds that may be spent over all passes, a second or two; what they leave
# unproved stays in the gap.
_WORK = 12_000_000
_ROUNDS = 160
_EVERY = 20  # rounds between looks at the bound
_GAIN = 1e-3  # share of the bound that so many rounds must bring
_BALANCE = 4.0  # disagreements of either kind that differ by more than this are evened out
_SCALES = 1.0 + np.array([0.0, 0.002, 0.005, 0.01, 0.02, 0.04, 0.08])
# A triangle thinner than this has no sound slope; all that the function rises over it is taken off.
_THIN = 1e-7


@dataclass(frozen=True, eq=False)
class _Ground:
    """The triangles in which curves may run, the price at their corners, and both ends."""

    points: Floats
    faces: _Index
    price: Floats
    start: _Index
    stop: _Index


def least_possible(
    surface: Surface,
    density: ArrayLike,
    sources: ArrayLike,
    targets: ArrayLike,
    *,
    known: float,
    within: float = 0.02,
    progress: Progress = silent,
    words: str = "proving how near the best the line is",
) -> float:
    """Return a cost [mm] below which no curve from any source to any target can be.

    Curves run in the triangles whose three corners, and along edges whose two ends, have a finite
    density; it is linear on each triangle.

    Parameters
    ----------
    surface : Surface
    density : (n,) float64
        Cost per mm, greater than 0; infinite where no curve may go [1].
    sources, targets : (k,) int
        Vertices.
    known : float
        The cost of a curve that is known [mm].
    within : float
        Share of that cost at which it is near enough [1].
    progress : Progress
    words : str
        What it is told.

    Returns
    -------
    float
        At most `known`.
    """
    ground = _ground(surface, np.asarray(density, dtype=np.float64), sources, targets)
    best, left = 0.0, _WORK
    for level in range(_LEVELS):
        if ground is None:
            return known  # no curve is as cheap as the known one, or there is none at all
        rounds = min(_ROUNDS, max(left // len(ground.faces), 2 * _EVERY))
        part = span(progress, level / _LEVELS, (level + 0.5) / _LEVELS)
        there = _lower_bounds(ground, rounds, part, words)
        best = max(best, float(there[ground.stop].min()))
        left -= 2 * rounds * len(ground.faces)
        if best >= (1 - within) * known or level == _LEVELS - 1 or left <= 0:
            break
        part = span(progress, (level + 0.5) / _LEVELS, (level + 1) / _LEVELS)
        turned = replace(ground, start=ground.stop, stop=ground.start)
        back = _lower_bounds(turned, rounds, part, words)
        best = max(best, float(back[ground.start].min()))
        near = (there + back)[ground.faces].min(axis=1) <= known
        ground = _kept(ground, near)
        if ground is not None:
            if left < 4 * len(ground.faces) * _ROUNDS // 2:
                break
            ground = _split(ground)
    return min(best, known)


def _ground(
    surface: Surface, price: Floats, sources: ArrayLike, targets: ArrayLike
) -> _Ground | None:
    """Return where curves may run; None where none leads from one end to the other."""
    free = np.isfinite(price)
    start, stop = (np.unique(np.asarray(v, dtype=np.int64)) for v in (sources, targets))
    whole = _Ground(
        surface.vertices,
        surface.faces.astype(np.int64),
        # A curve may run along an edge whose triangles are shut: they are opened, at no less than
        # the price of that edge, which can only lower the bound.
        np.where(free, price, price[free].max(initial=1.0)),
        start[free[start]],
        stop[free[stop]],
    )
    return _kept(whole, free[whole.faces].sum(axis=1) >= 2)


def _kept(ground: _Ground, keep: NDArray[np.bool_]) -> _Ground | None:
    """Return some of the triangles, as far as they hang together with both ends."""
    faces, n = ground.faces[keep], len(ground.points)
    pairs = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]]])
    table = coo_array((np.ones(len(pairs), dtype=np.int8), tuple(pairs.T)), shape=(n, n))
    _, part = connected_components(table, directed=False)
    both = np.intersect1d(part[ground.start], part[ground.stop])
    used = np.zeros(n, dtype=bool)
    used[faces.ravel()] = True
    used &= np.isin(part, both)
    start, stop = ground.start[used[ground.start]], ground.stop[used[ground.stop]]
    if not len(start) or not len(stop):
        return None
    number = np.cumsum(used) - 1
    return _Ground(
        ground.points[used],
        number[faces[used[faces[:, 0]]]],
        ground.price[used],
        number[start],
        number[stop],
    )


def _split(ground: _Ground) -> _Ground:
    """Return the same with each triangle split into four alike."""
    n, faces = len(ground.points), ground.faces
    sides = np.sort(faces[:, [[0, 1], [1, 2], [2, 0]]], axis=2)
    key, place = np.unique(sides[..., 0] * n + sides[..., 1], return_inverse=True)
    ends = np.column_stack(np.divmod(key, n))
    a, b, c = faces.T
    ab, bc, ca = (n + place.reshape(-1, 3)).T
    fine = ((a, ab, ca), (b, bc, ab), (c, ca, bc), (ab, bc, ca))
    return replace(
        ground,
        points=np.concatenate([ground.points, ground.points[ends].mean(axis=1)]),
        faces=np.concatenate([np.column_stack(corners) for corners in fine]),
        price=np.concatenate([ground.price, ground.price[ends].mean(axis=1)]),
    )


def _lower_bounds(ground: _Ground, rounds: int, progress: Progress, words: str) -> Floats:
    """Return (n,) a lower bound of the cost of reaching each vertex from the start [mm]."""
    progress(0.0, words)
    corners = ground.points[ground.faces]
    opposite = np.roll(corners, -2, axis=1) - np.roll(corners, -1, axis=1)
    length = np.linalg.norm(opposite, axis=2).max(axis=1)
    normal = np.cross(opposite[:, 0], opposite[:, 1])
    twice = np.linalg.norm(normal, axis=1)
    sound = twice > _THIN * length**2
    faces, twice, n, m = ground.faces[sound], twice[sound], len(ground.points), int(sound.sum())
    up = normal[sound] / twice[:, None]
    hats = np.cross(up[:, None], opposite[sound]) / twice[:, None, None]
    # Slopes in the plane of each triangle: along its first side and square to that.
    along = opposite[sound, 0] / np.linalg.norm(opposite[sound, 0], axis=1, keepdims=True)
    plane = np.stack([along, np.cross(up, along)], axis=1)
    flat = np.einsum("mkx,mjx->jmk", hats, plane)
    rows = np.broadcast_to(np.arange(2 * m).reshape(2, m, 1), (2, m, 3))
    columns = np.broadcast_to(faces, (2, m, 3))
    slope = coo_array((flat.ravel(), (rows.ravel(), columns.ravel())), shape=(2 * m, n)).tocsr()
    steepest, length = ground.price[faces].min(axis=1), length[sound]
    best, stalled = np.zeros(n), 0
    looks = _alternated(ground, slope, twice / 2, steepest, rounds)
    for k, (value, found) in enumerate(looks, 1):
        progress(min(1.0, k * _EVERY / rounds), words)
        before = float(best[ground.stop].min())
        steep = np.hypot(*found)
        thin = float(np.ptp(value[ground.faces[~sound]], axis=1).sum())
        # The cheapest curve runs in a triangle for no more than its longest side, or it would
        # cut straight across; so it gains no more than this by what is too steep.
        off = [
            float((np.maximum(steep / scale - steepest, 0.0) * length).sum()) + thin / scale
            for scale in _SCALES
        ]
        proved = float(value[ground.stop].min()) / _SCALES - off
        at = int(np.argmax(proved))
        if proved[at] > before:
            best = np.maximum(value / _SCALES[at] - off[at], 0.0)
        # The first look may come before anything has reached the end.
        reached = float(best[ground.stop].min())
        stalled = stalled + 1 if reached <= before * (1 + _GAIN) and reached > 0 else 0
        if stalled == 2:
            break
    return best


def _alternated(
    ground: _Ground, slope: csr_array, area: Floats, steepest: Floats, rounds: int
) -> Iterator[tuple[Floats, Floats]]:
    """Yield (n,) functions, ever closer to the largest, and their (2, m) slopes.

    Alternates between a function whose slopes agree best and slopes that are not too steep.
    """
    n, m = len(ground.points), len(area)
    free = np.ones(n, dtype=bool)
    free[ground.start] = False
    inner = csr_array(slope[:, np.flatnonzero(free)])
    back = csr_array(inner.T @ diags_array(np.tile(area, 2)))
    # The matrix is symmetric: ordered so that its factors fill up less.
    solve = splu(
        csc_array(back @ inner), permc_spec="MMD_AT_PLUS_A", options={"SymmetricMode": True}
    ).solve
    push = np.full(int(free.sum()), 1.0 / n)
    # What is at stake flows over a share of the width of the ground; evened out as it goes.
    step = 8.0 / (float(np.sqrt(area.sum())) * float(np.median(steepest)))
    wanted, dual, value = np.zeros((2, m)), np.zeros((2, m)), np.zeros(n)
    for k in range(1, rounds + 1):
        value[free] = solve(push / step + back @ (wanted - dual / step).ravel())
        found = (inner @ value[free]).reshape(2, m)
        if k % _EVERY == 0:
            yield value, found
        raised = found + dual / step
        size = np.hypot(*raised)
        last = wanted
        wanted = raised * np.minimum(1.0, steepest / np.maximum(size, 1e-300))
        dual = step * (raised - wanted)
        if k % (_EVERY // 2) == 0:
            # Boyd et al. 2011, "Distributed optimization and statistical learning", 3.4.1
            apart = np.sqrt((area * (found - wanted) ** 2).sum())
            moved = np.sqrt((area * (wanted - last) ** 2).sum())
            step *= 2.0 if apart > _BALANCE * moved else 0.5 if moved > _BALANCE * apart else 1.0
