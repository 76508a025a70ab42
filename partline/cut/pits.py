"""Pits that are wider inside than at their neck: what the plug of rubber in them must give."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from partline.cut.cut import Pit
from partline.cut.seen import seen_from, spots_of
from partline.geometry.patches import patches
from partline.geometry.sections import girth_of, hull_of
from partline.geometry.surface import Floats, Ints, Surface
from partline.progress import Progress, silent, span

# Skin that sees less of the sphere of directions than this lies in a pit; open skin sees half [1].
_HIDDEN = 0.3
_DIRECTIONS = 48
_SAMPLES = 8_000
_SLABS = 8
# A plug that gives less than this is not worth a word, nor is a neck rounder than this [1, mm].
_LEAST_STRETCH = 0.1
_LEAST_NECK_MM = 4.0


def pits(piece: Surface, *, progress: Progress = silent) -> tuple[Pit, ...]:
    """Return the pits of a piece that are wider inside than at their neck, worst first.

    A pit is a patch of skin that sees little of the outside; its neck is the border of the patch.
    Girths are those of hulls: an estimate.
    """
    words = "looking for pits that hold the rubber"
    progress(0.0, words)
    spots = spots_of(piece, _SAMPLES)
    seen = seen_from(piece, _sphere(_DIRECTIONS), spots=spots, enough=_HIDDEN,
                     progress=span(progress, 0.3, 0.9), words=words)  # fmt: skip
    patch = patches(piece, seen < _HIDDEN)
    border = piece.edges[np.diff(patch[piece.edges], axis=1)[:, 0] != 0]
    found = []
    for number in _large(piece, patch):
        crossing = border[(patch[border] == number).any(axis=1)]
        pit = _pit(piece.vertices[crossing], piece.vertices[patch == number])
        if pit is not None:
            found.append(pit)
    return tuple(sorted(found, key=lambda pit: -pit.stretch))


def _sphere(count: int) -> Floats:
    """Return (k, 3) unit vectors spread over the sphere (a golden spiral)."""
    k = np.arange(count) + 0.5
    z = 1 - 2 * k / count
    turn = np.pi * (1 + np.sqrt(5)) * k
    flat = np.sqrt(1 - z * z)
    return np.column_stack([flat * np.cos(turn), flat * np.sin(turn), z])


def _large(piece: Surface, patch: Ints) -> NDArray[np.int64]:
    """Return the numbers of the patches that are not too small for a neck worth a word."""
    corner = patch[piece.faces]
    inside = (corner[:, 0] >= 0) & (corner == corner[:, :1]).all(axis=1)
    area = np.bincount(corner[inside, 0], weights=piece.face_areas[inside])
    return np.flatnonzero(area >= _LEAST_NECK_MM**2 / 4)


def _pit(crossing: Floats, inside: Floats) -> Pit | None:
    """Return what the (k, 2, 3) ends of edges round a patch and its (n, 3) vertices make."""
    if len(crossing) < 6:
        return None  # a closed hollow has no neck
    neck = crossing.mean(axis=1)
    middle = neck.mean(axis=0)
    _, _, axes = np.linalg.svd(neck - middle, full_matrices=False)
    deep = axes[2] * np.sign(axes[2] @ (inside.mean(axis=0) - middle) or 1.0)
    depth = (inside - middle) @ deep
    bottom = float(depth.max())
    around = girth_of(hull_of((neck - middle) @ axes[:2].T))
    if around < _LEAST_NECK_MM or bottom <= 0:
        return None
    slab = np.clip((depth / bottom * _SLABS).astype(int), -1, _SLABS - 1)
    flat = (inside - middle) @ axes[:2].T
    girths = [girth_of(hull_of(flat[slab == k])) for k in range(_SLABS) if (slab == k).sum() > 3]
    widest = max(girths, default=0.0)
    stretch = widest / around - 1
    # A neck far from flat is the border of a fold, not of a pit.
    if stretch < _LEAST_STRETCH or np.abs((neck - middle) @ deep).max() > around / 4:
        return None
    x, y, z = (float(v) for v in middle)
    return Pit((x, y, z), around, widest, bottom, float(stretch))
