"""What is shown and what is being decided, without any toolkit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Literal

import numpy as np

from partline.errors import JobError
from partline.geometry.surface import Floats, Ints, Surface
from partline.job import Job, MouthPart, ScanPart, StandPart
from partline.plan import Plan
from partline.scan.master import Master
from partline.units import length_mm

PourName = Literal["rubber", "resin"]

LAYERS = ("piece", "detail", "cut", "air", "cup", "foot block", "mouth", "front", "labels")
STAGES = ("piece", "stand", "air", "cut", "weigh", "pour")

# The smallest and largest finished heights a height box accepts without being told twice [mm].
SMALL_MM, LARGE_MM = 5.0, 1000.0


@dataclass(frozen=True)
class View:
    """What is shown.

    Attributes
    ----------
    layers : frozenset of str
        Which of `LAYERS` are on.
    pour : str
        "rubber" (mouth down, in the cup) or "resin" (the block turned over, mouth up).
    eye : tuple of float
        From the piece toward the eye, any length; the front is at (0, -1, 0).
    selected : int or None
        Index of the pocket that is pointed out.
    """

    layers: frozenset[str] = frozenset(
        {"piece", "cut", "cup", "foot block", "mouth", "front", "labels"}
    )
    pour: PourName = "rubber"
    eye: tuple[float, float, float] = (0.25, -1.0, 0.28)
    selected: int | None = None

    def shows(self, layer: str) -> bool:
        """Tell whether a layer is on."""
        return layer in self.layers

    def switched(self, layer: str, on: bool) -> View:
        """Return the view with one layer on or off.

        Raises
        ------
        ValueError
            If there is no such layer.
        """
        if layer not in LAYERS:
            raise ValueError(f"No layer {layer!r}; there are {', '.join(LAYERS)}.")
        return replace(self, layers=self.layers | {layer} if on else self.layers - {layer})

    def poured(self, pour: PourName) -> View:
        """Return the view in the rubber pour or in the resin pour."""
        return replace(self, pour=pour, selected=None)

    def seen_from(self, eye: tuple[float, float, float]) -> View:
        """Return the view seen from another side."""
        return replace(self, eye=eye)


@dataclass(frozen=True)
class Pick:
    """A face that was pointed at, on the mesh as read from the file.

    Attributes
    ----------
    face : int
        Face of the master's surface.
    point : (3,) float64
        Where, in the master's own pose as read [mm or file units].
    normal : (3,) float64
        Outward normal there.
    """

    face: int
    point: Floats
    normal: Floats


_AXES: dict[str, tuple[int, int, int]] = {
    "+x": (1, 0, 0), "-x": (-1, 0, 0), "+y": (0, 1, 0),
    "-y": (0, -1, 0), "+z": (0, 0, 1), "-z": (0, 0, -1),
}  # fmt: skip


def direction(name: str) -> Floats:
    """Return the (3,) unit vector of a file axis such as "-y".

    Raises
    ------
    JobError
        If it is not one of the six.
    """
    if name not in _AXES:
        raise JobError(f"No direction {name!r}; there are {', '.join(_AXES)}.")
    return np.array(_AXES[name], dtype=np.float64)


def axis_name(toward: Floats, *, square_to: str | None = None) -> str:
    """Return the file axis nearest to a direction, e.g. "-y"; never along `square_to`."""
    names = [n for n in _AXES if square_to is None or n[1] != square_to[1]]
    return max(names, key=lambda n: float(direction(n) @ toward))


def tipped(up: str, front: str, way: Literal["over", "round"]) -> tuple[str, str]:
    """Return the up and front of a piece tipped a quarter turn, as seen from its front.

    "over" lays it on its front, so that its back comes up; "round" turns it a quarter on its
    foot, so that its left side comes to the front.
    """
    high, near = direction(up), direction(front)
    if way == "over":
        return axis_name(-near), axis_name(high)
    return up, axis_name(np.cross(near, high))


@dataclass
class Workbench:
    """The job in progress: what the sculptor has said so far, and the plan when there is one.

    It knows no window. Whoever shows it asks to be told by `listen`; the questions come in the
    order of the bench: scan, how tall, how it stands and its front, where the resin goes in.

    Attributes
    ----------
    master : Master or None
        As read, with the file's own up (+z) and front (-y) and its numbers taken as mm.
    height_mm : float or None
        Finished height [mm].
    up, front : str
        Axes of the file.
    front_said : bool
        The front has been pointed at or agreed to.
    mouth : Pick or None
        None is the base.
    mouth_said : bool
        The mouth has been pointed at or agreed to.
    measured : tuple of Pick or None
        Points clicked so far to size it by the distance of two; None when that is not asked.
    scale : float or None
        Millimetres for one of the file's units, where the size was said without the pose: by
        two points or a unit. None when the height as it stands was said [mm].
    """

    path: Path | None = None
    master: Master | None = None
    height_mm: float | None = None
    up: str = "+z"
    front: str = "-y"
    front_said: bool = False
    mouth: Pick | None = None
    mouth_said: bool = False
    measured: tuple[Pick, ...] | None = None
    scale: float | None = None
    base: Job | None = None
    plan: Plan | None = None
    view: View = field(default_factory=View)
    _listeners: list[Callable[[], None]] = field(default_factory=list, repr=False)

    def listen(self, listener: Callable[[], None]) -> None:
        """Have `listener()` called after every change."""
        self._listeners.append(listener)

    def change(self, **new: object) -> None:
        """Set attributes and tell the listeners once; anything but the view drops the plan."""
        unknown = [name for name in new if name.startswith("_") or not hasattr(self, name)]
        if unknown:
            raise AttributeError(f"The workbench has no {', '.join(unknown)}.")
        if "plan" not in new and set(new) - {"view"}:
            self.plan = None
        for name, value in new.items():
            setattr(self, name, value)
        for listener in self._listeners:
            listener()

    def opened(self, path: Path, master: Master, *, base: Job | None = None) -> None:
        """Begin with a scan, or with the decisions of a job file beside it."""
        new: dict[str, object] = {
            "path": path, "master": master, "base": base, "plan": None, "view": View(),
            "height_mm": None, "up": "+z", "front": "-y", "front_said": False,
            "mouth": None, "mouth_said": False, "measured": None,
            "scale": None,
        }  # fmt: skip
        if base is not None:
            scan = base.scan
            new |= {"height_mm": height_of(base, master), "up": scan.up, "front": scan.front}
            new |= {"front_said": True, "mouth_said": True, "scale": scale_of(base)}
        self.change(**new)

    def question(self) -> str:
        """Return what is asked next, "" when all is said.

        "scan", "height" (or "points", then "distance", to size it by two points), "front",
        "mouth".
        """
        if self.master is None:
            return "scan"
        if self.height_mm is None:
            if self.measured is None:
                return "height"
            return "points" if len(self.measured) < 2 else "distance"
        if not self.front_said:
            return "front"
        return "" if self.mouth_said else "mouth"

    def turn(self) -> Floats:
        """Return the (3, 3) rotation from the file's axes to the pose shown: up +Z, front -Y."""
        up = direction(self.up)
        front = direction(self.front)
        front = front - (front @ up) * up
        if np.linalg.norm(front) < 1e-6:
            raise JobError(
                f"The front ({self.front}) points the same way as up ({self.up}). Point at a "
                "side of the piece instead."
            )
        front = front / np.linalg.norm(front)
        return np.vstack([np.cross(up, front), -front, up])

    def shown_surface(self) -> Surface:
        """Return the mesh as it is going to stand, before there is a plan, resting on z = 0."""
        if self.master is None:
            raise JobError("There is no scan yet. Open one first.")
        turned = self.master.surface.vertices @ self.turn().T
        low, high = turned.min(axis=0), turned.max(axis=0)
        shift = np.array([(low[0] + high[0]) / 2, (low[1] + high[1]) / 2, low[2]])
        scale = 1.0 if self.height_mm is None else self.height_mm / max(high[2] - low[2], 1e-12)
        return Surface((turned - shift) * scale, self.master.surface.faces)

    def pointed_at(self, face: int, shares: Floats | None = None) -> Pick:
        """Return the pick of a face of the mesh, whatever way it is shown.

        Parameters
        ----------
        shares : (3,) float64, optional
            Where on the face, as shares of its corners; by default its middle [1].
        """
        if self.master is None:
            raise JobError("There is no scan yet. Open one first.")
        surface = self.master.surface
        shares = np.full(3, 1 / 3) if shares is None else shares
        point = shares @ surface.vertices[surface.faces[face]]
        return Pick(int(face), point, surface.face_normals[face].copy())


