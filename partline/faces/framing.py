"""From where a picture is taken so that everything in it just fits, its words too; no toolkit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from partline.faces.actor import Actor, reach_of
from partline.faces.labels import screen_axes

if TYPE_CHECKING:
    from partline.geometry.surface import Floats

_LETTER = 0.028  # width of a letter as it is drawn, in half heights of the picture; measured
_PLATE = 2  # letters' worth of plate round a word


@dataclass(frozen=True, eq=False)
class Look:
    """A parallel camera: where it stands, what it looks at, which way is up, how much it sees.

    Attributes
    ----------
    position, focus, up : (3,) float64
        The first two are places [mm].
    half_mm : float
        Half the height of the picture [mm].
    """

    position: Floats
    focus: Floats
    up: Floats
    half_mm: float


def look_at(
    actors: Sequence[Actor], eye: tuple[float, float, float], *, aspect: float, margin: float = 1.06
) -> Look:
    """Return the parallel camera in which all the actors just fit.

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
    middle, (wide, tall, deep) = frame(actors, axes, margin=margin)
    focus = middle @ np.array(axes)
    far = 4 * (deep + wide + tall) + 1.0
    # Words keep their size on the screen, whatever is shown beside them.
    free = max(aspect - word_room(actors), 0.25 * aspect)
    return Look(focus + far * axes[2], focus, axes[1], float(max(tall, wide / free, 1e-6)))


def frame(
    actors: Sequence[Actor], axes: tuple[Floats, Floats, Floats], *, margin: float = 1.0
) -> tuple[Floats, Floats]:
    """Return the middle and half the size [mm] of what all the actors take, words not counted.

    Parameters
    ----------
    axes : tuple of (3,) float64
        To the right, up and toward the eye, as `screen_axes` gives them.
    margin : float
        Room kept round them in the picture.

    Returns
    -------
    middle, half : (3,) float64
        Along the three axes [mm].
    """
    low, high = reach_of(actors, np.array(axes))
    return (low + high) / 2, 0.5 * (high - low) * (margin, margin, 1.0)


def word_room(actors: Sequence[Actor]) -> float:
    """Return how far words run outward from their points, in half heights of the picture [1]."""
    longest = max((len(w) for a in actors for w in a.labels), default=-_PLATE)
    return _LETTER * (longest + _PLATE)
