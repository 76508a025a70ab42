"""Draw a scene's actors with pyvista, on an off-screen plotter or on the window's own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import pyvista as pv
from numpy.typing import NDArray
from vtkmodules.vtkCommonDataModel import vtkPlane
from vtkmodules.vtkRenderingCore import vtkBillboardTextActor3D

from partline.faces import colours
from partline.faces.actor import Actor
from partline.faces.framing import Look

if TYPE_CHECKING:
    from partline.geometry.surface import Floats

_MINE = "partline "
# So much of the way to white is a line told from a dark ground and its colour from others.
_PALER = 0.35


@dataclass(frozen=True)
class _Drawn:
    """An actor as it was drawn last, and what stands for it in the picture: one thing, or words."""

    actor: Actor
    props: list[Any]


def draw(actors: Sequence[Actor], plotter: Any, *, text_px: int = 16) -> None:
    """Draw the actors; what was drawn before is changed where it differs, the rest removed.

    To take a thing out of the picture and put another in costs more than to give it other points.

    Parameters
    ----------
    plotter : pyvista.Plotter or pyvistaqt.QtInteractor
    text_px : int
        Size of words [pixels].
    """
    drawn: dict[str, _Drawn] = getattr(plotter, "_partline_drawn", {})
    looks = {a.name: _look(a) for a in actors}
    for name in [n for n, old in drawn.items() if looks.get(n) != _look(old.actor)]:
        for prop in drawn.pop(name).props:
            plotter.remove_actor(prop, render=False)
    for actor in actors:
        old = drawn.get(actor.name)
        props = _add(actor, plotter, text_px) if old is None else old.props
        if old is not None:
            _renew(old, actor)
        if not actor.labels:
            _place(actor, None if old is None else old.actor, props[0])
        if actor.line and actor.tube_mm == 0:
            props[0].prop.color = _told_from(plotter, actor.colour)
        drawn[actor.name] = _Drawn(actor, props)
    plotter._partline_drawn = drawn


def _look(actor: Actor) -> tuple[Any, ...]:
    """Return what is settled for good when a thing is put into the picture."""
    if actor.labels:
        return (len(actor.labels),)
    if actor.line and actor.tube_mm == 0:
        return ("thin line",)
    return (actor.line, actor.colour, actor.opacity, actor.tube_mm, actor.flat,
            actor.colours is None, actor.normals is None)  # fmt: skip


def _renew(old: _Drawn, actor: Actor) -> None:
    """Give what is drawn the actor's points, colours and words, where they are others."""
    before = old.actor
    if actor.labels:
        for prop, place, word in zip(old.props, actor.vertices, actor.labels, strict=True):
            _word(prop, word, place, actor)
        return
    mapper = old.props[0].mapper
    if not (_same(actor.faces, before.faces) and _same(actor.vertices, before.vertices)):
        if actor.line and actor.tube_mm == 0 and len(actor.vertices) == len(before.vertices):
            # A dozen leaders at once: only their ends are others.
            mapper.dataset.points = actor.vertices
        else:
            mapper.dataset = _mesh(actor)
    elif actor.colours is not before.colours:
        mapper.dataset.point_data["colour"][:] = actor.colours
        mapper.dataset.GetPointData().GetScalars().Modified()


def _same(one: NDArray[Any], other: NDArray[Any]) -> bool:
    return one is other or np.array_equal(one, other)


def _place(actor: Actor, before: Actor | None, prop: Any) -> None:
    """Turn what is drawn, and leave out what lies beyond the actor's plane."""
    if before is not None and before.turn is actor.turn and before.clip is actor.clip:
        return
    prop.user_matrix = np.eye(4) if actor.turn is None else actor.turn
    prop.mapper.RemoveAllClippingPlanes()
    beyond = actor.clipped()
    if beyond is not None:
        plane = vtkPlane()
        plane.SetOrigin(*beyond[0])
        # The mapper keeps the side that the plane looks to.
        plane.SetNormal(*(-beyond[1]))
        prop.mapper.AddClippingPlane(plane)


def _told_from(plotter: Any, colour: str) -> tuple[float, ...]:
    """Return a line's colour as it is told from the ground: paler where that is dark."""
    plain = colours.rgb(colour) / 255.0
    dark = sum(plotter.renderer.GetBackground()) < 1.5
    return tuple(float(v) for v in (plain + _PALER * (1.0 - plain) if dark else plain))


