"""Straightening a path: Steiner points in a band round it, then sliding its crossings.

The graph of edges and shortcuts finds the right valley; within it a path on more points, moved
along the edges it crosses until the cost no longer falls, comes within a fraction of a percent
of the cheapest curve (Lanthier, Maheshwari and Sack 2001 for the points on edges; sliding them
is Snell's law found numerically, so it also holds where the cost changes along the way).
"""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import dijkstra

from partline.geometry.paths import PricedGraph, SurfacePath, make_path
from partline.geometry.surface import Floats, Surface, faces_round

_LEVELS = 12  # halvings of the window in which each crossing is sought
_CHOICES = 9  # positions tried in each window


def straightened(
    surface: Surface,
    density: Floats,
    path: SurfacePath,
    *,
    rings: int = 2,
    per_edge: int = 4,
    rounds: int = 12,
    passes: int = 6,
) -> SurfacePath:
    """Return a path between the same two points, never dearer than the one given.

    Parameters
    ----------
    surface : Surface
    density : (n,) float64
        Cost per mm; infinite where no path may go [1].
    path : SurfacePath
        Found on the graph of edges and shortcuts; begins and ends at a vertex.
    rings : int
        Rings of faces on either side that the band takes in.
    per_edge : int
        Steiner points on each edge of the band.
    rounds : int
        How often the crossings are moved and the path freed from the vertices it leans on.
    passes : int
        How often the band is laid anew round the path.
    """
    if len(path.points) < 3:
        return path
    best = path
    for _ in range(passes):
        # The band follows the path as it moves, so that it may leave the first guess behind.
        before = best.cost
        found = _through_band(surface, density, best, rings=rings, per_edge=per_edge)
        best = min(best, found, key=lambda p: p.cost)
        for _ in range(rounds):
            moved = _slid(surface, density, _freed(surface, best))
            if not moved.cost < best.cost * (1 - 1e-7):
                break
            best = moved
        if best.cost > before * (1 - 1e-5):
            break
    return best


def refined(
    network: PricedGraph, path: SurfacePath, *, slack: float = 0.12, most: int = 3000
) -> SurfacePath:
    """Return a path between the same two points, sought anew wherever one nearly as cheap runs.

    The graph's error can make it take the wrong one of two ways of nearly the same cost. So the
    finer search first covers every vertex over which a path on the graph costs at most `slack`
    more (at most `most` of them, the cheapest), then follows the path it finds.

    Parameters
    ----------
    network : PricedGraph
    path : SurfacePath
        Found on it; begins and ends at a vertex.
    slack : float
        The graph's own error [1].
    most : int
        Largest number of vertices to search among.
    """
    if len(path.points) < 3:
        return path
    surface, density = network.graph.surface, network.density
    limit = (1 + slack) * path.cost
    through = sum(network.distances([path.ends[k, 0]], limit=limit)[0] for k in (0, -1))
    if np.count_nonzero(through <= limit) > most:
        limit = float(np.partition(through, most)[most])
    near = (through <= limit) | _near(surface, path, rings=1)
    wide = _through_vertices(surface, density, path, near, per_edge=3)
    # Both are straightened: before that neither cost says which way is the better one.
    ways = [straightened(surface, density, way) for way in (path, wide)]
    return min(ways, key=lambda way: way.cost)


def _through_band(
    surface: Surface, density: Floats, path: SurfacePath, *, rings: int, per_edge: int
) -> SurfacePath:
    near = _near(surface, path, rings=rings)
    return _through_vertices(surface, density, path, near, per_edge=per_edge)


def _near(surface: Surface, path: SurfacePath, *, rings: int) -> NDArray[np.bool_]:
    """Tell which vertices lie within some rings of faces of a path."""
    found = np.unique(path.ends)
    for _ in range(rings):
        found = np.unique(surface.faces[faces_round(surface, found)])
    near = np.zeros(len(surface.vertices), dtype=bool)
    near[found] = True
    return near


