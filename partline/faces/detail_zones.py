"""The zones of detail in words: numbered as in the picture, largest first."""

from __future__ import annotations

from partline.faces.figures import Said, System, plain
from partline.faces.page_pieces import small
from partline.faces.scene import NUMBERED
from partline.faces.sheet_blocks import Block, Table, Text
from partline.faces.words import place_words
from partline.plan import Plan

_HEAD: tuple[Text, ...] = (
    ("detail",), ("where its middle is",), ("area",), ("finest scale seen",),
    ("greatest relief, spread about its mean",),
)  # fmt: skip


def zone_blocks(plan: Plan, system: System) -> tuple[Block, ...]:
    """Return a table of the largest zones; nothing where no part stands out."""
    zones = plan.detail.zones
    if not zones:
        return ()
    rows = tuple(
        (
            (f"D{number}",),
            (place_words(zone.centre_mm, plan.stand, system),),
            (Said(f"{plain(zone.area_mm2, 0)} mm²", "exact"),),
            (Said(f"{plain(zone.finest_mm, 1)} mm", "estimate"),),
            (Said(f"{plain(zone.relief_mm, 2)} mm", "estimate"),),
        )
        for number, zone in enumerate(zones[:NUMBERED], 1)
    )
    blocks: list[Block] = [Table(_HEAD, rows, (0.1, 0.42, 0.14, 0.16, 0.18), "figures")]
    if len(zones) > NUMBERED:
        left = sum(zone.area_mm2 for zone in zones[NUMBERED:])
        blocks.append(small(f"And {len(zones) - NUMBERED} smaller, together ",
                            Said(f"{plain(left, 0)} mm²", "exact"), "."))  # fmt: skip
    return tuple(blocks)
