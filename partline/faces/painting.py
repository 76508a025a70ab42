"""Painting on the piece: where the cut stays off, where it is welcome, what it passes through."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from partline.faces import colours
from partline.faces.tipping import on_stand
from partline.faces.view import PourName
from partline.faces.workbench import in_file
from partline.geometry.surface import Floats
from partline.job import ZonePart
from partline.plan import Plan

Brush = Literal["stay off", "go here", "pass through", "wipe"]
BRUSHES: tuple[Brush, ...] = ("stay off", "go here", "pass through", "wipe")

TINTS = {"stay off": colours.STAY_OFF, "go here": colours.GO_HERE, "pass through": colours.CUT}


def place_in_file(plan: Plan, point: Floats, pour: PourName) -> tuple[float, float, float]:
    """Return a point of the picture, nothing tipped, in the coordinates of the scan's file."""
    return in_file(plan.master, on_stand(plan, point, pour) - np.array([0, 0, plan.stand.lift_mm]))


def place_on_stand(plan: Plan, zone: ZonePart) -> Floats:
    """Return the (3,) middle of a round zone in the pose of the stand [mm]."""
    turn = plan.master.to_pose
    return turn[:3, :3] @ np.array(zone.point) + turn[:3, 3] + np.array([0, 0, plan.stand.lift_mm])


def dabbed(
    zones: tuple[ZonePart, ...], brush: Brush, point: tuple[float, float, float],
    radius_mm: float, plan: Plan,
) -> tuple[ZonePart, ...]:  # fmt: skip
    """Return the zones after one touch of the brush.

    A stroke is many touches: one that lies within half a radius of the same paint adds nothing.
    Wiping takes away every round zone whose middle the brush covers; a zone of face numbers, from
    a job file, is taken away when the brush covers any of it.
    """
    touch = ZonePart(kind="stay off", point=point, radius_mm=radius_mm)
    here = place_on_stand(plan, touch)

    def off(zone: ZonePart) -> float:
        return float(np.linalg.norm(place_on_stand(plan, zone) - here))

    if brush == "wipe":
        return tuple(z for z in zones if not _covers(plan, z, here, radius_mm))
    # Paint goes over other paint, as a brush does.
    other = {"stay off": "go here", "go here": "stay off"}.get(brush)
    left = tuple(
        z for z in zones if not (z.kind == other and z.point is not None and off(z) < radius_mm)
    )
    for zone in left:
        if zone.kind == brush and zone.point is not None and off(zone) < 0.5 * radius_mm:
            return left
    return (*left, ZonePart(kind=brush, point=point, radius_mm=round(radius_mm, 3)))


def _covers(plan: Plan, zone: ZonePart, here: Floats, radius_mm: float) -> bool:
    if zone.point is not None:
        reach = max(radius_mm, 0.6 * (zone.radius_mm or 0.0))
        return float(np.linalg.norm(place_on_stand(plan, zone) - here)) <= reach
    members = np.isin(plan.master.file_faces, zone.faces)
    points = plan.master.surface.vertices[plan.master.surface.faces[members]].reshape(-1, 3)
    points = points + np.array([0, 0, plan.stand.lift_mm])
    return bool(len(points)) and float(np.linalg.norm(points - here, axis=1).min()) <= radius_mm


@lru_cache(maxsize=64)
def _covered(plan: Plan, zone: ZonePart) -> NDArray[np.int64]:
    """Return the vertices of the piece that a zone covers; kept, as a stroke has many."""
    piece = plan.stand.piece
    if zone.point is not None:
        away = np.linalg.norm(piece.vertices - place_on_stand(plan, zone), axis=1)
        return np.flatnonzero(away <= (zone.radius_mm or 0.0))
    owner = plan.stand.piece_faces
    known = np.where(owner >= 0, plan.master.file_faces[np.maximum(owner, 0)], -1)
    return np.unique(piece.faces[np.isin(known, zone.faces)]).astype(np.int64)


def detail_weight(plan: Plan) -> Floats:
    """Return the (n,) detail weight on the vertices of the standing piece [1]."""
    piece, weight = plan.stand.piece, plan.detail.weight
    if len(weight) == len(piece.vertices):
        return weight
    from scipy.spatial import cKDTree

    # The map was made on the whole master; trimming at the seat has renumbered its vertices.
    lifted = plan.master.surface.vertices + np.array([0, 0, plan.stand.lift_mm])
    _, nearest = cKDTree(lifted).query(piece.vertices)
    return weight[nearest]


@lru_cache(maxsize=3)
def tinted(plan: Plan, zones: tuple[ZonePart, ...], detail: bool) -> NDArray[np.uint8]:
    """Return the (n, 3) colours of the piece with its zones, over the detail or plain stone."""
    n = len(plan.stand.piece.vertices)
    tints = colours.detail_colours(detail_weight(plan) if detail else np.zeros(n))
    for zone in zones:
        # Where a line starts, passes and ends is marked on the line itself.
        if zone.kind not in TINTS:
            continue
        found = _covered(plan, zone)
        mixed = 0.3 * tints[found] + 0.7 * colours.rgb(TINTS[zone.kind])
        tints[found] = np.rint(mixed).astype(np.uint8)
    return tints


def zone_words(zones: Sequence[ZonePart]) -> str:
    """Return in a sentence what is painted, by how many touches."""
    kinds = {kind: sum(z.kind == kind for z in zones) for kind in BRUSHES}
    if not any(kinds.values()):
        return "Nothing is painted."
    said = [f"{kind}: {n} touch{'es' * (n > 1)}" for kind, n in kinds.items() if n]
    return "Painted " + ", ".join(said) + "."
