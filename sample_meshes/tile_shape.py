"""The door tile "moon over the pass": relief on a flat back, with draft everywhere.

It lies on its back, relief up: one height over every point of the plane, so that nothing is
undercut and the block needs no cut. The foot of the picture is towards -Y.
"""

from __future__ import annotations

import numpy as np
from distance_shapes import Floats
from dual_mesh import Ints
from scipy.ndimage import gaussian_filter

HALF = 40.0
INSET = 0.7  # the sides lean in by this: about 8 degrees of draft over the ground's 5 mm
GROUND = 5.0
TOP = 14.0
SIDE_STEPS = 144  # halves four times for the back
SIDE_ROWS = 5

# Peaks: x, y of the top, steepness of the two flanks. The pass lies between the two ranges.
FAR = [(-27, 12, 1.1), (-14, 20, 1.25), (-5, 8, 0.9), (20, 9, 1.0), (31, 17, 1.2)]
NEAR = [(-32, -3, 0.9), (-20, -9, 0.7), (12, -14, 0.55), (27, 0, 0.85), (36, -8, 0.8)]
STARS = [(-31, 30, 2.7), (-20, 32.5, 2.0), (-3, 29, 2.2), (22, 31, 2.0), (31, 26, 2.8),
         (-24, 23.5, 1.7), (-10, 33, 1.6)]  # fmt: skip
FIRS = [(-25, -29, 12.0), (-18.5, -31, 9.5), (-31, -32, 9.0), (26, -31, 11.0), (31.5, -33, 8.5)]


def _step(inside: Floats, width: float) -> Floats:
    """0 outside, 1 where `inside` exceeds `width`, smooth between [mm]."""
    share = np.clip(inside / width, 0, 1)
    return share * share * (3 - 2 * share)


def _range(x: Floats, y: Floats, peaks: list, thick: float, roof: float) -> Floats:
    """A range seen from the front: its outline stands off the sky, spurs run down from peaks."""
    best = np.full(x.shape, -np.inf)
    relief = np.zeros(x.shape)
    for px, py, steep in peaks:
        below = py - y
        spur = px + 1.3 * np.sin(below / 2.9) + 0.12 * below
        inside = below - steep * np.abs(x - px)
        face = np.where(x < spur, 0.16, 0.34) * np.abs(x - spur)
        height = roof + 0.05 * below - np.minimum(face, 2.6)
        relief = np.where(inside > best, height, relief)
        best = np.maximum(best, inside)
    return _step(best, 1.0) * np.maximum(thick + relief, 0.4)


def relief(x: Floats, y: Floats) -> Floats:
    """Height above the ground before smoothing [mm], any scale."""
    moon_x, moon_y, moon_r = 8.0, 17.0, 9.5
    out = np.hypot(x - moon_x, y - moon_y)
    moon = _step(moon_r - out, 0.9) * (1.6 + 1.6 * np.sqrt(np.clip(1 - (out / moon_r) ** 2, 0, 1)))
    for cx, cy, cr in ((5, 20, 1.9), (11.5, 21, 1.3), (10.5, 14.5, 2.3), (4, 14, 1.2)):
        pit = np.hypot(x - cx, y - cy) / cr
        moon += np.where(out < moon_r, 0.25 * np.exp(-(((pit - 1) / 0.25) ** 2)), 0)
        moon -= 0.55 * _step(1 - pit, 0.5)
    halo = 0.45 * np.exp(-(((out - 13.0) / 0.9) ** 2)) + 0.3 * np.exp(-(((out - 16.5) / 0.8) ** 2))
    height = np.maximum(moon, halo)
    for sx, sy, size in STARS:
        turn = np.arctan2(x - sx, y - sy)
        arm = (turn + np.pi / 5) % (2 * np.pi / 5) - np.pi / 5
        edge = size * 0.42 / np.cos(np.abs(arm) - np.pi / 5 * 1.62).clip(0.3)
        height = np.maximum(height, 1.7 * np.clip(1.15 - np.hypot(x - sx, y - sy) / edge, 0, 1))
    height = np.maximum(height, _range(x, y, FAR, 2.0, 1.6))
    height = np.maximum(height, _range(x, y, NEAR, 3.6, 1.9))
    meadow = -23 + 3.0 * np.sin((x + 12) / 13.0) + 1.2 * np.sin(x / 4.7)
    height = np.maximum(height, _step(meadow - y, 1.4) * (5.2 + 0.03 * (meadow - y)))
    path = np.abs(x - 6.5 - 3.2 * np.sin((y + 38) / 4.6) * np.clip((-25 - y) / 8, 0, 1))
    height -= 0.7 * _step(1.4 - path, 0.9) * (y < meadow - 2) * (y < -26)
    for fx, fy, tall in FIRS:
        up = (y - fy) / tall
        tier = 0.30 * tall * (1.02 - up) * (0.72 + 0.28 * ((up * 3.0) % 1.0 < 0.55))
        inside = np.where((up > 0) & (up < 1), tier - np.abs(x - fx), -1.0)
        height = np.maximum(height, _step(inside, 0.8) * (7.2 - 0.25 * np.abs(x - fx)))
    return _hut(x, y, height)


