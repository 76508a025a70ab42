"""What is freed is used again while it is needed, and given back when asked; in a process apart."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="glibc is Linux's C library")

MEASURE = """
import json, resource, sys
import numpy as np
from partline.memory import give_back, keep_freed

def held_mb():
    return int(open("/proc/self/statm").read().split()[1]) * resource.getpagesize() / 1e6

if "keep" in sys.argv:
    keep_freed()
before = resource.getrusage(resource.RUSAGE_SELF).ru_minflt
for _ in range(20):
    blocks = [np.ones(2_500_000 + k) for k in range(5)]  # 20 MB each
    del blocks
faults = resource.getrusage(resource.RUSAGE_SELF).ru_minflt - before
kept = held_mb()
give_back()
print(json.dumps([faults, kept, kept - held_mb()]))
"""


def measured(*words: str) -> tuple[float, float, float]:
    command = [sys.executable, "-c", MEASURE, *words]
    environment = {"NUMPY_MADVISE_HUGEPAGE": "0"}  # a page is a page
    done = subprocess.run(command, env=environment, capture_output=True, text=True, check=True)
    return tuple(json.loads(done.stdout))


def test_blocks_are_used_again_and_given_back():
    faults_left, _, _ = measured()
    faults, kept, given = measured("keep")
    assert faults < 0.2 * faults_left
    assert kept > 95.0
    assert given > 90.0
