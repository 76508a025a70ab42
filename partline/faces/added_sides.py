"""Sides of a picture beside front and back, chosen to show what those hide, and their words."""

from __future__ import annotations

from collections.abc import Callable, Collection, Hashable

import numpy as np

Eye = tuple[float, float, float]

# Sides that are added at most, and from how high above and below they are tried [degrees].
_MOST = 2
_RISES = (-70.0, -40.0, -15.0, 20.0, 45.0, 70.0)
_ROUND = 16


def added_sides(
    hidden: Collection[Hashable], seen: Callable[[Eye], Collection[Hashable]]
) -> list[Eye]:
    """Return the sides, two at most, that show most of what is hidden; none where none shows any.

    Of sides that show as much, the one nearest to level.

    Parameters
    ----------
    hidden : collection
        What the sides already there do not show.
    seen : callable
        Returns what an eye sees.
    """
    left = set(hidden)
    tried = {eye: left.intersection(seen(eye)) for eye in _eyes()} if left else {}
    found: list[Eye] = []
    while left and len(found) < _MOST:
        best = max(tried, key=lambda eye: len(left & tried[eye]))
        if not left & tried[best]:
            break
        found.append(best)
        left -= tried[best]
    return found


def side_words(eye: Eye) -> str:
    """Return from where an eye looks, like "right, front, from above"; the piece's own right."""
    x, y, z = np.array(eye) / np.linalg.norm(eye)
    flat = max(float(np.hypot(x, y)), 1e-9)
    words = []
    if flat > 0.5:
        words += [] if abs(x) < 0.38 * flat else ["right" if x > 0 else "left"]
        words += [] if abs(y) < 0.38 * flat else ["front" if y < 0 else "back"]
    if abs(z) > 0.1:
        words.append("from above" if z > 0 else "from below")
    return ", ".join(words)


def _eyes() -> list[Eye]:
    """Return the sides that may be added, those nearest to level first."""
    found = []
    for rise in sorted(_RISES, key=abs):
        for k in range(_ROUND):
            turn = 2 * np.pi * k / _ROUND
            level = np.cos(np.radians(rise))
            up = float(np.sin(np.radians(rise)))
            found.append((float(level * np.sin(turn)), float(-level * np.cos(turn)), up))
    return found
