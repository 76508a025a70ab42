"""Solids: robust booleans, sections and outlines, on the manifold3d library.

A surface goes in and comes out as plain arrays; the library's own objects stay in between.
Coordinates are kept in float64. Outlines are lists of (k, 2) polygons in the plane, outer ones
counter-clockwise, holes clockwise [mm].
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from manifold3d import CrossSection, Error, FillRule, JoinType, Manifold, Mesh64, triangulate
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import ConvexHull

from partline.errors import InternalError, NotSolid
from partline.geometry.surface import Floats, Ints, Surface, used_only

Outline = tuple[Floats, ...]
# Corners of outlines nearer than this are one; a hundred steps of the library's own grid.
DUST_MM = 1e-6


def to_solid(surface: Surface, *, face_ids: Ints | None = None) -> Manifold:
    """Return the library's solid of a closed surface.

    Parameters
    ----------
    surface : Surface
    face_ids : (m,) int, optional
        A number for each face that its fragments keep.

    Raises
    ------
    NotSolid
        If the surface is not closed, manifold and oriented.
    """
    # The library takes no read-only arrays: hand it copies.
    ids = None if face_ids is None else np.array(face_ids, dtype=np.uint64)
    solid = Manifold(Mesh64(surface.vertices.copy(), surface.faces.astype(np.uint64), face_id=ids))
    if solid.status() != Error.NoError:
        raise NotSolid(
            f"The surface is not a solid ({solid.status().name}); its {len(surface.faces)} faces "
            "do not close. Run `partline check` on the mesh to see where."
        )
    return solid


def to_surface(solid: Manifold) -> tuple[Surface, Ints]:
    """Return (surface, face numbers) of a solid; the numbers are those given to `to_solid`."""
    mesh = solid.to_mesh64()
    vertices = np.asarray(mesh.vert_properties, dtype=np.float64)[:, :3]
    faces = np.asarray(mesh.tri_verts, dtype=np.int64)
    if len(mesh.merge_from_vert):
        same = np.arange(len(vertices))
        same[np.asarray(mesh.merge_from_vert, dtype=np.int64)] = np.asarray(
            mesh.merge_to_vert, dtype=np.int64
        )
        faces = same[faces]
    ids = np.asarray(mesh.face_id, dtype=np.int64)
    if len(ids) == 0:
        ids = np.arange(len(faces))
    return used_only(vertices, faces), ids.astype(np.int32)


def outline_of(shape: CrossSection) -> Outline:
    """Return the polygons of a plane shape, without corners that stand on one another.

    The library's offsets leave corners side by side at the last digit of its grid; a solid that
    is drawn up from them folds over itself there.
    """
    return tuple(np.asarray(p, dtype=np.float64) for p in shape.simplify(DUST_MM).to_polygons())


def shape_of(outline: Sequence[Floats]) -> CrossSection:
    """Return the library's plane shape of polygons, overlaps joined."""
    return CrossSection([np.ascontiguousarray(p) for p in outline], FillRule.Positive)


def section(surface: Surface, height_mm: float) -> Outline:
    """Return the outline of the solid at a height above z = 0 [mm]."""
    return outline_of(to_solid(surface).slice(height_mm))


def area(outline: Sequence[Floats]) -> float:
    """Return the area of polygons, holes taken off [mm^2]."""
    total = 0.0
    for p in outline:
        q = np.roll(p, -1, axis=0)
        total += 0.5 * float((p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0]).sum())
    return total


def outer(outline: Sequence[Floats]) -> Outline:
    """Return the outlines with their holes filled."""
    return tuple(p for p in outline if area((p,)) > 0)


def grown(outline: Sequence[Floats], by_mm: float, *, segments: int = 96) -> Outline:
    """Return the outline grown by a distance, corners rounded [mm]."""
    return outline_of(shape_of(outline).offset(by_mm, JoinType.Round, 2.0, segments))


