"""Where lines may begin, run and end: behind the silhouette left and right, or up the back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numba import njit
from numpy.typing import NDArray

from partline.cut.demould import Demould
from partline.cut.straying import STRAY, strayed
from partline.errors import NoPath
from partline.geometry.surface import Floats
from partline.stand.stand import Stand

# Ways round from the front mark [degrees], clockwise looking into the mouth: from the bearing
# first to the last the line may begin and end. Common practice, no source.
SECTORS = {"back": (115.0, 245.0), "right": (85.0, 165.0), "left": (195.0, 275.0)}
# Begins the name of a line that goes over the floor of the mould.
OVER = "over "
_SIDE = {
    "back": "up the back",
    "left": "on the left, seen from the front",
    "right": "on the right, seen from the front",
    "over back": "up the back and over the floor of the mould",
    "over left": "on the left, seen from the front, and over the floor of the mould",
    "over right": "on the right, seen from the front, and over the floor of the mould",
}
_UNDERSIDE, _SIDE_SKIN = 1, 2
# Beyond this share of the half width a line counts as lying at the silhouette.
_OUT = 0.8


def side_words(name: str) -> str:
    """Return where a line runs, for the middle of a sentence."""
    return _SIDE[name]


@dataclass(frozen=True, eq=False)
class Corridor:
    """Where one line may run.

    Attributes
    ----------
    name : str
        "back", "left" or "right", as seen from the front; "over back" and so on where it goes
        over the floor of the mould.
    allowed : (n,) bool
        Vertices of the piece that the line may touch.
    inward : (n,) float64
        How far a vertex lies in from the silhouette seen from the front, 0 to 1; 0 for the back.
    sources, targets : (k,) int64
        Vertices at the seat's rim, and at or above the end of the cut.
    end_mm : float
        How far along `along` it ends [mm].
    along : tuple of float
        Unit vector; up, but for a line that goes over the floor of the mould.
    stray_deg : float
        How far beyond its sector it may stray on its way [degrees].
    """

    name: str
    allowed: NDArray[np.bool_]
    inward: Floats
    sources: NDArray[np.int64]
    targets: NDArray[np.int64]
    end_mm: float
    along: tuple[float, float, float] = (0.0, 0.0, 1.0)
    stray_deg: float = STRAY

    @property
    def side(self) -> str:
        """Where the line starts: "back", "left" or "right"."""
        return self.name.removeprefix(OVER)


def led_from_mouth(rings: Demould, stand: Stand) -> Demould:
    """Return the rings with their middles led over from the mouth's own.

    Sides are told from the middle of the piece at each height; of a mouth that lies aside of it
    they would all be one. So over as much height as it lies aside, the middle goes from the
    mouth's to the piece's; a mouth under the middle changes nothing.
    """
    rim = stand.piece.vertices[rim_of(stand), :2]
    if not len(rim):
        return rings
    mouth = (rim.min(axis=0) + rim.max(axis=0)) / 2
    aside = float(np.linalg.norm(rings.centre[0] - mouth))
    share = np.clip((rings.levels - stand.seat_mm) / max(aside, 1e-9), 0.0, 1.0)[:, None]
    return replace(rings, centre=mouth + share * (rings.centre - mouth))


def bearings(points: Floats, demould: Demould) -> Floats:
    """Return (k,) which way each point lies from the middle of the piece at its height.

    Clockwise from the front mark, looking into the mouth: 0 is the front (-Y), 90 is +X [degrees].
    """
    x, y = (np.interp(points[:, 2], demould.levels, demould.centre[:, k]) for k in (0, 1))
    return np.degrees(np.arctan2(points[:, 0] - x, y - points[:, 1])) % 360.0


def _inward(points: Floats, demould: Demould) -> Floats:
    """Return (n,) how far points lie in from the silhouette at their height, 0 to 1 [1]."""
    middle = np.interp(points[:, 2], demould.levels, demould.centre[:, 0])
    half = np.interp(points[:, 2], demould.levels, demould.half_width)
    out = np.abs(points[:, 0] - middle) / np.maximum(half, 1e-9)
    return np.clip(1 - out / _OUT, 0.0, 1.0)


def rim_of(stand: Stand) -> NDArray[np.int64]:
    """Return the vertices of the piece where its side meets the flat underside."""
    return np.flatnonzero(_touched(stand) == _SIDE_SKIN + _UNDERSIDE)


def outside_of(stand: Stand) -> NDArray[np.bool_]:
    """Tell which vertices lie on the skin that rubber touches, not on the flat underside."""
    return _touched(stand) >= _SIDE_SKIN


def _touched(stand: Stand) -> NDArray[np.int8]:
    """Return for each vertex of the piece whether it touches skin, the underside or both."""
    return np.asarray(_kinds(stand.piece.faces, stand.piece_faces, len(stand.piece.vertices)))


@njit(nogil=True, cache=True)
def _kinds(faces, source, count):  # type: ignore[no-untyped-def]
    found = np.zeros(count, dtype=np.int8)
    for f in range(len(faces)):
        kind = _UNDERSIDE if source[f] < 0 else _SIDE_SKIN
        for k in range(3):
            found[faces[f, k]] |= kind
    return found


def _on_side(places: Sequence[Floats], demould: Demould, name: str) -> Floats:
    """Return the (k, 3) places that lie within the sector of a side."""
    points = np.reshape(np.asarray(places, dtype=np.float64), (-1, 3))
    bearing = bearings(points, demould)
    low, high = SECTORS[name]
    return points[(bearing >= low) & (bearing <= high)]


def _nearest(points: Floats, vertices: NDArray[np.int64], places: Floats) -> NDArray[np.int64]:
    """Return of some vertices those nearest to given places; all where no place is given."""
    if not len(places):
        return vertices
    away = np.linalg.norm(points[vertices][:, None] - places[None], axis=2)
    return np.unique(vertices[away.argmin(axis=0)])


def corridor(
    stand: Stand,
    demould: Demould,
    name: str,
    end_mm: float,
    *,
    starts: Sequence[Floats] = (),
    ends: Sequence[Floats] = (),
) -> Corridor:
    """Return where a line on one side may run, from the rim up to a height.

    It keeps near its side where the skin lets it: see `partline.cut.straying.strayed`. Of the
    (3,) points of `starts` and `ends` those that lie on this side fix where it begins and ends: at
    the nearest place where it may.

    Raises
    ------
    NoPath
        If the seat has no rim on that side, or nothing of the piece reaches that height there.
    """
    bearing = bearings(stand.piece.vertices, demould)
    low, high = SECTORS[name]
    height = stand.piece.vertices[:, 2]
    within = (bearing >= low) & (bearing <= high)
    outside = outside_of(stand)
    rim = rim_of(stand)
    sources = rim[within[rim]]
    top = outside & (height >= end_mm)
    targets = np.flatnonzero(top & within)
    for vertices, what in ((sources, "the seat has no rim"), (targets, "nothing ends")):
        if not len(vertices):
            raise NoPath(
                f"No line can run on the {name}: {what} between {low:.0f} and {high:.0f} degrees "
                f"round from the front mark ({len(rim)} vertices of rim in all, the cut to end "
                f"{end_mm:.0f} mm above the cup's floor). Choose another number of cuts, or turn "
                "the front."
            )
    points = stand.piece.vertices
    sources = _nearest(points, sources, _on_side(starts, demould, name))
    targets = _nearest(points, targets, _on_side(ends, demould, name))
    below = outside & ~top
    below[targets] = True
    way = strayed(stand.piece, below, bearing, (low, high), sources, targets)
    inward = np.zeros(len(height)) if name == "back" else _inward(stand.piece.vertices, demould)
    return Corridor(name, way.open, inward, sources, targets, end_mm, stray_deg=way.stray_deg)