def front_toward(bench: Workbench, pick: Pick) -> str:
    """Return the file axis that a pointed-at side faces most nearly, square to up.

    A face that looks straight up or down says nothing about sides; then the place of the pick
    off the middle decides.
    """
    up = direction(bench.up)
    level = pick.normal - (pick.normal @ up) * up
    if np.linalg.norm(level) < 0.2:
        middle = bench.master.surface.bounds.mean(axis=0) if bench.master else np.zeros(3)
        aside = pick.point - middle
        level = aside - (aside @ up) * up
    return axis_name(level, square_to=bench.up)


def tall_as(bench: Workbench, up: str) -> float:
    """Return how tall the scan is with a file axis up, in the file's own units."""
    if bench.master is None:
        raise JobError("There is no scan yet. Open one first.")
    return float(np.ptp(bench.master.surface.vertices @ direction(up)))


def scale_measured(bench: Workbench, distance_mm: float) -> float:
    """Return the scale that puts the two measured points so far apart [mm per file unit].

    Raises
    ------
    JobError
        If there are not two points, or they are in one place.
    """
    if bench.measured is None or len(bench.measured) != 2:
        raise JobError("Click on two points of the piece first.")
    one, two = bench.measured
    apart = float(np.linalg.norm(two.point - one.point))
    if apart < 1e-3 * tall_as(bench, bench.up):
        raise JobError(
            "The two points are in the same place. Click on two points that are far apart: the "
            "further, the better the size."
        )
    return distance_mm / apart


