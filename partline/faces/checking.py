"""A scan looked over: how it stands, its health, and the noise of its points."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from partline.faces.standing import Pose, proposed
from partline.geometry.noise import NO_NOISE, random_per_vertex, vertex_noise
from partline.geometry.operators import edge_lengths
from partline.geometry.surface import Surface
from partline.progress import Progress, silent, span
from partline.scan.diagnosing import diagnosed
from partline.scan.draft import Draft
from partline.scan.health import Health
from partline.scan.opening import Opened, opened
from partline.scan.rebuilding import Rebuild
from partline.scan.sizing import MM_PER_INCH
from partline.scan.wording import rounded

# Texture shorter than about this many edges cannot be told from noise (see `vertex_noise`).
_EDGES = 6


@dataclass(frozen=True, eq=False)
class Check:
    """A scan looked over.

    Attributes
    ----------
    scan : Opened
    pose : Pose
    health : Health
    noise : float or None
        Standard deviation of its points along the normal, an estimate [unit of the health];
        None where it has too few points, or too large triangles, to tell.
    edge : float
        Median length of its edges [unit of the health].
    shown : Draft
        What there is to look at, in its pose: the scan as it came, cleaned, or the new surface
        that was asked for [unit of the health].
    is_new : bool
        It is the new surface.
    """

    scan: Opened
    pose: Pose
    health: Health
    noise: float | None
    edge: float
    shown: Draft
    is_new: bool = False

    @property
    def words(self) -> tuple[str, ...]:
        """All of it for a person, the verdict last."""
        return (self.pose.words, self.health.words[0], *self._noise_words(), *self.health.words[1:])

    def _noise_words(self) -> tuple[str, ...]:
        if self.noise is None:
            return ()
        if self.noise < NO_NOISE * self.edge:
            return ("Its points show no noise.",)
        unit, inches = self.health.unit, ""
        if unit == "mm":
            inches = f" ({rounded(self.noise / MM_PER_INCH)} in)"
        return (
            f"Noise of its points: about {rounded(self.noise)} {unit}{inches} (estimate); texture "
            f"finer than {rounded(_EDGES * self.edge)} {unit}, six edges, cannot be told from it.",
        )

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain values, ready for JSON."""
        return self.health.to_dict() | {
            "stands": self.pose.to_dict(), "noise": self.noise, "median_edge": self.edge,
            "words": list(self.words),
        }  # fmt: skip


def checked(
    mesh: Path,
    *,
    height_mm: float | None = None,
    units: str | None = None,
    up: str | None = None,
    rebuild: Rebuild | None = None,
    progress: Progress = silent,
) -> Check:
    """Look a scan over; arguments as `diagnose`, the file is read once.

    Raises
    ------
    ScanError, UnitError, StandError
        If it cannot be read as a mesh, or the size or the direction makes no sense.
    """
    scan = opened(mesh, span(progress, 0.0, 0.3))
    progress(0.3, "finding how it stands")
    pose = proposed(scan, up=up)
    health, shown = diagnosed(
        scan, height_mm=height_mm, units=units, up=pose.up,
        front=pose.front, rebuild=rebuild, progress=span(progress, 0.4, 0.95),
    )  # fmt: skip
    progress(0.95, "estimating the noise")
    noise, edge = _noise(scan)
    scale = health.scale
    noise = None if noise is None else scale * noise
    return Check(scan, pose, health, noise, scale * edge, shown,
                 rebuild is not None and health.is_solid)  # fmt: skip


def _noise(scan: Opened) -> tuple[float | None, float]:
    draft = scan.clean.compacted()
    if not len(draft.faces):
        return None, 0.0
    surface = Surface(draft.vertices, draft.faces)
    edge = float(np.median(edge_lengths(surface)))
    if len(surface.vertices) < 100:
        return None, edge
    return vertex_noise(surface, random_per_vertex(surface, 0)), edge
