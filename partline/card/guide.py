"""The guide of the blade: a harmonic field from the piece to the block's side walls, on a grid."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import count, product

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array, diags_array
from scipy.sparse.linalg import LinearOperator, cg

from partline.card.block import Block
from partline.card.factor import applied, factor
from partline.errors import InternalError
from partline.geometry.rays import Rays
from partline.geometry.surface import Floats
from partline.progress import Progress, silent, span

CELL_MM = 1.5
CELLS = 300_000
"""A block of more cells than this gets larger ones."""

TOLERANCE = 1e-10
_STUCK = 40  # a line that comes no farther than a step in so many goes round in a pit
_LEAST = 0.02  # nearer to a boundary than this share of a cell, a node counts as so far from it
_AXES = np.vstack([np.eye(3), -np.eye(3)])


@dataclass(frozen=True, eq=False)
class Guide:
    """Directions of steepest rise of the field in the rubber.

    Attributes
    ----------
    low : (3,) float64
        The first node [mm].
    step : (3,) float64
        Between nodes [mm].
    rise : (i, j, k, 3) float64
        Gradient at each node; 0 outside the rubber [1/mm].
    known : (i, j, k) bool
        Nodes in the rubber.
    unknowns : int
    """

    low: Floats
    step: Floats
    rise: Floats
    known: NDArray[np.bool_]
    unknowns: int

    def at(self, points: Floats) -> Floats:
        """Return (n, 3) gradients, weighted over the nodes round each point in the rubber."""
        place = (points - self.low) / self.step
        size = np.array(self.known.shape)
        base = np.clip(np.floor(place).astype(int), 0, size - 2)
        part = np.clip(place - base, 0.0, 1.0)
        total, weight = np.zeros((len(points), 3)), np.zeros(len(points))
        for corner in product((0, 1), repeat=3):
            c = np.array(corner)
            i, j, k = (base + c).T
            share = np.prod(np.where(c == 1, part, 1.0 - part), axis=1) * self.known[i, j, k]
            total += share[:, None] * self.rise[i, j, k]
            weight += share
        return total / np.maximum(weight, 1e-300)[:, None]


def guide_of(
    block: Block, rays: Rays, *, cell_mm: float | None = None, progress: Progress = silent
) -> Guide:
    """Solve for the field that is 0 on the piece and 1 on the side walls.

    No flux passes the mouth face, nor the far face unless a cut goes over it (then it is 1 as
    well). Distances to the boundary along the grid are exact and enter the
    balance of each node (Gibou, Fedkiw, Cheng and Kang 2002, "A second-order-accurate symmetric
    discretization of the Poisson equation on irregular domains"); conjugate gradients to 1e-10.

    Parameters
    ----------
    block : Block
    rays : Rays
        Against piece and foot block together.
    cell_mm : float, optional
        Wanted size of a cell; by default `CELL_MM`, and more in a block of over `CELLS` [mm].
    progress : Progress
    """
    words = "finding the blade's way through the rubber"
    progress(0.0, words)
    low, step, size = _grid(block, cell_mm or max(CELL_MM, float(np.cbrt(_room(block) / CELLS))))
    nodes = low + np.moveaxis(np.indices(size), 0, -1) * step
    flat = nodes.reshape(-1, 3)
    rubber = (block.holds(flat) & ~_inside(rays, nodes).ravel()).reshape(size)
    number = np.full(size, -1, dtype=np.int64)
    number[rubber] = np.arange(np.count_nonzero(rubber))
    points = flat[rubber.ravel()]
    progress(0.3, words)
    if not len(points):
        raise InternalError("The block holds no rubber between the piece and the wall.")
    links = _Links(block, rays, points, step)
    neighbours = _neighbours(number)[rubber.ravel()]
    conduct, target, reach = links.of(neighbours)
    progress(0.5, words)
    u = _solved(neighbours, conduct, target, span(progress, 0.5, 0.9))
    rise = np.zeros((*size, 3))
    rise[rubber] = _gradient(u, neighbours, target, reach)
    return Guide(low, step, rise, rubber, len(points))


def _room(block: Block) -> float:
    """Return about how much the block holds, piece and all [mm^3]."""
    wide, deep = (2 * (half + block.slope * block.height_mm / 2) for half in block.half_mm)
    return wide * deep * block.height_mm * (1.0 if block.kind == "box" else np.pi / 4)


def _grid(block: Block, cell_mm: float) -> tuple[Floats, Floats, tuple[int, int, int]]:
    wide = max(block.half_mm) + max(0.0, block.slope) * block.height_mm
    wide *= np.sqrt(2.0) if block.kind == "box" and block.turn_deg % 90 else 1.0
    across = int(np.ceil(2 * wide / cell_mm)) + 2
    up = max(4, int(np.ceil(block.height_mm / cell_mm)))
    step = np.array([cell_mm, cell_mm, block.height_mm / up])
    # Nodes in z are middles of cells, so that no flux passes the first and last face of them;
    # the small offset keeps rays off vertices that lie on round numbers.
    corner = np.array(block.centre_mm) - cell_mm * (across - 1) / 2 + 0.0137 * cell_mm
    return np.array([*corner, step[2] / 2]), step, (across, across, up)


def _inside(rays: Rays, nodes: Floats) -> NDArray[np.bool_]:
    """Return (i, j, k) bool: inside the piece, by walking up each column from hit to hit."""
    i, j, k, _ = nodes.shape
    inside = np.zeros((i, j, k), dtype=bool)
    columns = nodes[:, :, 0, :].reshape(-1, 3).copy()
    heights = nodes[0, 0, :, 2]
    start = -10.0
    columns[:, 2] = start
    at = np.full(len(columns), start)
    going = np.arange(len(columns))
    filled = inside.reshape(-1, k)
    up = np.array([0.0, 0.0, 1.0])
    while len(going):
        columns[going, 2] = at[going]
        distance, face = rays.first(columns[going], up)
        hit = face >= 0
        going, reached = going[hit], at[going[hit]] + distance[hit]
        entering = rays.entering(face[hit], up)
        # What lies above the last hit is inside where that hit entered.
        above = heights[None, :] > reached[:, None]
        filled[going] = np.where(above, entering[:, None], filled[going])
        at[going] = reached
    return inside


def _neighbours(number: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return (nodes, 6) numbers of the neighbours along +x +y +z -x -y -z; -1 where none."""
    found = np.full((*number.shape, 6), -1, dtype=np.int64)
    for axis in range(3):
        later, sooner = np.moveaxis(number, axis, 0)[1:], np.moveaxis(number, axis, 0)[:-1]
        np.moveaxis(found[..., axis], axis, 0)[:-1] = later
        np.moveaxis(found[..., axis + 3], axis, 0)[1:] = sooner
    return found.reshape(-1, 6)


class _Links:
    """What each node exchanges with its six sides."""

    def __init__(self, block: Block, rays: Rays, points: Floats, step: Floats) -> None:
        self.block, self.rays, self.points, self.step = block, rays, points, step

    def of(self, neighbours: NDArray[np.int64]) -> tuple[Floats, Floats, Floats]:
        """Return (n, 6) conductance, boundary value (nan: a neighbour or no flux), distance."""
        n = len(neighbours)
        conduct, target = np.zeros((n, 6)), np.full((n, 6), np.nan)
        reach = np.broadcast_to(np.tile(self.step, 2), (n, 6)).copy()
        volume = float(np.prod(self.step))
        for side in range(6):
            length = self.step[side % 3]
            conduct[:, side] = volume / length**2
            rows = np.flatnonzero(neighbours[:, side] < 0)
            direction = np.broadcast_to(_AXES[side], (len(rows), 3))
            piece, face = self.rays.first(self.points[rows], direction)
            wall = self.block.exits(self.points[rows], direction, sides_only=True)
            if side == 2 and self.block.over is not None:
                wall = np.minimum(wall, self.block.height_mm - self.points[rows, 2])
            near = np.minimum(np.where(face >= 0, piece, np.inf), wall)
            shut = near > length * 1.000001  # no flux: the mouth face or the far face
            near = np.clip(near, _LEAST * length, length)
            conduct[rows, side] = np.where(shut, 0.0, volume / length / near)
            target[rows, side] = np.where(shut, np.nan, np.where(piece < wall, 0.0, 1.0))
            reach[rows, side] = near
        return conduct, target, reach


def _solved(
    neighbours: NDArray[np.int64], conduct: Floats, target: Floats, progress: Progress
) -> Floats:
    inner = neighbours >= 0
    rows, sides = np.nonzero(inner)
    diagonal = conduct.sum(axis=1)
    # A node walled in on every side by nothing: keep it from making the system singular.
    diagonal = np.where(diagonal > 0, diagonal, 1.0)
    n = len(diagonal)
    matrix = csr_array((-conduct[rows, sides], (rows, neighbours[rows, sides])), shape=(n, n))
    matrix = (matrix + diags_array(diagonal)).tocsr()
    right = np.where(np.isnan(target), 0.0, conduct * np.nan_to_num(target)).sum(axis=1)
    pivots = factor(neighbours, conduct, diagonal)
    easing = LinearOperator(
        (n, n), matvec=lambda r: applied(neighbours, conduct, pivots, r), dtype=np.float64
    )
    turn = count(1)
    u, state = cg(
        matrix, right, rtol=TOLERANCE, atol=0.0, maxiter=20 * int(n ** (1 / 3)) + 2000,
        M=easing,
        callback=lambda _: progress(
            1.0 - 0.98 ** next(turn), "finding the blade's way through the rubber"
        ),
    )  # fmt: skip
    if state != 0:
        raise InternalError(f"The guide of the blade did not settle in {state} rounds.")
    return np.asarray(u)


def _gradient(u: Floats, neighbours: NDArray[np.int64], target: Floats, reach: Floats) -> Floats:
    """Return (n, 3) gradients by differences over unequal distances."""
    ends = np.where(neighbours >= 0, u[np.maximum(neighbours, 0)], target)
    ends = np.where(np.isnan(ends), u[:, None], ends)
    slopes = (ends - u[:, None]) / reach
    ahead, behind = slopes[:, :3], -slopes[:, 3:]
    front, back = reach[:, :3], reach[:, 3:]
    return np.asarray((ahead * back + behind * front) / (front + back))


def followed(
    guide: Guide, block: Block, starts: Floats, normals: Floats, *, step_mm: float = 0.5
) -> list[Floats]:
    """Return the field line from each start to where it leaves the block: a list of (k, 3).

    Parameters
    ----------
    starts, normals : (n, 3) float64
        Points on the piece and the way out of it there.
    """
    top = np.inf if block.over is not None else block.height_mm - 1e-6
    at = starts + 0.5 * step_mm * normals
    lines = [[p, q] for p, q in zip(starts, at, strict=True)]
    going = np.arange(len(starts))
    last = normals.copy()
    before = at.copy()
    for turn in range(int(6 * (block.height_mm + 2 * max(block.half_mm)) / step_mm)):
        here = at[going]
        first = _unit(guide.at(here), last[going])
        second = _unit(guide.at(here + 0.5 * step_mm * first), first)
        there = here + step_mm * second
        there[:, 2] = np.clip(there[:, 2], 1e-6, top)
        last[going] = second
        out = ~block.holds(there)
        if out.any():
            ways = there[out] - here[out]
            # `here` is inside and `there` is not, so the share is at most 1.
            share = np.minimum(block.exits(here[out], ways), 1.0)
            there[out] = here[out] + share[:, None] * ways
        for row, point in zip(going, there, strict=True):
            lines[row].append(point)
        at[going] = there
        going = going[~out]
        if turn % _STUCK == _STUCK - 1:
            going = going[np.linalg.norm(at[going] - before[going], axis=1) > step_mm]
            before = at.copy()
        if not len(going):
            break
    return [np.array(line) for line in lines]


def _unit(vectors: Floats, otherwise: Floats) -> Floats:
    length = np.linalg.norm(vectors, axis=1, keepdims=True)
    return np.where(length > 1e-300, vectors / np.maximum(length, 1e-300), otherwise)
