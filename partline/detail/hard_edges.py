"""Hard edges: clean creases between two plain sides, such as a rim or the edge of a foot."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numba import njit
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.csgraph import connected_components, dijkstra

from partline.detail.face_patches import faces_beside, patches, two_sides
from partline.detail.long_chains import long_chains
from partline.detail.rounded_rims import rounded_rims
from partline.geometry.cores import in_parts
from partline.geometry.operators import edge_lengths
from partline.geometry.surface import Floats, Ints, Surface
from partline.progress import Progress, silent, span

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


def _sharp(
    surface: Surface, sides: Ints, turns: Floats, least_turn: float, least_mm: float, finer: float
) -> Ints:
    """Return (k,) the edges that turn by enough [radians] in one step, between plain sides."""
    sharp = np.abs(turns) >= least_turn
    # Alone, a sharp edge is a fold of noise: skin is looked at across it.
    kept = np.flatnonzero(sharp).astype(np.int32)
    pairs, convex = surface.edges[kept], turns[kept] > 0.0
    kept = kept[long_chains(surface, pairs, convex, least_mm, smooth=False)]
    closed = np.zeros(len(sides), dtype=bool)
    closed[kept] = True
    beside = faces_beside(sides, closed, len(surface.faces))
    normals, areas = surface.face_normals, surface.face_areas
    skin = patches(beside, normals, areas, round(_SIDE_ROUNDS * finer**2))
    one, two = sides[kept].T // 3
    # One side may be livelier where the other is plain: the rim of a flat foot under a figure.
    plain = skin.lean_rad[one] + skin.lean_rad[two] <= np.radians(_SIDES_DEG)
    # The turn must still be there between the mean normals of the two sides.
    cosine = np.einsum("ij,ij->i", skin.normals[one], skin.normals[two])
    kept = kept[plain & (cosine <= np.cos(0.8 * least_turn))]
    return kept[long_chains(surface, surface.edges[kept], turns[kept] > 0.0, least_mm)]


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
    for a few triangles, in a chain of some length; or in a few steps, between sides that are plain
    for more of them, in a longer chain. A crease of a sculpted detail has no plain sides; the steps
    of noise are left below.

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
    sides = two_sides(surface)
    turns = _turns(surface, sides)
    least_turn = max(np.radians(_TURN_DEG), _NOISE_TURNS * noise_mm / edge_mm)
    # Where faces are cut up into smaller ones, means reach as far by the square of it more rounds.
    finer = min(max(edge_mm / float(np.median(edge_lengths(surface))), 1.0), _FINEST)
    progress(0.2, "hard edges")
    kept = _sharp(surface, sides, turns, least_turn, _LEAST_EDGES * edge_mm, finer)
    convex = turns[kept] > 0.0
    progress(0.5, "hard edges")
    rounded, outward = rounded_rims(
        surface, sides, kept, convex, edge_mm=edge_mm, finer=finer,
        least_turn_rad=np.radians(_TURN_DEG), sides_rad=np.radians(_SIDES_DEG),
        progress=span(progress, 0.5, 1.0),
    )  # fmt: skip
    edges, convex = np.concatenate([kept, rounded]), np.concatenate([convex, outward])
    # Each as its first face goes along it.
    face, corner = np.divmod(sides[edges, 0], 3)
    pairs = np.column_stack([surface.faces[face, corner], surface.faces[face, (corner + 1) % 3]])
    rims = () if made is None else (_rims(surface, sides, turns, made),)
    return HardEdges(pairs, convex, *rims)


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
