"""A small plan built by hand: a turned toadstool knob with a wavy rim, for tests of the faces.

No stage is run: every noun is filled in directly, with numbers that fit together, so that what
a person sees can be tested apart from how it is computed.
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from partline.air.cavity import Cavity
from partline.air.direction_map import DirectionMap
from partline.air.trapped_air import Pocket, TrappedAir
from partline.cut.cut import Cut, CutLine, Marks, Stretch
from partline.detail.detail_map import DetailMap, Zone
from partline.geometry.surface import Surface
from partline.geometry.volume import area, volume
from partline.job import Job, MaterialPart, RunPart, ScanPart
from partline.plan import Plan, Pour
from partline.scan.master import Master
from partline.stand.stand import FootBlock, Stand
from partline.workshop.container import Container
from partline.workshop.mix import Mix
from partline.workshop.resin import Resin
from partline.workshop.run import Run

SEAT, STEM, RIM, TOP = 12.0, 44.0, 38.0, 62.0
CUP_RADIUS, FILL = 32.0, 75.0
_ROUND = 72
Array = NDArray[np.float64]


def turned(profile: Array, *, wave_mm: float = 0.0, around: int = _ROUND) -> Surface:
    """Return the closed surface of revolution of (k, 2) radius and height, axis to axis.

    `profile` runs from the lower (or inner) end on the axis to the other with the solid on its
    left; points near the rim's height and radius are waved three times round.
    """
    angle = 2 * np.pi * np.arange(around) / around
    rings = profile[1:-1]
    points = [np.array([[0.0, 0.0, profile[0, 1]]])]
    for radius, z in rings:
        share = max(0.0, 1 - abs(z - RIM) / 4.0) if 14 < radius < 21 else 0.0
        height = z + wave_mm * share * np.cos(3 * angle)
        points.append(np.column_stack([radius * np.cos(angle), radius * np.sin(angle), height]))
    points.append(np.array([[0.0, 0.0, profile[-1, 1]]]))
    last = 1 + len(rings) * around
    here = np.arange(around)
    there = (here + 1) % around
    faces = [np.column_stack([np.zeros(around, int), 1 + there, 1 + here])]
    for k in range(len(rings) - 1):
        low, high = 1 + k * around, 1 + (k + 1) * around
        faces.append(np.column_stack([low + here, low + there, high + there]))
        faces.append(np.column_stack([low + here, high + there, high + here]))
    top = 1 + (len(rings) - 1) * around
    faces.append(np.column_stack([np.full(around, last), top + here, top + there]))
    return Surface(np.vstack(points), np.vstack(faces))


def _knob(bottom: Array) -> Array:
    """Return the profile of the knob over whatever stands below its stem."""
    stem = np.array([[9.0, z] for z in np.linspace(SEAT, STEM - 1, 17)])
    under = np.column_stack([np.linspace(9.5, 17.0, 8), np.linspace(STEM, RIM + 0.6, 8)])
    lip = np.array([[18.0, RIM], [19.0, RIM + 0.4], [19.6, RIM + 1.5]])
    turn = np.linspace(0.0, np.pi / 2, 22)[1:-1]
    cap = np.column_stack([19.8 * np.cos(turn), RIM + 2 + (TOP - RIM - 2) * np.sin(turn)])
    return np.vstack([bottom, stem, under, lip, cap, [[0.0, TOP]]])


def _pocket(surface: Surface, up: Array, level: float, inside: NDArray[np.bool_]) -> TrappedAir:
    h = surface.vertices @ up
    members = inside & (h > level)
    top = int(np.flatnonzero(members)[np.argmax(h[members])])
    depth = float(h[top] - level)
    ring = math.pi * (17.5**2 - 9.5**2) * depth / 2
    one = Pocket(
        ring,
        surface.vertices[top].copy(),
        level,
        depth,
        7.5,
        True,
        ring,
        np.array([top], dtype=np.int32),
    )
    return TrappedAir(
        up,
        ring + 0.4,
        0.4,
        ring + 0.4,
        0.0,
        0.0,
        (one,),
        "brim",
        np.where(members, 0, -1).astype(np.int32),
    )


def _pour(air: TrappedAir, azimuth: float, tilt: float) -> Pour:
    lean = math.radians(tilt)
    tipped = np.array([math.sin(lean), 0.0, math.cos(lean) * math.copysign(1, air.up[2])])
    less = TrappedAir(
        tipped, 12.0, 0.4, 12.0, 0.0, 0.0, (), "brim", np.full_like(air.pocket_of, -1)
    )
    found = DirectionMap(
        air.up,
        30.0,
        np.array([air.up, tipped]),
        np.array([air.volume_mm3, 12.0]),
        tipped,
        12.0,
        air.volume_mm3,
        1.0,
        azimuth,
        tilt,
    )
    return Pour(air, less, found)


def _line(side: float) -> CutLine:
    angle = math.radians(90 + side * 35)
    radius, z = (
        np.array([9.1, 9.1, 9.6, 17.0, 19.7, 19.4, 17.0]),
        np.array([SEAT, 40.0, STEM, RIM + 0.6, RIM + 2, 45.0, 53.0]),
    )
    points = np.column_stack([radius * math.cos(angle), radius * math.sin(angle), z])
    length = float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())
    return CutLine(
        points,
        length,
        9.0,
        11.5,
        (14.0, -3.0, 50.0),
        (-14.0, -3.0, 50.0),
        0.05,
        length * 1.3,
        0.0,
        length * 0.045,
        180 + side * 35,
        Marks(38.0, 53.0, 58.0),
    )


def _cut() -> Cut:
    def one(lines: tuple[CutLine, ...], others: tuple[Cut, ...], verdict: str) -> Cut:
        length = sum(line.length_mm for line in lines)
        z = np.linspace(SEAT, TOP, 6)
        curve = Stretch(z, np.linspace(1.2, 0.0, 6), np.linspace(1.4, 0.0, 6))
        return Cut(
            lines,
            len(lines),
            length,
            9.0 if lines else math.inf,
            length * 1.3,
            0.01,
            0.32,
            0.51,
            0.8,
            FILL - 58.0,
            length * 0.045,
            curve,
            verdict,
            "Every line from the mouth to there must cross at least plain skin.",
            ("Cut 2 to 3 mm either way; a hand is no closer.",),
            others,
        )

    two = (_line(-1.0), _line(1.0))
    weighed = (one(two[:1], (), "try it"), one((), (), "will not"))
    return one(two, weighed, "comes out with a firm pull")


def _stand() -> Stand:
    piece = turned(_knob(np.array([[0.0, SEAT]])), wave_mm=0.8)
    foot = np.array([[0.0, 0.0], [12.0, 0.0], [11.0, 4.0], [10.0, 8.0]])
    resin = turned(_knob(foot), wave_mm=0.8)
    outer = np.array([[0.0, FILL], [CUP_RADIUS, FILL], [CUP_RADIUS, 0.0]])
    inner = np.vstack([foot[1:], _knob(np.zeros((0, 2)))])
    # Seen from inside the rubber the piece is the wall, so the profile runs the other way.
    rubber = turned(np.vstack([outer, inner])[::-1], wave_mm=0.8)
    rubber = Surface(rubber.vertices, rubber.faces[:, ::-1]) if volume(rubber) < 0 else rubber
    block = turned(np.vstack([foot, [[9.0, SEAT], [0.0, SEAT]]]))
    master = Master(
        piece.moved(np.array([[1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 1, -SEAT], [0, 0, 0, 1.0]])),
        volume(piece),
        area(piece),
        np.arange(len(piece.faces), dtype=np.int32),
        np.eye(4),
        (),
        (),
        "knob.ply",
        "0" * 64,
        "height 50 mm, as stated",
    )
    angle = 2 * np.pi * np.arange(_ROUND) / _ROUND
    ring = np.column_stack([np.cos(angle), np.sin(angle)])
    mouth = np.flatnonzero(resin.vertices[:, 2] < 1e-9)
    opening = np.flatnonzero(rubber.vertices[:, 2] > FILL - 1e-9)
    return Stand(
        master,
        piece,
        np.arange(len(piece.faces), dtype=np.int32),
        SEAT,
        SEAT,
        0.5,
        1,
        (9.0 * ring,),
        FootBlock(block, "flared", SEAT, (9.0 * ring,), (12.0 * ring,), 24.0),
        Cavity(resin, mouth),
        Cavity(rubber, opening),
        CUP_RADIUS * ring,
        12.2,
        13.0,
        24.0,
        25.0,
        (),
        ("It stands on its own round base, 18 mm across.",),
    )


def _detail(piece: Surface) -> DetailMap:
    x, y, z = piece.vertices.T
    weight = np.clip(1 - np.hypot(x, z - 50) / 9, 0, 1) * (y < 0)
    some = np.flatnonzero(weight > 0.2).astype(np.int32)
    zone = Zone(some, 140.0, (0.0, -17.0, 50.0), 0.6, 0.3)
    edges = np.zeros((0, 2), dtype=np.int32)
    return DetailMap(
        weight * 0.3,
        weight * 0.5,
        1 + 8 * weight,
        weight,
        0.01,
        np.array([0.6, 1.2, 2.4, 4.8]),
        0.6,
        edges,
        np.zeros(0, dtype=bool),
        (zone,),
        ("Nothing finer than 0.6 mm can be seen in this scan.",),
    )


def fake_job(path: Path = Path("knob.ply")) -> Job:
    """Return the job the plan belongs to."""
    return Job(
        name="toadstool knob",
        scan=ScanPart(file=path, height_mm=50.0),
        rubber=MaterialPart(
            kind="condensation silicone",
            parts={"hardener": 1, "rubber": 10},
            by="weight",
            pot_life_min=40.0,
        ),
        resin=MaterialPart(
            kind="opaque polyurethane resin",
            parts={"isocyanate part": 90, "polyol part": 100},
            by="weight",
        ),
        run=RunPart(good=24),
    )


def fake_plan(path: Path = Path("knob.ply")) -> Plan:
    """Return the whole plan; about 20 ms."""
    stand = _stand()
    up = np.array([0.0, 0.0, 1.0])
    wet, solid = stand.rubber_cavity.surface, stand.cavity.surface

    def below_cap(surface: Surface) -> NDArray[np.bool_]:
        radius, z = np.hypot(*surface.vertices[:, :2].T), surface.vertices[:, 2]
        return (radius > 8.9) & (radius < 25) & (z > RIM - 2) & (z < STEM + 0.5)

    rubber = _pocket(wet, up, RIM + 0.8, below_cap(wet) & (np.hypot(*wet.vertices[:, :2].T) < 17.9))
    resin = _pocket(
        solid, -up, -(STEM - 0.5), below_cap(solid) & (np.hypot(*solid.vertices[:, :2].T) > 10.5)
    )
    capacity = math.pi * CUP_RADIUS**2 * FILL
    free = capacity - stand.cavity.volume_mm3
    cup = Container(
        "9 oz cup",
        "cup",
        False,
        "from memory",
        58.0,
        76.0,
        58.0,
        92.0,
        3.0,
        (0.0, 0.0),
        FILL,
        17.0,
        12.2,
        capacity,
        free,
        free * 1.18e-3,
        297.0,
        (("3 in pipe", 331.0), ("sheet box 70 x 70 mm", 362.0)),
    )
    rubber_mix = Mix(
        ("hardener", "rubber"),
        (27.0, 270.0),
        (27.0, 297.0),
        297.0,
        0.0,
        ("Cup on, zero; hardener to 27.0; rubber to 297.0.",),
    )
    resin_mix = Mix(
        ("isocyanate part", "polyol part"),
        (11.8, 13.2),
        (11.8, 25.0),
        25.0,
        0.006,
        ("Cup on, zero; isocyanate part to 11.8; polyol part to 25.0.",),
    )
    casting = stand.cavity.volume_mm3 * 1.05e-3
    return Plan(
        fake_job(path),
        stand.master,
        stand,
        _detail(stand.piece),
        _pour(rubber, 90.0, 15.0),
        _pour(resin, 135.0, 20.0),
        _cut(),
        cup,
        rubber_mix,
        4 * free,
        Resin(casting, casting * 1.1, 1.05, resin_mix),
        Run(24, 29, 2, 4, "pulls per day"),
    )