def _hut(x: Floats, y: Floats, height: Floats) -> Floats:
    """The hut on the meadow: wall, gable roof, chimney, door and a window."""
    cx, low, wide, eaves = 6.5, -26.5, 6.0, -20.5
    wall = np.minimum(wide - np.abs(x - cx), np.minimum(y - low, eaves + 5.5 - y))
    gable = eaves + 6.6 - 0.95 * np.abs(x - cx) - y
    wall = np.minimum(wall, gable)
    height = np.maximum(height, _step(wall, 0.8) * 7.6)
    roof = np.minimum(gable + 1.3, 1.5 - np.abs(gable))
    roof = np.minimum(roof, wide + 2.0 - np.abs(x - cx))
    chimney = np.minimum(1.0 - np.abs(x - cx - 3.6), np.minimum(y - eaves - 1.5, eaves + 6.6 - y))
    height = np.maximum(height, _step(chimney, 0.6) * 8.0)
    height = np.maximum(height, _step(roof, 0.8) * 9.0)
    door = np.minimum(1.35 - np.abs(x - cx + 2.4), low + 4.4 - y)
    pane = np.minimum(1.25 - np.abs(x - cx - 2.4), 1.25 - np.abs(y - low - 3.4))
    bars = np.minimum(np.abs(x - cx - 2.4), np.abs(y - low - 3.4)) < 0.28
    return height - 0.9 * _step(np.minimum(door, y - low), 0.6) - 0.9 * _step(pane, 0.5) * ~bars


def heights() -> tuple[Floats, Floats]:
    """(n,) positions along one side and (n, n) heights of the relief [mm], x first."""
    side = np.linspace(-(HALF - INSET), HALF - INSET, SIDE_STEPS + 1)
    fine = np.linspace(side[0], side[-1], 4 * SIDE_STEPS + 1)
    x, y = np.meshgrid(fine, fine, indexing="ij")
    height = relief(x, y)
    from_edge = (HALF - INSET) - np.maximum(np.abs(x), np.abs(y))
    frame = 2.8 * np.sqrt(np.clip(1 - ((from_edge - 2.0) / 2.0) ** 2, 0, 1))
    height = np.maximum(height * _step(from_edge - 2.6, 2.0), frame)
    smooth = gaussian_filter(height, 2.2, mode="nearest")[::4, ::4]
    smooth[[0, -1]] = 0.0
    smooth[:, [0, -1]] = 0.0
    return side, GROUND + np.maximum(smooth, 0) * (TOP - GROUND) / smooth.max()


def _square(half: float, steps: int, z: float) -> Floats:
    """(4 steps, 3) points round a square, counter-clockwise from its (-, -) corner."""
    run = np.linspace(-half, half, steps + 1)[:-1]
    end = np.full(steps, half)
    flat = [(run, -end), (end, run), (-run, end), (-end, -run)]
    return np.vstack([np.column_stack([a, b, np.full(steps, z)]) for a, b in flat])


def tile() -> tuple[Floats, Ints]:
    """Vertices (n, 3) [mm] and outward faces (m, 3): relief, four leaning sides, flat back."""
    side, height = heights()
    n = SIDE_STEPS + 1
    x, y = np.meshgrid(side, side, indexing="ij")
    points = [np.column_stack([x.ravel(), y.ravel(), height.ravel()])]
    number = np.arange(n * n).reshape(n, n)
    a, b, c, d = (number[:-1, :-1], number[1:, :-1], number[1:, 1:], number[:-1, 1:])
    flip = np.abs(height[:-1, :-1] - height[1:, 1:]) > np.abs(height[1:, :-1] - height[:-1, 1:])
    flip = flip.ravel()[:, None]
    a, b, c, d = (k.ravel() for k in (a, b, c, d))
    faces = [np.where(flip, np.column_stack([a, b, d]), np.column_stack([a, b, c])),
             np.where(flip, np.column_stack([b, c, d]), np.column_stack([a, c, d]))]  # fmt: skip
    above = np.concatenate([number[:-1, 0], number[-1, :-1], number[:0:-1, -1], number[0, :0:-1]])
    total = n * n
    for row in range(1, SIDE_ROWS + 1):
        share = row / SIDE_ROWS
        ring = _square(HALF - INSET * (1 - share), SIDE_STEPS, GROUND * (1 - share))
        below = total + np.arange(len(ring))
        points.append(ring)
        faces += [np.column_stack([below, np.roll(below, -1), above]),
                  np.column_stack([np.roll(below, -1), np.roll(above, -1), above])]  # fmt: skip
        above, total = below, total + len(ring)
    return _backed(points, faces, above, total)


def _backed(points: list, faces: list, rim: Ints, total: int) -> tuple[Floats, Ints]:
    """Close the back with rings of half as many points each and a grid in the middle."""
    steps, half = SIDE_STEPS, HALF
    while steps % 2 == 0 and steps > 10:
        steps //= 2
        half -= 1.6 * HALF / steps
        ring = _square(half, steps, 0.0)
        inner = total + np.arange(len(ring))
        points.append(ring)
        start, middle, stop = rim[0::2], rim[1::2], np.roll(rim[0::2], -1)
        after = np.roll(inner, -1)
        three = ((middle, start, inner), (after, middle, inner), (stop, middle, after))
        faces += [np.column_stack(corners) for corners in three]
        rim, total = inner, total + len(ring)
    run = np.linspace(-half, half, steps + 1)
    grid = np.full((steps + 1, steps + 1), -1)
    grid[:-1, 0], grid[-1, :-1] = rim[:steps], rim[steps : 2 * steps]
    grid[:0:-1, -1], grid[0, :0:-1] = rim[2 * steps : 3 * steps], rim[3 * steps :]
    core = steps - 1
    grid[1:-1, 1:-1] = total + np.arange(core * core).reshape(core, core)
    x, y = np.meshgrid(run[1:-1], run[1:-1], indexing="ij")
    points.append(np.column_stack([x.ravel(), y.ravel(), np.zeros(core * core)]))
    a, b, c, d = (k.ravel() for k in (grid[:-1, :-1], grid[1:, :-1], grid[1:, 1:], grid[:-1, 1:]))
    faces += [np.column_stack([a, c, b]), np.column_stack([a, d, c])]
    return np.vstack(points), np.vstack(faces)
