"""The block cut open, as drawn: what is clipped, the faces laid open, and the blade's way."""

from __future__ import annotations

from dataclasses import replace

from partline.faces import colours
from partline.faces.actor import Actor, turned_over
from partline.faces.slicing import caps, plane_of
from partline.faces.view import View
from partline.geometry.surface import Surface
from partline.plan import Plan

_TINTS = {"rubber": colours.RUBBER, "piece": colours.STONE, "foot block": colours.FOOT}
# Air, words and the cut's own line are shown whole: they are what the section is opened for.
_CLIPPED = ("piece", "foot block", "cup", "block", "mouth")


def opened(plan: Plan, view: View, shown: list[Actor]) -> list[Actor]:
    """Return a scene with the block cut open along the plane of the view."""
    plane = plane_of(plan, view)
    if plane is None:
        return shown
    clip = (plane.origin, plane.normal)
    found = [replace(a, clip=clip, opacity=1.0 if a.name == "piece" else a.opacity)
             if a.name.startswith(_CLIPPED) else a for a in shown]  # fmt: skip
    for name, surface in caps(plan, view).items():
        if len(surface.faces):
            points = turned_over(surface.vertices, plan, view.pour)
            found.append(Actor(f"cap {name}", points, surface.faces, colour=_TINTS[name],
                               flat=True))  # fmt: skip
    if view.shows("cut") and plan.card is not None:
        for cut in plan.card.cuts:
            blade: Surface = cut.surface
            points = turned_over(blade.vertices, plan, view.pour)
            found.append(Actor(f"blade {cut.number}", points, blade.faces, colour=colours.CUT,
                               opacity=0.55))  # fmt: skip
    return found
