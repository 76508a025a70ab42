"""Whether a ray meets a surface at all: it is left at the first triangle found, near or far."""

from __future__ import annotations

import numpy as np
from numba import njit

from partline.geometry.rays import LEAF, struck


@njit(nogil=True, cache=True)
def _enters(low, high, node, ox, oy, oz, ix, iy, iz, nearest):  # type: ignore[no-untyped-def]
    """Tell whether a ray passes through a node's box beyond `nearest`; never in an empty one."""
    enter, leave = nearest, np.inf
    for axis in range(3):
        o = ox if axis == 0 else (oy if axis == 1 else oz)
        i = ix if axis == 0 else (iy if axis == 1 else iz)
        a, b = low[node, axis] - o, high[node, axis] - o
        if a > b:
            return False
        if np.isinf(i):
            if a > 0.0 or b < 0.0:
                return False
            continue
        a, b = (a * i, b * i) if i > 0.0 else (b * i, a * i)
        # Widened by an ulp or two so that a flat box is never missed.
        enter = max(enter, a - 1e-12 * abs(a))
        leave = min(leave, b + 1e-12 * abs(b))
    return enter <= leave


@njit(nogil=True, cache=True)
def stopped(tree, ox, oy, oz, dx, dy, dz, nearest):  # type: ignore[no-untyped-def]
    """Tell whether a ray hits any triangle farther off than `nearest` [lengths of the direction].

    `tree` is a `rays.Tree`. A triangle is hit or not by the same test as in `rays.first_hit`.
    """
    low, high, corners = tree.low, tree.high, tree.corners
    kz = 0 if abs(dx) >= abs(dy) and abs(dx) >= abs(dz) else (1 if abs(dy) >= abs(dz) else 2)
    kx, ky = (kz + 1) % 3, (kz + 2) % 3
    o3, d3 = (ox, oy, oz), (dx, dy, dz)
    px, py, pz = o3[kx], o3[ky], o3[kz]
    shear_x, shear_y, shear_z = d3[kx] / d3[kz], d3[ky] / d3[kz], 1.0 / d3[kz]
    ix = 1.0 / dx if dx != 0.0 else np.inf
    iy = 1.0 / dy if dy != 0.0 else np.inf
    iz = 1.0 / dz if dz != 0.0 else np.inf
    leaves, count = low.shape[0] // 2, corners.shape[0]
    stack = np.empty(64, dtype=np.int64)
    depth = 0
    if _enters(low, high, 1, ox, oy, oz, ix, iy, iz, nearest):
        stack[0], depth = 1, 1
    while depth > 0:
        depth -= 1
        node = stack[depth]
        if node < leaves:
            one, two = 2 * node, 2 * node + 1
            left = _enters(low, high, one, ox, oy, oz, ix, iy, iz, nearest)
            right = _enters(low, high, two, ox, oy, oz, ix, iy, iz, nearest)
            if left and right:
                # The one whose box lies nearer is looked into first.
                ahead = dx * (low[two, 0] + high[two, 0] - low[one, 0] - high[one, 0])
                ahead += dy * (low[two, 1] + high[two, 1] - low[one, 1] - high[one, 1])
                ahead += dz * (low[two, 2] + high[two, 2] - low[one, 2] - high[one, 2])
                stack[depth], stack[depth + 1] = (two, one) if ahead > 0.0 else (one, two)
                depth += 2
            elif left or right:
                stack[depth] = one if left else two
                depth += 1
            continue
        first = (node - leaves) * LEAF
        for row in range(first, min(first + LEAF, count)):
            t = struck(corners, row, kx, ky, kz, px, py, pz, shear_x, shear_y, shear_z)
            if t > nearest:
                return True
    return False
