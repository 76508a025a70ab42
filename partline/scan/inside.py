"""What is inside a scan, holes and all: winding numbers at the nodes of a grid round it.

They are worked out in the blocks of the grid that a face reaches and where it is doubtful what is
inside; every other block is all inside or all outside, like its first corner. The same is asked
again of the blocks' eighths before it is asked of the cells.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

from partline.geometry.surface import Floats
from partline.progress import Progress, silent, span
from partline.scan.draft import Draft
from partline.scan.winding import Dipoles, effort, numbers_and_effort, winding_numbers

# A winding number between these leaves it open whether a place is inside (a choice of this tool).
DOUBTFUL = (0.25, 0.75)
# Cells along the side of a block, halved twice.
COARSE = 4
# Blocks that stand for all when the work is estimated.
_SAMPLE = 200


@dataclass(frozen=True, eq=False)
class Grid:
    """Blocks of cells round a scan.

    Attributes
    ----------
    low : (3,) float64
        First node.
    cell : float
        Size of a cell; a block has COARSE along each side.
    busy : (i, j, k) bool
        Blocks that a face reaches.
    fine : (2 i, 2 j, 2 k) bool
        Their eighths that a face reaches.
    """

    low: Floats
    cell: float
    busy: NDArray[np.bool_]
    fine: NDArray[np.bool_]

    @classmethod
    def round(cls, draft: Draft, source: Dipoles, cell: float) -> Grid:
        """Lay the grid round a draft, a block more on each side."""
        used = draft.vertices[np.unique(draft.faces)]
        blocks = np.ceil(np.ptp(used, axis=0) / (cell * COARSE)).astype(int) + 2
        # Off the planes that models are drawn on, or whole rows of nodes would lie on the surface.
        low = used.min(axis=0) - cell * (COARSE - np.array([0.271, 0.317, 0.353]))
        busy = _reached(source.tree, low, cell * COARSE, tuple(blocks))
        fine = _reached(source.tree, low, cell * COARSE / 2, tuple(2 * blocks))
        return cls(low, cell, busy, fine)


@dataclass(frozen=True, eq=False)
class Field:
    """Winding numbers at the nodes `low + cell * (i, j, k)`."""

    low: Floats
    cell: float
    number: NDArray[np.float32]


def field_of(source: Dipoles, grid: Grid, progress: Progress = silent) -> Field:
    """Work out the winding numbers at all nodes of a grid."""
    number = np.zeros(np.array(grid.busy.shape) + 1, dtype=np.float32)
    wanted = np.ones(number.shape, dtype=bool)
    side, busy = grid.cell * COARSE, np.ones(grid.busy.shape, dtype=bool)
    for reached, start, stop in ((grid.busy, 0.0, 0.15), (grid.fine, 0.15, 0.5), (None, 0.5, 1.0)):
        places = grid.low + side * np.argwhere(wanted)
        number[wanted] = winding_numbers(source, places, progress=span(progress, start, stop))
        if reached is None:
            break
        busy &= reached | ~_alike(number)
        busy = _doubled(busy)
        number = np.ascontiguousarray(_doubled(np.round(number))[:-1, :-1, :-1])
        wanted = _corners_of(busy)
        side /= 2
    return Field(grid.low, grid.cell, _shut(number))


def _doubled(values: NDArray[Any]) -> NDArray[Any]:
    """Each value of a (i, j, k) array as a cube of eight."""
    for axis in range(3):
        values = np.repeat(values, 2, axis)
    return values


def steps_of(source: Dipoles, grid: Grid) -> float:
    """Estimate how many groups of faces `field_of` asks, from some blocks taken at random."""
    rng = np.random.default_rng(0)
    quiet, busy = np.argwhere(~grid.busy), np.argwhere(grid.busy)
    points = _corners_of_some(grid, busy, rng)
    doubtful = 0.0
    if len(quiet):
        number = winding_numbers(source, _corners_of_some(grid, quiet, rng)).reshape(-1, 8)
        plain = (number.max(axis=1) < DOUBTFUL[0]) | (number.min(axis=1) > DOUBTFUL[1])
        doubtful = float((~plain).mean()) * len(quiet)
    blocks = len(busy) + doubtful
    cells = 8 * int(grid.fine.sum()) + COARSE**3 * doubtful
    return effort(source, points) * (grid.busy.size + 8 * blocks + cells)


def _corners_of_some(grid: Grid, blocks: NDArray[np.int64], rng: np.random.Generator) -> Floats:
    """(8 s, 3) corners of some blocks taken at random."""
    some = blocks[rng.integers(0, len(blocks), _SAMPLE)]
    corner = np.array(list(product((0, 1), repeat=3)))
    return (grid.low + grid.cell * COARSE * (some[:, None] + corner)).reshape(-1, 3)


def drawn_of(source: Dipoles, grid: Grid) -> tuple[float, float]:
    """Estimate how many faces a net on the grid gets, and the effort to ask beside one of them.

    Where faces lie all over the piece the net has faces all over it too. They are counted in some
    eighths of blocks taken at random; what is made up over holes, away from any face, is left out.
    """
    eighths = np.argwhere(grid.fine)
    some = eighths[np.random.default_rng(1).integers(0, len(eighths), _SAMPLE // 2)]
    side = COARSE // 2
    node = np.array(list(product(range(side + 1), repeat=3)))
    places = grid.low + grid.cell * (side * some[:, None] + node)
    number, each = numbers_and_effort(source, places.reshape(-1, 3))
    inside = number.reshape(-1, side + 1, side + 1, side + 1) > 0.5
    first = inside[:, :side, :side, :side]
    # Of the edges of its cells an eighth owns those that run up from its own nodes.
    ends = (inside[:, 1:, :side, :side], inside[:, :side, 1:, :side], inside[:, :side, :side, 1:])
    crossed = sum(float((first != end).sum()) for end in ends) / len(some)
    return 2.0 * crossed * len(eighths), each


def _shut(number: NDArray[np.float32]) -> NDArray[np.float32]:
    """Nothing on the outside of the grid is inside, however often loose faces go round it."""
    for axis in range(3):
        side = np.moveaxis(number, axis, 0)
        side[[0, -1]] = np.minimum(side[[0, -1]], 0.0)
    return number


def _alike(rough: Floats) -> NDArray[np.bool_]:
    """Blocks whose eight corners are plainly outside, or plainly inside."""
    low, high = rough, rough
    for axis in range(3):
        one = [slice(None)] * 3
        two = [slice(None)] * 3
        one[axis], two[axis] = slice(0, -1), slice(1, None)
        low = np.minimum(low[tuple(one)], low[tuple(two)])
        high = np.maximum(high[tuple(one)], high[tuple(two)])
    return (high < DOUBTFUL[0]) | (low > DOUBTFUL[1])


@njit(nogil=True, cache=True)
def _reached(tree, low, size, shape):  # type: ignore[no-untyped-def]
    """Blocks that a face reaches, or all but reaches."""
    busy = np.zeros(shape, dtype=np.bool_)
    first = np.empty(3, np.int64)
    last = np.empty(3, np.int64)
    # Faces wide against a block are cut in half until their boxes hold few blocks beside theirs.
    stack = np.empty((64, 3, 3))
    square = np.empty(3)
    for row in range(len(tree.corners)):
        for corner in range(3):
            for axis in range(3):
                stack[0, corner, axis] = (tree.corners[row, corner, axis] - low[axis]) / size
        top = 0
        while top >= 0:
            blocks = 1
            for axis in range(3):
                a, b, c = stack[top, 0, axis], stack[top, 1, axis], stack[top, 2, axis]
                first[axis] = int(np.floor(min(a, b, c)))
                last[axis] = int(np.floor(max(a, b, c)))
                blocks *= last[axis] + 1 - first[axis]
            if blocks <= 8 or top > 60:
                for i in range(first[0], last[0] + 1):
                    for j in range(first[1], last[1] + 1):
                        for k in range(first[2], last[2] + 1):
                            busy[i, j, k] = True
                top -= 1
                continue
            # The side from `one` to `two` is the longest; each half keeps one end of it.
            for corner in range(3):
                square[corner] = 0.0
                for axis in range(3):
                    step = stack[top, (corner + 1) % 3, axis] - stack[top, corner, axis]
                    square[corner] += step * step
            one = np.argmax(square)
            two = (one + 1) % 3
            for axis in range(3):
                middle = 0.5 * (stack[top, one, axis] + stack[top, two, axis])
                stack[top + 1, one, axis] = middle
                stack[top + 1, two, axis] = stack[top, two, axis]
                stack[top + 1, 3 - one - two, axis] = stack[top, 3 - one - two, axis]
                stack[top, two, axis] = middle
            top += 1
    return busy


def _corners_of(cells: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Nodes at the corners of the marked cells."""
    nodes = np.zeros(np.array(cells.shape) + 1, dtype=bool)
    for i, j, k in np.ndindex(2, 2, 2):
        a, b, c = cells.shape
        nodes[i : i + a, j : j + b, k : k + c] |= cells
    return nodes
