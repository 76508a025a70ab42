"""A turned drawer pull whose volume is known in closed form.

Stacked from the base up, all round the z axis (a: radius, h: height, in mm):

* foot: frustum, 11 to 6 over 16           pi h (R^2 + R r + r^2) / 3
* bead: cylinder 6 over 6 and, round it, the outer half of a torus of 3
        pi a^2 h  +  (pi t^2 / 2) * 2 pi (a + 4 t / (3 pi))       (Pappus; t = 3)
* flare: frustum, 6 to 9 over 4
* knob: sphere cap, 9 at its foot, 14 high  pi h (3 a^2 + h^2) / 6
"""

from __future__ import annotations

import numpy as np
from distance_shapes import Floats
from dual_mesh import Ints

FOOT = (11.0, 6.0, 16.0)
BEAD = (6.0, 3.0)
FLARE = (6.0, 9.0, 4.0)
KNOB = (9.0, 14.0)
AROUND = 144


def exact_volume() -> float:
    """Volume of the turned shape itself [mm^3]."""

    def frustum(low: float, high: float, height: float) -> float:
        return np.pi * height * (low**2 + low * high + high**2) / 3

    radius, thick = BEAD
    bead = np.pi * radius**2 * 2 * thick
    bead += np.pi * thick**2 / 2 * 2 * np.pi * (radius + 4 * thick / (3 * np.pi))
    foot, height = KNOB
    knob = np.pi * height * (3 * foot**2 + height**2) / 6
    return float(frustum(*FOOT) + bead + frustum(*FLARE) + knob)


def profile() -> Floats:
    """(k, 2) radius and height of the turned line from the base's rim to just below the top."""
    foot = np.column_stack([np.linspace(FOOT[0], FOOT[1], 17), np.linspace(0, FOOT[2], 17)])
    turn = np.linspace(-np.pi / 2, np.pi / 2, 21)[1:]
    middle = FOOT[2] + BEAD[1]
    bead = np.column_stack([BEAD[0] + BEAD[1] * np.cos(turn), middle + BEAD[1] * np.sin(turn)])
    low = middle + BEAD[1]
    share = np.linspace(0, 1, 6)[1:]
    flare = np.column_stack([FLARE[0] + (FLARE[1] - FLARE[0]) * share, low + FLARE[2] * share])
    radius = (KNOB[0] ** 2 + KNOB[1] ** 2) / (2 * KNOB[1])
    centre = low + FLARE[2] + KNOB[1] - radius
    start = -np.arccos(KNOB[0] / radius)
    turn = np.linspace(start, np.pi / 2, 42)[1:-1]
    knob = np.column_stack([radius * np.cos(turn), centre + radius * np.sin(turn)])
    return np.vstack([foot, bead, flare, knob])


def faceted_volume() -> float:
    """Volume of the mesh: every circle a polygon, every arc a chain of chords [mm^3]."""
    line = np.vstack([profile(), [0.0, height()]])
    low, high = line[:-1, 0], line[1:, 0]
    slices = np.diff(line[:, 1]) * (low**2 + low * high + high**2) / 3
    return float(slices.sum() * AROUND / 2 * np.sin(2 * np.pi / AROUND))


def height() -> float:
    """Whole height [mm]."""
    return FOOT[2] + 2 * BEAD[1] + FLARE[2] + KNOB[1]


def pull() -> tuple[Floats, Ints]:
    """Vertices (n, 3) [mm] and outward faces (m, 3) of the pull, base at z = 0."""
    inner = np.linspace(0, FOOT[0], 9)[1:-1]
    line = np.vstack([np.column_stack([inner, np.zeros(len(inner))]), profile()])
    turn = 2 * np.pi * np.arange(AROUND) / AROUND
    circle = np.column_stack([np.cos(turn), np.sin(turn)])
    rings = [np.column_stack([circle * r, np.full(AROUND, z)]) for r, z in line]
    vertices = np.vstack([*rings, [[0, 0, 0], [0, 0, height()]]])
    here = np.arange(AROUND)
    after = (here + 1) % AROUND
    faces = []
    for k in range(len(line) - 1):
        low, high = k * AROUND, (k + 1) * AROUND
        faces.append(np.column_stack([low + here, low + after, high + after]))
        faces.append(np.column_stack([low + here, high + after, high + here]))
    bottom, top = len(vertices) - 2, len(vertices) - 1
    last = (len(line) - 1) * AROUND
    faces.append(np.column_stack([after, here, np.full(AROUND, bottom)]))
    faces.append(np.column_stack([last + here, last + after, np.full(AROUND, top)]))
    return vertices, np.vstack(faces)
