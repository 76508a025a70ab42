"""The answers that were built into the ram, as lines and places on its surface [mm]."""

from __future__ import annotations

from typing import Any

import numpy as np
from distance_shapes import Floats
from dual_mesh import onto
from ram_cap import TASSEL_KNOT, TASSEL_LENGTH, cap, ram
from ram_shape import (
    COLLAR_TOP,
    EAR_TIP,
    EYE,
    beard,
    body,
    curl_places,
    forelock,
    hem_height,
    parts,
)
from scipy.interpolate import CubicSpline
from scipy.ndimage import label
from scipy.spatial import cKDTree

BAND_FROM_BACK = (15.5, 12.4)  # middle of the band, level round from the back: low, at the hem
BAND_HALF_WIDTH = 7.0
DECOY_TO_TUFTS = 3.0
FIRST_HEIGHT = COLLAR_TOP + 1.9  # above the fillet between collar and neck
LAST_BELOW_HEM = 0.4


def on_surface(points: Floats) -> Floats:
    """Nearby points put onto the whole ram."""
    placed = np.array(points, dtype=float)
    flat = np.zeros(len(placed), dtype=bool)
    for _ in range(60):
        placed = onto(ram, placed, flat, 0.4)
    return placed


def band() -> Floats:
    """(k, 3) middle line of the right-hand band from the collar to the hem."""
    line = []
    turn = np.linspace(np.pi / 2, -np.pi / 6, 400)
    aim = np.column_stack([np.cos(turn), np.sin(turn)])
    for z in np.linspace(FIRST_HEIGHT, 44.0, 120):
        low, high = np.zeros(len(turn)), np.full(len(turn), 25.0)
        for _ in range(40):
            middle = (low + high) / 2
            points = np.column_stack([aim * middle[:, None] + [0, 3.0], np.full(len(turn), z)])
            inside = body(points) < 0
            low, high = np.where(inside, middle, low), np.where(inside, high, middle)
        outline = aim * low[:, None] + [0, 3.0]
        run = np.r_[0, np.cumsum(np.linalg.norm(np.diff(outline, axis=0), axis=1))]
        share = np.clip((z - 33.0) / 8.0, 0, 1)
        along = BAND_FROM_BACK[0] + (BAND_FROM_BACK[1] - BAND_FROM_BACK[0]) * share**2
        place = [np.interp(along, run, outline[:, k]) for k in (0, 1)]
        line.append([*place, z])
        if z > hem_height(np.array([line[-1]]))[0] - LAST_BELOW_HEM:
            break
    return np.array(line)


def decoy(vertices: Floats) -> Floats:
    """(k, 3) the tempting line in front of the right horn, 3 mm from the nearest tuft."""
    tufts = cKDTree(vertices[on_forelock(vertices)])
    low, high = -3.0, 4.0
    line = _decoy_line(0.0)
    for _ in range(24):
        shift = (low + high) / 2
        line = _decoy_line(shift)
        near = tufts.query(line)[0].min()
        low, high = (shift, high) if near < DECOY_TO_TUFTS else (low, shift)
    return line


def _decoy_line(shift: float) -> Floats:
    knots = np.array(
        [[8.0, -5.8, FIRST_HEIGHT], [8.2, -6.4, 15.0], [10.8, -8.6, 22.0],
         [11.6, -8.2 + 0.4 * shift, 28.0], [10.4, -8.0 + shift, 34.0], [8.9, -8.2 + shift, 39.4]]
    )  # fmt: skip
    run = np.r_[0, np.cumsum(np.linalg.norm(np.diff(knots, axis=0), axis=1))]
    line = CubicSpline(run, knots)(np.linspace(0, run[-1], 100))
    flat = np.zeros(len(line), dtype=bool)
    for _ in range(30):
        line = onto(body, line, flat, 0.4)
    below = line[:, 2] < hem_height(line) - LAST_BELOW_HEM
    return line[: len(line) if below.all() else int(np.argmin(below))]


def on_forelock(points: Floats) -> Floats:
    """(n,) whether surface points belong to the five tufts."""
    level = np.min([lock.solid(points) for lock in forelock()], axis=0)
    return (level < 0.1) & (body(points) > 0.1) & (cap(points) > 0.3)


