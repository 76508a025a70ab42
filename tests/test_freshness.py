"""What of an earlier plan holds, and that a plan made over it is the plan made anew."""

from __future__ import annotations

import pytest
from clock import Clock

from partline.freshness import STAGES, still_holding
from partline.job import CutPart, Job, MaterialPart, RunPart, ScanPart, ZonePart, load_job
from partline.job_vents import VentsPart
from partline.plan import make_plan
from partline.planfile import summary
from partline.samples import sample

BASE = Job(name="peg", scan=ScanPart(file="ram.ply", height_mm=62.0))


@pytest.mark.parametrize(
    ("change", "holding"),
    [
        ({}, set(STAGES)),
        ({"run": RunPart(good=3)}, set(STAGES) - {"weigh"}),
        ({"name": "hook"}, set(STAGES) - {"weigh"}),
        ({"vents": VentsPart(wanted=False)}, set(STAGES) - {"weigh"}),
        # How long moves are held hangs on the resin.
        ({"resin": MaterialPart(kind="clear resin", density=1.2)}, set(STAGES) - {"air", "weigh"}),
        ({"cut": CutPart(cuts=1)}, {"piece", "stand", "detail", "air"}),
        ({"cut": CutPart(next_to_piece="jagged")}, set(STAGES) - {"weigh"}),
        (
            {"zones": (ZonePart(kind="stay off", point=(0, 0, 9), radius_mm=4),)},
            {"piece", "stand", "detail", "air"},
        ),
        ({"stand": BASE.stand.model_copy(update={"wall_mm": 9.0})}, {"piece"}),
        (
            {"stand": BASE.stand.model_copy(update={"show": "all round"})},
            {"piece", "stand", "detail", "air"},
        ),
        ({"scan": ScanPart(file="ram.ply", height_mm=63.0)}, set()),
        ({"scan": ScanPart(file="ram.ply", height_mm=62.0, front=(1.0, -1.0, 0.0))}, set()),
    ],
)
def test_what_holds_after_a_change(change, holding):
    assert still_holding(BASE, BASE.model_copy(update=change)) == holding


def test_every_key_of_the_job_is_an_input_of_some_stage():
    from partline.freshness import _inputs

    said = repr(_inputs(BASE.model_copy(update={"look": BASE.look})))
    for name in set(Job.model_fields) - {"look"}:
        value = getattr(BASE, name)
        assert repr(value) in said or name == "stand", name


def test_a_plan_over_an_earlier_one_is_the_plan_made_anew():
    job = load_job(sample("pull.toml"))
    first = make_plan(job)
    changed = job.model_copy(update={"run": RunPart(good=7), "cut": CutPart(cuts=0)})
    heard = []
    over = make_plan(changed, earlier=first, progress=lambda _, words: heard.append(words))
    assert over.detail is first.detail
    assert over.resin_pour.rocking is first.resin_pour.rocking
    assert over.resin_pour.brush_first is first.resin_pour.brush_first
    assert over.cut is not first.cut
    clock = Clock()
    assert summary(over) == summary(make_plan(changed, progress=clock))
    # Heard of all the time, and never backwards.
    silence, where = clock.longest_silence()
    assert silence <= 1.0, where
    assert clock.backwards() == []
    assert not any("relief" in words or "Trying tips" in words for words in heard)
