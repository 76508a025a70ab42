"""Where words stand beside a picture: two columns, level with what they name, none overlapping."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from partline.geometry.surface import Floats

# Rows of words that fit into the height of a picture at the size they are drawn.
ROWS = 15


@dataclass(frozen=True, eq=False)
class Tag:
    """A word and the (3,) place it names [mm], in one colour; `always` shown, or only in sight."""

    word: str
    place: Floats
    colour: str
    always: bool = False


@dataclass(frozen=True, eq=False)
class Leader:
    """A tag with the (3,) end of its line [mm] and the side its word stands on."""

    word: str
    place: Floats
    colour: str
    end: Floats
    side: str


@lru_cache(maxsize=16)
def screen_axes(eye: tuple[float, float, float]) -> tuple[Floats, Floats, Floats]:
    """Return right, up and toward-the-eye of a picture seen from `eye`, unit vectors."""
    toward = np.asarray(eye, dtype=np.float64)
    toward = toward / np.linalg.norm(toward)
    # Straight from above or below, the front stays at the bottom of the picture.
    pole = np.array([0.0, 0.0, 1.0]) if abs(toward[2]) < 0.999 else np.array([0.0, 1.0, 0.0])
    right = np.cross(pole, toward)
    right = right / np.linalg.norm(right)
    axes = right, np.cross(toward, right), toward
    for axis in axes:
        axis.setflags(write=False)
    return axes


def in_sight(tag: Tag, depth: Floats, eye: tuple[float, float, float]) -> bool:
    """Tell whether a place is on the near half of the piece, or not far behind its middle.

    Parameters
    ----------
    depth : (2,) float64
        Lowest and highest of the piece along `level_toward` [mm].
    """
    low, high = depth
    return bool(tag.place @ level_toward(eye) - (low + high) / 2 > -0.15 * (high - low))


def level_toward(eye: tuple[float, float, float]) -> Floats:
    """Return the way toward the eye without its rise: (3,), shorter than a unit."""
    return screen_axes(eye)[2] * (1.0, 1.0, 0.0)


def leaders(tags: Sequence[Tag], reach: Floats, eye: tuple[float, float, float]) -> list[Leader]:
    """Set the words out in two columns beside what is shown.

    Parameters
    ----------
    tags : sequence of Tag
    reach : (2, 3) float64
        Lowest and highest of all that is drawn along `screen_axes` [mm].
    eye : tuple of float
        From the piece toward the eye.
    """
    if not tags:
        return []
    right, up, toward = screen_axes(eye)
    (left, bottom, back), (rightmost, top, front) = reach
    middle = (left + rightmost) / 2
    # A picture from another side stands beside this one at the same scale.
    step = max(top - bottom, 1.25 * (rightmost - left), 1.25 * (front - back)) / ROWS
    beside = (rightmost - left) / 2 + step
    low, high = bottom + step / 2, top - step / 2
    at = np.array([[t.place @ right - middle, t.place @ up] for t in tags])
    on_right = _sides(at[:, 0], limit=max(int((high - low) / step), 1))
    found: list[Leader] = []
    for side, chosen in (("left", ~on_right), ("right", on_right)):
        members = np.flatnonzero(chosen)
        # A column too full for the height of the piece runs past both ends of it.
        past = max((len(members) - 1) * step - (high - low), 0.0) / 2
        rows = spread(at[members, 1], step, low - past, high + past)
        along = middle + (beside if side == "right" else -beside)
        for k, row in zip(members.tolist(), rows, strict=True):
            end = along * right + row * up + front * toward
            found.append(Leader(tags[k].word, tags[k].place, tags[k].colour, end, side))
    return found


def _sides(x: Floats, *, limit: int) -> NDArray[np.bool_]:
    """Say which tags go right; where one column would be too full, its innermost cross over."""
    on_right = x >= 0
    for full in (True, False):
        members = np.flatnonzero(on_right == full)
        extra = len(members) - max(limit, (len(x) + 1) // 2)
        if extra > 0:
            on_right[members[np.argsort(np.abs(x[members]))[:extra]]] = not full
    return on_right


def spread(wanted: Floats, step: float, low: float, high: float) -> Floats:
    """Return places in the order of `wanted`, at least `step` apart, near where they are wanted.

    They stay between low and high as long as they fit there; squeezed evenly where they do not.
    """
    n = len(wanted)
    if n == 0:
        return np.zeros(0)
    step = min(step, (high - low) / max(n - 1, 1))
    order = np.argsort(wanted, kind="stable")
    # In coordinates less their own rank the places need only not fall (isotonic regression).
    goal = np.clip(wanted[order], low, high) - step * np.arange(n)
    blocks: list[list[float]] = []
    for value in goal:
        blocks.append([value, 1.0])
        while len(blocks) > 1 and blocks[-2][0] > blocks[-1][0]:
            b, a = blocks.pop(), blocks.pop()
            weight = a[1] + b[1]
            blocks.append([(a[0] * a[1] + b[0] * b[1]) / weight, weight])
    fitted = np.concatenate([np.full(int(w), v) for v, w in blocks])
    fitted = np.clip(fitted, low, high - step * (n - 1)) + step * np.arange(n)
    out = np.empty(n)
    out[order] = fitted
    return out
