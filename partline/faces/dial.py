"""The tilt dial as a picture: how much air stays for every tip, which way and how far."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from partline.air.direction_map import DirectionMap
from partline.faces import colours
from partline.faces.tipping import SHOWN
from partline.faces.view import PourName
from partline.geometry.directions import level_up
from partline.geometry.surface import Floats

# Bands read like contour lines, and in grey print too.
BANDS = 7


@lru_cache(maxsize=4)
def dial_picture(found: DirectionMap, pour: PourName, size: int = 180) -> NDArray[np.uint8]:
    """Return the (size, size, 4) bytes of the dial, red green blue and opacity; rows from the top.

    Seen from above, the front at the bottom: a point says which side goes down and, by its
    distance from the middle, how far. Light is little air, dark is much.
    """
    at = (np.arange(size) + 0.5) / size * 2 - 1
    x, y = np.meshgrid(at, -at)
    share = np.asarray(np.hypot(x, y))
    volumes = air_at(found, x.ravel(), y.ravel(), pour).reshape(x.shape)
    inside = share <= 1.0
    low, high = volumes[inside].min(), volumes[inside].max()
    # Small volumes matter most, so the bands are even in the size of a ball, not its volume.
    scaled = np.asarray(np.cbrt((volumes - low) / max(high - low, 1e-9)))
    band = np.minimum(np.floor(scaled * BANDS), BANDS - 1) / (BANDS - 1)
    pale = np.array([246.0, 243.0, 238.0])
    tint = pale + (colours.rgb(colours.AIR) - pale) * band[..., None] * 0.92
    edge = np.clip((1.0 - share) * size / 2, 0.0, 1.0)
    return np.dstack([np.rint(tint), np.rint(255 * edge)]).astype(np.uint8)


def air_at(found: DirectionMap, x: Floats, y: Floats, pour: PourName) -> Floats:
    """Return the air of (n,) points of the dial, between the tips that were tried [mm^3].

    Weighted by nearness over the three nearest tips (Shepard 1968): an estimate between them.
    """
    share = np.minimum(np.hypot(x, y), 1.0)
    tilt = np.radians(share * max(found.within_deg, 1.0))
    away = np.column_stack([x, y, np.zeros_like(x)]) * SHOWN[pour]
    away /= np.maximum(np.linalg.norm(away, axis=1), 1e-12)[:, None]
    ups = np.cos(tilt)[:, None] * level_up(pour) - np.sin(tilt)[:, None] * away
    near = min(3, len(found.directions))
    gap, index = cKDTree(found.directions).query(ups, k=near)
    gap, index = np.reshape(gap, (len(x), near)), np.reshape(index, (len(x), near))
    weight = 1.0 / np.maximum(gap, 1e-6) ** 2
    held = found.volumes_mm3[index]
    return np.asarray((held * weight).sum(axis=1) / weight.sum(axis=1))
