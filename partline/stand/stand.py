"""The stand: a master on its foot block, with both cavities that will be poured."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from partline.air.cavity import Cavity
from partline.geometry.surface import Floats, Ints, Surface
from partline.scan.master import Master

# A sink of less only makes the underside flat; from here on it changes the casting [mm].
SUNK_MM = 1.0


@dataclass(frozen=True, eq=False)
class FootBlock:
    """The stub under the master that leaves the mouth and the reservoir.

    Attributes
    ----------
    surface : Surface
        Closed solid from z = 0 to z = height_mm [mm].
    kind : str
        "flared" (outline of the piece's own base) or "slab" (wider than its feet).
    height_mm : float
        Height [mm].
    top, bottom : tuple of (k, 2) float64
        Outlines at z = height_mm and z = 0, counter-clockwise [mm].
    width_mm : float
        Widest distance across the bottom outline [mm].
    """

    surface: Surface
    kind: str
    height_mm: float
    top: tuple[Floats, ...]
    bottom: tuple[Floats, ...]
    width_mm: float


@dataclass(frozen=True)
class Hollow:
    """A closed space under the base that resin or rubber cannot reach.

    Attributes
    ----------
    volume_mm3 : float
        Volume [mm^3].
    place_mm : tuple of float
        Middle [mm].
    """

    volume_mm3: float
    place_mm: tuple[float, float, float]


@dataclass(frozen=True, eq=False)
class Stand:
    """The master as it stands in the cup: z = 0 on the cup's floor, front toward -Y.

    Attributes
    ----------
    master : Master
        The master this was made from (its own pose: lowest point at z = 0).
    piece : Surface
        The master lifted onto the foot block and trimmed flat at the seat: closed [mm].
    piece_faces : (m,) int32
        Face of `master.surface` that each face of `piece` is part of; -1 on the flat underside,
        or within the foot block where other parts hang lower than the mouth.
    lift_mm : float
        How far the master was lifted: a point p of the master is at p + (0, 0, lift_mm).
    seat_mm : float
        Height of the seat, where master and foot block meet [mm].
    sink_mm : float
        How much of the master was trimmed off below the seat [mm].
    feet : int
        How many separate patches it stands on.
    footprint : tuple of (k, 2) float64
        Outlines of the piece at the seat: outer ones counter-clockwise, holes clockwise [mm].
    foot_block : FootBlock or None
        None when the piece stands straight on the floor.
    cavity : Cavity
        What resin fills: piece joined with foot block; its outlet is the mouth face at z = 0.
    rubber_cavity : Cavity
        What rubber fills inside the nominal box; its outlet is the open top.
    outline : (k, 2) float64
        Outline of the nominal box, counter-clockwise [mm].
    wall_mm, headroom_mm : float
        Least rubber beside the piece and above it [mm].
    mouth_width_mm : float
        Widest distance across the mouth face [mm].
    tilt_limit_deg : float
        How far the open mould may be tipped with its reservoir filled to its bottom [degrees].
    hollows : tuple of Hollow
    words : tuple of str
        How it stands, in sentences for a person.
    warnings : tuple of str
        What is odd about it: read before anything is poured.
    """

    master: Master
    piece: Surface
    piece_faces: Ints
    lift_mm: float
    seat_mm: float
    sink_mm: float
    feet: int
    footprint: tuple[Floats, ...]
    foot_block: FootBlock | None
    cavity: Cavity
    rubber_cavity: Cavity
    outline: Floats
    wall_mm: float
    headroom_mm: float
    mouth_width_mm: float
    tilt_limit_deg: float
    hollows: tuple[Hollow, ...]
    words: tuple[str, ...]
    warnings: tuple[str, ...] = ()

    @property
    def made_faces(self) -> NDArray[np.bool_]:
        """(m,) which faces of the piece the scan does not show: underside, caps, fillings."""
        of_scan = self.master.file_faces[np.maximum(self.piece_faces, 0)]
        return (self.piece_faces < 0) | (of_scan < 0)

    @property
    def sunk_mm(self) -> float:
        """How much is trimmed off beyond what makes the underside flat; 0 where it is not [mm]."""
        return self.sink_mm if self.sink_mm >= SUNK_MM else 0.0

    @property
    def top_mm(self) -> float:
        """Height of the piece's highest point above the cup's floor [mm]."""
        return float(self.piece.bounds[1, 2])

    @property
    def block_height_mm(self) -> float:
        """Height of the rubber: the piece's top and the headroom [mm]."""
        return self.top_mm + self.headroom_mm
