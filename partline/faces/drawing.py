"""Draw a scene's actors with pyvista, on an off-screen plotter or on the window's own."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pyvista as pv
from vtkmodules.vtkCommonDataModel import vtkPlane
from vtkmodules.vtkRenderingCore import vtkBillboardTextActor3D

from partline.faces import colours
from partline.faces.actor import Actor
from partline.faces.labels import screen_axes
from partline.geometry.surface import Floats

_MINE = "partline "


def draw(actors: Sequence[Actor], plotter: Any, *, text_px: int = 16) -> None:
    """Draw the actors; what was drawn before and is unchanged is left alone, the rest removed.

    Parameters
    ----------
    plotter : pyvista.Plotter or pyvistaqt.QtInteractor
    text_px : int
        Size of words [pixels].
    """
    drawn: dict[str, Actor] = getattr(plotter, "_partline_drawn", {})
    wanted = {a.name: a for a in actors}
    for name in [n for n in drawn if n not in wanted or not _same(drawn[n], wanted[n])]:
        for k in range(len(drawn[name].labels)):
            plotter.remove_actor(f"{_MINE}{name} word {k}", render=False)
        if not drawn[name].labels:
            plotter.remove_actor(_MINE + name, render=False)
        del drawn[name]
    for actor in actors:
        if actor.name not in drawn:
            _add(actor, plotter, text_px)
        elif actor.colours is not drawn[actor.name].colours:
            _recolour(actor, plotter)
        if not actor.labels and actor.turn is not getattr(drawn.get(actor.name), "turn", None):
            plotter.actors[_MINE + actor.name].user_matrix = (
                np.eye(4) if actor.turn is None else actor.turn
            )
        before = drawn.get(actor.name)
        if before is None or before.clip is not actor.clip or before.turn is not actor.turn:
            _clip(actor, plotter)
        if actor.line and actor.tube_mm == 0:
            plotter.actors[_MINE + actor.name].prop.color = _told_from(plotter, actor.colour)
        drawn[actor.name] = actor
    plotter._partline_drawn = drawn


def _told_from(plotter: Any, colour: str) -> tuple[float, ...]:
    """Return a line's colour as it is told from the ground: paler where that is dark."""
    plain = colours.rgb(colour) / 255.0
    dark = sum(plotter.renderer.GetBackground()) < 1.5
    return tuple(float(v) for v in (0.5 * (1.0 + plain) if dark else plain))


def _clip(actor: Actor, plotter: Any) -> None:
    """Leave out what lies beyond the actor's plane."""
    if actor.labels:
        return
    mapper = plotter.actors[_MINE + actor.name].mapper
    mapper.RemoveAllClippingPlanes()
    beyond = actor.clipped()
    if beyond is not None:
        plane = vtkPlane()
        plane.SetOrigin(*beyond[0])
        # The mapper keeps the side that the plane looks to.
        plane.SetNormal(*(-beyond[1]))
        mapper.AddClippingPlane(plane)


def _same(a: Actor, b: Actor) -> bool:
    if a is b:
        return True
    plain = ("line", "colour", "opacity", "tube_mm", "labels", "side")
    return (
        all(getattr(a, n) == getattr(b, n) for n in plain)
        and (a.colours is None) == (b.colours is None)
        and a.faces is b.faces
        and (a.vertices is b.vertices or np.array_equal(a.vertices, b.vertices))
    )


def _add(actor: Actor, plotter: Any, text_px: int) -> None:
    name = _MINE + actor.name
    if actor.labels:
        for k, (place, word) in enumerate(zip(actor.vertices, actor.labels, strict=True)):
            plotter.add_actor(_word(word, place, actor, text_px), name=f"{name} word {k}",
                              render=False, reset_camera=False, pickable=False)  # fmt: skip
        return
    shared = {"name": name, "opacity": actor.opacity, "render": False, "reset_camera": False}
    if actor.line and actor.tube_mm == 0:
        thin = plotter.add_mesh(pv.lines_from_points(actor.vertices), color=actor.colour,
                                line_width=3, lighting=False, **shared)  # fmt: skip
        # A leader is read over whatever lies before it.
        thin.mapper.SetResolveCoincidentTopologyToPolygonOffset()
        thin.mapper.SetRelativeCoincidentTopologyLineOffsetParameters(0.0, -60000.0)
        return
    if actor.line:
        tube = pv.lines_from_points(actor.vertices).tube(radius=actor.tube_mm, n_sides=12)
        plotter.add_mesh(tube, color=actor.colour, ambient=0.45, diffuse=0.6, **shared)
        return
    _add_faces(actor, plotter, shared)


