"""The incomplete factor: exact where nothing is dropped, and few rounds where something is."""

from __future__ import annotations

import numpy as np
from scipy.sparse import csr_array, diags_array
from scipy.sparse.linalg import LinearOperator, cg

from partline.card.factor import applied, factor
from partline.card.guide import _neighbours


def test_along_a_single_row_of_nodes_the_factor_is_the_matrix_itself() -> None:
    neighbours = _neighbours(np.arange(9).reshape(9, 1, 1))
    conduct = np.ones((9, 6))
    diagonal = np.full(9, 2.5)
    matrix = np.diag(diagonal) - np.eye(9, k=1) - np.eye(9, k=-1)
    right = np.linspace(-1.0, 2.0, 9)
    found = applied(neighbours, conduct, factor(neighbours, conduct, diagonal), right)
    assert np.allclose(matrix @ found, right, atol=1e-12)


def test_a_cube_of_nodes_settles_in_far_fewer_rounds_than_with_its_diagonal() -> None:
    side = 24
    neighbours = _neighbours(np.arange(side**3).reshape(side, side, side))
    conduct, diagonal = np.ones((side**3, 6)), np.full(side**3, 6.0)
    rows, sides = np.nonzero(neighbours >= 0)
    off = csr_array((np.ones(len(rows)), (rows, neighbours[rows, sides])))
    matrix = (diags_array(diagonal) - off).tocsr()
    pivots = factor(neighbours, conduct, diagonal)
    easing = LinearOperator(
        matrix.shape, matvec=lambda r: applied(neighbours, conduct, pivots, r), dtype=np.float64
    )
    right = np.random.default_rng(3).normal(size=side**3)
    rounds, answers = [], []
    for each in (diags_array(1.0 / diagonal), easing):
        counted: list[int] = []
        u, state = cg(matrix, right, rtol=1e-10, M=each, callback=lambda _, c=counted: c.append(1))
        assert state == 0
        rounds.append(len(counted))
        answers.append(u)
    assert rounds[1] < rounds[0] / 2.5
    assert np.allclose(*answers, atol=1e-6)
