"""The scan's own noise: how far each vertex strays along the normal by chance."""

from __future__ import annotations

import numpy as np
from scipy import sparse

from partline.geometry.operators import area_normals
from partline.geometry.surface import Floats, Surface


def random_per_vertex(surface: Surface, seed: int) -> Floats:
    """Return (n,) standard normal numbers, dealt out by distance from the middle.

    Dealing by place instead of by vertex number keeps them with their vertices when the mesh
    is renumbered, turned or moved.
    """
    points = surface.vertices
    distance = np.linalg.norm(points - points.mean(axis=0), axis=1)
    numbers = np.empty(len(points))
    numbers[np.argsort(distance, kind="stable")] = np.random.default_rng(seed).standard_normal(
        len(points)
    )
    return numbers


def vertex_noise(surface: Surface, mean: sparse.csr_array, random: Floats) -> float:
    """Return the standard deviation of the vertices along the normal [mm].

    The part of (1 - P)^3 x along the normal, P the neighbour mean, is blind to a curved body
    (it keeps (k h / 2)^6 or so of a long wave) but not to chance. Its median over the vertices
    is set against the median of what the same operator makes of random numbers of unit
    deviation, so the factor 1.4826 between median and deviation falls out, and so do the valences
    of this mesh. The median leaves creases and texture of a part of the surface aside.
    Texture shorter than about six edges is taken for noise: nothing tells them apart.

    Parameters
    ----------
    surface : Surface
    mean : (n, n) sparse
        P, from `geometry.operators.neighbour_mean` [1].
    random : (n,) float
        From `random_per_vertex` [1].
    """
    points = surface.vertices - surface.vertices.mean(axis=0)
    # Normals of the twice averaged points: those of the raw ones lean with the noise and would
    # let the sideways unevenness of the mesh in.
    normals = area_normals(mean @ (mean @ points), surface.faces)
    strays = points
    numbers = random
    for _ in range(3):
        strays = strays - mean @ strays
        numbers = numbers - mean @ numbers
    found = np.median(np.abs(np.einsum("ij,ij->i", strays, normals)))
    unit = np.median(np.abs(numbers))
    return float(found / unit) if unit > 0 else 0.0
