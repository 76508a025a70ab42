"""The numbers of the zones of detail in a picture: each at skin of its zone that the eye sees."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from partline.faces import colours
from partline.faces.actor import turned_over
from partline.faces.added_sides import Eye, added_sides
from partline.faces.labels import Tag, screen_axes
from partline.faces.tipping import SHOWN, tip_turn
from partline.faces.view import View
from partline.geometry.rays import Rays
from partline.geometry.surface import Floats
from partline.plan import Plan

# Skin faces the eye by so much [cosine]; so many points of a zone are kept, and tried at one eye.
_FACING = 0.1
_POINTS, _TRIED = 2000, 60
# A ray starts so far above the skin, as a share of the piece's size.
_LIFT = 1e-3


def zone_tags(plan: Plan, view: View, most: int) -> list[Tag]:
    """Return the numbers of the largest zones, as in the sheet's table.

    A number points at the livelier half of its zone, as near to its middle as the eye sees it; a
    zone of which the eye sees nothing has none.

    Parameters
    ----------
    most : int
        How many zones have a number.
    """
    toward = _in_the_plan(plan, view, screen_axes(view.eye)[2])
    rays, skins = _skins(plan, most)
    found = []
    for number, (points, normals) in enumerate(skins, 1):
        facing = np.flatnonzero(normals @ toward > _FACING)
        tried = facing[:: len(facing) // _TRIED + 1]
        if not len(tried):
            continue
        from_ = points[tried] + _LIFT * rays.size * normals[tried]
        free = np.isinf(rays.first(from_, toward)[0])
        if free.any():
            place = turned_over(points[tried[[int(np.argmax(free))]]], plan, view.pour)[0]
            found.append(Tag(_word(number), place, colours.DETAIL_END, True))
    return found


def sides_of_zones(plan: Plan, view: View, sides: Sequence[Eye], most: int) -> list[Eye]:
    """Return the sides that show numbered zones of which some sides show nothing.

    Parameters
    ----------
    sides : sequence of (3,) tuple
        The eyes that are there already.
    most : int
        How many zones have a number.
    """

    def seen(eye: Eye) -> set[str]:
        return {tag.word for tag in zone_tags(plan, view.seen_from(eye), most)}

    every = {_word(number) for number, _ in enumerate(plan.detail.zones[:most], 1)}
    return added_sides(every.difference(*map(seen, sides)), seen)


def _word(number: int) -> str:
    return f"D{number}"


@lru_cache(maxsize=1)
def _skins(plan: Plan, most: int) -> tuple[Rays, tuple[tuple[Floats, Floats], ...]]:
    """Return what rays are cast with, and each zone's points and normals.

    The livelier half of the points comes first, each half from the middle of the zone outward.

    The tree is its own: that of the piece is let go of with what else is known of a large one.
    """
    piece = plan.stand.piece
    skins = []
    for zone in plan.detail.zones[:most]:
        away = ((piece.vertices[zone.vertices] - zone.centre_mm) ** 2).sum(axis=1)
        weight = plan.detail.weight[zone.vertices]
        order = np.lexsort((away, weight < np.median(weight)))[:: len(away) // _POINTS + 1]
        chosen = zone.vertices[order]
        skins.append((piece.vertices[chosen], piece.vertex_normals[chosen]))
    return Rays(piece), tuple(skins)


def _in_the_plan(plan: Plan, view: View, way: Floats) -> Floats:
    """Return a (3,) direction of the picture in the pose of the stand."""
    turn = tip_turn(plan, view)
    return np.asarray((way if turn is None else turn[:3, :3].T @ way) * SHOWN[view.pour])
