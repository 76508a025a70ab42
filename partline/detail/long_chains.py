"""Long chains of edges: what is one edge, and what only nicks, folds of noise and crumbs."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.csgraph import connected_components

from partline.geometry.surface import Ints, Surface

# From trying on real scans, no source.
_TORTUOUS = 1.5  # length of a chain over its length after averaging: more is a crumbled crease


def long_chains(
    surface: Surface,
    pairs: Ints,
    convex: NDArray[np.bool_],
    least_mm: float,
    crowded: NDArray[np.bool_] | None = None,
    *,
    smooth: bool = True,
) -> NDArray[np.bool_]:
    """Return (k,) which edges belong to a connected chain that is long enough and runs smoothly.

    It stands out all along, or nowhere: the folds of noise go out and in by turns. It is not
    crowded for more than half its length.

    Parameters
    ----------
    surface : Surface
    pairs : (k, 2) int32
        Vertex pairs.
    convex : (k,) bool
        Which of them stand out.
    least_mm : float
        Length of a chain [mm].
    crowded : (k,) bool, optional
        Which of them have other lines near by; none when left out.
    smooth : bool
        False: a chain may run as it will.
    """
    crowded = np.zeros(len(pairs), dtype=bool) if crowded is None else crowded
    found = np.zeros(len(pairs), dtype=bool)
    for one in (convex, ~convex):
        if one.any():
            found[one] = _long(surface, pairs[one], least_mm, crowded[one], smooth)
    return found


def _long(
    surface: Surface, pairs: Ints, least_mm: float, crowded: NDArray[np.bool_], smooth: bool
) -> NDArray[np.bool_]:
    n = len(surface.vertices)
    first, second = pairs.T
    graph = sparse.coo_array((np.ones(len(pairs)), (first, second)), shape=(n, n)).tocsr()
    graph = graph + graph.T
    _, label = connected_components(graph, directed=False)
    degree = np.asarray(graph.sum(axis=1)).ravel()
    mean = sparse.diags_array(np.divide(1.0, degree, out=np.zeros(n), where=degree > 0)) @ graph
    # Averaged twice along the chain; an end would shrink inward, so ends stay.
    points = surface.vertices
    inner = (degree >= 2)[:, None]
    averaged = points
    for _ in range(2):
        averaged = np.where(inner, 0.5 * (averaged + mean @ averaged), averaged)
    length = np.linalg.norm(points[first] - points[second], axis=1)
    short = np.linalg.norm(averaged[first] - averaged[second], axis=1)
    whole = np.bincount(label[first], weights=length, minlength=label.max() + 1)
    smoothed = np.bincount(label[first], weights=short, minlength=label.max() + 1)
    amid = np.bincount(label[first], weights=length * crowded, minlength=label.max() + 1)
    good = (whole >= least_mm) & (amid <= 0.5 * whole)
    if smooth:
        good &= whole <= _TORTUOUS * smoothed
    return good[label[first]]
