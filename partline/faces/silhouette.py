"""The outline of a solid seen from one side, as polygons in millimetres."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from manifold3d import CrossSection, Error, FillRule, Manifold, Mesh64
from numpy.typing import ArrayLike

from partline.geometry.surface import Floats, Ints, Surface


def silhouette(
    surface: Surface, right: ArrayLike, up: ArrayLike, *, within_mm: float = 0.05
) -> tuple[Floats, ...]:
    """Return the outlines of a closed surface's shadow along right x up.

    The shadow is the union of all faces thrown onto the plane, found by a robust boolean, then
    thinned; holes through which one could look are holes in it.

    Parameters
    ----------
    surface : Surface
        Closed, outward [mm].
    right, up : (3,) float64
        Unit vectors of the paper, at right angles.
    within_mm : float
        How far thinning may move the outline [mm].

    Returns
    -------
    tuple of (k, 2) float64
        Outer outlines counter-clockwise, holes clockwise, along `right` and `up` [mm].
    """
    r, u = np.asarray(right, dtype=np.float64), np.asarray(up, dtype=np.float64)
    toward = np.cross(r, u)
    solid = _solid(surface)
    if solid.status() == Error.NoError and not solid.is_empty():
        turn = np.column_stack([np.stack([r, u, toward]), np.zeros(3)])
        shadow = CrossSection(solid.transform(turn).project().to_polygons(), FillRule.Positive)
    else:
        shadow = _of_faces(surface.vertices @ np.column_stack([r, u]), surface.faces)
    return tuple(np.asarray(p, dtype=np.float64) for p in shadow.simplify(within_mm).to_polygons())


@lru_cache(maxsize=3)
def _solid(surface: Surface) -> Manifold:
    """Return a surface as a solid; making it takes most of the time, and many views follow."""
    return Manifold(
        Mesh64(
            vert_properties=surface.vertices.copy(),  # the binding takes no read-only array
            tri_verts=surface.faces.astype(np.uint64),
        )
    )


def forget_solids() -> None:
    """Let go of the solids kept for further views: a quarter of a kilobyte a triangle each."""
    _solid.cache_clear()


def _of_faces(points: Floats, faces: Ints) -> CrossSection:
    """Return the union of flat triangles, for what is no clean solid.

    All are turned to run counter-clockwise. How often they wind round a point is told by the
    edges alone that do not cancel against a neighbour's: where the surface ends or turns over.
    """
    first, second = (points[faces[:, k]] - points[faces[:, 0]] for k in (1, 2))
    twice = first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]
    turned = np.concatenate([faces[twice > 1e-12], faces[twice < -1e-12][:, ::-1]])
    return CrossSection([points[loop] for loop in _loops(turned)], FillRule.Positive)


def _loops(faces: Ints) -> list[list[int]]:
    """Return closed loops of the edges left when each is cancelled by one that runs back."""
    start, stop = (np.asarray(v, dtype=np.int64).ravel() for v in (faces, np.roll(faces, -1, 1)))
    n = int(faces.max(initial=0)) + 1
    pair, place = np.unique(np.minimum(start, stop) * n + np.maximum(start, stop),
                            return_inverse=True)  # fmt: skip
    net = np.bincount(place, np.where(start < stop, 1, -1), len(pair)).astype(np.int64)
    low, high = np.divmod(pair, n)
    onward: dict[int, list[int]] = {}
    for a, b, times in zip(low[net != 0], high[net != 0], net[net != 0], strict=True):
        here, there = (a, b) if times > 0 else (b, a)
        onward.setdefault(int(here), []).extend([int(there)] * abs(int(times)))
    loops = []
    for begin in onward:
        # As many edges lead to a vertex as away from it: a walk ends only where it began.
        while onward[begin]:
            loop, at = [], begin
            while onward[at]:
                loop.append(at)
                at = onward[at].pop()
            loops.append(loop)
    return loops
