"""How far the volume may be off because a hole was filled."""

from __future__ import annotations

import numpy as np

from partline.geometry.surface import Floats
from partline.scan.holes import Rim

# Choices of this tool, held against 500 cuts into smooth bodies and 150 into real scans:
# never closer than this share of the hole's area times its width (saddles have flat = curved),
UNSURE = 0.02
# and the hole's area times so many standard deviations of its rim from a smooth surface.
ROUGH = 3.0


def volume_doubt(rim: Rim, ring: Floats, bulge: float) -> float:
    """Return by how much the volume may be off, either way.

    Between a flat and a curved filling lies `bulge`: whatever runs on smoothly lies about there.
    A skin that waves, carves or folds round the hole goes on doing so inside it, and no filling
    knows how: that doubt grows with how far the rim leaves a smooth surface.

    Parameters
    ----------
    rim : Rim
    ring : (k, 3) float64
        The points of the rim and their neighbours in the mesh.
    bulge : float
        Volume between the curved filling and a flat one.
    """
    return bulge + UNSURE * rim.area * rim.width + ROUGH * roughness(rim, ring) * rim.area


def roughness(rim: Rim, ring: Floats) -> float:
    """Standard deviation of (k, 3) points round a hole from the surface of second order that fits
    them best; 0 where they are too few to tell."""
    if len(ring) <= 6 or rim.width <= 0 or rim.area <= 0:
        return 0.0
    away = (ring - np.array(rim.place)) / rim.width
    one = np.cross(rim.normal, np.eye(3)[int(np.argmin(np.abs(rim.normal)))])
    one /= np.linalg.norm(one)
    x, y, z = away @ one, away @ np.cross(rim.normal, one), away @ rim.normal
    terms = np.column_stack([np.ones(len(x)), x, y, x * x, x * y, y * y])
    best = np.linalg.lstsq(terms, z, rcond=None)[0]
    return float(np.sqrt(np.mean((z - terms @ best) ** 2))) * rim.width
