"""The sleepy ram in a knitted nightcap: a coat-peg head for a mountain hut, as a distance.

Front is -Y, up is +Z, base at z = 0, millimetres. The left and right halves mirror each other
but for the cap, the forelock and the curls. Parts that later have to be found again (the
truth beside the mesh) are named here once.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from distance_shapes import (
    Floats,
    Spine,
    apply_near,
    ellipsoid,
    frame,
    in_frame,
    ring,
    rounded_disc,
    spine,
    union,
    without,
)

BOX = np.array([[-25.0, -25.5, 0.0], [25.0, 22.0, 62.6]])
HEIGHT = 62.0
SKULL_CENTRE = np.array([0.0, 3.0, 31.0])
SKULL_RADII = np.array([13.2, 16.0, 15.0])
COLLAR_TOP = 8.6
CURL_RADIUS = 2.7
EYE_RADIUS = 3.4
EYE = np.array([5.7, -11.1, 31.0])


def hem_height(points: Floats) -> Floats:
    """Height of the cap's lower edge: pulled down over the brow, higher behind [mm]."""
    return 39.0 + 0.12 * (points[:, 1] + 12.0)


def mirrored(points: Floats) -> Floats:
    """Both halves laid on x >= 0."""
    return np.column_stack([np.abs(points[:, 0]), points[:, 1:]])


@lru_cache(maxsize=1)
def parts() -> dict[str, Spine]:
    """Every curve of the ram that is drawn by hand (right half for those in pairs)."""
    horn = spine(
        [
            [8.5, -1.5, 35.6, 2.8], [13.3, -2.2, 38.4, 3.4], [17.6, -1.7, 38.2, 3.7],
            [18.9, 0.3, 33.0, 3.4], [18.4, -2.4, 26.6, 3.0], [17.4, -8.2, 23.6, 2.6],
            [15.4, -13.0, 24.6, 2.2], [12.6, -14.6, 26.9, 1.8], [9.8, -12.4, 27.3, 1.4],
        ]
    )  # fmt: skip
    tail = spine(
        [
            [0, 3.4, 44.0, 10.2], [0.6, 4.2, 48.5, 9.0], [3.2, 4.8, 53.2, 6.9],
            [7.8, 4.6, 56.6, 4.9], [13.2, 3.0, 57.4, 3.7], [17.9, 0.9, 55.0, 2.8],
            [19.7, -0.6, 51.2, 1.9],
        ]
    )  # fmt: skip
    half = [[3.0, -21.0, 19.7], [5.3, -18.6, 20.3], [6.9, -15.8, 22.0], [7.9, -14.6, 24.2]]
    smile = [[-x, y, z] for x, y, z in half[::-1]] + [[0.0, -21.8, 20.8], *half]
    return {"horn": horn, "tail": tail, "smile": _drawn_on(smile, 0.7)}


def _drawn_on(knots: list[list[float]], radius: float) -> Spine:
    """A groove's curve laid onto the bare face."""
    points = spine(np.column_stack([knots, np.full(len(knots), radius)])).points[::6]
    for _ in range(30):
        level = face(points)
        slope = np.stack(
            [(face(points + e) - face(points - e)) / 0.02 for e in np.eye(3) * 0.01], axis=1
        )
        points = points - slope * (level / (slope**2).sum(axis=1))[:, None]
    return spine(np.column_stack([points, np.full(len(points), radius)]))


def face(points: Floats) -> Floats:
    """Skull, neck, cheeks and snout without any detail."""
    q = mirrored(points)
    level = ellipsoid(points, SKULL_CENTRE, SKULL_RADII)
    neck = ellipsoid(points, [0, 2.8, 10.0], [11.6, 11.8, 30.0])
    level = union(level, neck, 4.0)
    level = union(level, _muzzle().solid(points), 3.5)
    level = union(level, ellipsoid(q, [7.1, -10.2, 25.8], [4.9, 5.2, 5.2]), 3.0)
    return level


@lru_cache(maxsize=1)
def _muzzle() -> Spine:
    return spine(
        [[0, -6, 28.0, 8.4], [0, -10.5, 26.0, 7.4], [0, -14.5, 24.0, 6.5], [0, -17.4, 22.8, 5.9]]
    )


def body(points: Floats) -> Floats:
    """The face on its collar, still plain: what the bands of bare skin belong to."""
    return union(face(points), rounded_disc(points, -4.0, COLLAR_TOP, 18.0, 0.9), 1.6)


def collar(level: Floats, points: Floats) -> Floats:
    """A bead 38 mm across between two grooves."""
    level = union(level, ring(points, 4.3, 17.5, 1.5), 0.6)
    level = without(level, ring(points, 2.0, 18.25, 0.7), 0.7)
    return without(level, ring(points, 6.6, 18.25, 0.7), 0.7)


# -- the face -----------------------------------------------------------------------------------


