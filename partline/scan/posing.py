"""Put a mesh into the master's pose at its finished size."""

from __future__ import annotations

import numpy as np

from partline.geometry.surface import Floats
from partline.scan.draft import Draft
from partline.scan.orienting import Direction, turning
from partline.scan.sizing import Size


def pose(draft: Draft, size: Size, *, up: Direction, front: Direction) -> Floats:
    """Return the (4, 4) matrix from the file's coordinates to the master's pose [mm].

    +Z up, the front toward -Y, the lowest point at z = 0, the middle of the bounding box over
    x = y = 0; a proper turn and one scale, no mirror.

    Raises
    ------
    StandError, UnitError
        If the directions or the size make no sense for this mesh.
    """
    turn = turning(up, front)
    upright = draft.vertices @ turn.T
    scale = size.scale(upright)
    low, high = upright.min(axis=0) * scale, upright.max(axis=0) * scale
    matrix = np.eye(4)
    matrix[:3, :3] = scale * turn
    matrix[:3, 3] = -np.array([0.5 * (low[0] + high[0]), 0.5 * (low[1] + high[1]), low[2]])
    return matrix
