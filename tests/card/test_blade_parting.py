"""Where the blade's way parts: a bar before the line, a bore under it, a notch above a slab."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from rubber_blocks import PIPE, rays_of
from through import last_met

from partline.card.approach import ways_out
from partline.card.blade import strokes_of
from partline.card.clear import TIP_MM
from partline.card.cutting_card import Strokes
from partline.card.guide import guide_of
from partline.card.swept import crossings, strip
from partline.geometry.surface import Floats, Surface

X, Y = PIPE.centre_mm


def box(size: tuple[float, float, float], middle: tuple[float, float, float]) -> trimesh.Trimesh:
    made = trimesh.creation.box(size)
    made.apply_translation([X + middle[0], Y + middle[1], middle[2]])
    return made


def led(mesh: trimesh.Trimesh, feet: Floats) -> tuple[Strokes, Surface]:
    """Return the strokes along a line, with what holds for all of them checked."""
    surface = Surface(mesh.vertices, mesh.faces)
    rays = rays_of(mesh)
    strokes = strokes_of(PIPE, guide_of(PIPE, rays), rays, feet, ways_out(surface, feet))
    assert last_met(surface, strokes)[strokes.clear].max(initial=0.0) <= TIP_MM
    assert len(crossings(strip([strokes.ends, strokes.feet], strokes.splits))) == 0
    return strokes, surface


def test_the_way_parts_once_behind_a_bar_at_its_middle() -> None:
    """A bar across the line, joined to the post by two arms: a handle, so there is one saddle.

    By symmetry the field parts at the height of the bar's middle.
    """
    bar = 27.3
    parts = [
        box((8.0, 30.0, 60.0), (0.0, 0.0, 29.0)),
        box((4.0, 30.0, 5.0), (13.0, 0.0, bar)),
        *(box((12.0, 4.0, 5.0), (8.0, y, bar)) for y in (-13.0, 13.0)),
    ]
    mesh = trimesh.boolean.union(parts, engine="manifold")
    z = np.linspace(6.0, 50.0, 31)
    feet = np.column_stack([np.full(31, X + 4.0), np.full(31, Y), z])
    strokes, _ = led(mesh, feet)
    assert strokes.clear.all()
    assert not strokes.pit.any()
    assert len(strokes.splits) == 1
    k = int(strokes.splits[0])
    assert strokes.feet[k : k + 2, 2] == pytest.approx(bar, abs=0.3)
    # One goes under the bar, the next over it.
    at_bar = strokes.feet + (9.0 / (strokes.ends - strokes.feet)[:, :1]) * (
        strokes.ends - strokes.feet
    )
    assert (at_bar[: k + 1, 2] < bar - 2.5).all()
    assert (at_bar[k + 1 :, 2] > bar + 2.5).all()


def bored(depth_mm: float) -> tuple[Strokes, float]:
    """Strokes along a line down into a bore 6 mm wide, across its bottom, and up again.

    Also returned: how far it is from the bottom of the bore to the outside.
    """
    post = box((20.0, 24.0, 50.0), (-4.0, 0.0, 24.0))
    bore = trimesh.creation.cylinder(3.0, 2 * depth_mm, sections=96)
    bore.apply_transform(trimesh.transformations.rotation_matrix(np.pi / 2, (0, 1, 0)))
    bore.apply_translation([X + 6.0, Y, 25.0])
    mesh = trimesh.boolean.difference([post, bore], engine="manifold")
    face, bottom = X + 6.0, X + 6.0 - depth_mm
    corners = np.array(
        [[face, 10.0], [face, 22.0], [bottom, 22.0], [bottom, 28.0], [face, 28.0], [face, 40.0]]
    )
    arc = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(corners, axis=0), axis=1)))
    at = np.linspace(0.0, arc[-1], round(arc[-1] / 1.5) + 1)
    x, z = (np.interp(at, arc, column) for column in corners.T)
    strokes, _ = led(mesh, np.column_stack([x, np.full(len(x), Y), z]))
    return strokes, PIPE.half_mm[0] + X - bottom


def test_out_of_a_deep_bore_the_blade_goes_straight_through_its_mouth() -> None:
    strokes, long = bored(15.0)
    bottom = strokes.feet[:, 0] < X + 6.0 - 15.0 + 1e-6
    deep = bottom & (np.abs(strokes.feet[:, 2] - 25.0) < 2.5)  # not in its corners
    assert deep.sum() >= 3
    assert strokes.pit[deep].all()
    assert not strokes.pit[strokes.feet[:, 0] > X + 6.0 - 1e-6].any()
    assert strokes.clear[deep].all()
    ways = (strokes.ends - strokes.feet)[deep] / strokes.depths_mm[deep, None]
    # From a corner of the bottom the mouth is seen under so much, and no more.
    widest = np.degrees(np.arctan2(6.0, 15.0))
    assert np.degrees(np.arccos(ways[:, 0])).max() < widest
    assert strokes.depths_mm[deep] == pytest.approx(long, rel=0.05)


def test_a_shallow_hollow_is_no_pit() -> None:
    strokes, _ = bored(3.0)
    assert not strokes.pit.any()
    assert strokes.clear.all()


def test_a_notch_above_a_slab_parts_nothing() -> None:
    """A line up a slab, in over its top to where the piece touches it, and out along the piece.

    Strokes out of the notch go through its mouth, in the order of the line.
    """
    slab = box((20.0, 20.0, 15.0), (0.0, 0.0, 7.45))
    profile = np.array([[0.0, 15.0], [6.0, 15.0], [16.0, 22.0], [16.0, 50.0], [0.0, 50.0]])
    piece = trimesh.creation.revolve(profile, sections=96)
    piece.apply_translation([X, Y, 0.0])
    mesh = trimesh.boolean.union([slab, piece], engine="manifold")
    corners = np.array([[10.0, 0.0], [10.0, 14.95], [6.0, 14.95], [16.0, 22.0], [16.0, 45.0]])
    arc = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(corners, axis=0), axis=1)))
    at = np.linspace(0.0, arc[-1], round(arc[-1] / 1.5) + 1)
    x, z = (np.interp(at, arc, column) for column in corners.T)
    strokes, _ = led(mesh, np.column_stack([X + x, np.full(len(x), Y), z]))
    assert strokes.clear.all()
    assert not strokes.pit.any()
    assert not len(strokes.splits)
    assert (np.diff(strokes.ends[:, 2]) > -1e-6).all()
