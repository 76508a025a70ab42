"""Cured offcuts pushed into the rubber from above: how much, where, where not; the rescue."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from partline.errors import WorkshopError
from partline.geometry.surface import Floats, Surface
from partline.workshop.container import Container
from partline.workshop.materials import Defaults

_SPACING = 3.0  # of the samples on a surface [mm]
_POINTS = 20000  # of the grid in the container
_AWAY = _SPACING / math.sqrt(3.0) + 0.05  # no point of a face is farther from a sample [mm]


@dataclass(frozen=True)
class Offcuts:
    """Cured rubber of the same sort that may be pushed in after the pour.

    Attributes
    ----------
    room_mm3 : float
        Rubber at least `gap_mm` from piece and foot block and below the web; an estimate [mm^3].
    most_g : float
        Chunks that go in there, loosely [g].
    gap_mm : float
        [mm]
    below_rim_mm : float
        Chunks are pushed at least so far below the fill line: above lies the web [mm].
    sides : tuple of str
        Where most of the room is, as one sees the piece from its front; the best first.
    rescue : tuple of tuple (float, float)
        Rubber missing [mL], and the offcuts that make up for it [g].
    ml_per_mm : float
        Rubber for each mm that is missing below the fill line [mL/mm].
    words : tuple of str
    """

    room_mm3: float
    most_g: float
    gap_mm: float
    below_rim_mm: float
    sides: tuple[str, ...]
    rescue: tuple[tuple[float, float], ...]
    ml_per_mm: float
    words: tuple[str, ...]


def rescue_g(short_ml: float, density: float) -> float:
    """Return the grams of offcuts that make up for so many mL of missing rubber.

    Raises
    ------
    WorkshopError
        If a figure is not more than 0.
    """
    for key, value in (("short_ml", short_ml), ("density", density)):
        if not (math.isfinite(value) and value > 0):
            raise WorkshopError(f"{key} is {value:g}; it must be more than 0.")
    return short_ml * density


def offcuts_of(
    container: Container, bodies: Sequence[Surface], *, web_mm: float, density: float,
    known: Defaults,
) -> Offcuts:  # fmt: skip
    """Return how many offcuts may go into a container, and where.

    Parameters
    ----------
    container : Container
    bodies : sequence of Surface
        The piece and the foot block, in the stand's pose [mm].
    web_mm : float
        Rubber at the far face that is never cut and stays free of offcuts [mm].
    density : float
        Of the rubber [g/cm^3].
    known : Defaults
    """
    gap = known.value("container.offcut_gap_mm")
    share = known.value("container.offcut_share")
    points, cell = _grid(container, max(0.0, container.fill_height_mm - web_mm))
    free = points[_clear_of(points, bodies, gap)] if len(points) else points
    room = len(free) * cell
    most = room * share / 1000.0 * density
    around = free[:, :2] - np.asarray(container.centre_mm)
    sides = _sides(around)
    top = _area_mm2(container, container.fill_height_mm)
    shorts = tuple((ml, rescue_g(ml, density)) for ml in _steps(container.rubber_volume_mm3))
    rescue = tuple((ml, g) for ml, g in shorts if g <= most)
    words = _words(most, gap, web_mm, sides, rescue, top)
    return Offcuts(room, most, gap, web_mm, sides, rescue, top / 1000.0, words)


def _steps(rubber_mm3: float) -> tuple[float, ...]:
    """Return likely shortfalls in round mL: about 5, 10 and 20 % of the rubber."""
    round_ml = (5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0)
    asked = (rubber_mm3 / 1000.0 * s for s in (0.05, 0.1, 0.2))
    return tuple(sorted({min(round_ml, key=lambda r: abs(math.log(r / a))) for a in asked}))


def _words(
    most: float, gap: float, web: float, sides: tuple[str, ...],
    rescue: tuple[tuple[float, float], ...], area_mm2: float,
) -> tuple[str, ...]:  # fmt: skip
    if most < 5.0:
        return (
            f"No room for offcuts: they would come nearer than {gap:g} mm to the piece or into the "
            "uncut web. Short of rubber? Mix more of the same before it gels.",
        )
    words = [
        f"Offcuts save up to about {most:.0f} g: cured rubber of the same sort, clean and dry. "
        "Pour first, then push them in from above; poured round, they leave voids.",
        f"Not within {gap:g} mm of the piece and not in the top {web:.0f} mm, which is the uncut "
        f"web. Most room is {' and '.join(sides[:2])}.",
    ]
    for short, grams in rescue:
        words.append(f"Short by {short:g} mL? Push in about {grams:.0f} g from above.")
    words.append(f"Each mm below the fill line is {area_mm2 / 1000.0:.1f} mL.")
    return tuple(words)


def _area_mm2(container: Container, z: float) -> float:
    wide, deep = _size_at(container, z)
    return wide * deep if container.kind == "box" else math.pi * wide * wide / 4.0


def _size_at(container: Container, z: float) -> tuple[float, float]:
    grown = (container.rim_width_mm - container.floor_width_mm) * z / container.height_mm
    return container.floor_width_mm + grown, container.floor_depth_mm + grown


def _grid(container: Container, top_mm: float) -> tuple[Floats, float]:
    """Return points (k, 3) inside a container below a height, and the volume of each [mm^3]."""
    wide, deep = _size_at(container, top_mm)
    if top_mm <= 0:
        return np.empty((0, 3)), 0.0
    step = max(1.0, (wide * deep * top_mm / _POINTS) ** (1.0 / 3.0))
    axes = [np.arange(-s / 2 + step / 2, s / 2, step) for s in (wide, deep)]
    heights = np.arange(step / 2, top_mm, step)
    x, y, z = (a.ravel() for a in np.meshgrid(*axes, heights, indexing="ij"))
    grown = (container.rim_width_mm - container.floor_width_mm) * z / container.height_mm
    half_x, half_y = (container.floor_width_mm + grown) / 2, (container.floor_depth_mm + grown) / 2
    if container.kind == "box":
        inside = (abs(x) <= half_x) & (abs(y) <= half_y)
    else:
        inside = np.hypot(x, y) <= half_x
    turn = math.radians(container.turn_deg)
    centre = container.centre_mm
    placed = np.column_stack([
        centre[0] + x * math.cos(turn) - y * math.sin(turn),
        centre[1] + x * math.sin(turn) + y * math.cos(turn), z,
    ])  # fmt: skip
    return placed[inside], step**3


def _clear_of(points: Floats, bodies: Sequence[Surface], gap: float) -> np.ndarray:
    """Tell which points lie outside every body and surely no nearer than the gap."""
    clear = np.ones(len(points), dtype=bool)
    for body in bodies:
        tree = cKDTree(samples(body))
        away, _ = tree.query(points[clear], distance_upper_bound=gap + _AWAY, workers=-1)
        clear[clear] = away >= gap + _AWAY
        hit, face = body.rays.first(points[clear], np.tile([0.0, 0.0, 1.0], (clear.sum(), 1)))
        inside = np.isfinite(hit)
        inside[inside] = body.face_normals[face[inside], 2] > 0
        clear[clear] = ~inside
    return clear


def samples(surface: Surface) -> Floats:
    """Return points (k, 3) on a surface so close that each of its points has one within 1.75 mm."""
    a, b, c = (surface.vertices[surface.faces[:, k]] for k in range(3))
    longest = np.max([np.linalg.norm(q - p, axis=1) for p, q in ((a, b), (b, c), (c, a))], axis=0)
    counts = np.maximum(1, np.ceil(longest / _SPACING)).astype(int)
    found = [surface.vertices]
    for count in np.unique(counts[counts > 1]):
        some = surface.vertices[surface.faces[counts == count]]
        i, j = np.meshgrid(np.arange(count + 1), np.arange(count + 1), indexing="ij")
        inside = i + j <= count
        first, second = i[inside] / count, j[inside] / count
        weights = np.column_stack([1.0 - first - second, first, second])
        found.append(np.einsum("kw,mwd->mkd", weights, some).reshape(-1, 3))
    return np.vstack(found)


def _sides(around: Floats) -> tuple[str, ...]:
    """Return the four quarters with room, most first, as one sees the piece from its front."""
    if not len(around):
        return ()
    names = ("in front", "on the right", "behind", "on the left")
    angle = np.degrees(np.arctan2(around[:, 0], -around[:, 1]))
    counts = np.bincount(np.round(angle / 90.0).astype(int) % 4, minlength=4)
    return tuple(names[k] for k in np.argsort(-counts, kind="stable") if counts[k])
