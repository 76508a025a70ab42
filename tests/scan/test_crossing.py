from __future__ import annotations

from fractions import Fraction
from itertools import combinations

import numpy as np
import pytest
import trimesh

from partline.errors import NotSolid
from partline.scan.crossing import crossing_pairs
from partline.scan.draft import Draft


def sign(a, b, c, d) -> int:
    """Side of d of the plane a, b, c, in rational arithmetic: no rounding."""
    u, v, w = ([p[i] - d[i] for i in range(3)] for p in (a, b, c))
    value = (
        u[0] * (v[1] * w[2] - v[2] * w[1])
        - u[1] * (v[0] * w[2] - v[2] * w[0])
        + u[2] * (v[0] * w[1] - v[1] * w[0])
    )
    return (value > 0) - (value < 0)


def pierces(points, one, two) -> bool:
    a, b, c = (points[v] for v in two)
    side = [0 if v in two else sign(a, b, c, points[v]) for v in one]
    for k in range(3):
        if side[k] * side[(k + 1) % 3] < 0:
            p, q = points[one[k]], points[one[(k + 1) % 3]]
            if {sign(p, q, a, b), sign(p, q, b, c), sign(p, q, c, a)} in ({1}, {-1}):
                return True
    return False


def test_agrees_with_rational_arithmetic_on_every_pair():
    """Reference: the same question asked of all pairs in exact fractions, no tree, no bound."""
    rng = np.random.default_rng(6)
    points = rng.uniform(-1, 1, (60, 3))
    points[::5] = np.round(points[::5], 1)
    faces = np.array([rng.choice(60, 3, replace=False) for _ in range(80)])
    exact = [tuple(Fraction(float(x)) for x in p) for p in points]
    rows = [tuple(face) for face in faces.tolist()]
    want = {
        (i, j)
        for i, j in combinations(range(80), 2)
        if len(set(rows[i]) & set(rows[j])) < 2
        and (pierces(exact, rows[i], rows[j]) or pierces(exact, rows[j], rows[i]))
    }
    found = crossing_pairs(Draft(points, faces, np.arange(80)))
    assert len(want) > 50
    assert {tuple(pair) for pair in found.tolist()} == want


def test_touching_is_not_crossing(cube, both):
    beside = Draft(cube.vertices + np.array([40.0, 0, 0]), cube.faces, cube.file_faces)
    assert len(crossing_pairs(both(cube, beside))) == 0
    half_in = Draft(cube.vertices + np.array([13.0, 7, 5]), cube.faces, cube.file_faces)
    assert len(crossing_pairs(both(cube, half_in))) > 0


def test_two_balls_cross_along_their_circle():
    ico = trimesh.creation.icosphere(3)
    points = np.vstack([ico.vertices, np.array(ico.vertices) + np.array([0.9, 0.1, 0.2])])
    faces = np.vstack([ico.faces, ico.faces + len(ico.vertices)])
    draft = Draft(points, faces, np.arange(len(faces)))
    hit = np.unique(crossing_pairs(draft))
    middle = points[faces[hit]].mean(axis=1)
    shift = np.linalg.norm([0.9, 0.1, 0.2])
    axis = np.array([0.9, 0.1, 0.2]) / shift
    # Both spheres have radius 1: they meet where the distance along the axis is shift / 2.
    assert np.abs(middle @ axis - shift / 2).max() < 0.2
    assert len(hit) > 60
    assert len(crossing_pairs(draft, most=5)) == 5


def test_the_search_can_be_stopped(monkeypatch):
    from partline.errors import Cancelled
    from partline.scan import crossing

    monkeypatch.setattr(crossing, "_AT_A_TIME", 100)
    ball = trimesh.creation.icosphere(3)
    draft = Draft(np.array(ball.vertices), np.array(ball.faces), np.arange(len(ball.faces)))
    heard: list[float] = []

    def stop(fraction: float, words: str) -> None:
        heard.append(fraction)
        if fraction > 0.5:
            raise Cancelled("enough")

    with pytest.raises(Cancelled):
        crossing.crossing_pairs(draft, progress=stop)
    assert 0.5 < heard[-1] < 0.6
    assert len(crossing.crossing_pairs(draft)) == 0


def test_heaps_of_faces_are_refused_instead_of_searched_for_ever():
    points = np.random.default_rng(1).random((30_000, 3))
    draft = Draft(points, np.arange(30_000).reshape(-1, 3), np.arange(10_000))
    with pytest.raises(NotSolid, match="in heaps"):
        crossing_pairs(draft)
