"""The job in progress: what the sculptor has said so far, and the plan when there is one."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

import numpy as np

from partline.errors import JobError
from partline.faces.asking import FORMS
from partline.faces.poses import Pick, Side, direction
from partline.faces.view import LAYERS, STAGES, View
from partline.freshness import still_holding
from partline.geometry.points import span
from partline.geometry.surface import Floats, Surface
from partline.job import Job, LookPart, MouthPart, ScanPart, ShelfItem
from partline.plan import Plan
from partline.scan.master import Master
from partline.units import length_mm
from partline.workshop.shelf import with_shelf

# What undo brings back. The view is not a choice: looking at something changes nothing.
CHOICES = (
    "height_mm", "up", "front", "front_said", "mouth", "mouth_said", "measured", "scale", "base",
    "asked",
)  # fmt: skip
# Older steps forget their plan, which is large; it is then worked out again.
_PLANS_KEPT = 4


@dataclass
class Workbench:
    """The job in progress.

    It knows no window. Whoever shows it asks to be told by `listen`; the questions come in the
    order of the bench: scan, how tall, how it stands and its front, where the resin goes in, and
    then what is on the bench: cups, labels, ratings, how many.

    Attributes
    ----------
    path : Path or None
        The scan.
    job_path : Path or None
        The job file it was opened from or saved to.
    master : Master or None
        As read, with the file's own up (+z) and front (-y) and its numbers taken as mm.
    height_mm : float or None
        Finished height [mm].
    up : str
        Axis of the file.
    front : str or tuple of float
        Axis of the file, or any direction square to up.
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
    base : Job or None
        Everything else of the job: zones, cut, materials, shelf, shop, run.
    asked : tuple of str
        Those of `asking.FORMS` that are still to be put, or to be put again.
    shelf : tuple of ShelfItem
        The cups saved for every job; those of the job itself come before them.
    plan : Plan or None
        The last plan that was worked out, fresh or stale.
    planned : Job or None
        The job it was worked out for.
    """

    path: Path | None = None
    job_path: Path | None = None
    master: Master | None = None
    height_mm: float | None = None
    up: str = "+z"
    front: Side = "-y"
    front_said: bool = False
    mouth: Pick | None = None
    mouth_said: bool = False
    measured: tuple[Pick, ...] | None = None
    scale: float | None = None
    base: Job | None = None
    asked: tuple[str, ...] = FORMS
    shelf: tuple[ShelfItem, ...] = ()
    plan: Plan | None = None
    planned: Job | None = None
    view: View = field(default_factory=View)
    _shown: tuple[object, Surface] | None = field(default=None, repr=False)
    _undo: list[dict[str, Any]] = field(default_factory=list, repr=False)
    _redo: list[dict[str, Any]] = field(default_factory=list, repr=False)
    _listeners: list[Callable[[], None]] = field(default_factory=list, repr=False)

    def listen(self, listener: Callable[[], None]) -> None:
        """Have `listener()` called after every change."""
        self._listeners.append(listener)

    def change(self, **new: object) -> None:
        """Set attributes and tell the listeners once; a choice can be undone again."""
        unknown = [name for name in new if name.startswith("_") or not hasattr(self, name)]
        if unknown:
            raise AttributeError(f"The workbench has no {', '.join(unknown)}.")
        if "master" in new:
            self._undo, self._redo = [], []
        elif any(name in CHOICES and getattr(self, name) != new[name] for name in new):
            self._undo.append(self._kept())
            self._redo = []
            for old in self._undo[:-_PLANS_KEPT]:
                old["plan"] = old["planned"] = None
        self._set(new)

    def undo(self) -> bool:
        """Take the last choice back; False when there is none."""
        return self._step(self._undo, self._redo)

    def redo(self) -> bool:
        """Make the choice again that was taken back; False when there is none."""
        return self._step(self._redo, self._undo)

    def can_undo(self) -> tuple[bool, bool]:
        """Tell whether there is something to undo, and to redo."""
        return bool(self._undo), bool(self._redo)

    def _step(self, source: list[dict[str, Any]], other: list[dict[str, Any]]) -> bool:
        if not source:
            return False
        back = source.pop()
        other.append(self._kept())
        if back["plan"] is None:
            del back["plan"], back["planned"]
        self._set(back)
        return True

    def _kept(self) -> dict[str, Any]:
        return {name: getattr(self, name) for name in (*CHOICES, "plan", "planned")}

    def _set(self, new: dict[str, Any]) -> None:
        for name, value in new.items():
            setattr(self, name, value)
        for listener in self._listeners:
            listener()

    def opened(self, path: Path, master: Master, *, base: Job | None = None,
               job_path: Path | None = None) -> None:  # fmt: skip
        """Begin with a scan, or with the decisions of a job file beside it."""
        said, self._shown = base is not None, None
        base = base or Job(name=path.stem, scan=ScanPart(file=path))
        new: dict[str, object] = {
            "path": path, "master": master, "base": base, "plan": None, "planned": None,
            "height_mm": None, "up": "+z", "front": "-y", "front_said": False, "mouth": None,
            "mouth_said": False, "measured": None, "scale": None, "view": View(),
            "job_path": job_path, "asked": FORMS,
        }  # fmt: skip
        if said:
            new |= {"height_mm": height_of(base, master), "up": base.scan.up,
                    "front": base.scan.front, "front_said": True, "mouth_said": True,
                    "asked": (),
                    "scale": scale_of(base), "view": seen_in(base.look),
                    "mouth": pointed_out(base.stand.mouth, master)}  # fmt: skip
        self.change(**new)

    def question(self) -> str:
        """Return what is asked next, "" when all is said.

        "scan", "height" (or "points", then "distance", to size it by two points), "front",
        "mouth", then one of `asking.FORMS`.
        """
        if self.master is None:
            return "scan"
        if self.height_mm is None:
            if self.measured is None:
                return "height"
            return "points" if len(self.measured) < 2 else "distance"
        if not self.front_said:
            return "front"
        if not self.mouth_said:
            return "mouth"
        return self.asked[0] if self.asked else ""

    def stale(self) -> frozenset[str]:
        """Return the `STAGES` whose results are of an earlier choice; none without a plan."""
        if self.plan is None or self.planned is None:
            return frozenset()
        if self.question() not in ("", *FORMS):
            return frozenset(STAGES)
        holding = still_holding(self.planned, planned_job(self))
        gone = frozenset(s for s in ("piece", "stand", "air", "cut", "weigh") if s not in holding)
        return gone | {"pour", "after"} if gone else gone

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
        """Return the mesh as it is going to stand, before there is a plan, resting on z = 0.

        The same one as long as it stands the same way: it is asked for at every change.
        """
        key = (id(self.master), self.up, self.front, self.height_mm)
        if self._shown is None or self._shown[0] != key:
            self._shown = (key, self._standing())
        return self._shown[1]

    def _standing(self) -> Surface:
        if self.master is None:
            raise JobError("There is no scan yet. Open one first.")
        turn = self.turn()
        low, high = span(self.master.surface.vertices, turn)
        scale = 1.0 if self.height_mm is None else self.height_mm / max(high[2] - low[2], 1e-12)
        place = np.eye(4)
        place[:3, :3] = scale * turn
        place[:3, 3] = -scale * np.array([*(low + high)[:2] / 2, low[2]])
        return self.master.surface.moved(place)

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
    # Its height says its size now, whatever the file said it by.
    scan = base.scan.model_copy(update={
        "file": bench.path, "height_mm": bench.height_mm, "measured": None, "units": None,
        "up": bench.up, "front": bench.front,
    })  # fmt: skip
    mouth = base.stand.mouth
    if bench.mouth is not None:
        mouth = MouthPart(at="point", point=in_file(bench.master, bench.mouth.point))
    stand = base.stand.model_copy(update={"mouth": mouth})
    return base.model_copy(update={"scan": scan, "stand": stand})


def drawn_anew(job: Job, cell_mm: float | None = None) -> Job:
    """Return a job that asks for a new surface round its scan, with cells of a size [mm]."""
    scan = job.scan.model_copy(update={"rebuild": True, "cell_mm": cell_mm})
    return job.model_copy(update={"scan": scan})


def planned_job(bench: Workbench) -> Job:
    """Return the job that is worked out: as said so far, with the saved cups behind its own.

    Raises
    ------
    JobError
        As `job_of`.
    """
    return with_shelf(job_of(bench), bench.shelf)


def in_file(master: Master, point: Floats) -> tuple[float, float, float]:
    """Return a point of a master's own pose in the coordinates of its file."""
    back = np.linalg.inv(master.to_pose)
    x, y, z = (round(float(v), 7) + 0.0 for v in back[:3, :3] @ point + back[:3, 3])
    return x, y, z


