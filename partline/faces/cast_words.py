"""One casting from a mould that is already there, in lines for the bench."""

from __future__ import annotations

from collections.abc import Iterator

from partline.casting import Casting
from partline.faces.figures import bubble, plain, weight
from partline.faces.left_open import grams_said
from partline.faces.ready_words import marks_lines
from partline.faces.words import bench_side, mix_words, tip_words
from partline.job import Job
from partline.workshop.materials import defaults


def cast_lines(made: Casting, job: Job) -> tuple[str, ...]:
    """Return what to do for one casting, in the order of the work."""
    known = defaults(job.shop.defaults)
    resin, bench = made.resin, made.bench
    lines = [
        f"Casting {_grams(made)}, mix {weight(resin.mix_g)} of {job.resin.kind} "
        f"(density {plain(resin.density, 2)} g/cm³"
        + ("" if job.resin.density is not None else ", usual: look at yours")
        + ").",
        f"Scale: {mix_words(resin.mix, job.shop.scale_resolution_g)}.",
        *(resin.mix.words[1:] if resin.mix is not None else ()),
        *bench.batch.words,
        *(f"! {line}" for line in known.cautions["resin_mix"]),
        f"Time: {bench.timing.verdict}.",
        *bench.pot_life.words,
        *bench.timing.words,
        *_air(made),
        *bench.pressing.words,
    ]
    if bench.pressing.gauge_kpa is not None:
        lines += [f"! {line}" for line in known.cautions["pressure"]]
    lines += [f"! {line}" for line in known.cautions["demould"]]
    return tuple(lines)


def _grams(made: Casting) -> str:
    open_g = made.stand.master.open_g(made.resin.density) if made.stand is not None else 0.0
    return grams_said(made.resin.casting_g, open_g, "estimate").words


def _air(made: Casting) -> Iterator[str]:
    pour = made.pour
    if pour is None:
        return
    assert made.stand is not None  # a pour has one
    if pour.stubs:
        yield "Vents to make in the mould first, if it has none there:"
    yield from marks_lines(pour, made.stand)
    yield f"Level it would hold {bubble(pour.level.volume_mm3)} of air. {tip_words(pour, 'resin')}"
    rocking = pour.rocking
    if rocking is None or not rocking.moves:
        yield "Stand it up and top it up; no further move frees air."
        return
    yield "Stand it up, top it up, cap it, then:"
    for k, move in enumerate(rocking.moves, 1):
        yield (
            f"  {k}. your {bench_side(move.azimuth_deg)} side down "
            f"{plain(move.tilt_deg, 0)}° for {plain(move.hold_s, 0)} s, and level again"
        )
    yield f"That leaves {bubble(rocking.after_mm3)} of air."
