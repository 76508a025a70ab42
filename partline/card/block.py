"""The cured block: the inside of its container up to the fill line, as an exact shape."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from partline.cut.cut import OverFloor
from partline.geometry.surface import Floats
from partline.workshop.container import Container


@dataclass(frozen=True)
class Block:
    """A block as it comes out of its container, mouth face at z = 0.

    Attributes
    ----------
    kind : str
        "cup", "pipe" or "box".
    centre_mm : tuple of float
        Where its axis stands, x and y [mm].
    turn_deg : float
        How far a box is turned about z, anticlockwise from above [degrees].
    half_mm : tuple of float
        Half its width and depth at z = 0; twice the same radius for a round one [mm].
    slope : float
        By how much each side leans outward per mm of height [1].
    height_mm : float
        Of the rubber [mm].
    over : OverFloor or None
        How a cut runs over its far face, and the hinge that stays whole.
    """

    kind: str
    centre_mm: tuple[float, float]
    turn_deg: float
    half_mm: tuple[float, float]
    slope: float
    height_mm: float
    over: OverFloor | None = None

    def inward(self, points: Floats) -> Floats:
        """Return (k, 3) points in the block's own axes: centred, a box's sides along x and y."""
        return self._turned(points - np.array([*self.centre_mm, 0.0]), -1.0)

    def outward(self, points: Floats) -> Floats:
        """Return (k, 3) points of the block's own axes in the stand's pose."""
        return self._turned(points, 1.0) + np.array([*self.centre_mm, 0.0])

    def _turned(self, vectors: Floats, sense: float) -> Floats:
        a = math.radians(self.turn_deg) * sense
        c, s = math.cos(a), math.sin(a)
        return vectors @ np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]])

    def exits(self, origins: Floats, directions: Floats, *, sides_only: bool = False) -> Floats:
        """Return (k,) how far along each direction the block ends, from points inside it.

        With `sides_only` the mouth face and the far face do not count (inf where no side is met).
        """
        o, d = self.inward(origins), self._turned(directions, -1.0)
        far = self._sides_of_box(o, d) if self.kind == "box" else self._side_of_cone(o, d)
        if sides_only:
            return far
        with np.errstate(divide="ignore", invalid="ignore"):
            down = np.where(d[:, 2] < 0, -o[:, 2] / d[:, 2], np.inf)
            up = np.where(d[:, 2] > 0, (self.height_mm - o[:, 2]) / d[:, 2], np.inf)
        return np.asarray(np.minimum(far, np.maximum(np.minimum(down, up), 0.0)))

    def _sides_of_box(self, o: Floats, d: Floats) -> Floats:
        far = np.full(len(o), np.inf)
        for axis in (0, 1):
            for sign in (-1.0, 1.0):
                room = self.half_mm[axis] + self.slope * o[:, 2] - sign * o[:, axis]
                toward = sign * d[:, axis] - self.slope * d[:, 2]
                with np.errstate(divide="ignore"):
                    far = np.minimum(
                        far, np.where(toward > 1e-15, np.maximum(room, 0) / toward, np.inf)
                    )
        return far

    def _side_of_cone(self, o: Floats, d: Floats) -> Floats:
        radius = self.half_mm[0] + self.slope * o[:, 2]
        a = d[:, 0] ** 2 + d[:, 1] ** 2 - (self.slope * d[:, 2]) ** 2
        b = o[:, 0] * d[:, 0] + o[:, 1] * d[:, 1] - radius * self.slope * d[:, 2]
        c = np.minimum(o[:, 0] ** 2 + o[:, 1] ** 2 - radius**2, 0.0)
        root = np.sqrt(np.maximum(b * b - a * c, 0.0))
        # The root that is met first ahead, written so that nothing cancels.
        with np.errstate(divide="ignore", invalid="ignore"):
            one = np.where(b > 0, -c / (b + root), (root - b) / a)
            two = np.where(b > 0, -(b + root) / a, -c / (b + root))
        both = np.stack([one, two])
        both = np.where(np.isfinite(both) & (both >= 0), both, np.inf)
        return np.asarray(both.min(axis=0))

    def holds(self, points: Floats) -> np.ndarray:
        """Return (k,) bool: strictly inside."""
        p = self.inward(points)
        within = (p[:, 2] > 0) & (p[:, 2] < self.height_mm)
        grow = self.slope * p[:, 2]
        if self.kind == "box":
            for axis in (0, 1):
                within &= np.abs(p[:, axis]) < self.half_mm[axis] + grow
            return np.asarray(within)
        return np.asarray(within & (np.hypot(p[:, 0], p[:, 1]) < self.half_mm[0] + grow))

    def wall_normals(self, points: Floats) -> Floats:
        """Return (k, 3) unit vectors out of the side wall nearest to points on it."""
        p = self.inward(points)
        if self.kind == "box":
            over = np.abs(p[:, :2]) - np.array(self.half_mm)
            axis = over.argmax(axis=1)
            flat = np.zeros((len(p), 3))
            rows = np.arange(len(p))
            flat[rows, axis] = np.where(p[rows, axis] < 0, -1.0, 1.0)
        else:
            flat = np.column_stack([p[:, :2], np.zeros(len(p))])
            flat /= np.maximum(np.linalg.norm(flat, axis=1, keepdims=True), 1e-12)
        flat[:, 2] = -self.slope
        return self._turned(flat / math.hypot(1.0, self.slope), 1.0)


def block_of(container: Container, *, over: OverFloor | None = None) -> Block:
    """Return the block that a container makes; `over` where a cut runs over its far face."""
    rim = container.rim_width_mm - container.floor_width_mm
    deep = container.floor_depth_mm if container.kind == "box" else container.floor_width_mm
    return Block(
        kind=container.kind,
        centre_mm=container.centre_mm,
        turn_deg=container.turn_deg,
        half_mm=(container.floor_width_mm / 2, deep / 2),
        slope=rim / 2 / container.height_mm,
        height_mm=container.fill_height_mm,
        over=over,
    )
