"""Mouths weighed by the work of the whole run."""

from __future__ import annotations

from pathlib import Path

import pytest

from partline.job import Job, MouthPart, RunPart, ScanPart
from partline.mouths import MouthRow, mouth_work


def test_a_mouth_with_less_seam_but_more_voids_may_be_more_work() -> None:
    job = Job(name="peg", scan=ScanPart(file=Path("peg.ply"), height_mm=62.0),
              run=RunPart(good=24, yield_share=1.0))  # fmt: skip

    def row(name: str, seam: float, places: int, refused: str = "") -> MouthRow:
        return MouthRow(name, MouthPart(), 0.0, 0.0, 0.0, 0.0, 1, 50.0, 6.0, 0.3, seam, 100.0, 0.1,
                        refused, places, "Comes out")  # fmt: skip

    base, back = mouth_work(job, (row("base", 6.0, 1), row("back", 3.0, 4), row("top", 0, 0, "no")))
    assert (base.name, back.name, base.chosen) == ("base", "back", True)
    # three minutes less of parting line against three more voids of 1.5 min, 24 times
    assert back.run_min - base.run_min == pytest.approx(24 * 1.5)
