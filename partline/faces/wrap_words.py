"""Where words stand on the wrap: beside what they name, off the lines and off one another."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from partline.faces.colours import INK
from partline.faces.paper import label
from partline.geometry.surface import Floats

_LETTER = 0.62  # width of a bold letter as a share of its size; measured
_ASIDE = (4.5, 9.0, 14.0, 20.0, 28.0, 38.0)
_UP_DOWN = tuple(1.5 * step for step in range(-9, 10))
_LED = 7.0  # words farther off than this get a line to what they name [mm]


@dataclass(frozen=True)
class Words:
    """Lines of words, the first one bold: text and size [mm] of each."""

    lines: tuple[tuple[str, float], ...]

    @property
    def wide(self) -> float:
        """How much room the longest line takes [mm]."""
        return max(_LETTER * size * len(text) for text, size in self.lines)

    @property
    def high(self) -> float:
        """How much room all lines take [mm]."""
        return sum(1.15 * size for _, size in self.lines)


class Placer:
    """Finds room for words one after the other.

    Parameters
    ----------
    taken : (n, 2) float64
        Points of the lines that no word should cover [mm].
    low, high : (2,) float64
        Corners of the paper [mm].
    """

    def __init__(self, taken: Floats, low: Floats, high: Floats) -> None:
        self._taken, self._low, self._high = taken, low, high
        self._boxes = np.zeros((0, 4))

    def placed(self, words: Words, x: float, y: float, *, away: int) -> str:
        """Return the words drawn near (x, y), rather on the side `away`: 1 right, -1 left."""
        tries = [
            (self._cost(box) + 0.25 * aside + 0.35 * abs(down) + 2.0 * (side != away), box, side)
            for side in (1, -1)
            for aside in _ASIDE
            for down in _UP_DOWN
            for box in [self._box(words, x + side * aside, y + down, side)]
        ]
        _, box, side = min(tries, key=lambda t: t[0])
        self._boxes = np.vstack([self._boxes, box])
        return self._drawn(words, box, side, x, y)

    @property
    def spans(self) -> tuple[tuple[float, float], ...]:
        """Left and right end of each of the words placed so far [mm]."""
        return tuple((float(box[0]), float(box[2])) for box in self._boxes)

    def _box(self, words: Words, x: float, middle: float, side: int) -> Floats:
        left = x if side > 0 else x - words.wide
        return np.array([left, middle - words.high / 2, left + words.wide, middle + words.high / 2])

    def _cost(self, box: Floats) -> float:
        left, top, right, bottom = box
        x, y = self._taken.T
        inside = np.count_nonzero((x > left) & (x < right) & (y > top) & (y < bottom))
        wide = np.minimum(right, self._boxes[:, 2]) - np.maximum(left, self._boxes[:, 0])
        high = np.minimum(bottom, self._boxes[:, 3]) - np.maximum(top, self._boxes[:, 1])
        over = float((np.maximum(wide, 0.0) * np.maximum(high, 0.0)).sum())
        off = np.maximum([*(self._low - box[:2]), *(box[2:] - self._high)], 0.0).sum()
        return 1.5 * inside + 3.0 * over + 20.0 * float(off)

    def _drawn(self, words: Words, box: Floats, side: int, x: float, y: float) -> str:
        near = box[0] if side > 0 else box[2]
        middle = (box[1] + box[3]) / 2
        body = ""
        if np.hypot(near - x, middle - y) > _LED:
            body += (
                f'<path d="M{x:.2f} {y:.2f}L{near - 0.6 * side:.2f} {middle:.2f}" fill="none" '
                f'stroke="{INK}" stroke-width="0.15"/>'
            )
        down = box[1]
        for k, (text, size) in enumerate(words.lines):
            down += 1.15 * size
            body += label(near, down - 0.3 * size, text, size=size, bold=k == 0,
                          anchor="start" if side > 0 else "end")  # fmt: skip
        return body
