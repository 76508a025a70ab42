"""Zones the sculptor laid down: stay off, go here, pass through, start here, end here."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from partline.cut.layout import rim_of
from partline.errors import JobError
from partline.geometry.surface import Floats
from partline.stand.stand import Stand

KINDS = ("stay off", "go here", "pass through", "start here", "end here")


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
    starts, ends : tuple of (3,) float64
        Where a line on that side begins, and where it ends [mm].
    shut_by : (n,) int32
        Number of the stay-off zone that covers a vertex, from 1, the last said; 0 where none does.
        Left out, all of it is the first.
    """

    stay_off: NDArray[np.bool_]
    go_here: NDArray[np.bool_]
    pass_through: tuple[NDArray[np.int64], ...]
    starts: tuple[Floats, ...] = ()
    ends: tuple[Floats, ...] = ()
    shut_by: NDArray[np.int32] = field(default_factory=lambda: np.zeros(0, dtype=np.int32))

    def __post_init__(self) -> None:
        if not len(self.shut_by):
            object.__setattr__(self, "shut_by", self.stay_off.astype(np.int32))

    @property
    def end_mm(self) -> float | None:
        """Height at which all lines end, for they end level: that of the end said last [mm]."""
        return float(self.ends[-1][2]) if self.ends else None


def laid_on(stand: Stand, zones: Sequence[ZoneLike]) -> Zones:
    """Return the vertices of the piece that each zone covers.

    Raises
    ------
    JobError
        If a zone is of an unknown kind, states neither place, or covers nothing.
    """
    n = len(stand.piece.vertices)
    stay_off, go_here = np.zeros(n, dtype=bool), np.zeros(n, dtype=bool)
    shut_by = np.zeros(n, dtype=np.int32)
    through = []
    ends: dict[str, list[Floats]] = {"start here": [], "end here": []}
    for number, zone in enumerate(zones, start=1):
        if zone.kind not in KINDS:
            raise JobError(f"Zone {number} is '{zone.kind}'; it can be {', '.join(KINDS)}.")
        covered = _covered(stand, zone, number)
        if zone.kind == "stay off":
            stay_off[covered] = True
            shut_by[covered] = number
        elif zone.kind == "go here":
            go_here[covered] = True
        elif zone.kind == "pass through":
            through.append(np.flatnonzero(covered))
        else:
            ends[zone.kind].append(_middle(stand, zone, covered, number))
    return Zones(stay_off, go_here, tuple(through), starts=tuple(ends["start here"]),
                 ends=tuple(ends["end here"]), shut_by=shut_by)  # fmt: skip


def _middle(stand: Stand, zone: ZoneLike, covered: NDArray[np.bool_], number: int) -> Floats:
    """Return the vertex in the middle of a place where a line begins, on the rim, or ends."""
    points = stand.piece.vertices
    middle = points[covered].mean(axis=0) if zone.point is None else _placed(stand, zone.point)
    known = rim_of(stand) if zone.kind == "start here" else np.arange(len(points))
    away = np.linalg.norm(points[known] - middle, axis=1)
    reach = zone.radius_mm or float(np.ptp(points[covered], axis=0).max())
    if away.min() > 2 * reach:
        raise JobError(
            f"Zone {number} ('{zone.kind}') lies {away.min():.1f} mm from the rim of the mouth, "
            "where cuts start. Put it on the rim."
        )
    return np.asarray(points[known[np.argmin(away)]])


def _placed(stand: Stand, point: tuple[float, float, float]) -> Floats:
    """Return a point of the file in the pose of the stand [mm]."""
    return stand.master.from_file(point)[0] + np.array([0.0, 0.0, stand.lift_mm])


def _covered(stand: Stand, zone: ZoneLike, number: int) -> NDArray[np.bool_]:
    covered = np.zeros(len(stand.piece.vertices), dtype=bool)
    if zone.point is not None and zone.radius_mm is not None:
        middle = _placed(stand, zone.point)
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
