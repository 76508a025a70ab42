"""Cups whose trapped air is known in closed form; mouth down in the plane z = 0, up is +z."""

from __future__ import annotations

import numpy as np

from partline.air.cavity import Cavity
from partline.geometry.surface import Surface
from partline.geometry.volume import volume


def outward(vertices: np.ndarray, faces: np.ndarray) -> Surface:
    """Return the surface with its faces flipped if it is inside out."""
    surface = Surface(vertices, faces)
    return surface if volume(surface) > 0 else Surface(vertices, np.asarray(faces)[:, ::-1])


def revolved(profile: np.ndarray, sides: int) -> Surface:
    """Return the solid swept by a profile (k, 2) of (radius, z), its ends on the axis."""
    r, z = np.asarray(profile, dtype=float)[1:-1].T
    a = 2.0 * np.pi * np.arange(sides) / sides
    rings = np.stack(
        [
            np.outer(r, np.cos(a)),
            np.outer(r, np.sin(a)),
            np.repeat(z[:, None], sides, axis=1),
        ],
        axis=2,
    ).reshape(-1, 3)
    bottom, top = len(rings), len(rings) + 1
    vertices = np.vstack([rings, [[0, 0, profile[0][1]], [0, 0, profile[-1][1]]]])
    i = np.arange(sides)
    j = (i + 1) % sides
    faces = [np.column_stack([np.full(sides, bottom), j, i])]
    for k in range(len(r) - 1):
        low, high = k * sides, (k + 1) * sides
        faces += [
            np.column_stack([low + i, low + j, high + j]),
            np.column_stack([low + i, high + j, high + i]),
        ]
    last = (len(r) - 1) * sides
    faces.append(np.column_stack([np.full(sides, top), last + i, last + j]))
    return outward(vertices, np.vstack(faces))


def mouth_down(surface: Surface) -> Cavity:
    """Return the cavity whose outlets are all vertices in the plane z = 0."""
    return Cavity(surface, np.flatnonzero(np.abs(surface.vertices[:, 2]) < 1e-12))


def _steps(start: tuple[float, float], stop: tuple[float, float], h: float) -> np.ndarray:
    count = max(1, round(float(np.hypot(*np.subtract(stop, start))) / h))
    return np.linspace(start, stop, count + 1)[1:]


def cylinder(radius: float, height: float, h: float) -> Cavity:
    """Return a cylinder cup meshed with edges of about `h`."""
    profile = np.vstack(
        [
            [[0.0, 0.0]],
            _steps((0, 0), (radius, 0), h),
            _steps((radius, 0), (radius, height), h),
            _steps((radius, height), (0, height), h),
        ]
    )
    return mouth_down(revolved(profile, round(2 * np.pi * radius / h)))


def hemisphere(radius: float, h: float) -> Cavity:
    """Return a hemispherical cup."""
    count = max(2, round(radius * np.pi / 2 / h))
    a = np.linspace(0, np.pi / 2, count + 1)
    arc = radius * np.column_stack([np.cos(a), np.sin(a)])
    arc[-1, 0] = 0.0
    profile = np.vstack([[[0.0, 0.0]], _steps((0, 0), (radius, 0), h), arc[1:]])
    return mouth_down(revolved(profile, round(2 * np.pi * radius / h)))


def cone(radius: float, height: float, h: float) -> Cavity:
    """Return a conical cup, its point up."""
    profile = np.vstack(
        [[[0.0, 0.0]], _steps((0, 0), (radius, 0), h), _steps((radius, 0), (0, height), h)]
    )
    return mouth_down(revolved(profile, round(2 * np.pi * radius / h)))


def paraboloid(radius: float, k: float, h: float) -> Cavity:
    """Return a cup of height k radius^2 whose depth below the tip is k r^2."""
    r = np.linspace(radius, 0.0, max(2, round(radius / h)) + 1)
    arc = np.column_stack([r, k * (radius**2 - r**2)])
    profile = np.vstack([[[0.0, 0.0]], _steps((0, 0), (radius, 0), h), arc[1:]])
    return mouth_down(revolved(profile, round(2 * np.pi * radius / h)))


def bottle(radius: float, hole: float, h: float) -> Cavity:
    """Return a sphere cut by a flat hole of angular radius `hole` [rad], the hole down at z = 0."""
    count = round(radius * (np.pi - hole) / h)
    a = np.linspace(np.pi - hole, 0.0, count + 1)
    arc = np.column_stack([radius * np.sin(a), radius * np.cos(a) + radius * np.cos(hole)])
    arc[0, 1] = 0.0
    arc[-1, 0] = 0.0
    rim = (float(arc[0, 0]), 0.0)
    profile = np.vstack([[[0.0, 0.0]], _steps((0, 0), rim, h), arc[1:]])
    return mouth_down(revolved(profile, round(2 * np.pi * radius / h)))


def box(a: float, b: float, c: float) -> Cavity:
    """Return a box a x b x c in x, y, z of twelve triangles."""
    vertices = np.array([[x, y, z] for x in (0, a) for y in (0, b) for z in (0, c)], dtype=float)
    quads = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    faces = [t for p, q, r, s in quads for t in ((p, q, r), (p, r, s))]
    return mouth_down(outward(vertices, np.array(faces)))


def roof(x: np.ndarray, y: np.ndarray, z: np.ndarray, floor: float) -> Surface:
    """Return the solid between a roof z (len(x), len(y)) on a grid and a flat floor."""
    nx, ny = z.shape
    gx, gy = np.meshgrid(x, y, indexing="ij")
    top = np.column_stack([gx.ravel(), gy.ravel(), z.ravel()])
    low = top.copy()
    low[:, 2] = floor
    index = np.arange(nx * ny).reshape(nx, ny)
    a, b, c, d = (
        s.ravel() for s in (index[:-1, :-1], index[1:, :-1], index[1:, 1:], index[:-1, 1:])
    )
    upper = np.vstack([np.column_stack([a, b, c]), np.column_stack([a, c, d])])
    n = nx * ny
    rim = np.concatenate([index[:-1, 0], index[-1, :-1], index[:0:-1, -1], index[0, :0:-1]])
    following = np.roll(rim, -1)
    sides = np.vstack(
        [
            np.column_stack([rim, rim + n, following + n]),
            np.column_stack([rim, following + n, following]),
        ]
    )
    return outward(np.vstack([top, low]), np.vstack([upper, upper[:, ::-1] + n, sides]))


def tipped(theta: float, azimuth: float = 0.0) -> np.ndarray:
    """Return up after a tip of `theta` [rad] from +z toward an azimuth in the xy plane [rad]."""
    s = np.sin(theta)
    return np.array([s * np.cos(azimuth), s * np.sin(azimuth), np.cos(theta)])
