"""Blocks and pieces whose strokes are known."""

from __future__ import annotations

import numpy as np
import trimesh

from partline.card.block import Block
from partline.geometry.rays import Rays
from partline.geometry.surface import Floats, Surface

PIPE = Block("pipe", (3.0, 4.0), 0.0, (35.0, 35.0), 0.0, 60.0)
CUP = Block("cup", (-2.0, 1.5), 0.0, (32.0, 32.0), 0.13, 80.0)
BOX = Block("box", (2.0, -3.0), 25.0, (30.0, 40.0), 0.0, 55.0)
TAPERED_BOX = Block("box", (1.0, 2.0), -10.0, (30.0, 24.0), 0.1, 50.0)
ALL = (PIPE, CUP, BOX, TAPERED_BOX)


class Ball(Block):
    """A block that is a sphere about its middle, for the check with concentric spheres."""

    @property
    def middle(self) -> Floats:
        return np.array([*self.centre_mm, self.height_mm / 2])

    def exits(
        self,
        origins: Floats,
        directions: Floats,
        *,
        sides_only: bool = False,  # noqa: ARG002 - a ball is all side
    ) -> Floats:
        o = origins - self.middle
        a = (directions**2).sum(axis=1)
        b = (o * directions).sum(axis=1)
        c = (o**2).sum(axis=1) - self.half_mm[0] ** 2
        return np.asarray((np.sqrt(np.maximum(b * b - a * np.minimum(c, 0.0), 0.0)) - b) / a)

    def holds(self, points: Floats) -> np.ndarray:
        return np.asarray(np.linalg.norm(points - self.middle, axis=1) < self.half_mm[0])


def rays_of(mesh: trimesh.Trimesh) -> Rays:
    return Rays(Surface(mesh.vertices, mesh.faces))


def upright(radius: float, height: float, at: tuple[float, float]) -> Rays:
    mesh = trimesh.creation.cylinder(radius, height, sections=256)
    mesh.apply_translation([*at, height / 2 - 1.0])
    return rays_of(mesh)


def on_wall(block: Block, count: int, seed: int = 3) -> Floats:
    """Random points on the side wall."""
    random = np.random.default_rng(seed)
    start = np.column_stack(
        [np.tile(block.centre_mm, (count, 1)), random.uniform(0.0, block.height_mm, count)]
    )
    turn = random.uniform(0, 2 * np.pi, count)
    way = np.column_stack([np.cos(turn), np.sin(turn), np.zeros(count)])
    return np.asarray(start + block.exits(start, way, sides_only=True)[:, None] * way)
