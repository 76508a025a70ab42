"""The strip of moves: the dark side is the side that goes down, as one looks into the mouth."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest

from partline.faces.moves_drawing import Step, moves_strip


def dark_side(body: str) -> np.ndarray:
    """Return the middle of the dark part against the middle of its dial, y up the paper."""
    d = next(e.get("d", "") for e in ET.fromstring(f"<g>{body}</g>").iter("path"))
    points = np.array([float(v) for v in re.findall(r"-?\d+\.\d+", d)]).reshape(-1, 2)
    return (points.mean(axis=0) - np.array([22.0, 26.0])) * [1, -1]


@pytest.mark.parametrize(
    ("azimuth", "toward", "words"),
    # Clockwise as one looks down, the front toward you: a quarter turn from it is on your left.
    [(0.0, (0, -1), "front down"), (90.0, (-1, 0), "left down"), (180.0, (0, 1), "back down"),
     (270.0, (1, 0), "right down"), (45.0, (-0.71, -0.71), "front left down")],
)  # fmt: skip
def test_side(azimuth: float, toward: tuple[float, float], words: str) -> None:
    (strip,) = moves_strip([Step("fill", azimuth, 41.0, "40 s")], 190.0)
    side = dark_side(strip.body)
    np.testing.assert_allclose(side / np.linalg.norm(side), toward, atol=0.02)
    said = ["".join(e.itertext()) for e in ET.fromstring(f"<g>{strip.body}</g>").iter("text")]
    assert said == ["1", "fill", "41°", words, "40 s"]


def test_level_has_no_dark_side_and_rows_keep_to_the_page() -> None:
    steps = [Step("rock", 30.0 * k, 40.0) for k in range(6)] + [Step("top up", None, 0.0)]
    rows = moves_strip(steps, 179.0)
    assert [r.body.count("<rect") for r in rows] == [4, 3]
    assert all(r.width <= 179.0 for r in rows)
    assert rows[1].body.count("<path") == 2
    assert ">level<" in rows[1].body
    assert moves_strip([], 179.0) == ()
