"""The cutting card of real scans: on the outside, clear of the piece, never across itself.

The quickest by default; all six, and the ram, with PARTLINE_EVERY_SCAN set.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from through import last_met

from partline.card.clear import TIP_MM
from partline.card.cutting_card import CuttingCard
from partline.card.planning import plan_card
from partline.card.swept import crossings
from partline.card.unrolling import layout_of
from partline.cut.choosing import Cuts
from partline.cut.cut import Cut
from partline.cut.planning import plan_cut
from partline.detail.relief import detail_map
from partline.scan.reading import read_master
from partline.stand.placing import place
from partline.stand.stand import Stand
from partline.workshop.choosing import choose_container
from partline.workshop.materials import wall_for

FOLDER = os.environ.get("PARTLINE_SCANS")
pytestmark = [
    pytest.mark.scans,
    pytest.mark.skipif(not FOLDER, reason="PARTLINE_SCANS names no folder of real scans"),
]
QUICK: dict[str, dict[str, Any]] = {
    "dancing_girl.stl": {"height_mm": 90.0, "up": "+y", "front": "+z"},
}
SLOW: dict[str, dict[str, Any]] = {
    "koala.obj": {"height_mm": 70.0, "up": "+z", "front": "-y"},
    "hannya_mask.ply": {"units": "mm", "up": "+z", "front": "-y"},
    "celtic_skull_flatbase.ply": {"units": "mm", "up": (0, 0.904, 0.428),
                                  "front": (0, -0.428, 0.904)},
    "skull.obj": {"height_mm": 70.0, "up": "+y", "front": "+z"},
    "eagle.ply": {"height_mm": 80.0, "up": "+y", "front": "+z"},
    "ram.ply": {"units": "mm"},
}  # fmt: skip
SCANS = {**QUICK, **(SLOW if os.environ.get("PARTLINE_EVERY_SCAN") else {})}
# Left to itself it comes out of the block uncut.
CUTS: dict[str, Cuts] = {"celtic_skull_flatbase.ply": 1}
SAMPLES = Path(__file__).parents[2] / "sample_meshes"
Carded = tuple[Stand, Cut, CuttingCard]


@pytest.fixture(scope="module", params=SCANS, ids=lambda name: str(name).split(".")[0])
def carded(request: pytest.FixtureRequest) -> Carded:
    folder = SAMPLES if (SAMPLES / request.param).exists() else Path(str(FOLDER))
    master = read_master(folder / request.param, **SCANS[request.param])
    stand = place(master, wall_mm=wall_for(float(master.surface.extents.max())).value)
    detail = detail_map(stand.piece)
    cut = plan_cut(stand, detail, cuts=CUTS.get(request.param, "auto"), prove=False)
    return stand, cut, plan_card(cut, stand, choose_container(stand, cut), detail)


def test_strokes_go_from_the_piece_to_the_outside_and_not_through_it(carded: Carded) -> None:
    stand, _, card = carded
    assert card.cuts
    for cut in card.cuts:
        strokes = cut.strokes
        normals = card.block.wall_normals(strokes.ends)
        inner = strokes.ends[:, 2] > 1e-3  # not in the mouth face itself
        assert card.block.holds((strokes.ends - 1e-3 * normals)[inner]).all()
        assert not card.block.holds(strokes.ends + 1e-3 * normals).any()
        met = last_met(stand.cavity.surface, strokes)
        assert met[strokes.clear].max(initial=0.0) <= TIP_MM
        assert strokes.clear.mean() > 0.9


def test_no_cut_passes_through_itself(carded: Carded) -> None:
    for cut in carded[2].cuts:
        assert len(crossings(cut.surface)) == 0
        assert len(crossings(cut.keys.surface)) == 0


def test_the_web_is_kept_and_marks_stand_in_reach_of_the_hand(carded: Carded) -> None:
    _, cut, card = carded
    for blade, line in zip(card.cuts, cut.lines, strict=True):
        assert blade.strokes.ends[:, 2].max() <= line.marks.never_past_mm + 1e-6
        assert [words for words, _ in blade.stops] == ["try here", "likely", "never past"]
        assert len(blade.marks) >= 3


def test_the_wrap_rolls_back_onto_the_container(carded: Carded) -> None:
    """Printed to a hundredth of a millimetre, rolled up it is within 0.05 mm in space."""
    card = carded[2]
    layout = layout_of(card.block, np.vstack([cut.strokes.ends for cut in card.cuts]))
    for cut in card.cuts:
        back = layout.roll(np.round([m.on_wrap_mm for m in cut.marks], 2))
        assert np.abs(back - [m.place_mm for m in cut.marks]).max() < 0.05
        rolled = layout.roll(np.round(cut.middle, 2))
        assert np.abs(rolled - cut.strokes.ends).max() < 0.05
        depths = np.linalg.norm(back - [m.tip_mm for m in cut.marks], axis=1)
        assert np.allclose(depths, [m.depth_mm for m in cut.marks], atol=0.05)
