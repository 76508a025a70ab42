"""One thing to draw, and how the pose of the stand is shown in each pour; no toolkit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from partline.faces import colours
from partline.faces.view import PourName

if TYPE_CHECKING:
    from partline.geometry.surface import Floats, Ints
    from partline.plan import Plan

_NO_FACES = np.zeros((0, 3), dtype=np.int32)


@dataclass(frozen=True, eq=False)
class Actor:
    """One thing to draw.

    Attributes
    ----------
    name : str
        Its own name in the scene; a later actor of that name takes its place.
    vertices : (n, 3) float64
        Points as shown [mm].
    faces : (m, 3) int32
        Triangles; none for a line or for labels.
    line : bool
        The vertices are one line from first to last.
    colour : str
        "#rrggbb".
    colours : (n, 3) uint8 or None
        A colour for each vertex instead.
    opacity : float
        0 to 1.
    tube_mm : float
        Radius of a line drawn as a tube [mm]; 0 is a thin line drawn over everything.
    labels : tuple of str
        A word at each vertex; no faces then.
    normals : (n, 3) float64 or None
        Outward at each vertex: shade across faces, as for a sculpture.
    side : str
        For labels, the side of the point the word stands on: "left" or "right".
    turn : (4, 4) float64 or None
        How it is turned where it stands, for a tip; labels are given already turned.
    clip : tuple of (3,) float64 or None
        A place and a direction, before any turn: what lies beyond it that way is not drawn.
    flat : bool
        Drawn in its plain colour, whatever way it looks, like a cut face.
    """

    name: str
    vertices: Floats
    faces: Ints = field(default_factory=lambda: _NO_FACES)
    line: bool = False
    colour: str = colours.STONE
    colours: NDArray[np.uint8] | None = None
    opacity: float = 1.0
    tube_mm: float = 0.0
    labels: tuple[str, ...] = ()
    normals: Floats | None = None
    side: str = "right"
    turn: Floats | None = None
    clip: tuple[Floats, Floats] | None = None
    flat: bool = False

    def reach(self, axes: Floats) -> Floats:
        """Return the (2, k) lowest and highest of it along (k, 3) axes, where it is drawn [mm]."""
        # Only here: what draws actors in a process of its own has no need of it.
        from partline.geometry.points import span

        if self.turn is None:
            return span(self.vertices, axes)
        return span(self.vertices, axes @ self.turn[:3, :3]) + axes @ self.turn[:3, 3]

    def clipped(self) -> tuple[Floats, Floats] | None:
        """Return the place and direction of the clip where it is drawn."""
        if self.clip is None or self.turn is None:
            return self.clip
        origin, normal = self.clip
        return self.turn[:3, :3] @ origin + self.turn[:3, 3], self.turn[:3, :3] @ normal


def reach_of(actors: Sequence[Actor], axes: Floats) -> Floats:
    """Return the (2, k) lowest and highest of several along (k, 3) axes, where they are drawn."""
    every = np.array([a.reach(axes) for a in actors])
    return np.array([every[:, 0].min(axis=0), every[:, 1].max(axis=0)])


def turned_over(points: Floats, plan: Plan, pour: PourName) -> Floats:
    """Return points of the stand's pose as they are in a pour.

    For the resin the block is rolled over sideways, so that its front stays toward the viewer and
    the mouth comes up; the block's far face then lies on the table.
    """
    if pour == "rubber":
        return points
    return np.array([0, 0, plan.container.fill_height_mm]) + points * np.array([-1.0, 1.0, -1.0])


def thick(plan: Plan) -> float:
    """Return the radius of drawn tubes, so that they read at the size of a palm [mm]."""
    return 0.006 * float(np.linalg.norm(plan.stand.piece.extents)) + 0.15
