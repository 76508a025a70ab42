"""Resin in the mould: what is full, its flat top, and the rest of the cavity as glass."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from partline.faces import colours
from partline.faces.actor import Actor, turned_over
from partline.faces.resin_level import level_plane, resin_lid
from partline.faces.view import View
from partline.geometry.surface import Surface
from partline.plan import Plan

# A cavity fuller than this is full: its top is the mouth face.
_FULL = 0.999


@lru_cache(maxsize=2)
def _wet(plan: Plan) -> Surface:
    """Return the cavity, mouth up; kept, so that it is not made anew for each picture."""
    surface = plan.stand.cavity.surface
    return Surface(turned_over(surface.vertices, plan, "resin"), surface.faces)


def filled(plan: Plan, view: View, shown: list[Actor]) -> list[Actor]:
    """Return a scene with the cavity filled as far as the view says."""
    if view.filled is None:
        return shown
    # Air is seen through what holds it.
    solid = 0.5 if view.shows("air") else 0.95
    glass = [replace(a, opacity=0.12) if a.name in ("piece", "foot block") else a for a in shown]
    if view.filled <= 0.0:
        return glass
    wet = _wet(plan)
    resin = Actor("resin", wet.vertices, wet.faces, colour=colours.RESIN, opacity=solid,
                  normals=wet.vertex_normals)  # fmt: skip
    if view.filled >= _FULL:
        return [*glass, resin]
    top = level_plane(plan, view, view.filled)
    lid = resin_lid(plan, view, view.filled)
    return [
        *glass,
        replace(resin, clip=(top.origin, top.normal)),
        Actor("resin top", turned_over(lid.vertices, plan, view.pour), lid.faces,
              colour=colours.RESIN_TOP, flat=True, opacity=solid),
    ]  # fmt: skip
