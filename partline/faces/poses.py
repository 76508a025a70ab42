"""Which way is up and which side is the front, as axes or directions of the scan's file."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from partline.errors import JobError
from partline.geometry.surface import Floats

Side = str | tuple[float, float, float]
"""An axis of the file such as "-y", or any direction of it."""


@dataclass(frozen=True, eq=False)
class Pick:
    """A face that was pointed at, on the mesh as read from the file.

    Attributes
    ----------
    face : int
        Face of the master's surface.
    point : (3,) float64
        Where, in the master's own pose as read [mm or file units].
    normal : (3,) float64
        Outward normal there.
    """

    face: int
    point: Floats
    normal: Floats


_AXES: dict[str, tuple[int, int, int]] = {
    "+x": (1, 0, 0), "-x": (-1, 0, 0), "+y": (0, 1, 0),
    "-y": (0, -1, 0), "+z": (0, 0, 1), "-z": (0, 0, -1),
}  # fmt: skip


def direction(name: Side) -> Floats:
    """Return the (3,) unit vector of a file axis such as "-y", or of any three numbers.

    Raises
    ------
    JobError
        If it is a name that is not one of the six.
    """
    if not isinstance(name, str):
        vector = np.asarray(name, dtype=np.float64)
        return vector / max(float(np.linalg.norm(vector)), 1e-300)
    if name not in _AXES:
        raise JobError(f"No direction {name!r}; there are {', '.join(_AXES)}.")
    return np.array(_AXES[name], dtype=np.float64)


def axis_name(toward: Floats, *, square_to: str | None = None) -> str:
    """Return the file axis nearest to a direction, e.g. "-y"; never along `square_to`."""
    names = [n for n in _AXES if square_to is None or n[1] != square_to[1]]
    return max(names, key=lambda n: float(direction(n) @ toward))


def side_name(toward: Floats, *, square_to: str, near_deg: float = 3.0) -> Side:
    """Return a side of the file square to an axis: an axis where it is so near one."""
    up = direction(square_to)
    level = toward - (toward @ up) * up
    level = level / max(float(np.linalg.norm(level)), 1e-300)
    near = axis_name(level, square_to=square_to)
    if float(direction(near) @ level) > np.cos(np.radians(near_deg)):
        return near
    x, y, z = (round(float(v), 5) + 0.0 for v in level)
    return x, y, z


def tipped(up: str, front: Side, way: Literal["over", "round"]) -> tuple[str, Side]:
    """Return the up and front of a piece tipped a quarter turn, as seen from its front.

    "over" lays it on its front, so that its back comes up; "round" turns it a quarter on its
    foot, so that its left side comes to the front.
    """
    high, near = direction(up), direction(front)
    if way == "over":
        return axis_name(-near, square_to=up), axis_name(high)
    return up, side_name(np.cross(near, high), square_to=up)