def _add(actor: Actor, plotter: Any, text_px: int) -> list[Any]:
    """Put an actor into the picture and return what stands for it there."""
    name = _MINE + actor.name
    if actor.labels:
        return [
            plotter.add_actor(_plate(word, place, actor, text_px), name=f"{name} word {k}",
                              render=False, reset_camera=False, pickable=False)[0]
            for k, (place, word) in enumerate(zip(actor.vertices, actor.labels, strict=True))
        ]  # fmt: skip
    shared = {"name": name, "opacity": actor.opacity, "render": False, "reset_camera": False}
    mesh = _mesh(actor)
    if actor.line and actor.tube_mm == 0:
        thin = plotter.add_mesh(mesh, color=actor.colour, line_width=3, lighting=False, **shared)
        # A leader is read over whatever lies before it.
        thin.mapper.SetResolveCoincidentTopologyToPolygonOffset()
        thin.mapper.SetRelativeCoincidentTopologyLineOffsetParameters(0.0, -60000.0)
        return [thin]
    if actor.line:
        return [plotter.add_mesh(mesh, color=actor.colour, ambient=0.45, diffuse=0.6, **shared)]
    paint: dict[str, Any] = {"color": actor.colour}
    if actor.colours is not None:
        paint = {"scalars": "colour", "rgb": True}
    if actor.flat:
        return [plotter.add_mesh(mesh, lighting=False, **paint, **shared)]
    drawn = plotter.add_mesh(mesh, ambient=0.35, diffuse=0.7, specular=0.04, **paint, **shared)
    # With the normals given here nothing is computed again for each picture.
    drawn.prop.interpolation = "flat" if actor.normals is None else "phong"
    return [drawn]


def _mesh(actor: Actor) -> pv.PolyData:
    """Return the points, lines or triangles of an actor as the toolkit holds them."""
    if actor.line:
        thread = pv.lines_from_points(actor.vertices)
        return thread.tube(radius=actor.tube_mm, n_sides=12) if actor.tube_mm else thread
    mesh = pv.PolyData.from_regular_faces(actor.vertices, actor.faces)
    if actor.colours is not None:
        # Its own copy: colours are written over in place later, and the scene keeps its arrays.
        mesh.point_data["colour"] = actor.colours.copy()
    if actor.normals is not None:
        mesh.point_data.active_normals = actor.normals
    return mesh


def _plate(word: str, place: Floats, actor: Actor, text_px: int) -> Any:
    """Return a word that always faces the eye, in a plate of the actor's colour."""
    text = vtkBillboardTextActor3D()
    look = text.GetTextProperty()
    look.SetFontFamilyToArial()
    look.SetFontSize(text_px)
    look.BoldOn()
    look.SetColor(1.0, 1.0, 1.0)
    look.SetBackgroundOpacity(1.0)
    look.SetVerticalJustificationToCentered()
    _word(text, word, place, actor)
    return text


def _word(text: Any, word: str, place: Floats, actor: Actor) -> None:
    text.SetInput(f" {word} ")
    text.SetPosition(*place)
    look = text.GetTextProperty()
    look.SetBackgroundColor(*(colours.rgb(actor.colour) / 255.0))
    if actor.side == "left":
        look.SetJustificationToRight()
    else:
        look.SetJustificationToLeft()


def aim(plotter: Any, look: Look) -> None:
    """Point a parallel camera."""
    camera = plotter.camera
    camera.SetParallelProjection(True)
    camera.SetFocalPoint(*look.focus)
    camera.SetPosition(*look.position)
    camera.SetViewUp(*look.up)
    camera.SetParallelScale(look.half_mm)
    plotter.renderer.ResetCameraClippingRange()


def see_outsides_only(plotter: Any) -> None:
    """Leave out of a picture the back of every solid form: it is hidden, and half of the work."""
    for one in plotter._partline_drawn.values():
        if one.actor.normals is not None and one.actor.opacity == 1.0 and one.actor.clip is None:
            one.props[0].prop.culling = "back"


def paper(plotter: Any, *, dark: bool = False) -> None:
    """Set the ground the scene is drawn on."""
    plotter.set_background(colours.DARK if dark else colours.PAPER)
