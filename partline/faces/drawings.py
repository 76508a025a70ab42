"""The block seen through from a side, and where air stays in it: vector drawings in mm."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from partline.faces.colours import INK
from partline.faces.paper import Drawing, label, path
from partline.faces.silhouette import silhouette
from partline.geometry.directions import side
from partline.geometry.surface import Floats
from partline.plan import Plan
from partline.workshop.fitting import turned_axes

Quarter = Literal[0, 90, 180, 270]
QUARTERS: tuple[Quarter, ...] = (0, 90, 180, 270)
SEEN_FROM = {0: "from the front", 90: "from 90°", 180: "from the back (180°)", 270: "from 270°"}
GHOST = "#ece7df"
EDGE = "#8d857a"
_EDGE_ROOM, _LABEL_ROOM = 3.0, 26.0


@dataclass(frozen=True, eq=False)
class Side:
    """The paper of one view: a side of the block, looked at level.

    Attributes
    ----------
    quarter : int
        From where: clockwise from the front mark, looking into the mouth [degrees].
    mouth_up : bool
        Turned over as for the knife and the resin, or standing as for the rubber.
    """

    quarter: Quarter
    mouth_up: bool

    @property
    def toward(self) -> Floats:
        """(3,) from the block to the eye."""
        return np.rint(side(self.quarter, "resin"))

    @property
    def up(self) -> Floats:
        """(3,) up the paper."""
        return np.array([0.0, 0.0, -1.0 if self.mouth_up else 1.0])

    @property
    def right(self) -> Floats:
        """(3,) to the right on the paper: looking direction x up."""
        return np.cross(-self.toward, self.up)

    def on_paper(self, points: ArrayLike) -> Floats:
        """Return (k, 2) paper coordinates, y down, of (k, 3) points [mm]."""
        p = np.atleast_2d(np.asarray(points, dtype=np.float64))
        return np.column_stack([p @ self.right, -(p @ self.up)])


@dataclass(frozen=True, eq=False)
class Ghosts:
    """Outlines of the piece and its foot block seen along y and along x [mm].

    Attributes
    ----------
    along_y : tuple of (k, 2) float64
        In x and z.
    along_x : tuple of (k, 2) float64
        In y and z.
    """

    along_y: tuple[Floats, ...]
    along_x: tuple[Floats, ...]

    def seen(self, view: Side) -> list[Floats]:
        """Return the outlines on a view's paper."""
        front = view.quarter in (0, 180)
        lines = self.along_y if front else self.along_x
        axis = np.array([1.0, 0.0, 0.0]) if front else np.array([0.0, 1.0, 0.0])
        flip = float(axis @ view.right)
        return [np.column_stack([flip * o[:, 0], -view.up[2] * o[:, 1]]) for o in lines]


@lru_cache(maxsize=2)
def ghosts(plan: Plan) -> Ghosts:
    """Return the outlines of what will be cast, seen from two sides."""
    surface = plan.stand.cavity.surface
    up = (0.0, 0.0, 1.0)
    # Seen from the back (right = -x) along y, from 90 degrees (right = +y) along x.
    return Ghosts(
        silhouette(surface, (1.0, 0.0, 0.0), up), silhouette(surface, (0.0, 1.0, 0.0), up)
    )


def standing_view(plan: Plan, outlines: Ghosts, *, high_mm: float, wide_mm: float) -> Drawing:
    """Return the piece in its container as it stands, from the front, to fit a room [mm]."""
    view = Side(0, False)
    whole = view_drawing(plan, view, "The piece in its container", block(plan, outlines, view))
    scale = min(high_mm / whole.height, wide_mm / whole.width)
    return replace(whole, scale=scale, notes="")


def frame(plan: Plan, view: Side) -> tuple[float, float, float, float]:
    """Return the left, right, top and bottom of the block on the paper [mm]."""
    corners = walls(plan, view)
    return corners[:, 0].min(), corners[:, 0].max(), corners[:, 1].min(), corners[:, 1].max()


def half_width(plan: Plan, view: Side, z: float) -> float:
    """Return half the inner width of the container across a view at a height [mm]."""
    box = plan.container
    share = z / box.height_mm if box.height_mm > 0 else 0.0
    grown = (box.rim_width_mm - box.floor_width_mm) * share
    if box.kind != "box":
        return (box.floor_width_mm + grown) / 2
    sides = np.array([box.floor_width_mm, box.floor_depth_mm]) + grown
    return float(np.abs(turned_axes(box.turn_deg) @ view.right[:2]) @ sides) / 2


def walls(plan: Plan, view: Side) -> Floats:
    """Return the (4, 2) corners of the block: its profile in the container, on the paper."""
    box = plan.container
    middle = float(np.array([*box.centre_mm, 0.0]) @ view.right)
    low, high = half_width(plan, view, 0.0), half_width(plan, view, box.fill_height_mm)
    down = -view.up[2]
    top = down * box.fill_height_mm
    return np.array(
        [[middle - low, 0.0], [middle - high, top], [middle + high, top], [middle + low, 0.0]]
    )


def view_drawing(
    plan: Plan, view: Side, title: str, body: str, *, labels_mm: float = _LABEL_ROOM
) -> Drawing:
    """Return a drawing of the block with so much room for labels on its right [mm]."""
    left, right, top, bottom = frame(plan, view)
    before, after = _EDGE_ROOM, labels_mm
    return Drawing(title, left - before, top - 6.0, right - left + before + after,
                   bottom - top + 10.0, body, "1:1")  # fmt: skip


def block(plan: Plan, outlines: Ghosts, view: Side) -> str:
    """Return the block, the piece in it and the front mark."""
    body = (
        f'<path d="{path(outlines.seen(view))}" fill="{GHOST}" fill-rule="evenodd" '
        f'stroke="{EDGE}" stroke-width="0.3"/>'
        f'<path d="{path([walls(plan, view)])}" fill="none" stroke="{INK}" stroke-width="0.4"/>'
    )
    _, _, top, bottom = frame(plan, view)
    x = float(np.array([*plan.container.centre_mm, 0.0]) @ view.right)
    mouth, floor = (top, bottom) if view.mouth_up else (bottom, top)
    body += label(x, mouth + (-1.6 if view.mouth_up else 3.6), "mouth", size=2.6, anchor="middle")
    at = mouth + 0.12 * (floor - mouth)
    if view.quarter == 0:
        body += f'<circle cx="{x:.2f}" cy="{at:.2f}" r="1.6" fill="{INK}"/>'
        body += label(x + 2.4, at + 1, "front mark", size=2.6)
    elif view.quarter in (90, 270):
        ahead = float(np.array([0.0, -1.0, 0.0]) @ view.right)
        inward = -1 if ahead > 0 else 1
        edge = x - inward * half_width(plan, view, 0.12 * plan.container.fill_height_mm)
        body += f'<path d="M{edge:.2f} {at - 1.6:.2f}v3.2l{2.4 * inward} -1.6z" fill="{INK}"/>'
        anchor = "end" if ahead > 0 else "start"
        body += label(edge + 3.2 * inward, at + 1, "front mark", size=2.6, anchor=anchor)
    return body
