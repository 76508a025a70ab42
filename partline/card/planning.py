"""Planning the cutting card: blade, keys and wrap, once the container is known."""

from __future__ import annotations

import numpy as np
from scipy.spatial import cKDTree

from partline.card.approach import ways_out, whole_line
from partline.card.blade import strokes_of
from partline.card.block import block_of
from partline.card.cutting_card import BladeCut, CuttingCard, Keys, Mark, Stops, Strokes
from partline.card.guide import guide_of
from partline.card.keys import keys_of
from partline.card.marking import marks_of, stops_of
from partline.card.saying import of_card, of_cut
from partline.card.swept import strip
from partline.card.unrolling import Layout, layout_of
from partline.card.wrapping import wrap_of
from partline.cut.cut import Cut
from partline.detail.detail_map import DetailMap
from partline.geometry.surface import Floats
from partline.progress import Progress, silent
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
    block = block_of(container)
    blades: list[BladeCut] = []
    led: list[Strokes] = []
    surface = stand.cavity.surface
    rays = surface.rays
    if cut.lines:
        progress(0.0, "finding the blade's way through the rubber")
        guide = guide_of(block, rays)
        for line in cut.lines:
            feet = whole_line(stand, line)
            led.append(strokes_of(block, guide, rays, feet, ways_out(surface, feet)))
    layout = layout_of(block, np.vstack([s.ends for s in led]) if led else np.zeros((0, 3)))
    for number, (line, strokes) in enumerate(zip(cut.lines, led, strict=True), 1):
        progress(number / (len(led) + 1), f"fitting the keys of cut {number}")
        keys = keys_of(
            strokes, layout, free_mm=_free(strokes, stand, detail, smooth_mm),
            piece=surface.vertices, rays=rays, width_mm=zigzag_mm, pitch_mm=pitch_mm,
            flank_deg=flank_deg, smooth_mm=smooth_mm,
        )  # fmt: skip
        marks = marks_of(block, strokes, keys, layout, spacing_mm=mark_spacing_mm,
                         blade_mm=blade_mm)  # fmt: skip
        stops = stops_of(block, line, strokes, layout)
        blades.append(_blade(number, strokes, keys, layout, marks, stops))
    # What no cut may enter: past its last mark, and past where its blade comes out.
    deepest = max(
        (
            max(float(s.ends[:, 2].max()), line.marks.never_past_mm)
            for s, line in zip(led, cut.lines, strict=True)
        ),
        default=np.inf,
    )
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
        wrap=wrap_of(block, layout, deepest),
        hand_mm=hand_mm,
        words=of_card(container, hand_mm, tuple(blades), blade_mm),
        blade_mm=blade_mm,
    )  # fmt: skip


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
    strokes: Strokes,
    keys: Keys,
    layout: Layout,
    marks: tuple[Mark, ...],
    stops: Stops,
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
        stops=stops,
        middle=middle,
        left=middle + half * left,
        right=middle - half * left,
        zigzag=layout.lay(keys.outside),
        words=of_cut(number, strokes, keys),
    )
