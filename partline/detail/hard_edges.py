"""Hard edges: clean creases between two plain sides, such as a rim or the edge of a foot."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import partial

import numpy as np
from numba import njit
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.csgraph import connected_components, dijkstra

from partline.geometry.cores import in_parts
from partline.geometry.normals import lengths
from partline.geometry.operators import edge_lengths
from partline.geometry.surface import Floats, Ints, Surface
from partline.progress import Progress, silent

# All from trying on real scans, no source: a scan's creases between feathers or teeth must not
# pass, or the detail beside them would be lost with the band.
_TURN_DEG = 40.0  # least turn across the edge
_NOISE_TURNS = 12.0  # times noise over edge length: turn [radians] that chance can reach
_SIDES_DEG = 24.0  # how far the faces of both sides together may lean from their mean
_SIDE_ROUNDS = 4  # means of neighbours, on each side, on a mesh with nothing needless in it
_FINEST = 4.0  # times finer than it need be: more would take too many rounds
_LEAST_EDGES = 15.0  # a chain shorter than this many median edges is a nick, not an edge
_RIM_DEG = 10.0  # least turn, on average, at the rim of what was made up; a fair filling has none
_ROWS = 1 << 16
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
    rims : (r, 2) int32
        Vertex pairs where scanned skin ends in an edge at a base, cap or filling made up by the
        tool: no detail, as little as any hard edge.
    """

    pairs: Ints
    convex: NDArray[np.bool_]
    rims: Ints = field(default_factory=lambda: np.empty((0, 2), dtype=np.int32))


def _two_sides(surface: Surface) -> Ints:
    """(e, 2) the two sides, 3 face + corner, along each edge; -1 unless it has exactly two."""
    sides: Ints = _paired(surface.face_edges, len(surface.edges))
    return sides


@njit(nogil=True, cache=True)
def _paired(edge_of, count):  # type: ignore[no-untyped-def]
    sides = np.full((count, 2), -1, dtype=np.int32)
    many = np.zeros(count, dtype=np.int32)
    for f in range(edge_of.shape[0]):
        for k in range(3):
            edge = edge_of[f, k]
            if many[edge] < 2:
                sides[edge, many[edge]] = 3 * f + k
            many[edge] += 1
    for edge in range(count):
        if many[edge] != 2:
            sides[edge, 0] = sides[edge, 1] = -1
    return sides


def _turns(surface: Surface, sides: Ints) -> Floats:
    """(e,) turn of the normal across every edge with two faces [radians]; inner corners below 0."""
    found = np.zeros(len(sides))
    given = surface.vertices, surface.faces, surface.face_normals, sides, found
    in_parts(lambda a, b: _turned(*given, a, b), len(found), _ROWS)
    return found


