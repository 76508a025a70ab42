"""Straight ways from a place on the piece through the rubber to the mouth face."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from partline.errors import CavityError
from partline.geometry.rays import Rays
from partline.geometry.surface import Floats

# Upright first, then leaning; a vent that leans more than this would hold air of its own.
LEANS_DEG = (0.0, 15.0, 30.0, 45.0)
AZIMUTHS = 16
# Rays round a vent's own axis, at one and a half times its radius: rubber is left beside it.
ROUND = 8
BESIDE = 0.75
# The end of a vent may lie so many diameters deep between what stands beside it.
SUNK = 1.5


class WayOut(NamedTuple):
    """A straight way out.

    Attributes
    ----------
    place : int
        Number of the place it starts at.
    direction : (3,) float64
        Unit length.
    length_mm : float
    lean_deg : float
    """

    place: int
    direction: Floats
    length_mm: float
    lean_deg: float


def leaning_ways() -> tuple[Floats, Floats]:
    """Return ((k, 3) directions toward the mouth face, (k,) leans [degrees]), upright first."""
    ways, leans = [[0.0, 0.0, -1.0]], [0.0]
    for lean in LEANS_DEG[1:]:
        for n in range(AZIMUTHS):
            a, t = 2.0 * np.pi * n / AZIMUTHS, np.radians(lean)
            ways.append([np.sin(t) * np.cos(a), np.sin(t) * np.sin(a), -np.cos(t)])
            leans.append(lean)
    return np.array(ways), np.array(leans)


def first_way_out(
    rays: Rays, places: Floats, outline: Floats, mouth_mm: float, diameter_mm: float
) -> WayOut | None:
    """Return the first free way from the first place that has one, upright before leaning.

    A way is free when a channel half as wide again as the vent runs to the mouth face, inside
    the outline, without meeting the surface but at its foot. It is looked at from the outside
    in, so that it does not matter how the skin lies under the vent's end.

    Parameters
    ----------
    rays : Rays
        Against the cavity's surface.
    places : (k, 3) float64
        Best first [mm].
    outline : (c, 2) float64
        Convex outline of the mouth face, counter-clockwise [mm].
    mouth_mm : float
        Height of the mouth face [mm].
    diameter_mm : float
    """
    check_outline(outline)
    ways, leans = leaning_ways()
    for lean in LEANS_DEG:
        some = np.flatnonzero(leans == lean)
        start = np.repeat(places, len(some), axis=0)
        way = np.tile(ways[some], (len(places), 1))
        length = (mouth_mm - start[:, 2]) / way[:, 2]
        exits = start + length[:, None] * way
        inside = within(outline, exits[:, :2], 1.5 * diameter_mm) & (length > 0)
        inside &= _reached(rays, exits, way, length)
        for i in np.flatnonzero(inside):
            if _free(rays, exits[i], way[i], float(length[i]), diameter_mm):
                return WayOut(int(i) // len(some), way[i], float(length[i]), lean)
    return None


def _reached(rays: Rays, exits: Floats, way: Floats, length: Floats) -> np.ndarray:
    """Tell for each way whether its axis alone, from the outside in, first meets the place."""
    distance, _ = rays.first(exits, -way)
    return np.asarray(distance >= length - 1e-6 * rays.size)


def _free(rays: Rays, end: Floats, way: Floats, length: float, diameter_mm: float) -> bool:
    """Tell whether nothing stands beside the axis from the mouth face down to the place."""
    across = np.cross(way, np.eye(3)[np.argmin(np.abs(way))])
    across /= np.linalg.norm(across)
    other = np.cross(way, across)
    turn = 2.0 * np.pi * np.arange(ROUND) / ROUND
    ring = BESIDE * diameter_mm * (
        np.cos(turn)[:, None] * across + np.sin(turn)[:, None] * other
    )  # fmt: skip
    distance, _ = rays.first(end + ring, -way)
    # Beside the end the skin may stand a little higher than at it.
    return bool((distance >= length - SUNK * diameter_mm).all())


def within(outline: Floats, points: Floats, by_mm: float) -> np.ndarray:
    """Return (k,) bool: which points lie inside a convex outline by at least so much."""
    along = np.roll(outline, -1, axis=0) - outline
    inward = np.column_stack([-along[:, 1], along[:, 0]])
    inward /= np.maximum(np.linalg.norm(inward, axis=1, keepdims=True), 1e-300)
    depth = np.einsum("kcj,cj->kc", points[:, None] - outline[None], inward)
    return np.asarray(depth.min(axis=1) >= by_mm)


def check_outline(outline: Floats) -> None:
    """Raise unless an outline is (k, 2), convex and counter-clockwise."""
    if outline.ndim != 2 or outline.shape[1:] != (2,) or len(outline) < 3:
        raise CavityError(f"The mouth face's outline must be (k, 2) points, not {outline.shape}.")
    along = np.roll(outline, -1, axis=0) - outline
    turn = np.roll(along, -1, axis=0)
    bend = along[:, 0] * turn[:, 1] - along[:, 1] * turn[:, 0]
    size = float(np.ptp(outline, axis=0).max())
    if not (bend >= -1e-9 * size * size).all() or not (bend > 0).any():
        raise CavityError("The mouth face's outline must be convex and counter-clockwise.")
