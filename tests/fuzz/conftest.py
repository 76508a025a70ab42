"""One process for all tries of a module."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from trials import Bench


@pytest.fixture(scope="module")
def bench() -> Iterator[Bench]:
    bench = Bench()
    yield bench
    bench.stop()
