"""Mouths side by side: the job's own as it is planned, others on places of the piece."""

from __future__ import annotations

import numpy as np
import pytest

from partline.job import load_job
from partline.mouths import compare_mouths, mouth_words
from partline.plan import make_plan
from partline.samples import sample


@pytest.fixture(scope="module")
def job():
    return load_job(sample("pull.toml"))


@pytest.fixture(scope="module")
def rows(job):
    return compare_mouths(job, most=3)


@pytest.fixture(scope="module")
def plan(job):
    return make_plan(job)


def test_the_jobs_own_mouth_has_the_figures_of_its_plan(job, plan, rows) -> None:
    own = rows[0]
    assert own.mouth == job.stand.mouth
    assert own.rubber_air_mm3 == pytest.approx(plan.rubber_pour.level.volume_mm3)
    assert own.resin_air_mm3 == pytest.approx(plan.resin_pour.level.volume_mm3)
    for row_mm3, pour in ((own.rubber_tipped_mm3, plan.rubber_pour),
                          (own.resin_tipped_mm3, plan.resin_pour)):  # fmt: skip
        assert pour.tipped is not None
        assert row_mm3 == pytest.approx(pour.tipped.left_mm3, abs=0.1)
    assert (own.cuts, own.stretch, own.verdict) == (
        plan.cut.count, pytest.approx(plan.cut.stretch), plan.cut.verdict)  # fmt: skip


def test_others_lie_on_the_piece_and_are_filled_from_there(plan, rows) -> None:
    assert len(rows) == 3
    assert len({row.name for row in rows}) == len(rows)
    piece = plan.master
    for row in rows[1:]:
        if row.refused:
            continue
        place = piece.to_pose[:3, :3] @ row.mouth.point + piece.to_pose[:3, 3]
        assert np.linalg.norm(piece.surface.vertices - place, axis=1).min() < 1e-6
        assert row.resin_tipped_mm3 <= row.resin_air_mm3 + 1e-9
        assert row.rubber_tipped_mm3 <= row.rubber_air_mm3 + 1e-9
        assert row.scar_mm2 > 0


def test_the_table_has_a_line_for_each(rows) -> None:
    heading, names, *lines = mouth_words(rows)
    assert "tipped" in names
    assert "rubber" in heading
    assert [line.split("  ")[0] for line in lines] == [row.name for row in rows]
