from __future__ import annotations

import json
import re
from functools import partial
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from cut_solids import around, bollard, detail_of, solid, standing, turned
from scipy.spatial import cKDTree

from partline.cut.cost import HAND_MM
from partline.cut.planning import plan_cut as whole_plan_cut
from partline.errors import Cancelled, JobError, NoPath, StandError

plan_cut = partial(whole_plan_cut, prove=False)

SAMPLES = Path(__file__).resolve().parents[2] / "sample_meshes"


def test_a_flat_backed_relief_needs_no_cut() -> None:
    profile = np.array([[30, 0], [30, 6], [22, 9], [12, 12], [0.5, 13]], dtype=float)
    fine = np.linspace(0, 4, 41)
    stand = standing(turned(np.column_stack([np.interp(fine, range(5), c) for c in profile.T])))
    cut = plan_cut(stand, detail_of(stand.piece))
    assert cut.count == 0
    assert cut.lines == ()
    assert cut.stretch == 0
    assert cut.verdict.startswith("Comes out")
    assert np.isinf(cut.clearance_mm)
    assert {other.count for other in cut.alternatives} == {1, 2}


def test_a_slim_piece_is_cut_once_up_the_back() -> None:
    height = np.linspace(0, 90, 140)
    slim = turned(np.column_stack([6 + 4 * np.exp(-(((height - 75) / 8) ** 2)), height]))
    stand = standing(slim)
    cut = plan_cut(stand, detail_of(stand.piece))
    assert cut.count == 1
    line = cut.lines[0]
    assert 115 <= line.azimuth_deg <= 245
    assert line.points[0, 2] == pytest.approx(stand.seat_mm, abs=1e-9)
    assert line.points[-1, 2] == pytest.approx(line.marks.likely_mm, abs=1e-9)
    assert line.share_on_show == 0


def test_a_stout_piece_is_cut_twice_behind_its_silhouette_and_level() -> None:
    height = np.linspace(0, 60, 90)
    stout = turned(np.column_stack([18 + 9 * np.exp(-(((height - 40) / 10) ** 2)), height]))
    stand = standing(stout)
    cut = plan_cut(stand, detail_of(stand.piece))
    assert cut.count == 2
    left, right = cut.lines
    assert 195 <= left.azimuth_deg <= 275
    assert 85 <= right.azimuth_deg <= 165
    # The same piece left and right: the lines mirror one another.
    assert left.azimuth_deg + right.azimuth_deg == pytest.approx(360, abs=8)
    assert left.points[-1, 2] == pytest.approx(right.points[-1, 2], abs=1e-9)
    assert max(line.share_on_show for line in cut.lines) < 0.1
    assert cut.length_mm == pytest.approx(left.length_mm + right.length_mm)
    assert cut.web_mm == pytest.approx(stand.block_height_mm - left.points[-1, 2])
    marks = left.marks
    assert stand.seat_mm < marks.try_here_mm <= marks.likely_mm <= marks.never_past_mm
    assert marks.never_past_mm <= stand.block_height_mm - stand.wall_mm
    assert cut.stretch <= cut.working_strain == 0.875


def test_the_stretch_that_is_left_is_that_of_the_rings_above_the_end() -> None:
    """Closed form for a solid of revolution: widest radius above over the ring's radius."""
    height = np.linspace(0, 60, 400)
    radius = 8 + 6 * np.exp(-(((height - 42) / 9) ** 2))
    stand = standing(turned(np.column_stack([radius, height])))
    cut = plan_cut(stand, detail_of(stand.piece), cuts=1)
    end = cut.lines[0].points[-1, 2] - stand.seat_mm
    above = height >= end
    widest = np.maximum.accumulate(radius[::-1])[::-1]
    want = (widest[above] / radius[above]).max() - 1
    assert cut.stretch == pytest.approx(want, abs=0.02)
    none = plan_cut(stand, detail_of(stand.piece), cuts=0)
    assert none.stretch == pytest.approx(14 / radius.min() - 1, abs=0.01)


def test_detail_is_kept_clear_of_on_both_sides_and_measured() -> None:
    """Two fields of detail leave a plain band behind: the line runs in its middle."""
    piece = bollard(sections=180)
    stand = standing(piece)
    both = around(stand.piece, 15, 75, 150, 14) | around(stand.piece, 15, 75, 230, 14)
    both |= around(stand.piece, 15, 75, 0, 100)
    cut = plan_cut(stand, detail_of(stand.piece, both.astype(float)), cuts=1, margin_mm=2.0)
    line = cut.lines[0]
    assert line.worst_detail == 0
    assert 164 < line.azimuth_deg < 216
    assert line.clearance_left_mm >= 2
    assert line.clearance_right_mm >= 2
    assert cut.clearance_mm == min(line.clearance_left_mm, line.clearance_right_mm)
    # Going up, seen from behind and outside: left is toward +X, the field at 150 degrees.
    assert line.closest_left_mm is not None
    assert line.closest_right_mm is not None
    assert line.closest_left_mm[0] > line.points[:, 0].max()
    assert line.closest_right_mm[0] < line.points[:, 0].min()
    assert "plain skin only" in cut.certificate