def is_detail(points: Floats) -> Floats:
    """(n,) whether surface points belong to detail beside the lines: not plain body, collar, cap.

    What stands off or is cut into the plain body by more than 0.1 mm: face, horns, ears, tufts
    and curls. The collar, where every line begins, and the cap, where it ends, are left out.
    """
    off = np.abs(body(points)) > 0.1
    return off & (points[:, 2] > COLLAR_TOP + 0.3) & (cap(points) > 0.3)


def _mirror(line: Floats) -> Floats:
    return line * [-1.0, 1.0, 1.0]


def _rows(points: Floats) -> list[list[float]]:
    return [[round(float(c), 3) for c in point] for point in np.atleast_2d(points)]


def _pair(points: Floats) -> dict[str, list[float]]:
    return {"right": _rows(points)[0], "left": _rows(_mirror(points))[0]}


def _length(line: Floats) -> float:
    return float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum())


def _line(points: Floats, tree: cKDTree) -> dict[str, Any]:
    """One line with its length and its distance to detail, both lines drawn once per side."""
    measured = {}
    for side, line in (("right", points), ("left", _mirror(points))):
        measured[side] = {
            "points_mm": _rows(line),
            "length_mm": round(_length(line), 3),
            "clearance_mm": round(float(tree.query(line)[0].min()), 3),
        }
    return measured


def truth(vertices: Floats) -> dict[str, Any]:
    """Everything a computed cut can be checked against; right is +X, as the ram faces you."""
    tree = cKDTree(vertices[is_detail(vertices)])
    horn = parts()["horn"]
    tips = np.array([beard()[k].points[-1] - [0, 0, 0.3] for k in range(3)])
    tassel = TASSEL_KNOT - [0, 0, TASSEL_LENGTH]
    return {
        "units": "mm",
        "pose": "front -Y, up +Z, base on z = 0; right is +X, left is -X",
        "genus": 2,
        "height_mm": 62.0,
        "collar_diameter_mm": 38.0,
        "cuts": 2,
        "bands": {"half_width_mm": BAND_HALF_WIDTH, **_line(band(), tree)},
        "decoys": {"to_tufts_mm": DECOY_TO_TUFTS, **_line(decoy(vertices), tree)},
        "hem_height": "39 + 0.12 (y + 12)",
        "horn_tips": _pair(on_surface(horn.points[-1] + [[2.2, -1.6, -1.2]])),
        "ear_tips": _pair(on_surface(EAR_TIP[None])),
        "beard_tips": _rows(on_surface(tips)),
        "tassel_end": _rows(on_surface(tassel[None]))[0],
        "tuft_tips": _rows(on_surface(np.array([lock.points[-1] for lock in forelock()]))),
        "curl_middles": _rows(
            on_surface(np.array([place + 1.5 * axes[0] for place, axes, _ in curl_places()]))
        ),
        "eyes": _pair(on_surface(EYE[None] + [[0.9, -3.2, 0.8]])),
        "nostrils": _pair(on_surface(np.array([[1.9, -22.2, 25.2]]))),
        "chin_hollow": _chin_hollow(),
        "face": {"point": [0.0, -15.5, 27.0], "radius_mm": 11.0},
    }


def _chin_hollow() -> dict[str, Any]:
    """The hollow under the chin: its highest place, and the air that stays in the rubber pour.

    Found by flooding a grid of the distance from above, level by level: an estimate, to within
    the cells at its rim.
    """
    step = 0.2
    axes = [np.arange(low, high, step) for low, high in ((-9, 9), (-20, -4), (14, 26))]
    grid = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1)
    free = (ram(grid.reshape(-1, 3)) > 0).reshape(grid.shape[:3])
    under = free & (np.abs(grid[..., 0]) < 1.5) & (grid[..., 1] > -15) & (grid[..., 1] < -10)
    under &= grid[..., 2] < 25.0
    highest = np.argmax(np.where(under, grid[..., 2], -np.inf))
    place = np.unravel_index(highest, free.shape)
    held, spill = 0, float(grid[place][2])
    for level in range(place[2], 0, -1):
        parts_above, _ = label(free[:, :, level:])
        mine = parts_above == parts_above[place[0], place[1], place[2] - level]
        if mine[[0, -1]].any() or mine[:, [0, -1]].any():
            break
        held, spill = int(mine.sum()), float(axes[2][level]) - step / 2
    return {
        "top": _rows(on_surface(grid[place][None]))[0],
        "spill_level_mm": round(spill, 2),
        "holds_mm3": round(held * step**3, 1),
    }
