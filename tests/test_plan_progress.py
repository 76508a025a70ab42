"""A whole plan is heard of all the time, and can be left at any moment; with PARTLINE_LONG.

In short the clock runs along in `test_freshness`, on a smaller piece.
"""

import os
from time import process_time

import pytest
from clock import Clock

from partline.errors import Cancelled
from partline.job import load_job
from partline.plan import make_plan
from partline.samples import sample

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not os.environ.get("PARTLINE_LONG"), reason="PARTLINE_LONG is not set"),
]


@pytest.fixture(scope="module")
def job():
    found = load_job(sample("ram.toml"))
    make_plan(found)  # compiled
    return found


def test_no_silence_in_a_whole_plan(job):
    clock = Clock()
    make_plan(job, progress=clock)
    silence, where = clock.longest_silence()
    print(f"\n{len(clock.calls)} calls, the longest silence {silence:.2f} s, {where}")
    assert silence <= 1.0, where
    assert clock.backwards() == []
    assert clock.calls[-1][1] == pytest.approx(1.0)


@pytest.mark.parametrize("share", [0.01, 0.15, 0.3, 0.42, 0.52, 0.6, 0.7, 0.88, 0.95])
def test_cancelled_is_left_at_once(job, share):
    clock = Clock(cancel_at=share)
    with pytest.raises(Cancelled):
        make_plan(job, progress=clock)
    assert process_time() - clock.cancelled_s <= 1.0
    assert clock.calls[-1][1] >= share  # nothing was heard of after it
