"""A quarter of the triangles, here or in a process of its own."""

from __future__ import annotations

import numpy as np
import pytest
from bodies import roughened, torus

from partline.detail import thinning
from partline.errors import Cancelled


def test_another_process_gives_the_same_mesh(monkeypatch: pytest.MonkeyPatch) -> None:
    body = roughened(torus(20, 8, 1.6), 0.04)
    here = thinning.quartered(body.vertices.copy(), body.faces.copy())
    monkeypatch.setattr(thinning, "LARGE", 0)
    told: list[float] = []
    there = thinning.quartered(
        body.vertices.copy(), body.faces.copy(), progress=lambda fraction, _: told.append(fraction)
    )
    for mine, theirs in zip(here, there, strict=True):
        np.testing.assert_array_equal(mine, theirs)
        assert mine.dtype == theirs.dtype
    assert len(here[1]) == pytest.approx(len(body.faces) / 4, rel=0.01)
    assert 0.0 <= told[0] <= told[-1] <= 1.0


def test_another_process_is_left_at_once_when_cancelled(monkeypatch: pytest.MonkeyPatch) -> None:
    body = torus(20, 8, 1.6)
    monkeypatch.setattr(thinning, "LARGE", 0)

    def cancel(fraction: float, words: str) -> None:
        raise Cancelled

    with pytest.raises(Cancelled):
        thinning.quartered(body.vertices.copy(), body.faces.copy(), progress=cancel)
