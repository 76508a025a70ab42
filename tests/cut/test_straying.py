"""A line is let out of its side where nothing on that side leads from the mouth to its end."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from cut_solids import bollard, detail_of, solid, standing

from partline.cut.demould import demould
from partline.cut.layout import SECTORS, bearings, corridor, led_from_mouth
from partline.cut.planning import plan_cut
from partline.cut.straying import STRAY, strayed
from partline.geometry.patches import way_leads


def block(x: float, y: float, z: float, at: tuple[float, float, float]) -> trimesh.Trimesh:
    mesh = trimesh.creation.box((x, y, z))
    mesh.apply_translation(at)
    return mesh


@pytest.fixture(scope="module")
def on_front_legs():
    """A long body on two legs at its front, which are the mouth; two behind hang a hair above."""
    parts = [block(40.0, 120.0, 30.0, (0.0, 0.0, 50.0))]
    for x in (-14.0, 14.0):
        parts.append(block(10.0, 14.0, 40.0, (x, -30.0, 20.0)))
        parts.append(block(10.0, 14.0, 39.8, (x, 45.0, 20.1)))
    piece = solid(*parts)
    fine = trimesh.Trimesh(piece.vertices, piece.faces).subdivide_to_size(3.0)
    return standing(type(piece)(fine.vertices, fine.faces))


def test_legs_at_one_end_of_a_body_leave_no_skin_on_either_side_but_lines_are_cut(on_front_legs):
    stand = on_front_legs
    rings = led_from_mouth(demould(stand.piece, stand.seat_mm), stand)
    way = corridor(stand, rings, "right", stand.seat_mm + 43.0)
    bearing = bearings(stand.piece.vertices, rings)
    low, high = SECTORS["right"]
    near = way.allowed & (bearing >= low - STRAY) & (bearing <= high + STRAY)
    assert not way_leads(stand.piece, near, way.sources, way.targets)
    assert way_leads(stand.piece, way.allowed, way.sources, way.targets)
    assert way.stray_deg > STRAY
    # Let out by one step less, nothing leads either.
    near = way.allowed & (bearing >= low - way.stray_deg + STRAY)
    assert not way_leads(stand.piece, near, way.sources, way.targets)
    # The two sides do not meet at the back, where their lines could cross.
    assert bearing[way.allowed].max() <= high + STRAY

    cut = plan_cut(stand, detail_of(stand.piece), prove=False)
    assert cut.count == 2
    left, right = cut.lines
    np.testing.assert_allclose(left.length_mm, right.length_mm, rtol=0.05)
    assert right.points[:, 0].min() > 0 > left.points[:, 0].max()
    assert right.points[0, 2] == pytest.approx(stand.seat_mm)
    said = [words for words in cut.words if "stray" in words]
    assert len(said) == 2
    assert f"{way.stray_deg:.0f} degrees toward the front" in said[1]


def test_where_its_own_side_leads_a_line_is_let_out_no_farther() -> None:
    stand = standing(bollard())
    rings = demould(stand.piece, stand.seat_mm)
    for name in SECTORS:
        assert corridor(stand, rings, name, 50.0).stray_deg == STRAY
    cut = plan_cut(stand, detail_of(stand.piece), prove=False)
    assert not any("stray" in words for words in cut.words)


@pytest.mark.parametrize("sector", SECTORS.values())
def test_where_nothing_leads_at_all_it_stays_as_it_was(sector: tuple[float, float]) -> None:
    piece = bollard()
    height = piece.vertices[:, 2]
    bearing = np.degrees(np.arctan2(piece.vertices[:, 0], -piece.vertices[:, 1])) % 360
    skin = (height < 20) | (height > 30)  # a band all round is shut
    within = (bearing >= sector[0]) & (bearing <= sector[1])
    ends = [np.flatnonzero(within & some) for some in (height < 1, height > 55)]
    way = strayed(piece, skin, bearing, sector, *ends)
    assert way.stray_deg == STRAY
    assert (bearing[way.open] >= sector[0] - STRAY).all()
    assert (bearing[way.open] <= sector[1] + STRAY).all()