def _through_vertices(
    surface: Surface,
    density: Floats,
    path: SurfacePath,
    near: NDArray[np.bool_],
    *,
    per_edge: int,
) -> SurfacePath:
    """Return the cheapest path on Steiner points in the faces whose corners are all near."""
    faces = surface.faces[faces_round(surface, np.flatnonzero(near))].astype(np.int64)
    faces = faces[near[faces].all(axis=1)]
    n = len(surface.vertices)
    sides = np.sort(faces[:, [[0, 1], [1, 2], [2, 0]]], axis=2)
    key, place = np.unique(sides[..., 0] * n + sides[..., 1], return_inverse=True)
    place = place.reshape(-1, 3)
    edges = np.column_stack(np.divmod(key, n))
    vertices = np.unique(faces)
    part = np.arange(1, per_edge + 1) / (per_edge + 1)
    ends = np.concatenate([np.column_stack([vertices] * 2), np.repeat(edges, per_edge, axis=0)])
    share = np.concatenate([np.zeros(len(vertices)), np.tile(part, len(edges))])
    everything = make_path(surface, np.ones(n), ends, share)
    with np.errstate(invalid="ignore"):
        price = everything.sample(density)
    on_edge = len(vertices) + np.arange(len(edges) * per_edge).reshape(-1, per_edge)
    local = np.searchsorted(vertices, faces)
    start, stop = _links(local, np.searchsorted(vertices, edges), on_edge, on_edge[place])
    length = np.linalg.norm(everything.points[start] - everything.points[stop], axis=1)
    with np.errstate(invalid="ignore"):
        cost = length * (price[start] + price[stop]) / 2
    keep = np.isfinite(cost)
    low, high = start[keep], stop[keep]
    value = np.maximum(cost[keep], np.finfo(float).tiny)
    matrix = csr_matrix(
        (np.r_[value, value], (np.r_[low, high], np.r_[high, low])), shape=(len(ends),) * 2
    )
    source, goal = (int(np.searchsorted(vertices, path.ends[k, 0])) for k in (0, -1))
    _, before = dijkstra(
        matrix, indices=np.array([source]), min_only=True, return_predecessors=True
    )[:2]
    chain = [goal]
    while before[chain[-1]] >= 0:
        chain.append(int(before[chain[-1]]))
    chain.reverse()
    return make_path(surface, density, ends[chain], share[chain])