def test_a_bead_all_round_is_crossed_and_does_not_spoil_the_margin_elsewhere() -> None:
    stand = standing(bollard(sections=180))
    bead = around(stand.piece, 20, 22, 0, 180)
    field = around(stand.piece, 30, 75, 180, 25)
    weight = np.where(bead, 0.6, 0.0) + np.where(field, 1.0, 0.0)
    cut = plan_cut(stand, detail_of(stand.piece, weight), cuts=1, margin_mm=4.0)
    assert cut.lines[0].worst_detail == pytest.approx(0.6)
    assert cut.clearance_mm >= 4
    assert "at least 0.60" in cut.certificate


def test_a_toe_that_grows_out_of_a_bead_all_round_is_still_kept_away_from() -> None:
    """The bead has to be crossed, not what hangs on to it: more than a hand strays off the toe."""
    stand = standing(bollard(sections=72))
    bead = around(stand.piece, 20, 22, 0, 180)
    toe = around(stand.piece, 22, 30, 180, 12)
    weight = np.where(bead | toe, 0.6, 0.0)
    below_and_above = [
        zone("start here", (0.0, 8.0, 0.0), 2.0), zone("end here", (0.0, 8.0, 25.0), 2.0)
    ]  # fmt: skip
    cut = plan_cut(
        stand, detail_of(stand.piece, weight), cuts=1, sides=("back",), zones=below_and_above
    )
    points = cut.lines[0].points
    beside = points[(points[:, 2] > 25.0) & (points[:, 2] < 29.0)]
    assert cKDTree(stand.piece.vertices[toe]).query(beside)[0].min() > HAND_MM


def test_the_margin_gives_way_and_says_so() -> None:
    stand = standing(bollard(sections=180))
    detail = ~around(stand.piece, 0, 80, 180, 14)
    cut = plan_cut(stand, detail_of(stand.piece, detail.astype(float)), cuts=1, margin_mm=6.0)
    assert 0 < cut.clearance_mm < 6  # as wide as the gap lets it, less a fifth
    assert any("instead of 6.0 mm" in words for words in cut.words)


def zone(kind, point, radius):
    return SimpleNamespace(kind=kind, point=point, radius_mm=radius, faces=())


def test_zones_bend_the_line() -> None:
    stand = standing(bollard())
    detail = detail_of(stand.piece)
    spot = np.array([0.0, 14.0, 42.0 + stand.lift_mm])
    through = plan_cut(
        stand, detail, cuts=1, zones=[zone("pass through", (4.0, 7.0, 12.0), 1.5)]
    ).lines[0]
    place = np.array([4.0, 7.0, 12.0 + stand.lift_mm])
    assert np.linalg.norm(through.points - place, axis=1).min() <= 1.5
    off = plan_cut(stand, detail, cuts=1, zones=[zone("stay off", (0.0, 14.0, 42.0), 4.0)]).lines[0]
    assert np.linalg.norm(off.points - spot, axis=1).min() > 3.5


def test_stay_off_all_round_leaves_no_way_and_names_both_parts() -> None:
    stand = standing(bollard())
    shut = np.flatnonzero(around(stand.piece, 24, 28, 0, 180)[stand.piece.faces].any(axis=1))
    wall = SimpleNamespace(
        kind="stay off", point=None, radius_mm=None, faces=tuple((shut + 100).tolist())
    )
    other = zone("stay off", (0.0, 0.0, 60.0), 3.0)
    with pytest.raises(NoPath, match="No way leads from the mouth") as found:
        plan_cut(stand, detail_of(stand.piece), cuts=2, zones=[other, wall])
    said = str(found.value)
    places = re.findall(
        r"the part with the (mouth|end) goes (?:up|down) to near ([-\d, ]+) mm", said
    )
    assert [what for what, _ in places] == ["mouth", "end"]
    low, high = (float(words.split(",")[2]) for _, words in places)
    assert low < 24 < 28 < high
    # Only the zone that lies between, and one reason, not one a line.
    assert "lies stay-off zone 2." in said
    assert said.count("No way leads") == 1
    assert "No other line can be cut either (" in said


def test_a_place_within_a_stay_off_zone_names_the_zone() -> None:
    stand = standing(bollard())
    spot = (0.0, 14.0, 42.0)
    zones = [zone("pass through", spot, 1.0), zone("stay off", spot, 6.0)]
    with pytest.raises(NoPath, match=r"near 0, 1\d, 5\d mm lies within stay-off zone 2"):
        plan_cut(stand, detail_of(stand.piece), cuts=1, zones=zones)


