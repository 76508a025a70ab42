"""A cavity: the region inside a closed surface, and the vertices where air can leave."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cached_property
from queue import Empty, SimpleQueue

import numpy as np
from numpy.typing import ArrayLike

from partline.air.fans import Fans, prepare
from partline.air.kernels import Workspace, workspace
from partline.errors import CavityError
from partline.geometry.surface import Ints, Surface
from partline.geometry.volume import is_closed, volume
from partline.memory import LARGE, spare


@dataclass(frozen=True, eq=False)
class Cavity:
    """The region inside a closed outward surface; air leaves at the outlets.

    Attributes
    ----------
    surface : Surface
        Closed, outward; any genus, any number of shells [mm].
    outlets : (k,) int32
        Vertices of the mouth, the vents or the open top, sorted.
    volume_mm3 : float
        Volume of the whole region [mm^3].

    Raises
    ------
    CavityError
        If the surface is not closed and outward, no outlet is given, or an outlet is not a
        vertex of the surface.
    """

    surface: Surface
    outlets: Ints
    volume_mm3: float

    def __init__(self, surface: Surface, outlets: ArrayLike) -> None:
        ids = np.unique(np.asarray(outlets, dtype=np.int64))
        if not is_closed(surface):
            raise CavityError(
                "The cavity's surface is open, or its faces do not all point the same way; "
                "air can be followed only in a closed one. Repair the mesh first."
            )
        if len(ids) == 0:
            raise CavityError("The cavity has no outlet: all of it would stay air. Name a mouth.")
        if ids[0] < 0 or ids[-1] >= len(surface.vertices):
            raise CavityError(
                f"Outlet vertex {int(ids[0] if ids[0] < 0 else ids[-1])} is not on the surface, "
                f"which has {len(surface.vertices)} vertices."
            )
        used = np.zeros(len(surface.vertices), dtype=bool)
        used[surface.faces] = True
        idle = ids[~used[ids]]
        if len(idle):
            raise CavityError(
                f"Outlet vertex {int(idle[0])} is not on the surface: no face uses it "
                f"({len(idle)} of {len(ids)} outlets). Name vertices of the mouth's faces."
            )
        inside = volume(surface)
        if inside <= 0:
            raise CavityError(
                f"The cavity's surface is inside out (volume {inside:.6g} mm³). Flip its faces."
            )
        chosen = ids.astype(np.int32)
        chosen.setflags(write=False)
        object.__setattr__(self, "surface", surface)
        object.__setattr__(self, "outlets", chosen)
        object.__setattr__(self, "volume_mm3", inside)

    def __getstate__(self) -> dict[str, object]:
        """Return what is pickled: what can be made anew is left out."""
        return {name: getattr(self, name) for name in ("surface", "outlets", "volume_mm3")}

    @cached_property
    def fans(self) -> Fans:
        """What every direction shares, for the kernels; made at first use."""
        return prepare(self.surface, self.outlets)

    def with_outlets(self, vertices: ArrayLike) -> Cavity:
        """Return the same cavity with more outlets, e.g. the ends of vents; nothing made twice.

        Raises
        ------
        CavityError
            If one of them is not a vertex of the surface.
        """
        more = Cavity(self.surface, np.union1d(self.outlets, np.asarray(vertices, dtype=np.int64)))
        open_ = np.zeros(len(self.surface.vertices), dtype=bool)
        open_[more.outlets] = True
        outlets = np.flatnonzero(open_[self.fans.original]).astype(np.int32)
        # What does not hang on the outlets is shared; a cached property lives in the dictionary.
        more.__dict__["fans"] = self.fans._replace(outlets=outlets)
        return more

    def spare_memory(self) -> None:
        """On a large cavity let go of what directions share: a third of a kilobyte a triangle.

        What is asked for again is made anew.
        """
        if len(self.surface.vertices) < LARGE:
            return
        for name in ("fans", "_spare"):
            self.__dict__.pop(name, None)
        spare(self.surface)

    @contextmanager
    def workspace(self) -> Iterator[Workspace]:
        """Lend arrays for one direction, kept for the next: nearby ones are found sooner."""
        try:
            work = self._spare.get_nowait()
        except Empty:
            work = workspace(self.fans)
        try:
            yield work
        finally:
            self._spare.put(work)

    @cached_property
    def _spare(self) -> SimpleQueue[Workspace]:
        return SimpleQueue()


def no_ceiling(fans: Fans, vertex: int) -> CavityError:
    """Return the error of a ray straight up from a vertex, inside the cavity, that met nothing."""
    x, y, z = fans.vertices[vertex]
    return CavityError(
        f"A ray up from ({x:.3f}, {y:.3f}, {z:.3f}) mm met nothing though the cavity is closed: "
        "its surface runs through itself near there. Repair the mesh first; if it does not run "
        "through itself, please keep it and report this."
    )
