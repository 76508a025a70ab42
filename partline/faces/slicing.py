"""The block cut open along an upright plane: what the knife would show on either side of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from manifold3d import CrossSection, FillRule, triangulate

from partline.faces import shapes
from partline.faces.tipping import SHOWN
from partline.faces.view import Eye, PourName, View
from partline.geometry.plane_section import plane_section
from partline.geometry.surface import Floats, Surface
from partline.plan import Plan

# A picture of the block is some 700 dots high: less than half of one is not told.
_TOLD = 6e-4


@dataclass(frozen=True, eq=False)
class Plane:
    """An upright plane in the pose that is shown, nothing tipped.

    Attributes
    ----------
    origin : (3,) float64
        [mm]
    normal : (3,) float64
        Toward the half that is taken away, unit length.
    """

    origin: Floats
    normal: Floats


def side_toward(eye: Eye) -> float:
    """Return the side of the block that looks at an eye, from the front toward the right [deg]."""
    return 5.0 * round(float(np.degrees(np.arctan2(eye[0], -eye[1]))) / 5.0)


def plane_of(plan: Plan, view: View) -> Plane | None:
    """Return the plane of a view's section; None where nothing is cut open."""
    if view.section is None:
        return None
    turn, share = view.section
    angle = np.radians(turn)
    normal = np.array([np.sin(angle), -np.cos(angle), 0.0])
    cup = plan.container
    middle = np.array([cup.centre_mm[0] * SHOWN[view.pour][0], cup.centre_mm[1], 0.0])
    ring = shapes.outline_at(cup, cup.fill_height_mm)
    reach = float(np.abs((ring - ring.mean(axis=0)) @ normal).max())
    return Plane(middle + share * reach * normal, normal)


def caps(plan: Plan, view: View) -> dict[str, Surface]:
    """Return the flat faces that a section lays open, by what they are of, in the stand's pose.

    "rubber", "piece" (in the resin pour what becomes the casting) and "foot block"; exact for the
    meshes, but as long as the section is moved only to what an eye can tell in the picture. None
    where nothing is cut open.
    """
    plane = plane_of(plan, view)
    if plane is None:
        return {}
    origin, normal = _on_stand(plane.origin, plan, view.pour), plane.normal * SHOWN[view.pour]
    axes = np.vstack([np.cross([0.0, 0.0, 1.0], normal), [0.0, 0.0, 1.0], normal])
    level, stand = float(origin @ normal), plan.stand
    block = _shape(shapes.block(plan.container), axes, level)
    wet, piece = (_shape(s, axes, level) for s in (stand.cavity.surface, stand.piece))
    found = {"rubber": block - wet, "piece": piece}
    if stand.foot_block is not None:
        found["foot block"] = wet - piece
    if view.moving:
        # To fill an outline takes most of the time, and hangs on how many corners it has.
        least = _TOLD * plan.container.fill_height_mm
        found = {name: shape.simplify(least) for name, shape in found.items()}
    return {name: _filled(shape, axes, level) for name, shape in found.items()}


def laid_open(surface: Surface, up: Floats, level_mm: float) -> Surface:
    """Return the flat face that a plane square to `up` (unit length) lays open in a solid.

    Parameters
    ----------
    level_mm : float
        Where along `up` from the origin [mm].
    """
    right = np.cross(up, np.eye(3)[int(np.argmin(np.abs(up)))])
    right = right / np.linalg.norm(right)
    axes = np.vstack([right, np.cross(up, right), up])
    return _filled(_shape(surface, axes, level_mm), axes, level_mm)


def _on_stand(place: Floats, plan: Plan, pour: PourName) -> Floats:
    if pour == "rubber":
        return place
    return (place - np.array([0.0, 0.0, plan.container.fill_height_mm])) * SHOWN["resin"]


def _shape(surface: Surface, axes: Floats, level_mm: float) -> CrossSection:
    """Return what a plane cuts of a solid; where its skin overlaps itself it is solid once."""
    return CrossSection(plane_section(surface, axes, level_mm), FillRule.Positive)


def _filled(shape: CrossSection, axes: Floats, level_mm: float) -> Surface:
    """Return a plane shape as triangles in space."""
    outlines = [np.asarray(loop, dtype=np.float64) for loop in shape.to_polygons()]
    if not outlines:
        return Surface(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int32))
    flat = np.vstack(outlines)
    corners = np.asarray(triangulate(outlines), dtype=np.int32).reshape(-1, 3)
    return Surface(flat @ axes[:2] + level_mm * axes[2], corners)


def section_words(view: View) -> str:
    """Return in a sentence where the block is cut open; "" where it is not."""
    if view.section is None:
        return ""
    turn, share = view.section
    sides = ("its front", "its front and right", "its right", "its back and right", "its back",
             "its back and left", "its left", "its front and left")  # fmt: skip
    where = sides[round(turn / 45.0) % 8]
    much = "the half" if abs(share) < 0.02 else "less than half" if share > 0 else "more than half"
    return f"Cut open upright: {much} at {where} is taken away."