def test_stay_off_everywhere_is_one_clear_error() -> None:
    stand = standing(bollard())
    with pytest.raises(NoPath, match="cover the whole piece") as found:
        plan_cut(stand, detail_of(stand.piece), zones=[zone("stay off", (0.0, 0.0, 30.0), 900.0)])
    assert str(found.value).count("Make them smaller") == 1


def test_a_place_to_pass_through_on_the_face_is_refused_not_forgotten() -> None:
    stand = standing(bollard())
    with pytest.raises(NoPath, match=r"No line can pass through the place near 0, -1\d, 5\d mm"):
        plan_cut(
            stand, detail_of(stand.piece), zones=[zone("pass through", (0.0, -14.0, 42.0), 2.0)]
        )


def test_turning_the_numbers_of_the_mesh_about_changes_nothing() -> None:
    stand = standing(bollard())
    weight = np.where(around(stand.piece, 30, 75, 180, 40), 0.8, 0.0)
    one = plan_cut(stand, detail_of(stand.piece, weight), cuts=2)
    order = np.random.default_rng(0).permutation(len(stand.piece.vertices))
    faces = np.random.default_rng(1).permutation(len(stand.piece.faces))
    place = np.argsort(order)
    mixed = SimpleNamespace(**vars(stand))
    mixed.piece = type(stand.piece)(stand.piece.vertices[order], place[stand.piece.faces][faces])
    mixed.piece_faces = stand.piece_faces[faces]
    two = plan_cut(mixed, detail_of(mixed.piece, weight[order]), cuts=2)
    assert two.cost == pytest.approx(one.cost, rel=0.01)
    assert two.stretch == pytest.approx(one.stretch, abs=1e-9)
    assert two.web_mm == pytest.approx(one.web_mm, abs=1e-9)


def test_bridges_between_limbs_are_listed() -> None:
    from cut_solids import cylinder

    stand = standing(solid(cylinder(5, 0, 30, x=-8), cylinder(5, 0, 30, x=8), cylinder(13, 30, 60)))
    cut = plan_cut(stand, detail_of(stand.piece), cuts=2)
    assert any("slit this bridge" in words and "160 %" in words for words in cut.words)
    assert cut.stretch < 0.3


@pytest.mark.parametrize("bad", [3, -1, "two", True, 1.5])
def test_the_number_of_cuts_is_checked(bad) -> None:
    stand = standing(bollard())
    with pytest.raises(JobError, match="auto, 0, 1, 2 or"):
        plan_cut(stand, detail_of(stand.piece), cuts=bad)


def test_a_web_that_leaves_nothing_is_refused() -> None:
    stand = standing(bollard())
    with pytest.raises(StandError, match="leaves nothing to cut"):
        plan_cut(stand, detail_of(stand.piece), web_mm=500.0)


def test_the_web_is_never_thinner_than_the_wall() -> None:
    stand = standing(bollard())
    cut = plan_cut(stand, detail_of(stand.piece), cuts=1, web_mm=1.0)
    assert cut.web_mm >= stand.wall_mm


def test_progress_rises_and_may_cancel() -> None:
    stand = standing(bollard())
    heard: list[float] = []
    plan_cut(stand, detail_of(stand.piece), progress=lambda f, _: heard.append(f))
    assert heard == sorted(heard)
    assert heard[-1] == 1.0

    def stop(fraction: float, words: str) -> None:
        raise Cancelled("stopped")

    with pytest.raises(Cancelled):
        plan_cut(stand, detail_of(stand.piece), progress=stop)


@pytest.mark.slow
@pytest.mark.skipif(not (SAMPLES / "ram.ply").exists(), reason="the sample meshes are not made")
def test_the_ram_is_cut_twice_in_the_plain_bands_behind_its_horns() -> None:
    import partline as pl

    truth = json.loads((SAMPLES / "ram_truth.json").read_text())
    stand = pl.place(pl.read_master(SAMPLES / "ram.ply", height_mm=truth["height_mm"]))
    cut = pl.plan_cut(stand, pl.detail_map(stand.piece))
    assert cut.count == truth["cuts"] == 2
    assert cut.clearance_mm >= 6.0
    for line, side in zip(cut.lines, ("left", "right"), strict=True):
        band = np.array(truth["bands"][side]["points_mm"])
        decoy = np.array(truth["decoys"][side]["points_mm"])
        band[:, 2] += stand.lift_mm
        decoy[:, 2] += stand.lift_mm
        # Above the collar, which goes all round, the whole line lies in the band.
        mine = line.points[line.points[:, 2] > band[0, 2] + 1]
        to_band = np.linalg.norm(mine[:, None] - band, axis=2).min(axis=1)
        to_decoy = np.linalg.norm(mine[:, None] - decoy, axis=2).min(axis=1)
        assert to_band.max() < truth["bands"]["half_width_mm"]
        assert (to_band < to_decoy).all()
