"""Planning the cutting card: blade, keys and wrap, once the container is known."""

from __future__ import annotations

from functools import partial

import numpy as np
from scipy.spatial import cKDTree

from partline.card.approach import ways_out, whole_line
from partline.card.blade import strokes_of
from partline.card.block import Block, block_of
from partline.card.cutting_card import BladeCut, CuttingCard, Keys, Mark, Strokes
from partline.card.faces import by_face, shared_out
from partline.card.guide import guide_of
from partline.card.keys import keys_of
from partline.card.marking import marks_of, stops_of
from partline.card.saying import of_card, of_cut
from partline.card.swept import strip
from partline.card.unrolling import EndLayout, Layout, layout_of
from partline.card.wrapping import hinged, wrap_of
from partline.cut.cut import Cut, OverFloor
from partline.detail.detail_map import DetailMap
from partline.geometry.surface import Floats
from partline.progress import Progress, silent, span
from partline.stand.stand import Stand
from partline.workshop.container import Container

# Detail below this weight counts as plain skin, as it does for the line itself.
_PLAIN = 0.25


def plan_card(
    cut: Cut,
    stand: Stand,
    container: Container,
    detail: DetailMap,
    *,
    zigzag_mm: float = 6.0,
    pitch_mm: float = 12.0,
    flank_deg: float = 50.0,
    smooth_mm: float = 4.0,
    mark_spacing_mm: float = 12.0,
    hand_mm: float = 2.5,
    blade_mm: float | None = None,
    progress: Progress = silent,
) -> CuttingCard:
    """Return how the blade goes from the outside of the block to the line on the piece.

    Parameters
    ----------
    cut, stand, container, detail
        Of the stages before.
    zigzag_mm, pitch_mm, flank_deg : float
        Crest to crest across the line [mm], length of one zigzag [mm], slope of its flanks [deg].
    smooth_mm : float
        Next to the piece the cut stays smooth so far; 0 for jagged all the way in [mm].
    mark_spacing_mm : float
        Between marks on the outside [mm].
    hand_mm : float
        How well a hand follows a line in rubber [mm].
    blade_mm : float, optional
        How far the user's blade reaches out of its holder [mm].
    progress : Progress
    """
    over = next((line.over for line in cut.lines if line.over is not None), None)
    block = block_of(container, over=over)
    led: list[Strokes] = []
    surface = stand.cavity.surface
    rays = surface.rays
    if cut.lines:
        guide = guide_of(block, rays, progress=span(progress, 0.0, 0.4))
        for number, line in enumerate(cut.lines):
            leading = span(progress, *(0.4 + 0.3 * (number + k) / len(cut.lines) for k in (0, 1)))
            leading(0.0, "leading the blade's strokes")
            feet = whole_line(stand, line)
            ways = ways_out(surface, feet)
            led.append(strokes_of(block, guide, rays, feet, ways, progress=leading))
    side = layout_of(block, _avoided(block, led, over))
    layouts: dict[str, Layout] = {"side": side, "far face": EndLayout(block)}
    keying = partial(keys_of, piece=surface.vertices, rays=rays, width_mm=zigzag_mm,
                     pitch_mm=pitch_mm, flank_deg=flank_deg, smooth_mm=smooth_mm)  # fmt: skip
    marking = partial(marks_of, spacing_mm=mark_spacing_mm, blade_mm=blade_mm)
    blades: list[BladeCut] = []
    for number, (line, strokes) in enumerate(zip(cut.lines, led, strict=True), 1):
        fitting = span(progress, *(0.7 + 0.3 * (number - k) / len(led) for k in (1, 0)))
        parts, first = by_face(block, rays, strokes), 1
        shared = shared_out(stops_of(block, line, strokes), parts, block)
        for (face, part), stops in zip(parts, shared, strict=True):
            layout = layouts[face]
            free = _free(part, stand, detail, smooth_mm)
            keys = keying(part, layout, free_mm=free, progress=fitting)
            marks = marking(part, keys, layout, first=first)
            first = marks[-1].number + 1
            words = of_cut(number, part, keys, seat_mm=stand.seat_mm)
            blades.append(_blade(number, face, part, keys, layout, marks, stops, words))
    wrap = wrap_of(block, side, _deepest(cut, led)) if over is None else hinged(block, side, over)
    rim = container.rim_width_mm
    second = (
        ("inner size front to back at the floor", container.floor_depth_mm)
        if container.kind == "box"
        else ("inner width at the floor", container.floor_width_mm)
    )
    progress(1.0, "cutting card planned")
    return CuttingCard(
        block=block,
        container=container.name,
        own=container.own,
        measures=(
            ("inner width at the rim", rim), second, ("inner height", container.height_mm)
        ),
        cuts=tuple(blades),
        wrap=wrap,
        hand_mm=hand_mm,
        words=of_card(container, hand_mm, tuple(blades), blade_mm),
        blade_mm=blade_mm,
        over=over,
    )  # fmt: skip


def _avoided(block: Block, led: list[Strokes], over: OverFloor | None) -> Floats:
    """Return (k, 3) points that the wrap's ends should meet far from: cuts, and a hinge."""
    points = [strokes.ends for strokes in led]
    if over is not None:
        axis = np.array([[*block.centre_mm, block.height_mm / 2]])
        way = np.array([over.toward])
        points.append(axis + block.exits(axis, way, sides_only=True)[:, None] * way)
    return np.vstack(points) if points else np.zeros((0, 3))


def _deepest(cut: Cut, led: list[Strokes]) -> float:
    """Return past which depth no cut may go: its last mark, or where its blade comes out [mm]."""
    reached = [float(strokes.ends[:, 2].max()) for strokes in led]
    limits = [line.marks.never_past_mm for line in cut.lines]
    return max([*reached, *limits], default=np.inf)


def _free(strokes: Strokes, stand: Stand, detail: DetailMap, smooth_mm: float) -> Floats:
    """Return (k,) how far keys may go sideways for detail's sake [mm].

    Jagged all the way in, they stop at the nearest detail; ending a smooth depth before the piece,
    a slip has that much rubber to go through besides.
    """
    prized = stand.piece.vertices[detail.weight > _PLAIN]
    if not len(prized):
        return np.full(len(strokes.feet), np.inf)
    away, _ = cKDTree(prized).query(strokes.feet)
    return np.asarray(away + smooth_mm)


def _blade(
    number: int,
    face: str,
    strokes: Strokes,
    keys: Keys,
    layout: Layout,
    marks: tuple[Mark, ...],
    stops: dict[str, Floats],
    words: tuple[str, ...],
) -> BladeCut:
    middle = layout.lay(strokes.ends)
    ahead = np.gradient(middle, axis=0)
    ahead /= np.maximum(np.linalg.norm(ahead, axis=1, keepdims=True), 1e-12)
    left = np.column_stack([ahead[:, 1], -ahead[:, 0]])
    half = np.maximum(keys.half_mm, 0.6)[:, None]
    return BladeCut(
        number=number,
        strokes=strokes,
        surface=strip([strokes.ends, strokes.feet], strokes.splits),
        keys=keys,
        marks=marks,
        stops=tuple(
            (words, (float(x), float(y)))
            for words, place in stops.items()
            for x, y in [layout.lay(place[None])[0]]
        ),
        middle=middle,
        left=middle + half * left,
        right=middle - half * left,
        zigzag=layout.lay(keys.outside),
        words=words,
        face=face,
    )
