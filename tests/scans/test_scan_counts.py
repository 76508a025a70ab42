"""Counts of 54 broken files against an independent answer key.

Source: Zhou and Jacobson 2016, "Thingi10K: A Dataset of 10,000 3D-Printing Models" (columns
t10k_*), and counts made beside it with other code (columns my_*) in TRUTH.csv.
"""

from __future__ import annotations

import csv
import os
from pathlib import Path

import pytest

from partline.scan.diagnosing import diagnose

FOLDER = Path(os.environ.get("PARTLINE_SCANS", "")) / "thingi10k_messy"
pytestmark = [
    pytest.mark.scans,
    pytest.mark.skipif(
        not (FOLDER / "TRUTH.csv").exists(), reason="PARTLINE_SCANS has no thingi10k_messy"
    ),
]
COLUMNS = {
    "vertices": "my_vertices",
    "faces": "my_faces",
    "bodies": "my_shells",
    "open_edges": "my_boundary_edges",
    "crowded_edges": "my_nonmanifold_edges",
    "pinched_vertices": "my_nonmanifold_vertices",
    "disagreeing_edges": "my_winding_bad",
    "degenerate_faces": "t10k_degenerate_comb",
    "duplicate_faces": "t10k_duplicate_faces",
}
# Faces passing through others, ours: only where an edge of one pierces the inside of another,
# judged in double precision (tests/scan/test_crossing.py judges the same in exact fractions).
# The key also counts faces that touch, or overlap in one plane, in these files.
CROSSING = {
    "50736.stl": 0, "52863.stl": 0, "61457.stl": 16, "61460.stl": 0, "70375.stl": 0,
    "70378.stl": 0, "73338.stl": 0, "90225.stl": 0, "93068.stl": 8, "100827.stl": 0,
    "109730.stl": 3,
}  # fmt: skip
# Every edge of these has as many faces one way as the other, so the volume is exact although
# more than two meet at some; the key gives none where more than two meet.
VOLUME_TOO = {"61459.stl", "61460.stl", "68251.stl"}
# Neighbours of these disagree which side is outside: the key still sums tetrahedra, we do not.
NO_VOLUME = {"73335.stl", "73336.stl", "73340.stl", "73342.stl"}


def rows() -> list[dict[str, str]]:
    if not (FOLDER / "TRUTH.csv").exists():
        return []
    with open(FOLDER / "TRUTH.csv", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("row", rows(), ids=lambda row: row["file"])
def test_counts_agree_with_the_key(row):
    health = diagnose(FOLDER / row["file"], units="mm")
    for ours, theirs in COLUMNS.items():
        assert getattr(health, ours) == int(row[theirs]), ours
    assert health.crossing_faces == CROSSING.get(row["file"], int(row["my_self_int_faces"] or 0))
    if row["file"] in NO_VOLUME:
        assert health.volume is None
    elif row["file"] in VOLUME_TOO:
        assert health.volume is not None
    elif row["volume"]:
        assert health.volume == pytest.approx(float(row["volume"]), rel=1e-9)
    else:
        assert health.volume is None


def test_all_54_are_there():
    assert len(rows()) == 54
