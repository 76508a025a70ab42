"""The figures of a detail map that other programs may read."""

import json
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent / "detail"))
from bodies import cylinder

from partline.detail.relief import detail_map
from partline.detail_summary import detail_summary


def test_sharp_edges_and_the_meaning_of_words_are_there() -> None:
    body = cylinder(12, 30, 0.4)
    found = detail_map(body)
    said = json.loads(json.dumps(detail_summary(body, found)))
    # Closed form: two circles.
    assert said["hard_convex_mm"] == pytest.approx(2 * 2 * np.pi * 12, rel=0.02)
    assert [len(run["place_mm"]) for run in said["hard_convex"]] == [3, 3]
    assert "Sq" in said["terms"]["relief_mm"]
    assert "Sdq" in said["terms"]["slope"]
    assert "from memory" in said["terms"]["source"]
    assert said["zones"] == 0
    untold = detail_summary(body, replace(found, noise_mm=None))
    assert untold["noise_mm"] is None
