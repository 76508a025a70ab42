"""The resin's side of the bench: narrow ends are brushed as time allows."""

from __future__ import annotations

from pathlib import Path

import pytest

from partline.job import Job, MaterialPart, ScanPart, ShopPart
from partline.plan import resin_of
from partline.workshop.bench import cast_bench
from partline.workshop.materials import defaults

KNOWN = defaults()


@pytest.mark.parametrize(("life_min", "fits"), [(1.0, 0), (3.0, 3), (10.0, 5)])
def test_as_many_narrow_ends_are_brushed_as_there_is_time_for(life_min: float, fits: int) -> None:
    """Mixing 54 s and filling 18 s of half the pot life: at 3 min 18 s are left, at 5 s an end."""
    job = Job(name="peg", scan=ScanPart(file=Path("peg.ply"), height_mm=62.0),
              resin=MaterialPart(kind="opaque polyurethane resin", pot_life_min=life_min),
              shop=ShopPart(room_celsius=23.0))  # fmt: skip
    resin = resin_of(job, 5000.0, KNOWN)
    bench = cast_bench(job, KNOWN, resin, narrow_ends=5)
    assert bench.brushed == fits
    assert dict(bench.timing.steps).get("brush", 0.0) == pytest.approx(fits * 5 / 60)
    assert (bench.timing.verdict == "no go") == (life_min == 1.0)
    unknown = job.model_copy(update={"shop": ShopPart(room_celsius=45.0)})
    assert cast_bench(unknown, KNOWN, resin, narrow_ends=5).brushed == 5
