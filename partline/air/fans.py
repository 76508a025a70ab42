"""A cavity made ready for the air kernels: one fan a vertex, neighbours, faces round a vertex.

The merge of tops is right only where each vertex is a single fan of triangles. Where two
sheets touch in a point the vertex is split, so that air is never led across the pinch.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numba import njit
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from partline.geometry.rays import Tree
from partline.geometry.surface import Floats, Ints, Surface


class Fans(NamedTuple):
    """Arrays of one cavity, contiguous, for compiled code.

    Attributes
    ----------
    vertices : (n, 3) float64
        Points, pinched ones once for each fan [mm].
    faces : (m, 3) int32
    original : (n,) int32
        Vertex of the cavity's surface that each one is.
    starts : (n + 1,) int32
        Where the neighbours of each vertex begin in `neighbours`.
    neighbours : (2 e,) int32
        Neighbours of each vertex; the first `halves` of each have the larger number.
    halves : (n,) int32
        How many neighbours of each vertex have a larger number; they come first.
    low, high : (e,) int32
        Ends of each edge, the smaller number in `low`; sorted.
    face_starts : (n + 1,) int32
        Where the faces round each vertex begin in `face_list`.
    face_list : (3 m,) int32
    vectors : (m, 3) float64
        Half the cross products of the faces' edges: area times outward normal [mm^2].
    around : (n, 3) float64
        Sum of the vectors of the faces round each vertex [mm^2].
    normals : (n, 3) float64
        Angle-weighted outward normals.
    longest : (n,) float64
        Longest edge at each vertex; a vertex higher than this above a level has no neighbour
        below it [mm].
    outlets : (k,) int32
        Vertices of the outlets.
    tree : Tree
        For rays.
    size : float
        Diagonal of the bounding box [mm].
    """

    vertices: Floats
    faces: Ints
    original: Ints
    starts: Ints
    neighbours: Ints
    halves: Ints
    low: Ints
    high: Ints
    face_starts: Ints
    face_list: Ints
    vectors: Floats
    around: Floats
    normals: Floats
    longest: Floats
    outlets: Ints
    tree: Tree
    size: float


def split_pinches(surface: Surface) -> tuple[Surface, Ints]:
    """Return the surface with every vertex a single fan, and the old number of each vertex.

    Vertices of no face are left out.
    """
    if _single(surface.faces, *surface.fans):
        return surface, np.arange(len(surface.vertices), dtype=np.int32)
    faces = surface.faces.astype(np.int64)
    m, n = len(faces), len(surface.vertices)
    # A corner is (face, k); corners of one vertex belong together when their faces share an
    # edge at it. Directed edge (a, b) of one face meets (b, a) of the other.
    corner = np.arange(3 * m)
    start, stop = faces.ravel(), np.roll(faces, -1, axis=1).ravel()
    after = np.roll(corner.reshape(m, 3), -1, axis=1).ravel()
    there = np.argsort(start * n + stop, kind="stable")
    back = np.argsort(stop * n + start, kind="stable")
    # there[i] is the edge (a, b) and back[i] the same edge run the other way, in another face.
    rows = np.concatenate([corner[there], after[there]])
    columns = np.concatenate([after[back], corner[back]])
    graph = coo_array((np.ones(len(rows), dtype=np.int8), (rows, columns)), shape=(3 * m, 3 * m))
    count, label = connected_components(graph, directed=False)
    if count == n:
        return surface, np.arange(n, dtype=np.int32)
    original = np.empty(count, dtype=np.int32)
    original[label] = start
    order = np.argsort(original, kind="stable")
    rank = np.empty(count, dtype=np.int32)
    rank[order] = np.arange(count, dtype=np.int32)
    original = original[order]
    return Surface(surface.vertices[original], rank[label].reshape(m, 3)), original


@njit(nogil=True, cache=True)
def _single(faces, starts, around):  # type: ignore[no-untyped-def]
    """Tell whether the faces round every vertex of a closed surface are one fan, and none bare."""
    for v in range(len(starts) - 1):
        first, degree = starts[v], starts[v + 1] - starts[v]
        if degree == 0:
            return False
        # From face to face over the edge that leaves the vertex, back to the first.
        at, met = around[first], 0
        while met <= degree:
            met += 1
            after = -1
            for k in range(3):
                if faces[at, k] == v:
                    after = faces[at, (k + 2) % 3]
            for j in range(first, first + degree):
                face = around[j]
                for k in range(3):
                    if faces[face, k] == v and faces[face, (k + 1) % 3] == after:
                        at = face
            if at == around[first]:
                break
        if met != degree:
            return False
    return True


@njit(nogil=True, cache=True)
def _longest(vertices, starts, neighbours):  # type: ignore[no-untyped-def]
    """Return the length of the longest edge at each vertex."""
    longest = np.zeros(len(starts) - 1)
    for v in range(len(longest)):
        for at in range(starts[v], starts[v + 1]):
            w = neighbours[at]
            x, y = vertices[w, 0] - vertices[v, 0], vertices[w, 1] - vertices[v, 1]
            z = vertices[w, 2] - vertices[v, 2]
            longest[v] = max(longest[v], np.sqrt(x * x + y * y + z * z))
    return longest


@njit(nogil=True, cache=True)
def _around(faces, vectors, count):  # type: ignore[no-untyped-def]
    """Return the (count, 3) sums of the vectors of the faces round each vertex.

    First corners first, then second and third ones: what is square to an axis comes out so.
    """
    total = np.zeros((count, 3))
    for k in range(3):
        part = np.zeros((count, 3))
        for f in range(faces.shape[0]):
            for axis in range(3):
                part[faces[f, k], axis] += vectors[f, axis]
        total += part
    return total


def prepare(surface: Surface, outlets: Ints) -> Fans:
    """Return the arrays that every direction of one cavity shares; done once a cavity."""
    outlet = np.zeros(len(surface.vertices), dtype=bool)
    outlet[outlets] = True
    surface, original = split_pinches(surface)
    n = len(surface.vertices)
    low, high = surface.edges[:, 0], surface.edges[:, 1]
    # Larger-numbered neighbours first: the join pass reads each edge once.
    starts, neighbours = surface.ring
    face_starts, face_list = surface.fans
    vectors = 0.5 * surface.face_vectors
    return Fans(
        vertices=surface.vertices,
        faces=surface.faces,
        original=original,
        starts=starts.astype(np.int32),
        neighbours=np.ascontiguousarray(neighbours, dtype=np.int32),
        halves=np.bincount(low, minlength=n).astype(np.int32),
        low=np.ascontiguousarray(low),
        high=np.ascontiguousarray(high),
        face_starts=face_starts.astype(np.int32),
        face_list=face_list.astype(np.int32),
        vectors=vectors,
        around=_around(surface.faces, vectors, n),
        normals=surface.vertex_normals,
        longest=_longest(surface.vertices, starts, neighbours) * (1.0 + 1e-12),
        outlets=np.flatnonzero(outlet[original]).astype(np.int32),
        tree=surface.rays.tree,
        size=float(np.linalg.norm(surface.extents)),
    )
