"""Cut polygons of a file into triangles that keep the polygon's number."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from partline.scan.edges import Longs


def fanned(corners: Longs, sizes: Longs) -> tuple[Longs, Longs]:
    """Cut polygons into fans from their first corner.

    Parameters
    ----------
    corners : (sum of sizes,) int64
        Vertex numbers of all polygons, one after the other.
    sizes : (p,) int64
        Corners of each polygon, at least 3.

    Returns
    -------
    faces : (m, 3) int64
    numbers : (m,) int64
        Which polygon each triangle is part of.
    """
    first = np.cumsum(sizes) - sizes
    if len(sizes) and (sizes == 3).all():
        return corners.reshape(-1, 3), np.arange(len(sizes))
    many = sizes - 2
    number = np.repeat(np.arange(len(sizes)), many)
    step = np.arange(len(number)) - np.repeat(np.cumsum(many) - many, many)
    base = first[number]
    faces = np.column_stack([corners[base], corners[base + step + 1], corners[base + step + 2]])
    return faces, number


def flattened(polygons: Sequence[Sequence[int]]) -> tuple[Longs, Longs]:
    """Return the corners of ragged polygons in one row, and the size of each."""
    sizes = np.array([len(polygon) for polygon in polygons], dtype=np.int64)
    if not len(sizes):
        return np.zeros(0, dtype=np.int64), sizes
    return np.concatenate([np.asarray(p, dtype=np.int64) for p in polygons]), sizes
