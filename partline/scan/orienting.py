"""Turn the file's axes into the master's: which way is up, which side is the front."""

from __future__ import annotations

import re

import numpy as np
from numpy.typing import ArrayLike

from partline.errors import StandError
from partline.geometry.surface import Floats

Direction = str | ArrayLike
_AXES = {"x": 0, "y": 1, "z": 2}
# Three numbers as a person writes them, with commas or without, in brackets or without.
_NUMBER = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?"
_THREE = re.compile(
    rf"[\[(]?\s*{_NUMBER}(?:\s*[,;]\s*|\s+){_NUMBER}(?:\s*[,;]\s*|\s+){_NUMBER}\s*[\])]?"
)
# Front and up closer than this to one line leave the front undecided.
LEAST_SINE = 1e-3


def direction(value: Direction, name: str) -> Floats:
    """Return a unit vector for "+x", "-y", "z" or three numbers, written or as such.

    Raises
    ------
    StandError
        If it is neither.
    """
    if isinstance(value, str):
        word = value.strip().lower()
        if _THREE.fullmatch(word):
            return direction([float(part) for part in re.findall(_NUMBER, word)], name)
        sign = -1.0 if word.startswith("-") else 1.0
        axis = word.lstrip("+-") if len(word) <= 2 else ""
        if axis not in _AXES:
            raise StandError(
                f"{name} is {value!r}. It can be +x, -x, +y, -y, +z, -z or three numbers like "
                '"0, 0.1, 1".'
            )
        vector = np.zeros(3)
        vector[_AXES[axis]] = sign
        return vector
    try:
        vector = np.asarray(value, dtype=np.float64)
    except (TypeError, ValueError) as fault:
        raise StandError(f"{name} is {value!r}. It must be three numbers.") from fault
    length = float(np.linalg.norm(vector)) if vector.shape == (3,) else 0.0
    if not np.isfinite(length) or length == 0.0:
        raise StandError(f"{name} is {value!r}. It must be three numbers, not all zero.")
    return vector / length


def turning(up: Direction, front: Direction) -> Floats:
    """Return the (3, 3) rotation that takes `up` to +Z and `front` to -Y.

    The front is made square to up; so "front" may be a rough direction.

    Raises
    ------
    StandError
        If a direction cannot be read, or both lie along one line.
    """
    z = direction(up, "up")
    toward = direction(front, "front")
    square = toward - (toward @ z) * z
    length = float(np.linalg.norm(square))
    if length < LEAST_SINE:
        raise StandError(
            f"up ({_shown(up)}) and front ({_shown(front)}) lie along one line. "
            "Name a front that is square to up: the side on show."
        )
    y = -square / length
    return np.array([np.cross(y, z), y, z])


def _shown(value: Direction) -> str:
    if isinstance(value, str):
        return value
    return "(" + ", ".join(f"{v:g}" for v in np.ravel(np.asarray(value))) + ")"
