"""Hard edges: clean creases between two plain sides, such as a rim or the edge of a foot."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.csgraph import connected_components, dijkstra

from partline.geometry.surface import Floats, Ints, Surface
from partline.progress import Progress, silent

# All from trying on real scans, no source: a scan's creases between feathers or teeth must not
# pass, or the detail beside them would be lost with the band.
_TURN_DEG = 40.0  # least turn across the edge
_NOISE_TURNS = 12.0  # times noise over edge length: turn [radians] that chance can reach
_SIDES_DEG = 24.0  # how far the faces of both sides together may lean from their mean
_SIDE_ROUNDS = 4  # faces looked at on each side, as rings
_LEAST_EDGES = 15.0  # a chain shorter than this many median edges is a nick, not an edge
_TORTUOUS = 1.5  # length of a chain over its length after averaging: more is a crumbled crease


@dataclass(frozen=True, eq=False)
class HardEdges:
    """Clean creases.

    Attributes
    ----------
    pairs : (h, 2) int32
        Vertex pairs.
    convex : (h,) bool
        Which of them stand out; the rest are inner corners.
    """

    pairs: Ints
    convex: NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class _Creases:
    """Inner edges: their vertices, the faces left and right, the turn and its sign."""

    pairs: Ints
    faces: Ints
    turn: Floats
    convex: NDArray[np.bool_]


def _creases(surface: Surface) -> _Creases:
    """Turn of the normal across every edge with exactly two faces [radians]."""
    n, m = len(surface.vertices), len(surface.faces)
    start = surface.faces.ravel().astype(np.int64)
    stop = np.roll(surface.faces, -1, axis=1).ravel().astype(np.int64)
    third = np.roll(surface.faces, -2, axis=1).ravel()
    face = np.repeat(np.arange(m), 3)
    key = np.minimum(start, stop) * n + np.maximum(start, stop)
    order = np.argsort(key, kind="stable")
    key = key[order]
    first = np.flatnonzero(np.r_[True, np.diff(key) != 0])
    size = np.diff(np.r_[first, len(key)])
    one = order[first[size == 2]]
    two = order[first[size == 2] + 1]
    left, right = face[one], face[two]
    a, b = surface.face_normals[left], surface.face_normals[right]
    turn = np.arctan2(np.linalg.norm(np.cross(a, b), axis=1), np.einsum("ij,ij->i", a, b))
    across = surface.vertices[third[two]] - surface.vertices[start[one]]
    convex = np.einsum("ij,ij->i", across, a) < 0
    pairs = np.column_stack([start[one], stop[one]]).astype(np.int32)
    return _Creases(pairs, np.column_stack([left, right]).astype(np.int32), turn, convex)


def _side_normals(surface: Surface, creases: _Creases, sharp: NDArray[np.bool_]) -> Floats:
    """(m, 3) mean normal of the faces round each face, never across a sharp edge.

    Its length tells how plain that side is: 1 where all lie in one plane.
    """
    m = len(surface.faces)
    left, right = creases.faces[~sharp].T
    ones = np.ones(len(left))
    joined = sparse.coo_array((ones, (left, right)), shape=(m, m)).tocsr()
    joined = joined + joined.T + sparse.eye_array(m)
    share = sparse.diags_array(1.0 / np.asarray(joined.sum(axis=1)).ravel())
    normals = surface.face_normals
    for _ in range(_SIDE_ROUNDS):
        normals = share @ (joined @ normals)
    return normals


def _long_chains(surface: Surface, pairs: Ints, least_mm: float) -> NDArray[np.bool_]:
    """Which edges belong to a connected chain that is long enough and runs smoothly."""
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
    smooth = points
    for _ in range(2):
        smooth = np.where(inner, 0.5 * (smooth + mean @ smooth), smooth)
    length = np.linalg.norm(points[first] - points[second], axis=1)
    short = np.linalg.norm(smooth[first] - smooth[second], axis=1)
    whole = np.bincount(label[first], weights=length, minlength=label.max() + 1)
    smoothed = np.bincount(label[first], weights=short, minlength=label.max() + 1)
    good = (whole >= least_mm) & (whole <= _TORTUOUS * smoothed)
    return good[label[first]]


def find_hard_edges(
    surface: Surface, *, noise_mm: float, edge_mm: float, progress: Progress = silent
) -> HardEdges:
    """Return the clean creases of a surface.

    An edge counts where the normal turns sharply in one step between two sides that are plain
    for a few triangles, in a chain of some length. A crease of a sculpted detail has no plain
    sides; the steps of noise are left below.

    Parameters
    ----------
    surface : Surface
    noise_mm : float
        Noise of the vertices along the normal [mm].
    edge_mm : float
        Median edge length [mm].
    progress : Progress
    """
    creases = _creases(surface)
    least_turn = max(np.radians(_TURN_DEG), _NOISE_TURNS * noise_mm / edge_mm)
    sharp = creases.turn >= least_turn
    progress(0.4, "hard edges")
    normals = _side_normals(surface, creases, sharp)
    progress(0.9, "hard edges")
    length = np.linalg.norm(normals, axis=1)
    faces = creases.faces[sharp]
    # One side may be livelier where the other is plain: the rim of a flat foot under a figure.
    lean = np.arccos(np.minimum(length, 1.0))[faces].sum(axis=1)
    plain = lean <= np.radians(_SIDES_DEG)
    # The turn must still be there between the mean normals of the two sides.
    a, b = normals[faces[:, 0]], normals[faces[:, 1]]
    cosine = np.einsum("ij,ij->i", a, b)
    still = cosine <= np.cos(0.8 * least_turn) * length[faces].prod(axis=1)
    kept = np.flatnonzero(sharp)[plain & still]
    if len(kept):
        kept = kept[_long_chains(surface, creases.pairs[kept], _LEAST_EDGES * edge_mm)]
    return HardEdges(creases.pairs[kept], creases.convex[kept])


def distance_to(surface: Surface, edges: HardEdges, *, limit_mm: float) -> Floats:
    """Return (n,) distances along the mesh's edges to the nearest hard edge [mm]; inf beyond.

    Along edges the way is up to a fifth too long (right-angled grids: two fifths), never too
    short.
    """
    n = len(surface.vertices)
    if not len(edges.pairs):
        return np.full(n, np.inf)
    first, second = surface.edges.T
    # A length of zero would read as "no edge" in the sparse graph.
    length = np.linalg.norm(surface.vertices[first] - surface.vertices[second], axis=1)
    length = np.maximum(length, np.finfo(float).tiny)
    graph = sparse.coo_array((length, (first, second)), shape=(n, n)).tocsr()
    found = dijkstra(
        graph,
        directed=False,
        indices=np.unique(edges.pairs),
        min_only=True,
        limit=limit_mm,
    )
    return np.asarray(found, dtype=np.float64)