def features(level: Floats, points: Floats) -> Floats:
    """Closed lids, nostrils, smile, beard and the hollow under the chin."""
    q = mirrored(points)
    level = union(level, np.linalg.norm(q - EYE, axis=1) - EYE_RADIUS, 1.2)
    box = [[-10, -16, 26], [10, -8, 35]]
    apply_near(level, points, box, 1, lambda d, p: without(d, _ball_groove(p, _lid()), 0.6))
    nose = ellipsoid(points, [0, -21.2, 25.3], [3.7, 2.2, 2.2])
    level = union(level, nose, 1.2)
    nostril = in_frame(q, [1.9, -23.1, 25.2], frame([0.85, 0.2, 0.45], [0, 1, 0]))
    level = without(level, ellipsoid(nostril, [0, 0, 0], [1.2, 1.7, 0.85]), 0.6)
    smile = parts()["smile"]
    apply_near(level, points, smile.box, 2, lambda d, p: without(d, smile.solid(p), 0.6))
    lip = spine([[0, -23.2, 23.6, 0.45], [0, -22.9, 22.4, 0.5], [0, -22.0, 20.6, 0.55]])
    apply_near(level, points, lip.box, 2, lambda d, p: without(d, lip.solid(p), 0.6))
    level = without(level, chin_hollow(points), 0.8)
    for lock in beard():
        apply_near(level, points, lock.box, 3, lambda d, p, s=lock: union(d, s.solid(p), 0.8))
    return level


@lru_cache(maxsize=1)
def _lid() -> Spine:
    """Where the closed lids meet: an arc that hangs across the front of the eye."""
    turn = np.linspace(-1.15, 1.15, 9)
    down = 0.52 * np.cos(turn * 1.4) - 0.08
    aim = np.column_stack([np.sin(turn) + 0.05, -np.cos(turn), -down])
    aim = aim @ np.array([[0.94, 0.34, 0], [-0.34, 0.94, 0], [0, 0, 1]])
    aim /= np.linalg.norm(aim, axis=1, keepdims=True)
    return spine(np.column_stack([EYE + EYE_RADIUS * aim, np.ones(9)]))


def _ball_groove(points: Floats, lid: Spine) -> Floats:
    """A groove that stays on the ball of the eye."""
    out = mirrored(points) - EYE
    far = np.linalg.norm(out, axis=1)
    near, _, _ = lid.nearest(EYE + out * (EYE_RADIUS / np.maximum(far, 0.5))[:, None])
    return np.hypot(near, far - EYE_RADIUS) - 0.55


def chin_hollow(points: Floats) -> Floats:
    """What is scooped out under the chin, behind the beard."""
    return ellipsoid(points, [0, -12.4, 17.0], [3.6, 3.1, 6.0])


@lru_cache(maxsize=1)
def beard() -> tuple[Spine, ...]:
    """Three locks that hang from the chin, clear of the collar."""
    middle = [[0, -17.2, 19.0, 2.2], [0, -18.2, 16.0, 2.0], [0.2, -17.6, 13.2, 1.3],
              [0.5, -16.4, 11.6, 0.5]]  # fmt: skip
    side = [[2.2, -16.4, 19.0, 1.9], [3.0, -17.0, 16.2, 1.6], [3.1, -16.6, 14.0, 1.0],
            [2.6, -15.8, 12.7, 0.4]]  # fmt: skip
    other = [[-x, y, z, r] for x, y, z, r in side]
    return spine(middle), spine(side), spine(other)


# -- horns, ears, hair --------------------------------------------------------------------------


def horns(level: Floats, points: Floats) -> Floats:
    """Ribbed spirals from behind the brow to the cheek, which their tips grow into."""
    horn = parts()["horn"]

    def solid(q: Floats) -> Floats:
        distance, along, turn = horn.nearest(q)
        share = along / horn.along[-1]
        phase = along / (1.45 + 0.75 * (1 - share)) * 2 * np.pi
        height = 0.24 * np.clip((share - 0.1) / 0.1, 0, 1) * np.clip((0.93 - share) / 0.1, 0, 1)
        ring_size = np.hypot(horn.points[:, 1] + 6.5, horn.points[:, 2] - 30.5)
        size = np.interp(along, horn.along, ring_size)
        outer = np.clip((np.hypot(q[:, 1] + 6.5, q[:, 2] - 30.5) - size) / 2, -1, 1)
        rib = height * (0.65 + 0.35 * outer) * (np.abs(np.sin(phase / 2)) - 0.5) * 1.5
        keel = 0.12 * np.cos(2 * turn)
        return distance - np.interp(along, horn.along, horn.radii) * (1 + keel) - rib

    box = np.array([[-25, *horn.box[0, 1:]], [25, *horn.box[1, 1:]]])
    apply_near(level, points, box, 2, lambda d, p: union(d, solid(mirrored(p)), 1.1))
    return level