def pointed_out(mouth: MouthPart, master: Master) -> Pick | None:
    """Return a mouth given by a point as if it had been clicked; None for any other."""
    if mouth.point is None:
        return None
    point = master.to_pose[:3, :3] @ np.array(mouth.point) + master.to_pose[:3, 3]
    surface = master.surface
    middles = surface.vertices[surface.faces].mean(axis=1)
    face = int(np.argmin(np.linalg.norm(middles - point, axis=1)))
    return Pick(face, point, surface.face_normals[face].copy())


def look_of(
    view: View, stage: str, lengths: Literal["mm", "inches"], *, step: int | None = None
) -> LookPart:
    """Return what a job file keeps of the view.

    Parameters
    ----------
    step : int, optional
        The step of the pour that is shown; it says how the mould is tipped.
    """

    def rounded(values: tuple[float, ...] | None) -> tuple[float, ...] | None:
        return None if values is None else tuple(round(float(v), 4) for v in values)

    return LookPart.model_validate(
        {"stage": stage, "pour": view.pour, "layers": tuple(sorted(view.layers)),
         "eye": rounded(view.eye), "lengths": lengths, "section": rounded(view.section),
         "tip": rounded(view.tip) if step is None else None, "step": step,
         "choice": view.choice, "knife_mm": view.knife_mm, "mouth": rounded(view.mouth)}
    )  # fmt: skip


def seen_in(look: LookPart) -> View:
    """Return the view a job file asks for; layers it does not know of are left out."""
    plain = View()
    known = frozenset(look.layers) & frozenset(LAYERS)
    return View(layers=known or plain.layers, pour=look.pour, eye=look.eye or plain.eye,
                section=look.section, tip=look.tip, choice=look.choice, knife_mm=look.knife_mm,
                mouth=look.mouth)  # fmt: skip


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
