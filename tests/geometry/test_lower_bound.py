"""The lower bound of what any curve costs: below closed forms, and near them."""

from __future__ import annotations

import numpy as np
import pytest

from partline.geometry.lower_bound import least_possible
from partline.geometry.surface import Surface


def sheet(wide: int, tall: int, step: float = 1.0) -> Surface:
    """A flat sheet of right-angled triangles in the plane z = 0."""
    x, y = np.meshgrid(np.arange(wide + 1) * step, np.arange(tall + 1) * step, indexing="ij")
    number = np.arange((wide + 1) * (tall + 1)).reshape(wide + 1, tall + 1)
    a, b, c, d = (v.ravel() for v in (number[:-1, :-1], number[1:, :-1], number[1:, 1:],
                                      number[:-1, 1:]))  # fmt: skip
    faces = np.concatenate([np.column_stack([a, b, c]), np.column_stack([a, c, d])])
    return Surface(np.column_stack([x.ravel(), y.ravel(), np.zeros(x.size)]), faces)


def test_between_two_sides_of_a_sheet_it_is_their_distance() -> None:
    flat = sheet(20, 10)
    left, right = (np.flatnonzero(flat.vertices[:, 0] == x) for x in (0, 20))
    bound = least_possible(flat, np.full(len(flat.vertices), 2.0), left, right, known=40.0)
    assert 39.5 <= bound <= 40.0


def test_across_a_boundary_it_stays_below_what_snell_says() -> None:
    """Closed form: the cheapest crossing of a straight boundary between prices 1 and 3."""
    flat = sheet(40, 40, 0.5)
    x, y = flat.vertices[:, 0], flat.vertices[:, 1]
    price = np.where(x <= 10, 1.0, 3.0)
    start = np.flatnonzero((x == 0) & (y == 2))
    stop = np.flatnonzero((x == 20) & (y == 18))
    # The step from 1 to 3 is a ramp over one triangle; the bound may take it for either.
    at = np.linspace(0, 20, 20001)
    cheapest = min(
        (np.hypot(edge, at - 2) + 3 * np.hypot(20 - edge, 18 - at)).min() for edge in (10.0, 10.5)
    )
    known = (np.hypot(10, at - 2) + 3 * np.hypot(10, 18 - at)).min()
    bound = least_possible(flat, price, start, stop, known=known)
    assert 0.94 * cheapest <= bound <= known * (1 + 1e-12)


def test_a_known_curve_that_is_far_from_the_best_is_shown_up() -> None:
    flat = sheet(20, 10)
    x = flat.vertices[:, 0]
    bound = least_possible(
        flat, np.ones(len(x)), np.flatnonzero(x == 0), np.flatnonzero(x == 20), known=30.0
    )
    assert 19.5 <= bound <= 20.0


def test_a_line_of_open_vertices_is_a_way() -> None:
    """A curve along an edge costs what the edge does, though both its triangles are shut."""
    flat = sheet(12, 4)
    x, y = flat.vertices[:, 0], flat.vertices[:, 1]
    price = np.where(y == 2, 1.5, np.inf)
    bound = least_possible(
        flat, price, np.flatnonzero((x == 0) & (y == 2)), np.flatnonzero((x == 12) & (y == 2)),
        known=18.0,
    )  # fmt: skip
    assert 16.5 <= bound <= 18.0


def test_where_nothing_leads_the_known_cost_stands() -> None:
    flat = sheet(12, 4)
    x = flat.vertices[:, 0]
    price = np.where((x > 4) & (x < 8), np.inf, 1.0)
    found = least_possible(flat, price, np.flatnonzero(x == 0), np.flatnonzero(x == 12), known=7.0)
    assert found == pytest.approx(7.0)