EAR_ROOT = np.array([10.2, -4.0, 22.4])
EAR_TIP = np.array([20.2, -5.2, 11.2])


def ears(level: Floats, points: Floats) -> Floats:
    """Leaf-shaped ears that hang below the horns, dished on their outer side."""
    axes = frame(EAR_TIP - EAR_ROOT, [0.74, -0.5, 0.67])
    middle = (EAR_ROOT + EAR_TIP) / 2
    length = float(np.linalg.norm(EAR_TIP - EAR_ROOT)) / 2

    def solid(p: Floats) -> Floats:
        local = in_frame(mirrored(p), middle, axes)
        share = np.clip(local[:, 0] / length, -1, 1)
        wide = 3.3 * (1 - 0.35 * share)
        local = np.column_stack([local[:, 0], local[:, 1] / wide * 3.3, local[:, 2]])
        leaf = ellipsoid(local, [0, 0, 0], [length, 3.3, 1.7])
        dish = ellipsoid(local, [0.6, 0, 1.9 if axes[2, 1] < 0 else -1.9], [5.2, 1.9, 1.45])
        return without(leaf, dish, 0.6)

    box = [[-21, -11, 9], [21, 0, 25]]
    apply_near(level, points, box, 1, lambda d, p: union(d, solid(p), 1.0))
    return level


@lru_cache(maxsize=1)
def forelock() -> tuple[Spine, ...]:
    """Five tufts that come out from under the cap and lie on the brow."""
    tufts = []
    for x, tip, low in ((-4.7, -6.0, 35.9), (-2.4, -3.6, 34.6), (0, 0.8, 33.7),
                        (2.4, 3.7, 34.7), (4.7, 6.0, 36.0)):  # fmt: skip
        knots = []
        for share, radius, lift in ((0, 1.5, 0.2), (0.4, 1.55, 0.6), (0.75, 1.3, 0.6),
                                    (1.0, 0.7, 0.35)):  # fmt: skip
            place = np.array([x + (tip - x) * share**2, 0.0, 40.2 + (low - 40.2) * share])
            inside = (
                1
                - ((place - SKULL_CENTRE) / SKULL_RADII)[[0, 2]]
                @ ((place - SKULL_CENTRE) / SKULL_RADII)[[0, 2]]
            )
            place[1] = SKULL_CENTRE[1] - SKULL_RADII[1] * np.sqrt(inside)
            out = (place - SKULL_CENTRE) / SKULL_RADII**2
            knots.append([*(place + lift * out / np.linalg.norm(out)), radius])
        tufts.append(spine(knots))
    return tuple(tufts)


@lru_cache(maxsize=1)
def curl_places() -> tuple[tuple[Floats, Floats, int], ...]:
    """Centre (3,), outward axes (3, 3) and sense of turn of each curl on the back."""
    found = []
    for row, z in enumerate(np.arange(11.6, 38.5, 4.15)):
        for x in (-4.7, 0.0, 4.7) if row % 2 == 0 else (-2.4, 2.4):
            low, high = 0.0, 25.0
            for _ in range(50):
                y = (low + high) / 2
                low, high = (y, high) if body(np.array([[x, y, z]]))[0] < 0 else (low, y)
            place = np.array([x, low, z])
            slope = np.array(
                [body((place + e)[None])[0] - body((place - e)[None])[0]
                 for e in np.eye(3) * 0.05]
            )  # fmt: skip
            found.append((place, frame(slope, [0, 0, 1]), 1 if (row + int(x > 0)) % 2 else -1))
    return tuple(found)


def hair(level: Floats, points: Floats) -> Floats:
    """Forelock in front, curls down the back between the two plain bands."""
    for lock in forelock():
        apply_near(level, points, lock.box, 2, lambda d, p, s=lock: union(d, s.solid(p), 0.75))
    for place, axes, sense in curl_places():

        def curl(p: Floats, place=place, axes=axes, sense=sense) -> Floats:  # type: ignore[no-untyped-def]
            local = in_frame(p, place, axes)
            radius = np.hypot(local[:, 1], local[:, 2])
            turn = sense * np.arctan2(local[:, 2], local[:, 1])
            dome = ellipsoid(local, [0, 0, 0], [1.5, CURL_RADIUS, CURL_RADIUS])
            fade = np.clip((CURL_RADIUS - radius) / 0.8, 0, 1)
            return dome + 0.34 * fade * (0.5 + 0.5 * np.cos(2 * np.pi * radius / 1.5 - turn))

        reach = np.array([place - CURL_RADIUS, place + CURL_RADIUS])
        apply_near(level, points, reach, 1.5, lambda d, p, s=curl: union(d, s(p), 0.6))
    return level


def plain_head(points: Floats) -> Floats:
    """Everything below the cap."""
    level = features(collar(body(points), points), points)
    return hair(ears(horns(level, points), points), points)
