"""What there is to see: a plan (or a bare mesh) and a view, as a list of plain shapes.

One list serves the window, the sheet's pictures and the stills; nothing here knows how it is drawn.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import lru_cache

import numpy as np

from partline.faces import colours, shapes
from partline.faces.actor import Actor, reach_of, thick, turned_over
from partline.faces.air_caps import AirBody, air_bodies
from partline.faces.coins import Coin, standing_coin
from partline.faces.labels import Tag, in_sight, leaders, level_toward, screen_axes
from partline.faces.painting import tinted
from partline.faces.played_air import air_shown
from partline.faces.ready_words import brush_name, vent_name
from partline.faces.scene_cut import cut_shown
from partline.faces.scene_resin import filled
from partline.faces.scene_section import opened
from partline.faces.tipping import tip_turn
from partline.faces.view import PourName, View
from partline.faces.zone_tags import zone_tags
from partline.geometry.surface import Floats, Ints, Surface
from partline.job import ZonePart
from partline.plan import Plan

# Pockets beyond this many are drawn but not numbered in the picture; the table has them all.
NUMBERED = 9


def actors(
    plan: Plan, view: View, *, zones: tuple[ZonePart, ...] | None = None,
    lines: Mapping[int, Floats] | None = None, vent: tuple[int, Floats] | None = None,
    stale: bool = False,
) -> list[Actor]:  # fmt: skip
    """Return everything the view shows of a plan, far and see-through things last.

    Parameters
    ----------
    zones : tuple of ZonePart, optional
        Said since the plan was made; by default the plan's own.
    lines : mapping of int to (k, 3) float64, optional
        Lines of the cut that have been dragged elsewhere, by their number [mm].
    vent : tuple of (int, (3,) float64), optional
        A vent that is being moved and where its end is held, in the pose of the stand [mm].
    stale : bool
        The cut is of an earlier choice and is drawn faint.
    """
    shown: list[Actor] = []
    tags: list[Tag] = []
    zones = plan.job.zones if zones is None else zones
    if view.shows("piece"):
        shown.append(_piece(plan, view, zones))
    if view.shows("piece") and view.shows("detail") and view.shows("labels") and not view.moving:
        tags += zone_tags(plan, view, NUMBERED)
    if view.shows("foot block") and plan.stand.foot_block is not None:
        shown.append(_solid(plan, view.pour, "foot block", colours.FOOT))
    if view.shows("mouth"):
        _mouth(plan, view, shown, tags)
    if view.mouth is not None:
        spot = turned_over(np.array([view.mouth]), plan, view.pour)[0]
        mark = shapes.ball(spot, 3.5 * thick(plan))
        shown.append(Actor("other mouth", mark.vertices, mark.faces, colour=colours.MOUTH))
        tags.append(Tag("mouth here", spot, colours.MOUTH, True))
    if view.shows("cut"):
        found, named = cut_shown(plan, view, lines, zones, solid=0.3 if stale else 1.0)
        shown += found
        tags += named
    if view.shows("air"):
        _air(plan, view, shown, tags)
        if view.pour == "resin":
            _readied(plan, view, shown, tags, vent)
    # The pea sits on the wall, so it hangs in the air where no wall is shown.
    if view.shows("front") and view.shows("cup"):
        _front(plan, view, shown, tags)
    if view.shows("cup"):
        _cup(plan, view, shown)
    shown = opened(plan, view, filled(plan, view, shown))
    turn = tip_turn(plan, view)
    if turn is not None:
        shown = [replace(a, turn=turn) for a in shown]
        tags = [replace(t, place=turn[:3, :3] @ t.place + turn[:3, 3]) for t in tags]
    if view.shows("labels") and not view.moving:
        shown += tagged(tags, shown, view.eye)
    return shown


def ready_to_draw(plan: Plan, view: View) -> None:
    """Work out what pictures of a plan take longest for; kept, so that none keeps one waiting."""
    for seen in (
        view.poured("resin"), view.poured("rubber"), view.opened((0.0, 0.0)),
        view.switched("detail", True),
    ):  # fmt: skip
        actors(plan, seen)


def bare_actors(
    surface: Surface,
    *,
    marked: Sequence[tuple[str, Ints, str]] = (),
    view: View | None = None,
    coin: Coin | None = None,
) -> list[Actor]:
    """Return a mesh before there is a plan, with patches that were pointed at.

    Parameters
    ----------
    surface : Surface
        As it is going to stand.
    marked : sequence of (str, (k,) int32, str)
        Word, faces and colour of each patch.
    coin : Coin, optional
        Stood beside it for its size.
    """
    view = view or View()
    shown = [Actor("piece", surface.vertices, surface.faces, normals=surface.vertex_normals)]
    tags = []
    if coin is not None:
        round_ = standing_coin(coin, surface)
        shown.append(Actor("coin", round_.vertices, round_.faces, colour=colours.COIN))
        tags.append(Tag(coin.name, round_.bounds.mean(axis=0), colours.FRONT))
    for word, faces, colour in marked:
        patch = surface.faces[faces]
        lifted = surface.vertices + 0.002 * surface.extents.max() * surface.vertex_normals
        shown.append(Actor(f"picked {word}", lifted, patch, colour=colour))
        tags.append(Tag(word, surface.vertices[patch[0]].mean(axis=0), colour, True))
    if view.shows("labels"):
        shown += tagged(tags, shown, view.eye)
    return shown


@lru_cache(maxsize=12)
def _placed(plan: Plan, part: str, pour: PourName) -> Surface:
    """Return one part in the pose of a pour; kept, so that an unchanged part is not redrawn."""
    foot = plan.stand.foot_block
    if part == "foot block" and foot is not None:
        surface = foot.surface
    elif part == "cup":
        surface = shapes.container_wall(plan.container)
    elif part == "block":
        surface = shapes.block(plan.container)
    else:
        surface = plan.stand.piece
    if pour == "rubber":
        return surface
    over = np.diag([-1.0, 1.0, -1.0, 1.0])
    over[2, 3] = plan.container.fill_height_mm
    return surface.moved(over)


@lru_cache(maxsize=12)
def _bodies(
    plan: Plan, pour: PourName, tip: tuple[float, float] | None, step: int | None, most: int | None
) -> tuple[AirBody, ...]:
    stand = plan.stand
    cavity = stand.rubber_cavity if pour == "rubber" else stand.cavity
    air = air_shown(plan, View(pour=pour, tip=tip, step=step))
    # Lifted off the skin a hair on the seen side: out of the piece in either pour.
    hair = (-1 if pour == "rubber" else 1) * 0.004 * float(stand.piece.extents.max())
    bodies = []
    for body in air_bodies(cavity.surface, air, most=most, lift_mm=hair):
        bodies.append(AirBody(
            Surface(turned_over(body.ceiling.vertices, plan, pour), body.ceiling.faces),
            Surface(turned_over(body.lid.vertices, plan, pour), body.lid.faces),
        ))  # fmt: skip
    return tuple(bodies)


def _solid(plan: Plan, pour: PourName, part: str, colour: str) -> Actor:
    surface = _placed(plan, part, pour)
    return Actor(part, surface.vertices, surface.faces, colour=colour)


def piece_surface(plan: Plan, view: View) -> Surface:
    """Return the piece as it is drawn in a pour with nothing tipped: what a click lands on."""
    return _placed(plan, "piece", view.pour)


def _piece(plan: Plan, view: View, zones: tuple[ZonePart, ...]) -> Actor:
    surface = _placed(plan, "piece", view.pour)
    tints = tinted(plan, zones if view.shows("zones") else (), view.shows("detail"))
    # Air lies under and inside the piece: it is seen through it.
    glass = 0.45 if view.shows("air") else 1.0
    return Actor("piece", surface.vertices, surface.faces, colours=tints,
                 normals=surface.vertex_normals, opacity=glass)  # fmt: skip


def _mouth(plan: Plan, view: View, shown: list[Actor], tags: list[Tag]) -> None:
    foot = plan.stand.foot_block
    loops = plan.stand.footprint if foot is None else foot.bottom
    for k, loop in enumerate(loops):
        flat = np.column_stack([loop, np.zeros(len(loop))])
        ring = turned_over(shapes.closed_ring(flat), plan, view.pour)
        shown.append(Actor(f"mouth {k}", ring, line=True, colour=colours.MOUTH,
                           tube_mm=thick(plan)))  # fmt: skip
        if k == 0:
            right = screen_axes(view.eye)[0]
            tags.append(Tag("mouth", ring[int(np.argmax(ring @ right))], colours.MOUTH, True))


def _air(plan: Plan, view: View, shown: list[Actor], tags: list[Tag]) -> None:
    """Two actors for all pockets, or four where one is pointed out: quick to draw anew."""
    pockets = air_shown(plan, view).pockets
    dot = thick(plan)
    parts: dict[tuple[str, bool], list[Surface]] = {}
    # Under a moving hand the small ones are dots: a hundred shapes would lag behind it.
    bodies = _bodies(plan, view.pour, view.tip, view.step, NUMBERED if view.moving else None)
    for pocket in pockets[len(bodies) :]:
        apex = turned_over(pocket.apex[None], plan, view.pour)[0]
        parts.setdefault(("spots", False), []).append(shapes.ball(apex, 0.6 * dot, around=8))
    for k, body in enumerate(bodies):
        faint = view.selected is not None and view.selected != k
        parts.setdefault(("ceiling", faint), []).append(body.ceiling)
        parts.setdefault(("lid", faint), []).append(body.lid)
        if k < NUMBERED:
            apex = turned_over(pockets[k].apex[None], plan, view.pour)[0]
            tags.append(Tag(str(k + 1), apex, colours.AIR))
            # A bubble of a few mm3 would be lost at the size of a page.
            if not len(body.ceiling.faces) or body.ceiling.extents.max() < 4 * dot:
                parts.setdefault(("spots", faint), []).append(shapes.ball(apex, dot))
    for (part, faint), members in parts.items():
        whole = shapes.together(members)
        if len(whole.faces):
            shown.append(Actor(f"air {part}{' faint' * faint}", whole.vertices, whole.faces,
                               colour=colours.AIR, opacity=0.25 if faint else 1.0))  # fmt: skip


def _readied(
    plan: Plan, view: View, shown: list[Actor], tags: list[Tag], moved: tuple[int, Floats] | None
) -> None:
    """The resin's vents as rods out of the mouth face, its narrow ends as beads."""
    tube, found = thick(plan), plan.resin_pour.vents
    for k, vent in enumerate(found.vents if found is not None else ()):
        ends = np.vstack([vent.place, vent.exit])
        if moved is not None and moved[0] == k:
            # Until it is worked out it is drawn upright.
            ends = np.vstack([moved[1], moved[1] * (1.0, 1.0, 0.0)])
        rod = turned_over(ends, plan, view.pour)
        shown.append(Actor(f"air vent {k}", rod, line=True, colour=colours.VENT,
                           tube_mm=0.5 * vent.diameter_mm))  # fmt: skip
        tags.append(Tag(vent_name(k), rod[1], colours.VENT, True))
    for k, end in enumerate(plan.resin_pour.narrow_ends):
        tip = turned_over(end.tip[None], plan, view.pour)[0]
        bead = shapes.ball(tip, 1.3 * tube)
        shown.append(Actor(f"air brush {k}", bead.vertices, bead.faces, colour=colours.BRUSH))
        tags.append(Tag(brush_name(k), tip, colours.BRUSH))