def _recolour(actor: Actor, plotter: Any) -> None:
    """Write new colours over the old ones in place."""
    mesh = plotter.actors[_MINE + actor.name].mapper.dataset
    mesh.point_data["colour"][:] = actor.colours
    mesh.GetPointData().GetScalars().Modified()


def _word(word: str, place: Floats, actor: Actor, text_px: int) -> Any:
    """Return a word that always faces the eye, in a plate of the actor's colour."""
    text = vtkBillboardTextActor3D()
    text.SetInput(f" {word} ")
    text.SetPosition(*place)
    look = text.GetTextProperty()
    look.SetFontFamilyToArial()
    look.SetFontSize(text_px)
    look.BoldOn()
    look.SetColor(1.0, 1.0, 1.0)
    look.SetBackgroundColor(*(colours.rgb(actor.colour) / 255.0))
    look.SetBackgroundOpacity(1.0)
    look.SetVerticalJustificationToCentered()
    if actor.side == "left":
        look.SetJustificationToRight()
    else:
        look.SetJustificationToLeft()
    return text


def _add_faces(actor: Actor, plotter: Any, shared: dict[str, Any]) -> None:
    mesh = pv.PolyData.from_regular_faces(actor.vertices, actor.faces)
    paint: dict[str, Any] = {"color": actor.colour}
    if actor.colours is not None:
        # Its own copy: colours are written over in place later, and the scene keeps its arrays.
        mesh.point_data["colour"] = actor.colours.copy()
        paint = {"scalars": "colour", "rgb": True}
    if actor.normals is not None:
        mesh.point_data.active_normals = actor.normals
    if actor.flat:
        plotter.add_mesh(mesh, lighting=False, **paint, **shared)
        return
    drawn = plotter.add_mesh(mesh, ambient=0.35, diffuse=0.7, specular=0.04, **paint, **shared)
    # With the normals given here nothing is computed again for each picture.
    drawn.prop.interpolation = "flat" if actor.normals is None else "phong"


def frame(
    actors: Sequence[Actor], axes: tuple[Floats, Floats, Floats], *, margin: float = 1.0
) -> tuple[Floats, Floats]:
    """Return the middle and the half width and height [mm] that all the actors and words take.

    Parameters
    ----------
    axes : tuple of (3,) float64
        To the right, up and toward the eye, as `screen_axes` gives them.
    margin : float
        Room kept round them.

    Returns
    -------
    middle : (3,) float64
        Along the three axes [mm].
    half : (2,) float64
    """
    points = np.vstack([a.placed() for a in actors]) @ np.column_stack(axes)
    low, high = points.min(axis=0), points.max(axis=0)
    wide, tall, _ = high - low
    # Words run outward from their points by a few rows of text.
    words = max((len(w) for a in actors for w in a.labels), default=0)
    middle = np.array([*((low + high) / 2)[:2], points[:, 2].mean()])
    half = 0.5 * np.array([wide * margin + 0.016 * (words + 2) * 2 * tall, tall * margin])
    return middle, half


def aim(
    plotter: Any, actors: Sequence[Actor], eye: tuple[float, float, float], *, aspect: float,
    margin: float = 1.06,
) -> None:  # fmt: skip
    """Point a parallel camera so that all the actors just fit.

    Parameters
    ----------
    eye : tuple of float
        From the piece toward the eye.
    aspect : float
        Width of the picture over its height.
    margin : float
        Room kept round them.
    """
    axes = screen_axes(eye)
    middle, (wide, tall) = frame(actors, axes, margin=margin)
    focus = middle @ np.array(axes)
    depth = np.ptp(np.vstack([a.placed() for a in actors]) @ axes[2])
    far = 2 * (depth + 2 * wide + 2 * tall) + 1.0
    camera = plotter.camera
    camera.SetParallelProjection(True)
    camera.SetFocalPoint(*focus)
    camera.SetPosition(*(focus + far * axes[2]))
    camera.SetViewUp(*axes[1])
    camera.SetParallelScale(max(tall, wide / aspect, 1e-6))
    plotter.renderer.ResetCameraClippingRange()


def paper(plotter: Any, *, dark: bool = False) -> None:
    """Set the ground the scene is drawn on."""
    plotter.set_background(colours.DARK if dark else colours.PAPER)