def _links(
    corners: NDArray[np.int64],
    edges: NDArray[np.int64],
    on_edge: NDArray[np.int64],
    on_side: NDArray[np.int64],
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return the nodes that a straight line within a face or along an edge joins, each pair once.

    Parameters
    ----------
    corners : (f, 3) int64
        Nodes at the corners of each face.
    edges : (e, 2) int64
        Nodes at the ends of each edge.
    on_edge : (e, p) int64
        Nodes between them.
    on_side : (f, 3, p) int64
        The same for the sides of each face, from its first corner to its second and so on.
    """
    whole = np.column_stack([edges[:, :1], on_edge, edges[:, 1:]])
    one, two = np.triu_indices(whole.shape[1], 1)
    first, second = [whole[:, one].ravel()], [whole[:, two].ravel()]
    for k in range(3):
        side, after = on_side[:, k], on_side[:, (k + 1) % 3]
        across = np.column_stack([corners[:, (k + 2) % 3, None], after])
        start, stop = np.broadcast_arrays(side[:, :, None], across[:, None, :])
        first.append(start.ravel())
        second.append(stop.ravel())
    return np.concatenate(first), np.concatenate(second)


def _freed(surface: Surface, path: SurfacePath) -> SurfacePath:
    """Replace each vertex the path leans on by the edges on the side of its smaller angle."""
    ends, share = [tuple(path.ends[0])], [float(path.share[0])]
    for k in range(1, len(path.ends) - 1):
        a, b = (int(v) for v in path.ends[k])
        spokes = _side_step(surface, path, k) if a == b else None
        if spokes is None:
            ends.append((a, b))
            share.append(float(path.share[k]))
        else:
            ends.extend((a, spoke) for spoke in spokes)
            share.extend(0.0 for _ in spokes)
    ends.append(tuple(path.ends[-1]))
    share.append(float(path.share[-1]))
    return make_path(surface, np.ones(len(surface.vertices)), ends, share)


def _side_step(surface: Surface, path: SurfacePath, k: int) -> list[int] | None:
    """Return the neighbours of vertex k of the path between its two sides, in order."""
    vertex = int(path.ends[k, 0])
    starts, fan = surface.fans
    faces = surface.faces[fan[starts[vertex] : starts[vertex + 1]]].tolist()
    following = {f[f.index(vertex) - 2]: f[f.index(vertex) - 1] for f in faces}
    ring = [next(iter(following))]
    while len(ring) < len(faces) and ring[-1] in following:
        ring.append(following[ring[-1]])
    if len(ring) != len(faces) or following.get(ring[-1]) != ring[0]:
        return None  # a border or a pinched vertex: lean on it
    spokes = surface.vertices[ring] - surface.vertices[vertex]
    nxt = np.roll(spokes, -1, axis=0)
    angle = np.arctan2(np.linalg.norm(np.cross(spokes, nxt), axis=1), (spokes * nxt).sum(axis=1))
    at = np.concatenate([[0.0], np.cumsum(angle)])
    places = [_bearing(path, j, vertex, ring, spokes, at, surface) for j in (k - 1, k + 1)]
    if places[0] is None or places[1] is None:
        return None
    turn = (places[1] - places[0]) % at[-1]
    forward = turn <= at[-1] - turn
    low, span = (places[0], turn) if forward else (places[1], at[-1] - turn)
    if span >= np.pi - 1e-9:
        return None
    ahead = (at[:-1] - low) % at[-1]
    chosen = [i for i in np.argsort(ahead) if 1e-12 < ahead[i] < span - 1e-12]
    between = [ring[i] for i in chosen]
    return (between if forward else between[::-1]) or None


def _bearing(
    path: SurfacePath,
    j: int,
    vertex: int,
    ring: list[int],
    spokes: Floats,
    at: Floats,
    surface: Surface,
) -> float | None:
    """Return the angle round a vertex under which a neighbouring point of the path is seen."""
    a, b = (int(v) for v in path.ends[j])
    if path.share[j] <= 0:
        b = a
    elif path.share[j] >= 1:
        a = b
    others = [v for v in (a, b) if v != vertex]
    if not others or any(v not in ring for v in others):
        return None
    spot = [ring.index(v) for v in others]
    if len(spot) == 1 or spot[0] == spot[1]:
        return float(at[spot[0]])
    first = spot[0] if (spot[0] + 1) % len(ring) == spot[1] else spot[1]
    arm = path.points[j] - surface.vertices[vertex]
    spoke = spokes[first]
    return float(at[first] + np.arctan2(np.linalg.norm(np.cross(spoke, arm)), spoke @ arm))


def _slid(surface: Surface, density: Floats, path: SurfacePath) -> SurfacePath:
    """Move every crossing along its edge to where the whole path costs least.

    Positions in a window are chosen together (dynamic programming along the path), then the
    windows are halved; the first window is the whole edge.
    """
    corners = surface.vertices[path.ends]
    low, high = density[path.ends[:, 0]], density[path.ends[:, 1]]
    loose = path.ends[:, 0] != path.ends[:, 1]
    share, width = path.share.copy(), 1.0
    grid = np.linspace(-0.5, 0.5, _CHOICES)
    for level in range(_LEVELS):
        centre = np.full(len(share), 0.5) if level == 0 else share
        tries = np.clip(centre[:, None] + width * grid, 0.0, 1.0)
        tries[:, -1] = share  # what stands now is always among the choices
        tries[~loose] = path.share[~loose, None]
        points = (
            corners[:, None, 0] * (1 - tries[..., None]) + corners[:, None, 1] * tries[..., None]
        )
        with np.errstate(invalid="ignore"):
            price = low[:, None] * (1 - tries) + high[:, None] * tries
        # Touching a blocked edge at its free end is allowed: 0 times infinity is no price.
        price = np.where(tries <= 0, low[:, None], np.where(tries >= 1, high[:, None], price))
        price[np.isnan(price)] = np.inf
        share = np.take_along_axis(tries, _best_chain(points, price)[:, None], axis=1)[:, 0]
        width *= 0.5
    ends = path.ends.copy()
    for value, column in ((0.0, 0), (1.0, 1)):
        on = loose & (np.abs(share - value) < 1e-9)
        ends[on] = path.ends[on][:, [column]]
        share[on] = 0.0
    same = (ends[1:] == ends[:-1]).all(axis=1) & (np.abs(share[1:] - share[:-1]) < 1e-12)
    keep = np.concatenate([[True], ~same])
    return make_path(surface, density, ends[keep], share[keep])


@njit(nogil=True, cache=True)
def _best_chain(points, price):  # type: ignore[no-untyped-def]
    """Return (k,) the choice at each point that makes the whole chain cheapest."""
    count, choices = price.shape
    total = np.zeros(choices)
    fresh = np.empty(choices)
    back = np.zeros((count, choices), np.int32)
    for k in range(1, count):
        for j in range(choices):
            best, which = np.inf, 0
            for i in range(choices):
                if total[i] >= best:
                    continue
                x = points[k, j, 0] - points[k - 1, i, 0]
                y = points[k, j, 1] - points[k - 1, i, 1]
                z = points[k, j, 2] - points[k - 1, i, 2]
                length = np.sqrt(x * x + y * y + z * z)
                # Standing still on a blocked point costs nothing times infinity: no way.
                value = total[i] + length * (price[k - 1, i] + price[k, j]) / 2
                if value < best:
                    best, which = value, i
            fresh[j] = best
            back[k, j] = which
        total[:] = fresh
    chosen = np.zeros(count, np.int32)
    chosen[-1] = int(np.argmin(total))
    for k in range(count - 1, 0, -1):
        chosen[k - 1] = back[k, chosen[k]]
    return chosen
