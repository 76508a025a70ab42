"""Symmetric sparse systems against a direct solver."""

import numpy as np
import pytest
from scipy import sparse
from scipy.sparse import linalg

from partline.errors import Cancelled
from partline.geometry.conjugate_gradients import padded, solve


def _system(n: int) -> tuple[sparse.csr_array, np.ndarray]:
    """A chain of springs, each end held a little."""
    mass = np.random.default_rng(0).uniform(0.5, 2.0, n)
    ones = np.ones(n - 1)
    stiff = sparse.diags_array([-ones, 2.0 * np.ones(n), -ones], offsets=[-1, 0, 1])
    return sparse.csr_array(sparse.diags_array(mass) + 50.0 * stiff), mass


@pytest.mark.parametrize("columns", [1, 4, 8])
def test_the_answer_is_the_direct_one_and_keeps_its_tolerance(columns: int) -> None:
    assert padded(columns) == columns
    system, mass = _system(300)
    right = np.random.default_rng(1).normal(size=(300, columns)) * 10.0 ** np.arange(columns)
    exact = linalg.spsolve(system.tocsc(), right).reshape(300, columns)
    allowed = 1e-6 * 10.0 ** np.arange(columns)
    answer = np.ones_like(right)
    solve(system, mass, right.copy(), answer, allowed)
    error = np.sqrt((mass[:, None] * (answer - exact) ** 2).sum(axis=0) / mass.sum())
    assert (error <= allowed).all()
    # A good guess is left as it is.
    again = exact.copy()
    solve(system, mass, right.copy(), again, allowed)
    np.testing.assert_array_equal(again, exact)


def test_columns_that_do_not_matter_are_left_at_nothing() -> None:
    assert [padded(k) for k in (1, 2, 3, 4, 5)] == [1, 4, 4, 4, 8]
    system, mass = _system(200)
    right = np.zeros((200, 4))
    right[:, 0] = 1.0
    answer = np.zeros_like(right)
    solve(system, mass, right, answer, np.array([1e-9, np.inf, np.inf, np.inf]))
    assert np.abs(answer[:, 0]).min() > 0
    assert not answer[:, 1:].any()


def test_it_can_be_left() -> None:
    system, mass = _system(200)

    def cancel(fraction: float, words: str) -> None:
        raise Cancelled

    right = np.random.default_rng(1).normal(size=(200, 1))
    with pytest.raises(Cancelled):
        solve(system, mass, right, np.zeros((200, 1)), np.array([1e-9]), progress=cancel)