def hull(points: Floats) -> Floats:
    """Return the (k, 2) convex hull of points in the plane, counter-clockwise [mm]."""
    return points[ConvexHull(points).vertices]


def width(outline: Sequence[Floats]) -> float:
    """Return the widest distance between two points of an outline [mm]."""
    corners = hull(np.concatenate(list(outline)))
    return float(np.linalg.norm(corners[:, None] - corners[None], axis=2).max())


def loft(
    top: Sequence[Floats], bottom: Sequence[Floats], *, top_mm: float, below_mm: float
) -> Surface:
    """Return a solid with sloping sides from a top outline to a wider one at z = 0.

    The side is a height field over the ring between the outlines, so it can neither fold nor
    cross itself; below z = 0 the solid goes on straight down.

    Parameters
    ----------
    top, bottom : sequence of (k, 2) float64
        Outlines without holes; `top` lies within `bottom` [mm].
    top_mm : float
        Height of the top [mm].
    below_mm : float
        How far the solid reaches below z = 0 [mm].
    """
    rings = [np.asarray(p) for p in bottom] + [np.asarray(p)[::-1] for p in top]
    flat = np.concatenate(rings)
    low = sum(len(p) for p in bottom)
    height = np.where(np.arange(len(flat)) < low, 0.0, top_mm)
    n = len(flat)
    vertices = np.concatenate(
        [np.column_stack([flat, height]), np.column_stack([flat[:low], np.full(low, -below_mm)])]
    )
    side = np.asarray(triangulate([np.ascontiguousarray(p) for p in rings]), dtype=np.int64)
    upper = np.asarray(triangulate([np.ascontiguousarray(p) for p in top]), dtype=np.int64)
    # Vertices of the reversed top rings, ring by ring.
    place, start = [], low
    for p in top:
        place.append(start + np.arange(len(p))[::-1])
        start += len(p)
    lower = np.asarray(triangulate([np.ascontiguousarray(p) for p in bottom]), dtype=np.int64)
    walls, start = [], 0
    for p in bottom:
        i = start + np.arange(len(p))
        j = start + np.roll(np.arange(len(p)), -1)
        walls += [np.column_stack([i, n + i, n + j]), np.column_stack([i, n + j, j])]
        start += len(p)
    faces = np.concatenate([side, np.concatenate(place)[upper], n + lower[:, ::-1], *walls])
    return Surface(vertices, faces)


def prism(outline: Sequence[Floats], low_mm: float, high_mm: float) -> Manifold:
    """Return an upright prism between two heights [mm]."""
    return shape_of(outline).extrude(high_mm - low_mm).translate((0.0, 0.0, low_mm))


def checked(solid: Manifold, expected_mm3: float, what: str, *, slack: float) -> Manifold:
    """Return the solid if it is sound and has the volume it must have.

    Raises
    ------
    InternalError
        If a boolean gave a solid that is not closed, or the wrong volume.
    """
    found = float(solid.volume())
    if solid.status() != Error.NoError or abs(found - expected_mm3) > slack:
        raise InternalError(
            f"{what} came out with {found:.6g} mm³ where {expected_mm3:.6g} mm³ were due "
            f"({solid.status().name}). Please keep the mesh and report this."
        )
    return solid


def shells(surface: Surface) -> tuple[int, Ints]:
    """Return the number of connected shells and the shell of each face."""
    f = surface.faces
    n = len(surface.vertices)
    links = np.concatenate([f[:, :2], f[:, 1:]])
    graph = coo_array((np.ones(len(links), np.int8), (links[:, 0], links[:, 1])), shape=(n, n))
    _, label = connected_components(graph, directed=False)
    used, of_face = np.unique(label[f[:, 0]], return_inverse=True)
    return len(used), of_face.astype(np.int32)


def kept(surface: Surface, faces: np.ndarray) -> Surface:
    """Return the surface with only the faces of a mask or list, unused vertices dropped."""
    return used_only(surface.vertices, surface.faces[faces])
