"""The parts of the scene to share: plain triangles, packed small enough to send."""

from __future__ import annotations

import base64
import zlib
from dataclasses import dataclass
from typing import Any

import fast_simplification
import numpy as np
from numpy.typing import NDArray

from partline.faces import colours, scene
from partline.faces.light_plan import light_plan
from partline.faces.painting import detail_weight
from partline.faces.view import PourName, View
from partline.geometry.surface import Floats, Ints
from partline.plan import Plan

MOST_FACES = 260_000
_SIDES = 7


@dataclass(frozen=True, eq=False)
class Part:
    """One thing that can be shown or hidden.

    Attributes
    ----------
    group : str
        "piece", "foot block", "cup", "block", "mouth", "cut", "air" or "front".
    pours : str
        "both", or the pour it belongs to: "rubber" or "resin".
    colour : str
        "#rrggbb".
    opacity : float
    vertices : (n, 3) float64
        As it stands in the rubber pour [mm].
    faces : (m, 3) int32
    weights : (n,) uint8 or None
        Detail, 0 to 255.
    """

    group: str
    pours: str
    colour: str
    opacity: float
    vertices: Floats
    faces: Ints
    weights: NDArray[np.uint8] | None = None


def parts(plan: Plan) -> tuple[Part, ...]:
    """Return what a plan shows in both pours, all of it in the pose of the rubber pour."""
    plan = light_plan(plan)
    found = [_piece(plan)]
    everything = View().switched("air", True).switched("cut", True).switched("labels", False)
    pours: tuple[PourName, ...] = ("rubber", "resin")
    for pour in pours:
        for actor in scene.actors(plan, everything.poured(pour)):
            group = _group(actor.name)
            common = group not in ("air", "cup", "block")
            if group == "piece" or (common and pour == "resin"):
                continue
            vertices, faces = actor.vertices, actor.faces
            if actor.line:
                vertices, faces = tube(vertices, max(actor.tube_mm, 0.1))
            # Turning over twice brings it back.
            vertices = scene.turned_over(vertices, plan, pour)
            found.append(Part(group, "both" if common else pour, actor.colour,
                              actor.opacity, vertices, faces))  # fmt: skip
    return tuple(found)


def _group(name: str) -> str:
    for group in ("foot block", "piece", "mouth", "air", "front", "cup", "block"):
        if name.startswith(group):
            return group
    return "cut"


def _piece(plan: Plan) -> Part:
    piece = plan.stand.piece
    vertices, faces = piece.vertices, piece.faces
    weight = np.clip(detail_weight(plan), 0, 1)
    if len(faces) > MOST_FACES:
        from scipy.spatial import cKDTree

        thin, kept = fast_simplification.simplify(
            vertices.astype(np.float32), faces.astype(np.int32),
            target_reduction=1 - MOST_FACES / len(faces),
        )  # fmt: skip
        _, nearest = cKDTree(vertices).query(thin)
        vertices, faces = thin.astype(np.float64), kept.astype(np.int32)
        weight = weight[nearest]
    shade = np.rint(255 * np.sqrt(weight)).astype(np.uint8)
    return Part("piece", "both", colours.STONE, 1.0, vertices, faces, shade)


def tube(points: Floats, radius_mm: float) -> tuple[Floats, Ints]:
    """Return a line of (k, 3) points as a closed tube: vertices and faces [mm]."""
    p = np.asarray(points, dtype=np.float64)
    keep = np.concatenate([[True], np.linalg.norm(np.diff(p, axis=0), axis=1) > 1e-9])
    p = p[keep]
    if len(p) < 2:
        return np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int32)
    ahead = np.gradient(p, axis=0)
    ahead /= np.maximum(np.linalg.norm(ahead, axis=1, keepdims=True), 1e-12)
    # Any direction across will do, carried along so that the tube does not twist.
    across = np.zeros_like(p)
    start = np.eye(3)[np.argmin(np.abs(ahead[0]))]
    for row, along in enumerate(ahead):
        start = start - (start @ along) * along
        start = start / max(float(np.linalg.norm(start)), 1e-12)
        across[row] = start
    other = np.cross(ahead, across)
    turn = 2 * np.pi * np.arange(_SIDES) / _SIDES
    rings = (
        p[:, None]
        + radius_mm * np.cos(turn)[None, :, None] * across[:, None]
        + radius_mm * np.sin(turn)[None, :, None] * other[:, None]
    )
    k, here = np.arange(len(p) - 1)[:, None] * _SIDES, np.arange(_SIDES)[None]
    a, b = (k + here).ravel(), (k + (here + 1) % _SIDES).ravel()
    faces = np.vstack([np.column_stack([a, b, b + _SIDES]),
                       np.column_stack([a, b + _SIDES, a + _SIDES])])  # fmt: skip
    return rings.reshape(-1, 3), faces.astype(np.int32)


def packed(found: tuple[Part, ...]) -> tuple[list[dict[str, Any]], dict[str, Any], str]:
    """Return the list of parts, the box they lie in, and their numbers packed as base64.

    Places become 16-bit steps of the common box (0.004 mm on 250 mm), faces differences between
    vertex numbers, all of it one zlib stream that a browser unpacks by itself.
    """
    every = np.vstack([p.vertices for p in found])
    low = every.min(axis=0)
    size = float(max(np.ptp(every, axis=0).max(), 1e-9))
    listed, numbers = [], bytearray()
    for part in found:
        step = np.rint((part.vertices - low) / size * 65535).astype(np.uint16)
        order, faces = _ordered(step, part.faces)
        step = step[order]
        listed.append({
            "group": part.group, "pours": part.pours, "colour": part.colour,
            "opacity": part.opacity, "vertices": len(step), "faces": len(faces),
            "weights": part.weights is not None, "at": len(numbers),
        })  # fmt: skip
        moves = np.diff(faces.ravel().astype(np.int64), prepend=0)
        # Differences go to unsigned numbers so that small ones of either sign stay small.
        zigzag = np.where(moves >= 0, 2 * moves, -2 * moves - 1).astype("<u4")
        along = np.diff(step.astype(np.int32), axis=0, prepend=0).astype("<u2").T
        # Low bytes together and high bytes together: nearly all high bytes are nought.
        numbers += along.copy().view(np.uint8).reshape(-1, 2).T.tobytes()
        numbers += zigzag.view(np.uint8).reshape(-1, 4).T.tobytes()
        if part.weights is not None:
            numbers += part.weights[order].tobytes()
    box = {"low": [round(float(v), 4) for v in low], "size": size}
    return listed, box, base64.b64encode(zlib.compress(bytes(numbers), 6)).decode("ascii")


def _ordered(step: NDArray[np.uint16], faces: Ints) -> tuple[Ints, Ints]:
    """Return an order of the vertices along a space-filling curve, and the faces in it."""
    code = np.zeros(len(step), dtype=np.int64)
    for bit in range(10):
        for axis in range(3):
            code |= ((step[:, axis].astype(np.int64) >> (6 + bit)) & 1) << (3 * bit + axis)
    order = np.argsort(code, kind="stable")
    rank = np.empty(len(order), dtype=np.int32)
    rank[order] = np.arange(len(order), dtype=np.int32)
    moved = rank[faces]
    # The lowest vertex of a face first, its winding kept; then the faces by that vertex.
    first = np.argmin(moved, axis=1)
    rows = np.arange(len(moved))[:, None]
    moved = moved[rows, (first[:, None] + np.arange(3)) % 3]
    return order.astype(np.int32), moved[np.argsort(moved[:, 0], kind="stable")]
