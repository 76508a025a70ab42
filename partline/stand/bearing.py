"""The facets of its convex hull on which a piece stays when it is set down."""

from __future__ import annotations

import numpy as np

from partline.geometry.surface import Floats
from partline.stand.resting import Resting


def bearing_flats(body: Resting) -> Floats:
    """Return (k, 3) the downward unit normals of the facets that are under the middle.

    A facet bears the piece when its middle, dropped squarely onto the facet's plane, falls into
    the facet. The largest facet comes first.

    Parameters
    ----------
    body : Resting
        Any unit; of a sheet without thickness k is 0.
    """
    hull = body.hull
    if hull is None:
        return np.zeros((0, 3))
    corners = hull.points[hull.simplices]
    normals = hull.equations[:, :3]
    past = np.einsum("ij,ij->i", normals, body.middle - corners[:, 0])
    foot = body.middle - past[:, None] * normals
    sides = np.array([
        np.einsum("ij,ij->i", np.cross(corners[:, (k + 1) % 3] - corners[:, k],
                                       foot - corners[:, k]), normals)
        for k in range(3)
    ])  # fmt: skip
    area = np.abs(sides.sum(axis=0))
    slack = 1e-9 * area
    # The library does not wind its facets alike: within is within either way round.
    within = (sides >= -slack).all(axis=0) | (sides <= slack).all(axis=0)
    bearing = np.flatnonzero(within & (area > 0))
    return np.asarray(normals[bearing[np.argsort(-area[bearing], kind="stable")]])