def scale_of(job: Job) -> float | None:
    """Return the scale of a job file's scan [mm per file unit], None if it says the height."""
    measured = job.scan.measured
    if measured is not None:
        apart = float(np.linalg.norm(np.subtract(measured.stop, measured.start)))
        return measured.length_mm / apart
    return None if job.scan.units is None else length_mm(f"1 {job.scan.units}")


def height_of(job: Job, master: Master) -> float:
    """Return the finished height a job file asks for, however it says the size [mm]."""
    if job.scan.height_mm is not None:
        return job.scan.height_mm
    tall = float(np.ptp(master.surface.vertices @ direction(job.scan.up)))
    return tall * (scale_of(job) or 1.0)


def job_of(bench: Workbench) -> Job:
    """Return the job as said so far, over the job file it began with.

    Raises
    ------
    JobError
        If the scan or its height has not been said.
    """
    if bench.path is None or bench.master is None:
        raise JobError("There is no scan yet. Open one first.")
    if bench.height_mm is None:
        raise JobError("How tall the finished piece is has not been said. Type its height first.")
    base = bench.base or Job(name=bench.path.stem, scan=ScanPart(file=bench.path))
    scan = ScanPart(file=bench.path, height_mm=bench.height_mm, up=bench.up, front=bench.front)
    mouth = base.stand.mouth
    if bench.mouth is not None:
        back = np.linalg.inv(bench.master.to_pose)
        x, y, z = (float(v) for v in back[:3, :3] @ bench.mouth.point + back[:3, 3])
        mouth = MouthPart(at="point", point=(x, y, z))
    stand: StandPart = base.stand.model_copy(update={"mouth": mouth})
    return base.model_copy(update={"scan": scan, "stand": stand})


def faces_near(surface: Surface, face: int, *, within_mm: float) -> Ints:
    """Return the faces whose middle lies within a distance of a face's: the patch shown as picked.

    Parameters
    ----------
    within_mm : float
        Radius of the patch [mm].
    """
    middles = surface.vertices[surface.faces].mean(axis=1)
    near = np.linalg.norm(middles - middles[face], axis=1) <= within_mm
    near[face] = True
    facing = surface.face_normals @ surface.face_normals[face] > 0.3
    facing[face] = True
    return np.flatnonzero(near & facing).astype(np.int32)
