"""What holes of the scan leave open, in millilitres and grams: from how much to how much."""

from __future__ import annotations

from collections.abc import Callable

from partline.faces.figures import Said, System, Tag, bulk, plain, weight
from partline.plan import Plan
from partline.scan.master import Master

# What an interval comes from, as the source of an estimate.
_SOURCE = "what was filled in the scan may hold more or less"


def between(low: float, high: float, said: Callable[[float], str]) -> str:
    """Return "between 72 mL and 103 mL", or one figure where both would read the same."""
    least, most = said(max(low, 0.0)), said(high)
    return most if least == most else f"between {least} and {most}"


def volume_said(master: Master, system: System) -> Said:
    """Return the volume of the master: exact for the mesh, or an interval where it was closed."""
    if not master.volume_doubt_mm3:
        return Said(bulk(master.volume_mm3, system), "exact")
    low, high = master.volume_low_mm3, master.volume_high_mm3
    words = between(low, high, lambda v: bulk(v, system))
    for decimals in (1, 2, 3):
        if words.startswith("between") or system == "inches":
            break  # an ounce shows tenths already
        words = between(low, high, lambda v, d=decimals: f"{plain(v / 1000.0, d)} mL")  # type: ignore[misc]
    return Said(words if words.startswith("between") else bulk(high, system), "estimate", _SOURCE)


def grams_said(grams: float, open_g: float, tag: Tag) -> Said:
    """Return a weight that the scan leaves open by so much either way [g]; else with its tag."""
    words = between(grams - open_g, grams + open_g, weight)
    if words == weight(grams):
        return Said(words, tag)
    return Said(words, "estimate", _SOURCE)


def casting_open_g(plan: Plan) -> float:
    """Return by how many grams of resin a casting may differ, either way."""
    return plan.master.open_g(plan.resin.density)


def rubber_open_g(plan: Plan) -> float:
    """Return by how many grams of rubber the block may differ, either way."""
    return plan.master.open_g(plan.container.density)


def short_words(name: str, most_g: float, mixed_g: float) -> tuple[str, ...]:
    """Say what to have ready where a mix may not be enough for all that the scan leaves open."""
    if most_g <= mixed_g:
        return ()
    return (
        f"What was filled in the scan may hold more or less than is planned: have another "
        f"{weight(most_g - mixed_g)} of {name} ready to mix.",
    )
