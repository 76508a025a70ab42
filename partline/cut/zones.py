"""Zones the sculptor laid down: stay off, go here, pass through."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from partline.errors import JobError
from partline.stand.stand import Stand

KINDS = ("stay off", "go here", "pass through")


class ZoneLike(Protocol):
    """A zone as the job file states it: a point and a radius, or face numbers of the file.

    The point is in the file's own coordinates, the radius at finished size [mm].
    """

    @property
    def kind(self) -> str: ...
    @property
    def point(self) -> tuple[float, float, float] | None: ...
    @property
    def radius_mm(self) -> float | None: ...
    @property
    def faces(self) -> tuple[int, ...]: ...


@dataclass(frozen=True, eq=False)
class Zones:
    """The zones as vertices of the piece.

    Attributes
    ----------
    stay_off, go_here : (n,) bool
        Vertices where no line may run, and where it is welcome.
    pass_through : tuple of (k,) int64
        Vertices of each place that a line must touch.
    """

    stay_off: NDArray[np.bool_]
    go_here: NDArray[np.bool_]
    pass_through: tuple[NDArray[np.int64], ...]


def laid_on(stand: Stand, zones: Sequence[ZoneLike]) -> Zones:
    """Return the vertices of the piece that each zone covers.

    Raises
    ------
    JobError
        If a zone is of an unknown kind, states neither place, or covers nothing.
    """
    n = len(stand.piece.vertices)
    stay_off, go_here = np.zeros(n, dtype=bool), np.zeros(n, dtype=bool)
    through = []
    for number, zone in enumerate(zones, start=1):
        if zone.kind not in KINDS:
            raise JobError(f"Zone {number} is '{zone.kind}'; it can be {', '.join(KINDS)}.")
        covered = _covered(stand, zone, number)
        if zone.kind == "stay off":
            stay_off[covered] = True
        elif zone.kind == "go here":
            go_here[covered] = True
        else:
            through.append(np.flatnonzero(covered))
    return Zones(stay_off, go_here, tuple(through))


def _covered(stand: Stand, zone: ZoneLike, number: int) -> NDArray[np.bool_]:
    covered = np.zeros(len(stand.piece.vertices), dtype=bool)
    if zone.point is not None and zone.radius_mm is not None:
        middle = stand.master.from_file(zone.point)[0] + (0.0, 0.0, stand.lift_mm)
        away = np.linalg.norm(stand.piece.vertices - middle, axis=1)
        covered |= away <= zone.radius_mm
        # A radius smaller than a triangle still means the place itself.
        covered[np.argmin(away)] |= away.min() <= 2 * zone.radius_mm
    elif not len(zone.faces):
        raise JobError(
            f"Zone {number} ('{zone.kind}') has no place; give a point and a radius, or faces."
        )
    if len(zone.faces):
        source = np.where(stand.piece_faces >= 0, stand.piece_faces, 0)
        of_file = np.where(stand.piece_faces >= 0, stand.master.file_faces[source], -1)
        covered[stand.piece.faces[np.isin(of_file, zone.faces)].ravel()] = True
    if not covered.any():
        raise JobError(
            f"Zone {number} ('{zone.kind}') covers nothing of the piece as it stands. Check its "
            "point, radius or face numbers; they count in the file's own coordinates."
        )
    return covered