@njit(nogil=True, cache=True)
def _turned(points, faces, normals, sides, found, first, stop):  # type: ignore[no-untyped-def]
    for edge in range(first, stop):
        one, two = sides[edge]
        if one < 0:
            continue
        a, b = normals[one // 3], normals[two // 3]
        cross = (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])
        size = np.sqrt(cross[0] ** 2 + cross[1] ** 2 + cross[2] ** 2)
        turn = np.arctan2(size, a[0] * b[0] + a[1] * b[1] + a[2] * b[2])
        third = points[faces[two // 3, (two % 3 + 2) % 3]]
        start = points[faces[one // 3, one % 3]]
        rise = 0.0
        for axis in range(3):
            rise += (third[axis] - start[axis]) * a[axis]
        found[edge] = turn if rise < 0.0 else -turn


def _side_normals(surface: Surface, sides: Ints, closed: NDArray[np.bool_], rounds: int) -> Floats:
    """(m, 3) mean normal of the faces round each face, never across a `closed` edge.

    Its length tells how plain that side is: 1 where all lie in one plane.
    """
    beside = np.empty_like(surface.faces)
    given = surface.face_edges, sides, closed, beside
    in_parts(lambda a, b: _open_ways(*given, a, b), len(beside), _ROWS)
    before, after = surface.face_normals, np.empty((len(beside), 3))
    for _ in range(rounds):
        in_parts(partial(_mean_normals, beside, before, after), len(beside), _ROWS)
        before, after = after, np.empty_like(after)
    return before


@njit(nogil=True, cache=True)
def _open_ways(edge_of, sides, closed, beside, first, stop):  # type: ignore[no-untyped-def]
    """Fill in the face beyond each side of each face; -1 where the edge is closed."""
    for f in range(first, stop):
        for k in range(3):
            edge = edge_of[f, k]
            other = sides[edge, 1] if sides[edge, 0] == 3 * f + k else sides[edge, 0]
            beside[f, k] = -1 if closed[edge] else other // 3


@njit(nogil=True, cache=True)
def _mean_normals(beside, normals, found, first, stop):  # type: ignore[no-untyped-def]
    for f in range(first, stop):
        x, y, z = normals[f, 0], normals[f, 1], normals[f, 2]
        many = 1.0
        for k in range(3):
            other = beside[f, k]
            if other >= 0:
                x += normals[other, 0]
                y += normals[other, 1]
                z += normals[other, 2]
                many += 1.0
        found[f, 0], found[f, 1], found[f, 2] = x / many, y / many, z / many


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


def _rims(surface: Surface, sides: Ints, turns: Floats, made: NDArray[np.bool_]) -> Ints:
    """(r, 2) edges between made and scanned faces, in chains that turn by enough on average.

    The mean, inner corners below zero, is what noise does not move.
    """
    beside = made[sides // 3] & (sides >= 0)
    rim = np.flatnonzero(beside[:, 0] != beside[:, 1])
    if not len(rim):
        return np.empty((0, 2), dtype=np.int32)
    face, corner = np.divmod(sides[rim, 0], 3)
    pairs = np.column_stack([surface.faces[face, corner], surface.faces[face, (corner + 1) % 3]])
    n = len(surface.vertices)
    graph = sparse.coo_array((np.ones(len(pairs)), tuple(pairs.T)), shape=(n, n))
    _, label = connected_components(graph, directed=False)
    chain = label[pairs[:, 0]]
    length = np.linalg.norm(surface.vertices[pairs[:, 0]] - surface.vertices[pairs[:, 1]], axis=1)
    turned = np.abs(np.bincount(chain, length * turns[rim]))
    sharp = turned >= np.radians(_RIM_DEG) * np.bincount(chain, length)
    return np.asarray(pairs[sharp[chain]], dtype=np.int32)


def find_hard_edges(
    surface: Surface,
    *,
    noise_mm: float,
    edge_mm: float,
    made: NDArray[np.bool_] | None = None,
    progress: Progress = silent,
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
        Median edge length, of the mesh without needless vertices [mm].
    made : (m,) bool, optional
        Faces that the tool made, not the scan.
    progress : Progress
    """
    sides = _two_sides(surface)
    turns = _turns(surface, sides)
    least_turn = max(np.radians(_TURN_DEG), _NOISE_TURNS * noise_mm / edge_mm)
    sharp = np.abs(turns) >= least_turn
    progress(0.4, "hard edges")
    # Where faces are cut up into smaller ones, means reach as far by the square of it more rounds.
    finer = edge_mm / float(np.median(edge_lengths(surface)))
    rounds = round(_SIDE_ROUNDS * min(finer, _FINEST) ** 2)
    normals = _side_normals(surface, sides, sharp | (sides[:, 0] < 0), max(rounds, _SIDE_ROUNDS))
    progress(0.9, "hard edges")
    length = lengths(normals)
    kept = np.flatnonzero(sharp)
    faces = sides[kept] // 3
    # One side may be livelier where the other is plain: the rim of a flat foot under a figure.
    lean = np.arccos(np.minimum(length[faces], 1.0)).sum(axis=1)
    plain = lean <= np.radians(_SIDES_DEG)
    # The turn must still be there between the mean normals of the two sides.
    a, b = normals[faces[:, 0]], normals[faces[:, 1]]
    cosine = np.einsum("ij,ij->i", a, b)
    still = cosine <= np.cos(0.8 * least_turn) * length[faces].prod(axis=1)
    kept = kept[plain & still]
    # Each as its first face goes along it.
    face, corner = np.divmod(sides[kept, 0], 3)
    pairs = np.column_stack([surface.faces[face, corner], surface.faces[face, (corner + 1) % 3]])
    convex = turns[kept] > 0.0
    if len(kept):
        long = _long_chains(surface, pairs, _LEAST_EDGES * edge_mm)
        pairs, convex = pairs[long], convex[long]
    return HardEdges(
        pairs, convex, *(() if made is None else (_rims(surface, sides, turns, made),))
    )


def distance_to(surface: Surface, edges: HardEdges, *, limit_mm: float) -> Floats:
    """Return (n,) distances [mm] along the mesh's edges to the nearest hard edge or rim.

    Infinite beyond the limit.
    Along edges the way is up to a fifth too long (right-angled grids: two fifths), never too
    short.
    """
    n = len(surface.vertices)
    sources = np.union1d(edges.pairs, edges.rims).astype(np.int32)
    if not len(sources):
        return np.full(n, np.inf)
    first, second = surface.edges.T
    # A length of zero would read as "no edge" in the sparse graph.
    length = np.linalg.norm(surface.vertices[first] - surface.vertices[second], axis=1)
    length = np.maximum(length, np.finfo(float).tiny)
    graph = sparse.coo_array((length, (first, second)), shape=(n, n)).tocsr()
    found = dijkstra(
        graph,
        directed=False,
        indices=sources,
        min_only=True,
        limit=limit_mm,
    )
    return np.asarray(found, dtype=np.float64)
