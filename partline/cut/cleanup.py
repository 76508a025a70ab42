"""Cleaning the parting line up: minutes, and which side of it may never be scraped."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from partline.cut.cut import ScrapeStretch
from partline.geometry.nearest import corners_within
from partline.geometry.surface import Floats, Surface

# So far to either side a scraper or file touches the skin [mm]; common practice, no source.
REACH_MM = 3.0
# Skin counts as textured where this share of what the tool touches on that side is detail [1].
_TEXTURED = 0.2
# Detail from here on is lost under a scraper [1].
_SPOILT = 0.35
# A change of sides shorter than this is not worth a word [mm].
_LEAST_MM = 3.0
_STEP_MM = 1.0


@dataclass(frozen=True)
class Effort:
    """Minutes to clean up a millimetre of parting line, by what it runs through [min/mm].

    Attributes
    ----------
    plain, texture, face : float
        Through plain skin, hair or cloth, and the finest detail. Common practice, no source.
    hard_edge : float
        Share of that along a hard convex edge [1].
    """

    plain: float = 0.045
    texture: float = 0.11
    face: float = 0.3
    hard_edge: float = 0.5

    def minutes(self, step_mm: Floats, detail: Floats, on_edge: Floats) -> float:
        """Return the minutes for steps of a line through some detail, on an edge (1) or not."""
        each = np.interp(detail, (0.0, 0.5, 1.0), (self.plain, self.texture, self.face))
        each = each * (1 - (1 - self.hard_edge) * on_edge)
        return float((step_mm * each).sum())


def scrape_stretches(points: Floats, surface: Surface, detail: Floats) -> tuple[ScrapeStretch, ...]:
    """Return the stretches of a line by which side of it is textured, from the mouth on.

    Left and right are as seen from outside with the mouth down, going up.

    Parameters
    ----------
    points : (k, 3) float64
        The line on the piece [mm].
    surface : Surface
    detail : (n,) float64
        Detail of each vertex, 0 to 1 [1].
    """
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    if along[-1] <= 0:
        return ()
    at = np.linspace(0.0, along[-1], max(int(along[-1] / _STEP_MM), 2) + 1)
    line = np.column_stack([np.interp(at, along, points[:, k]) for k in range(3)])
    left, right = _sides(line, surface, detail)
    kind = _settled(left.astype(int) + 2 * right.astype(int), at)
    names = ("plain", "left", "right", "both")
    breaks = np.flatnonzero(np.diff(kind)) + 1
    starts = np.concatenate([[0], breaks])
    stops = np.concatenate([breaks, [len(at) - 1]])
    return tuple(
        ScrapeStretch(
            from_mm=float(at[a]),
            to_mm=float(at[b]),
            low_mm=float(line[a : b + 1, 2].min()),
            high_mm=float(line[a : b + 1, 2].max()),
            textured=names[int(kind[a])],
        )
        for a, b in zip(starts, stops, strict=True)
    )


def _sides(
    line: Floats, surface: Surface, detail: Floats
) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Tell at each point of a line whether the skin left and right of it is textured."""
    vertices, normals = surface.vertices, surface.vertex_normals
    ahead: Floats = np.asarray(np.gradient(line, axis=0))
    left, right = (np.zeros(len(line), dtype=bool) for _ in range(2))
    for k, point in enumerate(line):
        found, away = corners_within(surface, point, REACH_MM)
        if not len(found):
            continue
        out = normals[found[np.argmin(away)]]
        # The other side of a thin wall is out of the tool's reach.
        found = found[normals[found] @ out > 0]
        side = (vertices[found] - point) @ np.cross(out, ahead[k])
        spoilt = detail[found] >= _SPOILT
        for here, mark in ((side > 0, left), (side < 0, right)):
            mark[k] = here.any() and spoilt[here].mean() >= _TEXTURED
    return left, right


def _settled(kind: NDArray[np.int_], at: Floats) -> NDArray[np.int_]:
    """Give stretches that are too short to the one before them."""
    kind = kind.copy()
    while True:
        breaks = np.flatnonzero(np.diff(kind)) + 1
        bounds = np.concatenate([[0], breaks, [len(at)]])
        if len(bounds) <= 2:
            return kind
        last = np.minimum(bounds[1:], len(at) - 1)
        length = at[last] - at[bounds[:-1]]
        short = int(np.argmin(length))
        if length[short] >= _LEAST_MM:
            return kind
        neighbour = bounds[short] - 1 if short > 0 else bounds[1]
        kind[bounds[short] : bounds[short + 1]] = kind[neighbour]
