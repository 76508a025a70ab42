"""Shape the triangles of a filling: new vertices inside, and flips towards even angles."""

from __future__ import annotations

import numpy as np

from partline.geometry.surface import Floats
from partline.scan.edges import EdgeTable, Longs, after

# A triangle is split while it is this much larger than its corners ask for (Liepa 2003).
ALPHA = 1.4
ROUNDS = 14
MOST_FACES = 60_000


def refined(
    points: Floats, faces: Longs, fixed: int, *, growth: float = 1.0
) -> tuple[Floats, Longs]:
    """Split triangles at their middles until they are as fine as the rim.

    Parameters
    ----------
    points : (n, 3) float64
    faces : (m, 3) int64
    fixed : int
        How many of the points are on the rim.
    growth : float
        How much coarser a new vertex may be than the mean of its triangle's corners.
    """
    target = _rim_spacing(points, fixed)
    # An even rim of k points asks for some k² / 6. One whose steps differ a thousandfold would get
    # vertices with thousands of neighbours, which no solver is quick with.
    most = min(MOST_FACES, 200 + 2 * fixed**2)
    for _ in range(ROUNDS):
        corners = points[faces]
        middle = corners.mean(axis=1)
        wanted = target[faces].mean(axis=1) * growth
        reach = np.linalg.norm(corners - middle[:, None], axis=2).min(axis=1)
        split = ALPHA * reach > wanted
        if not split.any() or len(faces) > most:
            break
        new = len(points) + np.arange(int(split.sum()))
        a, b, c = faces[split].T
        points = np.vstack([points, middle[split]])
        target = np.concatenate([target, wanted[split]])
        faces = np.vstack(
            [
                faces[~split],
                np.column_stack([a, b, new]),
                np.column_stack([b, c, new]),
                np.column_stack([c, a, new]),
            ]
        )
        faces = flipped(points, faces, fixed)
    return points, faces


def _rim_spacing(points: Floats, fixed: int) -> Floats:
    """(n,) edge length asked for at each point: that of the rim beside it."""
    rim = points[:fixed]
    step = np.linalg.norm(np.roll(rim, -1, axis=0) - rim, axis=1)
    spacing = 0.5 * (step + np.roll(step, 1))
    return np.concatenate([spacing, np.full(len(points) - fixed, spacing.mean())])


def flipped(points: Floats, faces: Longs, fixed: int, *, rounds: int = 60) -> Longs:
    """Flip inner edges whose opposite angles add up to more than a half turn.

    An edge is never flipped into one between two rim points (the mesh may have that edge),
    nor into one that is there, nor where the two triangles bend away from each other.
    """
    for _ in range(rounds):
        table = EdgeTable.of(faces)
        chosen = _choose(points, table, fixed)
        if not len(chosen):
            break
        faces = _flip(table, chosen)
    return faces


def _choose(points: Floats, table: EdgeTable, fixed: int) -> Longs:
    """Return half-edges to flip now, no two of them sharing a face."""
    half = np.flatnonzero(table.twins > np.arange(len(table.twins)))
    other = table.twins[half]
    a, b = table.start_of(half), table.stop_of(half)
    c, d = table.stop_of(after(half)), table.stop_of(after(other))
    angle = _angle(points, c, a, b) + _angle(points, d, a, b)
    worth = (angle > np.pi + 1e-6) & ((c >= fixed) | (d >= fixed)) & (c != d)
    # The new triangles must face the way the old ones do.
    before = np.cross(points[b] - points[a], points[c] - points[a])
    before = before + np.cross(points[a] - points[b], points[d] - points[b])
    one = np.cross(points[d] - points[c], points[a] - points[c])
    two = np.cross(points[c] - points[d], points[b] - points[d])
    worth &= np.einsum("ij,ij->i", one, before) < 0
    worth &= np.einsum("ij,ij->i", two, before) < 0
    n = len(points)
    there = table.edges[:, 0] * n + table.edges[:, 1]
    worth &= ~np.isin(np.minimum(c, d) * n + np.maximum(c, d), there)
    found = half[worth][np.argsort(-angle[worth], kind="stable")]
    return _apart(table, found)


def _apart(table: EdgeTable, found: Longs) -> Longs:
    """Keep the first of the half-edges that share a face or would make the same new edge."""
    faces_taken: set[int] = set()
    made: set[tuple[int, int]] = set()
    kept = []
    for h in found.tolist():
        g = int(table.twins[h])
        c = int(table.stop_of(after(np.array([h])))[0])
        d = int(table.stop_of(after(np.array([g])))[0])
        edge = (min(c, d), max(c, d))
        if h // 3 in faces_taken or g // 3 in faces_taken or edge in made:
            continue
        faces_taken |= {h // 3, g // 3}
        made.add(edge)
        kept.append(h)
    return np.array(kept, dtype=np.int64)


def _flip(table: EdgeTable, chosen: Longs) -> Longs:
    other = table.twins[chosen]
    a, b = table.start_of(chosen), table.stop_of(chosen)
    c, d = table.stop_of(after(chosen)), table.stop_of(after(other))
    faces = table.faces.copy()
    faces[chosen // 3] = np.column_stack([a, d, c])
    faces[other // 3] = np.column_stack([d, b, c])
    return faces


def _angle(points: Floats, apex: Longs, a: Longs, b: Longs) -> Floats:
    """Angle at `apex` between a and b [radians]."""
    one, two = points[a] - points[apex], points[b] - points[apex]
    across = np.linalg.norm(np.cross(one, two), axis=1)
    return np.arctan2(across, np.einsum("ij,ij->i", one, two))
