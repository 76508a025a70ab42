"""The outside of a block laid flat: cylinder to rectangle, cup to annular sector, box to a strip.

Paper as seen from outside with the mouth up: x to the right, y down. Seen so, what lies clockwise
from the front mark (looking into the mouth) is to the left of it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from partline.card.block import Block
from partline.geometry.directions import side
from partline.geometry.surface import Floats

_SAMPLES = 720
# A wall this close to upright is laid out as a cylinder: over a metre it is off by 1 um.
_UPRIGHT = 1e-6


def azimuths(block: Block, points: Floats) -> Floats:
    """Return (k,) on which side of the axis points lie, looking into the mouth [radians]."""
    p = points - np.array([*block.centre_mm, 0.0])
    front, right = side(0.0, "resin"), side(90.0, "resin")
    return np.asarray(np.arctan2(p @ right, p @ front))


class _Wall:
    """What the layouts of the side walls have in common."""

    block: Block

    ways = ("the mouth", "the far face", "left", "right")
    """What lies up, down, left and right of a place on paper."""

    def normals(self, points: Floats) -> Floats:
        """Return (k, 3) unit vectors out of the block at points on it."""
        return self.block.wall_normals(points)

    def thrown(self, points: Floats, normals: Floats) -> Floats:
        """Return (k, 3) points thrown along normals onto the outside [mm]."""
        inside = points.copy()
        inside[:, 2] = np.clip(inside[:, 2], 0.0, self.block.height_mm)
        return points + self.block.exits(inside, normals, sides_only=True)[:, None] * normals


@dataclass(frozen=True, eq=False)
class EndLayout:
    """The far face as one looks onto it, mouth down, front toward oneself: y down the paper."""

    block: Block

    ways = ("the back", "the front", "left", "right")

    def lay(self, points: Floats) -> Floats:
        """Return (k, 2) places on paper of (k, 3) points on the far face [mm]."""
        return points[:, :2] * [1.0, -1.0]

    def roll(self, paper: Floats) -> Floats:
        """Return the (k, 3) points of the far face under places on paper [mm]."""
        return np.column_stack([paper * [1.0, -1.0], np.full(len(paper), self.block.height_mm)])

    def normals(self, points: Floats) -> Floats:
        """Return (k, 3) unit vectors out of the block at points on it."""
        return np.tile([0.0, 0.0, 1.0], (len(points), 1))

    def thrown(self, points: Floats, normals: Floats) -> Floats:  # noqa: ARG002 - all upright
        """Return (k, 3) points thrown along normals onto the outside [mm]."""
        return self.roll(self.lay(points))


@dataclass(frozen=True, eq=False)
class RoundLayout(_Wall):
    """A cup or pipe laid flat, its ends meeting at `seam` [radians]."""

    block: Block
    seam: float

    def lay(self, points: Floats) -> Floats:
        """Return (k, 2) places on paper of (k, 3) points on the wall [mm]."""
        turn = np.mod(azimuths(self.block, points) - self.seam, 2 * math.pi) - math.pi
        return self._placed(turn, points[:, 2])

    def edge(self, z: float) -> Floats:
        """Return the (k, 2) line of a height, left to right [mm]."""
        turn = np.linspace(math.pi, -math.pi, _SAMPLES + 1)
        return self._placed(turn, np.full(len(turn), z))

    def roll(self, paper: Floats) -> Floats:
        """Return the (k, 3) points of the wall under places on paper [mm]."""
        slope, radius = self.block.slope, self.block.half_mm[0]
        if slope < _UPRIGHT:
            turn, z = -paper[:, 0] / radius, paper[:, 1]
        else:
            stretch = math.hypot(1.0, slope) / slope
            apex = radius * stretch
            far = np.hypot(paper[:, 0], paper[:, 1] + apex)
            turn = np.arctan2(-paper[:, 0], paper[:, 1] + apex) * stretch
            z = (far - apex) / math.hypot(1.0, slope)
        around = turn + math.pi + self.seam
        wide = radius + slope * z
        front, right = side(0.0, "resin"), side(90.0, "resin")
        flat = (wide * np.cos(around))[:, None] * front + (wide * np.sin(around))[:, None] * right
        flat[:, 2] = z
        return np.asarray(flat + np.array([*self.block.centre_mm, 0.0]))

    def folds(self) -> tuple[Floats, ...]:
        """Return no folds: it is round."""
        return ()

    def _placed(self, turn: Floats, z: Floats) -> Floats:
        slope, radius = self.block.slope, self.block.half_mm[0]
        if slope < _UPRIGHT:
            return np.column_stack([-radius * turn, z])
        # Lengths from the cone's apex, above the paper; angles shrink by the sine of its half
        # angle. y is written so that nothing cancels in a cup that hardly tapers.
        stretch = math.hypot(1.0, slope) / slope
        apex, along = radius * stretch, z * math.hypot(1.0, slope)
        angle = turn / stretch
        return np.column_stack(
            [
                -(apex + along) * np.sin(angle),
                along - 2 * (apex + along) * np.sin(angle / 2) ** 2,
            ]
        )


@dataclass(frozen=True, eq=False)
class BoxLayout(_Wall):
    """A box laid flat, face beside face.

    Attributes
    ----------
    block : Block
    low : (5, 3) float64
        Corners at z = 0 in the block's axes, left to right; the last is the first again [mm].
    across, down : (4, 3) float64
        Axes of each face, along its mouth edge and down it.
    place, paper_across, paper_down : (4, 2) float64
        Where each face's first corner lies on paper, and its axes there.
    """

    block: Block
    low: Floats
    across: Floats
    down: Floats
    place: Floats
    paper_across: Floats
    paper_down: Floats

    def lay(self, points: Floats) -> Floats:
        """Return (k, 2) places on paper of (k, 3) points on the wall [mm]."""
        p = self.block.inward(points)
        normals = np.cross(self.across, self.down)
        off = np.abs(np.einsum("kij,ij->ki", p[:, None] - self.low[:4], normals))
        return self._on(p, off.argmin(axis=1))

    def edge(self, z: float) -> Floats:
        """Return the (5, 2) line of a height, left to right [mm]."""
        corners = self._corners(z)
        faces = np.minimum(np.arange(5), 3)
        return self._on(corners, faces)

    def roll(self, paper: Floats) -> Floats:
        """Return the (k, 3) points of the wall under places on paper [mm]."""
        best = np.zeros((len(paper), 3))
        least = np.full(len(paper), np.inf)
        for k in range(4):
            local = paper - self.place[k]
            a, b = local @ self.paper_across[k], local @ self.paper_down[k]
            z = b / math.hypot(1.0, self.block.slope)
            long = float(np.linalg.norm(self.low[k + 1] - self.low[k]))
            over = np.maximum(-a - self.block.slope * z, a - long - self.block.slope * z)
            point = self.low[k] + a[:, None] * self.across[k] + b[:, None] * self.down[k]
            best = np.where((over < least)[:, None], point, best)
            least = np.minimum(least, over)
        return self.block.outward(best)

    def folds(self) -> tuple[Floats, ...]:
        """Return the three lines where faces meet, each (2, 2) from the mouth edge down."""
        top, bottom = self.edge(0.0), self.edge(self.block.height_mm)
        return tuple(np.array([top[k], bottom[k]]) for k in (1, 2, 3))

    def _corners(self, z: float) -> Floats:
        grow = self.block.slope * z
        return np.column_stack([self.low[:, :2] + np.sign(self.low[:, :2]) * grow, np.full(5, z)])

    def _on(self, p: Floats, faces: np.ndarray) -> Floats:
        local = p - self.low[faces]
        a = np.einsum("ij,ij->i", local, self.across[faces])
        b = np.einsum("ij,ij->i", local, self.down[faces])
        return np.asarray(
            self.place[faces]
            + a[:, None] * self.paper_across[faces]
            + b[:, None] * self.paper_down[faces]
        )


SideLayout = RoundLayout | BoxLayout
Layout = SideLayout | EndLayout


def layout_of(block: Block, avoid: Floats) -> SideLayout:
    """Return the block laid flat, its ends meeting as far as possible from (k, 3) points [mm]."""
    # With nothing to avoid but the front mark, the ends meet at the back.
    busy = np.sort(np.append(azimuths(block, avoid), 0.0))
    if block.kind == "box":
        return _box(block, busy)
    gaps = np.diff(np.append(busy, busy[0] + 2 * math.pi))
    widest = int(gaps.argmax())
    return RoundLayout(block, float(busy[widest] + gaps[widest] / 2))


def _box(block: Block, busy: Floats) -> BoxLayout:
    x, y = block.half_mm
    ring = np.array([[x, -y, 0.0], [-x, -y, 0.0], [-x, y, 0.0], [x, y, 0.0]])
    at = azimuths(block, block.outward(ring))
    away = np.abs(np.mod(at[:, None] - busy[None] + math.pi, 2 * math.pi) - math.pi).min(axis=1)
    first = int(away.argmax())
    low = np.roll(ring, -first, axis=0)
    low = np.vstack([low, low[:1]])
    across = np.diff(low, axis=0)
    lengths = np.linalg.norm(across, axis=1)
    across /= lengths[:, None]
    # Down a face: square to its mouth edge, out by the slope.
    out = np.cross(across, [0.0, 0.0, 1.0])
    middles = (low[:-1] + low[1:]) / 2
    out *= np.sign(np.einsum("ij,ij->i", out, middles))[:, None]
    down = (out * block.slope + np.array([0.0, 0.0, 1.0])) / math.hypot(1.0, block.slope)
    # Each corner line turns the next face by twice its angle from the square.
    angle = math.atan2(block.slope, math.hypot(1.0, block.slope))
    turns = 2 * angle * (np.array([1.5, 0.5, -0.5, -1.5]))
    e1 = np.column_stack([np.cos(turns), np.sin(turns)])
    e2 = np.column_stack([-np.sin(turns), np.cos(turns)])
    starts = np.vstack([[0.0, 0.0], np.cumsum(e1 * lengths[:, None], axis=0)])
    place = starts[:4] - np.array([starts[4, 0] / 2, 0.0])
    return BoxLayout(block, low, across, down, place, e1, e2)
