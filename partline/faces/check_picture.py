"""The picture of a scan looked over: both sides of its skin, its rims, its faults by number.

A number stands where an eye sees its place, a hole's at its rim. Where neither the front nor the
back shows one, other sides are added that show most of them; what no side shows is said so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from partline.faces import colours, shapes
from partline.faces.actor import Actor
from partline.faces.added_sides import Eye, added_sides, side_words
from partline.faces.checking import Check
from partline.faces.labels import Tag, screen_axes
from partline.faces.picture import Panel, rendered
from partline.faces.scene import tagged
from partline.geometry.rays import Rays
from partline.geometry.surface import Floats, Surface
from partline.scan.draft import Draft
from partline.scan.fault_words import MOST_HOLES
from partline.scan.holes import rims
from partline.scan.orienting import turning

FRONT, BACK = (0.3, -1.0, 0.35), (-0.3, 1.0, -0.35)
# Radius of a dot and of a rim as shares of the piece's largest extent; points tried of a rim, and
# of the skin for a side that shows its inside.
_DOT, _RIM = 0.009, 0.0035
_LIFT = 1e-4  # a ray from the skin starts so far above it, the same
_TRIED, _SAMPLES = 48, 4000
_RINGED, _RIMS = "; in a ring: seen from no side", "; red: rims of holes"
# A patch is worth a word from this share of the skin on.
_WORTH = 0.01


@dataclass(frozen=True, eq=False)
class _Spot:
    """A numbered place and the (k, 3) points at which it may be pointed out."""

    word: str
    place: Floats
    points: Floats


@dataclass(frozen=True, eq=False)
class _Scene:
    """What all sides of the picture show."""

    surface: Surface
    made_up: NDArray[np.bool_]
    lone: tuple[Floats, Floats]
    spots: tuple[_Spot, ...]
    rays: Rays

    @property
    def size(self) -> float:
        """Largest extent."""
        return float(self.surface.extents.max())


def check_picture(made: Check, *, scale: float = 1.0) -> bytes:
    """Return a PNG of the scan from the front and the back, its faults numbered as in the words.

    Parameters
    ----------
    made : Check
    scale : float
        1 is 900 x 1000 pixels a panel.

    Raises
    ------
    MissingExtra
        If this computer cannot draw.
    """
    return rendered({"check": check_panels(made)}, scale=scale)["check"]


def check_panels(made: Check) -> tuple[Panel, ...]:
    """Return the sides of the picture: two, and those it takes to show what they hide."""
    scene = _scene(made)
    eyes: list[tuple[Eye, str]] = [(FRONT, "front"), (BACK, "back, from below")]
    seen = [_seen(scene, eye) for eye, _ in eyes]
    hidden = set(range(len(scene.spots))).difference(*seen)
    for eye in added_sides(hidden, partial(_seen, scene)):
        eyes.append((eye, side_words(eye)))
        seen.append(_seen(scene, eye))
    hidden = set(range(len(scene.spots))).difference(*seen)
    eyes[0] = FRONT, "front" + _RIMS * bool(len(scene.lone[0])) + _RINGED * bool(hidden)
    ringed = [hidden, *(set() for _ in eyes[1:])]
    return tuple(
        Panel(_drawn(scene, eye, places, rings), eye, words)
        for (eye, words), places, rings in zip(eyes, seen, ringed, strict=True)
    )


def _scene(made: Check) -> _Scene:
    draft = made.shown
    surface = Surface(draft.vertices, draft.faces)
    single = draft.table.order[draft.table.starts[:-1][draft.table.counts == 1]]
    lone = (draft.vertices[draft.table.start_of(single)],
            draft.vertices[draft.table.stop_of(single)])  # fmt: skip
    made_up = (draft.file_faces < 0) & made.is_new
    return _Scene(surface, made_up, lone, _spots(made), Rays(surface))


def _spots(made: Check) -> tuple[_Spot, ...]:
    """Return where each number may point: a hole's anywhere at its rim, as the scan came."""
    draft = _came(made) if made.is_new else made.shown
    near = 0.01 * draft.diagonal
    found = rims(draft)
    spots = []
    for mark in made.health.marks:
        place = np.array(mark.place)
        points = place[None]
        if mark.number <= min(len(made.health.holes), MOST_HOLES):
            length = made.health.holes[mark.number - 1].length
            alike = [
                rim
                for rim in found
                if np.linalg.norm(np.array(rim.place) - place) < near
                and abs(rim.length - length) < 0.05 * length
            ]
            for rim in alike[:1]:
                points = draft.vertices[rim.loop[:: len(rim.loop) // _TRIED + 1]]
        spots.append(_Spot(str(mark.number), place, points))
    return tuple(spots)


def _came(made: Check) -> Draft:
    """Return the scan as it came, cleaned, in the pose of its health."""
    draft = made.scan.clean.compacted()
    points = draft.vertices @ (made.health.scale * turning(made.health.up, made.health.front)).T
    low, high = points.min(axis=0), points.max(axis=0)
    middle = np.array([*(0.5 * (low + high))[:2], low[2]])
    return Draft(points - middle, draft.faces, draft.file_faces)


def _free(scene: _Scene, points: Floats, eye: Eye, lift: float) -> NDArray[np.bool_]:
    """Return (k,) whether nothing lies between the eye and what rises so far off each point."""
    toward = screen_axes(eye)[2]
    start = points + lift * scene.size * toward
    return np.isinf(scene.rays.first(start, toward)[0])


def _seen(scene: _Scene, eye: Eye) -> dict[int, Floats]:
    """Return which spots the eye sees, and the (3,) point of each that is best pointed at."""
    if not scene.spots:
        return {}
    owner = np.repeat(np.arange(len(scene.spots)), [len(spot.points) for spot in scene.spots])
    points = np.vstack([spot.points for spot in scene.spots])
    free = _free(scene, points, eye, _DOT)
    return {int(k): _middle(points[free & (owner == k)], eye) for k in np.unique(owner[free])}


def _middle(points: Floats, eye: Eye) -> Floats:
    """Return the one of (k, 3) points that is nearest to their middle in the picture."""
    flat = points @ np.array(screen_axes(eye)[:2]).T
    away = ((flat - flat.mean(axis=0)) ** 2).sum(axis=1)
    return np.asarray(points[int(np.argmin(away))])


def _drawn(
    scene: _Scene, eye: Eye, places: dict[int, Floats], hidden: set[int]
) -> tuple[Actor, ...]:
    surface = scene.surface
    tints = None
    if scene.made_up.any():
        tints = np.tile(colours.rgb(colours.STONE), (len(surface.vertices), 1))
        tints[surface.faces[scene.made_up]] = colours.rgb(colours.MADE_UP)
    normals = surface.vertex_normals
    shown = [Actor("piece", surface.vertices, surface.faces, colours=tints, normals=normals)]
    tags: list[Tag] = []
    if len(scene.lone[0]):
        shown.append(Actor("inside", surface.vertices, surface.faces[:, ::-1], normals=-normals,
                           colour=colours.INSIDE))  # fmt: skip
        rods = shapes.rods(*scene.lone, _RIM * scene.size)
        shown.append(Actor("rims", rods.vertices, rods.faces, colour=colours.FAULT))
        tags += _patch(scene, eye, "inside", colours.INSIDE_WORD, None)
    if scene.made_up.any():
        tags += _patch(scene, eye, "made up", colours.MADE_UP_WORD,
                       np.flatnonzero(scene.made_up).astype(np.int64))  # fmt: skip
    for k, place in places.items():
        word = scene.spots[k].word
        pea = shapes.ball(place, _DOT * scene.size)
        shown.append(Actor(f"place {word}", pea.vertices, pea.faces, colour=colours.FAULT))
        tags.append(Tag(word, place, colours.FAULT, True))
    for k in sorted(hidden):
        spot = scene.spots[k]
        shown.append(_hollow(spot, eye, _DOT * scene.size))
        tags.append(Tag(spot.word, spot.place, colours.FAULT, True))
    return (*shown, *tagged(tags, shown, eye))


def _hollow(spot: _Spot, eye: Eye, radius: float) -> Actor:
    """A ring round a place that no side shows, drawn over what hides it."""
    right, up, _ = screen_axes(eye)
    angle = np.linspace(0.0, 2 * np.pi, 25)[:, None]
    ring = spot.place + 1.5 * radius * (np.cos(angle) * right + np.sin(angle) * up)
    return Actor(f"place {spot.word}", ring, line=True, colour=colours.FAULT)


def _patch(
    scene: _Scene, eye: Eye, word: str, colour: str, chosen: NDArray[np.int64] | None
) -> Sequence[Tag]:
    """Name a tint where enough of it is seen; without chosen faces, that of the skin's inside."""
    surface = scene.surface
    every = np.arange(len(surface.faces)) if chosen is None else chosen
    tried = every[:: len(every) // _SAMPLES + 1]
    toward = screen_axes(eye)[2]
    facing = surface.face_normals[tried] @ toward
    tried = tried[facing < -0.15 if chosen is None else facing > 0.15]
    if not len(tried):
        return ()
    centres = surface.vertices[surface.faces[tried]].mean(axis=1)
    free = _free(scene, centres, eye, _LIFT)
    area = float(surface.face_areas[tried[free]].sum()) * (len(every) // _SAMPLES + 1)
    if area < _WORTH * float(surface.face_areas.sum()):
        return ()
    return (Tag(word, _middle(centres[free], eye), colour, True),)