def _front(plan: Plan, view: View, shown: list[Actor], tags: list[Tag]) -> None:
    """A pea on the wall, low down at the front: the dimple it leaves marks the rubber."""
    height = 0.12 * plan.container.fill_height_mm
    wall = shapes.outline_at(plan.container, height)
    middle = plan.container.centre_mm[0]
    near = wall[wall[:, 1] < plan.container.centre_mm[1]]
    place = near[int(np.argmin(np.abs(near[:, 0] - middle)))]
    place = turned_over(place[None], plan, view.pour)[0]
    pea = shapes.ball(place, 2.4 * thick(plan))
    shown.append(Actor("front pea", pea.vertices, pea.faces, colour=colours.FRONT))
    tags.append(Tag("front", place, colours.FRONT, True))


def _cup(plan: Plan, view: View, shown: list[Actor]) -> None:
    tube = 0.5 * thick(plan)
    part, colour = ("cup", colours.CUP) if view.pour == "rubber" else ("block", colours.RUBBER)
    cup = plan.container
    levels = {"floor": 0.0, "fill line": cup.fill_height_mm}
    if view.pour == "rubber":
        levels["rim"] = cup.height_mm
    for name, height in levels.items():
        ring = turned_over(shapes.closed_ring(shapes.outline_at(cup, height)), plan, view.pour)
        shown.append(Actor(f"{part} {name}", ring, line=True, colour=colour, tube_mm=tube))
    wall = replace(_solid(plan, view.pour, part, colour), opacity=0.13)
    shown.append(wall)


def tagged(
    tags: Sequence[Tag], shown: Sequence[Actor], eye: tuple[float, float, float]
) -> list[Actor]:
    """Return leader lines and words, set out beside what is shown so that none overlap."""
    if not tags or not shown:
        return []
    piece = [a for a in shown if a.name == "piece"] or shown
    depth = reach_of(piece, level_toward(eye)[None])[:, 0]
    seen = [t for t in tags if t.always or in_sight(t, depth, eye)]
    found = leaders(seen, reach_of(shown, np.array(screen_axes(eye))), eye)
    drawn = []
    for k, one in enumerate(found):
        ends = np.vstack([one.place, one.end])
        drawn.append(Actor(f"leader {k}", ends, line=True, colour=one.colour))
        drawn.append(Actor(f"words {k}", one.end[None], colour=one.colour, labels=(one.word,),
                           side=one.side))  # fmt: skip
    return drawn
