"""A plan whose piece has no more triangles than a picture can show."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from threading import Lock

import numpy as np
from numpy.typing import NDArray

from partline.detail.detail_map import Zone
from partline.detail.thinning import thinned
from partline.faces.painting import detail_weight
from partline.geometry.normals_at import normals_at
from partline.geometry.surface import Floats, Ints, Surface
from partline.memory import spare
from partline.plan import Plan
from partline.progress import Progress, silent

# A still shows a piece on some 300 000 pixels from one side: a quarter of so many triangles are
# still one of the scan's points every two or three pixels. Of a scan of a million triangles,
# 120 mm tall, the form is then off by 0.01 mm on average, by 0.09 mm on a hundredth of it and
# nowhere by more than 0.22 mm, measured both ways; a pixel is 0.14 mm.
MOST_FACES = 800_000

_ONE_AT_A_TIME = Lock()


def light_plan(plan: Plan, progress: Progress = silent) -> Plan:
    """Return the plan with a quarter of the piece's triangles; itself where those are not many.

    For pictures only: everything else of it, and every number, is the plan's own. Every point of
    the piece is one of the scan's, with the normal and the detail it has there. Kept, as stills
    and scene show the same piece.
    """
    if len(plan.stand.piece.faces) <= MOST_FACES:
        return plan
    with _ONE_AT_A_TIME:
        known = _kept(plan)
        if not known:
            known.append(_lightened(plan, progress))
        return known[0]


@lru_cache(maxsize=1)
def _kept(plan: Plan) -> list[Plan]:  # noqa: ARG001 (what it is kept for)
    """Return the place of a plan's light one."""
    return []


def _lightened(plan: Plan, progress: Progress) -> Plan:
    piece, owner = plan.stand.piece, plan.stand.piece_faces
    points = np.arange(len(piece.vertices))
    thin = piece
    while len(thin.faces) > MOST_FACES:
        progress(0.5 if len(points) < len(piece.vertices) else 0.0, "Thinning the piece to show")
        kept, faces, whole = _quartered(thin)
        points, owner = points[kept], owner[whole]
        spare(thin)
        thin = Surface(thin.vertices[kept], faces)
    normals = normals_at(piece, points)
    # Where points lie in a crease a face may come to look inward.
    inward = np.einsum("ij,ij->i", thin.face_vectors, normals[thin.faces].sum(axis=1)) < 0
    light = Surface(thin.vertices, np.where(inward[:, None], thin.faces[:, ::-1], thin.faces))
    # The scan's own: what its points alone would give is a little rougher.
    light.__dict__["vertex_normals"] = normals
    return replace(
        plan,
        stand=replace(plan.stand, piece=light, piece_faces=owner),
        detail=replace(
            plan.detail, weight=detail_weight(plan)[points], zones=_zones_on(plan, points)
        ),
    )


def _zones_on(plan: Plan, points: NDArray[np.int64]) -> tuple[Zone, ...]:
    """Return the zones with those of their vertices that are among some points, numbered there.

    One that has none of them gets the nearest.
    """
    number = np.full(len(plan.stand.piece.vertices), -1, dtype=np.int32)
    number[points] = np.arange(len(points))
    found = []
    for zone in plan.detail.zones:
        own = number[zone.vertices]
        own = own[own >= 0]
        if not len(own):
            away = plan.stand.piece.vertices[points] - zone.centre_mm
            own = np.array([(away**2).sum(axis=1).argmin()], dtype=np.int32)
        found.append(replace(zone, vertices=own))
    return tuple(found)


def _quartered(
    surface: Surface,
) -> tuple[NDArray[np.int64], Ints, NDArray[np.bool_]]:
    """Return the points of a quarter of the triangles, their faces, and which of the old those are.

    Of each cluster of points the one nearest its middle is kept: moved into the middle it would
    blur the relief.
    """
    middle, into = thinned(surface, np.ones(len(surface.vertices)))
    away: Floats = ((middle.vertices[into] - surface.vertices) ** 2).sum(axis=1)
    kept = np.empty(len(middle.vertices), dtype=np.int64)
    order = np.argsort(-away, kind="stable")
    kept[into[order]] = order  # the last one written is the nearest
    a, b, c = into[surface.faces].T
    return kept, middle.faces, (a != b) & (b != c) & (c != a)
