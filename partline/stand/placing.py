"""Place a master on its foot block in a nominal box, and make both cavities."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.air.cavity import Cavity
from partline.geometry.solids import (
    Manifold,
    area,
    checked,
    grown,
    hull,
    kept,
    outer,
    prism,
    shells,
    to_solid,
    to_surface,
    width,
)
from partline.geometry.surface import Ints, Surface
from partline.geometry.volume import volume
from partline.memory import spare
from partline.progress import Progress, silent, span
from partline.scan.master import Master
from partline.stand import footblock
from partline.stand.leaning import lean_words
from partline.stand.mouth import MouthPatch, patch_at_point, patch_of_faces, turned_onto
from partline.stand.proposing import off_base
from partline.stand.seating import SHARED_MM, SINK_MM, Seat, base_seat, mouth_seat
from partline.stand.stand import FootBlock, Hollow, Stand

WALL_MM = 12.7  # published, a rubber maker's tutorial: at least half an inch on all sides
HEADROOM_MM = 13.0  # published, the same: at least half an inch over the highest point
BLOCK_HEIGHT_MM = 15.0  # common practice 15 to 30 mm, no source
UP = (0.0, 0.0, 1.0)
# Booleans of float64 solids agree in volume to about this share of the box.
VOLUME_SLACK = 1e-7
# Closed hollows smaller than a 1.2 mm bubble are slivers of the scan and not worth a word.
LEAST_HOLLOW_MM3 = 1.0


def place(
    master: Master,
    *,
    mouth: str = "base",
    mouth_point: ArrayLike | None = None,
    mouth_faces: ArrayLike = (),
    foot_block: bool = True,
    foot_block_height_mm: float = BLOCK_HEIGHT_MM,
    wall_mm: float = WALL_MM,
    headroom_mm: float = HEADROOM_MM,
    sink_mm: float = SINK_MM,
    progress: Progress = silent,
) -> Stand:
    """Return how a master stands in the cup, with the cavities of both pours.

    Parameters
    ----------
    master : Master
    mouth : {"base", "point", "faces"}
        Where the resin goes in. With "point" or "faces" the piece is turned so that this place
        faces down, onto the foot block.
    mouth_point : (3,) float, optional
        A point on the mouth, in the mesh file's own coordinates.
    mouth_faces : (k,) int, optional
        Face numbers of the mouth in the mesh file, from 0.
    foot_block : bool
        Without one the piece stands straight on the floor and has no reservoir.
    foot_block_height_mm : float
        Height of the foot block [mm].
    wall_mm, headroom_mm : float
        Least rubber beside the piece and above it [mm].
    sink_mm : float
        How much is trimmed off the underside so that it is flat [mm].
    progress : Progress

    Raises
    ------
    StandError
        If the mouth is not on the piece, or the piece cannot stand so.
    InternalError
        If a boolean came out open or with the wrong volume.
    """
    progress(0.0, "Standing the piece on its foot block")
    base = off_base(master.surface, span(progress, 0.0, 0.1)) if mouth == "base" else None
    spare(master.surface)
    patch = None
    if mouth == "point" and mouth_point is not None:
        patch = patch_at_point(master, mouth_point)
    elif mouth == "faces":
        patch = patch_of_faces(master, mouth_faces)
    if patch is not None:
        turned = turned_onto(master, patch)
        shift = turned.to_pose @ np.linalg.inv(master.to_pose)
        centre = shift[:3, :3] @ patch.centre + shift[:3, 3]
        patch = replace(patch, centre=centre, normal=np.array([0.0, 0.0, -1.0]))
        master = turned
    block_mm = foot_block_height_mm if foot_block else 0.0
    stand = _stood(master, _shaped(master, patch, sink_mm, block_mm, wall_mm, progress),
                   wall_mm=wall_mm, headroom_mm=headroom_mm, progress=progress)  # fmt: skip
    return stand if base is None else replace(stand, warnings=(lean_words(stand, base),))


@dataclass(frozen=True, eq=False)
class _Shaped:
    """The piece on its foot block; `joined` is the solid of both, carried below the floor.

    A solid of the library takes a quarter of a kilobyte a triangle: this is the only one that is
    kept, and nothing but it is asked for as a solid again.
    """

    seat: Seat
    seat_mm: float
    piece: Surface
    piece_faces: Ints
    piece_mm3: float
    block: FootBlock | None
    joined: Manifold


def _shaped(
    master: Master,
    patch: MouthPatch | None,
    sink_mm: float,
    block_mm: float,
    wall_mm: float,
    progress: Progress,
) -> _Shaped:
    """Return the piece as it stands on its block."""
    surface = master.surface
    solid = to_solid(surface, face_ids=np.arange(len(surface.faces), dtype=np.int32))
    progress(0.1, "Standing the piece on its foot block")
    shadow = area((hull(surface.vertices[:, :2]),))
    seat = (
        base_seat(solid, shadow_mm2=shadow, sink_mm=sink_mm)
        if patch is None or patch.centre[2] < sink_mm
        else mouth_seat(solid, patch, sink_mm=sink_mm)
    )
    progress(0.18, "Standing the piece on its foot block")
    # Whatever hangs lower than a stated mouth must still clear the floor by the wall.
    height = block_mm if seat.sink_mm else max(block_mm, seat.height_mm + wall_mm)
    solid = solid.translate((0.0, 0.0, height - seat.height_mm))
    piece, piece_faces, piece_mm3 = _trimmed(solid, height if seat.sink_mm else None)
    progress(0.27, "Joining piece and foot block")
    block, joined = _joined(solid, seat, height, shadow, span(progress, 0.27, 0.34))
    under = _underside(piece, block if not seat.sink_mm else None, height)
    piece_faces = np.where(under, -1, piece_faces).astype(np.int32)
    piece_faces.setflags(write=False)
    return _Shaped(seat, height, piece, piece_faces, piece_mm3, block, joined)


def _trimmed(solid: Manifold, height_mm: float | None) -> tuple[Surface, Ints, float]:
    """Return the piece above its seat, the number of each face in the scan, and its volume."""
    trimmed = solid if height_mm is None else solid.trim_by_plane(UP, height_mm)
    return *to_surface(trimmed), float(trimmed.volume())


def _stood(
    master: Master,
    shaped: _Shaped,
    *,
    wall_mm: float,
    headroom_mm: float,
    progress: Progress,
) -> Stand:
    seat, block, piece = shaped.seat, shaped.block, shaped.piece
    box_size = float(np.prod(np.ptp(piece.vertices, axis=0) + 2 * wall_mm))
    slack = VOLUME_SLACK * box_size
    progress(0.35, "Joining piece and foot block")
    cavity, voids, filled_mm3 = _poured(shaped, slack, progress)

    progress(0.6, "Making the space that the rubber fills")
    top = float(piece.bounds[1, 2]) + headroom_mm
    outline = outer(grown((hull(cavity.surface.vertices[:, :2]),), wall_mm))[0]
    rubber_cavity, hollows = _cast(
        prism((outline,), 0.0, top), top, shaped, filled_mm3, slack, progress
    )
    feet = outer(seat.footprint)
    mouth_width = block.width_mm if block else width(feet)
    progress(1.0, "Standing")
    return Stand(
        master=master,
        piece=piece,
        piece_faces=shaped.piece_faces,
        lift_mm=shaped.seat_mm - seat.height_mm,
        seat_mm=shaped.seat_mm,
        sink_mm=seat.sink_mm,
        feet=len(feet),
        footprint=seat.footprint,
        foot_block=block,
        cavity=cavity,
        rubber_cavity=rubber_cavity,
        outline=outline,
        wall_mm=wall_mm,
        headroom_mm=headroom_mm,
        mouth_width_mm=mouth_width,
        tilt_limit_deg=float(np.degrees(np.arctan2(shaped.seat_mm, mouth_width / 2))),
        hollows=hollows,
        words=_words(seat, block, area(seat.footprint), len(feet), hollows, voids),
    )


def _poured(shaped: _Shaped, slack: float, progress: Progress) -> tuple[Cavity, int, float]:
    """Return the resin's cavity, closed voids left out and counted, and the volume."""
    block = shaped.block
    resin = shaped.joined.trim_by_plane(UP, 0.0)
    if shaped.seat.sink_mm:
        expected = shaped.piece_mm3 + (volume(block.surface) if block else 0.0)
        checked(resin, expected, "Piece and foot block", slack=slack)
    surface, filled_mm3 = to_surface(resin)[0], float(resin.volume())
    del resin
    progress(0.45, "Making the space that the resin fills")
    return *_filled(surface), filled_mm3


def _cast(
    box: Manifold,
    top_mm: float,
    shaped: _Shaped,
    filled_mm3: float,
    slack: float,
    progress: Progress,
) -> tuple[Cavity, tuple[Hollow, ...]]:
    """Return the rubber's cavity, and the closed hollows that no rubber reaches."""
    expected = float(box.volume()) - filled_mm3
    rubber = checked(box - shaped.joined, expected, "The space for the rubber", slack=slack)
    surface = to_surface(rubber)[0]
    del rubber
    progress(0.8, "Following the space that the rubber fills")
    return _open_top(surface, top_mm)


def _underside(piece: Surface, past: FootBlock | None, seat_height: float) -> NDArray[np.bool_]:
    """Return (m,) the faces that no rubber touches: at the seat, or in a block that rises past it.

    Where other parts hang lower than the mouth, nothing is trimmed and they are skin like any.
    """
    under = piece.vertices[piece.faces][:, :, 2].max(axis=1) <= seat_height + 1e-9
    if past is None:
        return under
    rays = past.surface.rays
    _, leaves = rays.first(piece.vertices[piece.faces[under]].mean(axis=1), UP)
    inside = leaves >= 0
    inside[inside] = ~rays.entering(leaves[inside], UP)
    under[under] = inside
    return under


def _joined(
    lifted: Manifold, seat: Seat, seat_height: float, shadow_mm2: float, progress: Progress
) -> tuple[FootBlock | None, Manifold]:
    """Return the foot block, if there is one, and piece and block carried below the floor.

    Without a block the piece's own lowest sliver, below the seat, is what reaches below.
    """
    if seat_height == 0:
        return None, lifted
    kind = footblock.block_kind(seat.footprint, shadow_mm2)
    block, carried = footblock.foot_block(seat.under, kind=kind, height_mm=seat_height)
    above = lifted.trim_by_plane(UP, seat_height - SHARED_MM) if seat.sink_mm else lifted
    _ = above.status()  # worked out here, not when it is first asked for
    progress(0.6, "Joining piece and foot block")
    joined = above + to_solid(carried)
    _ = joined.status()  # until then it keeps what it is made of
    progress(1.0, "Joining piece and foot block")
    return block, joined


def _filled(surface: Surface) -> tuple[Cavity, int]:
    """Return the resin's cavity without closed voids inside the piece, and how many there were."""
    count, of_face = shells(surface)
    voids = [k for k in range(count) if _shell_volume(surface, of_face, k) < 0]
    solid = kept(surface, ~np.isin(of_face, voids)) if voids else surface
    seen = sum(_shell_volume(surface, of_face, k) < -LEAST_HOLLOW_MM3 for k in voids)
    return Cavity(solid, np.flatnonzero(solid.vertices[:, 2] < 1e-9)), seen


def _shell_volume(surface: Surface, of_face: Ints, shell: int) -> float:
    return volume(_shell(surface, of_face, shell))


def _shell(surface: Surface, of_face: Ints, shell: int) -> Surface:
    mine = of_face == shell
    return surface if mine.all() else kept(surface, mine)


def _open_top(surface: Surface, top_mm: float) -> tuple[Cavity, tuple[Hollow, ...]]:
    """Return the rubber's cavity, and the closed hollows that no rubber reaches."""
    count, of_face = shells(surface)
    hollows, drop = [], []
    for k in range(count):
        part = _shell(surface, of_face, k)
        inside = volume(part)
        if inside > 0 and part.bounds[1, 2] < top_mm - 1e-6:
            drop.append(k)
            if inside < LEAST_HOLLOW_MM3:
                continue
            middle = part.bounds.mean(axis=0)
            hollows.append(Hollow(inside, (float(middle[0]), float(middle[1]), float(middle[2]))))
    rest = kept(surface, ~np.isin(of_face, drop)) if drop else surface
    return Cavity(rest, np.flatnonzero(rest.vertices[:, 2] > top_mm - 1e-6)), tuple(hollows)


def _words(
    seat: Seat,
    block: FootBlock | None,
    seat_mm2: float,
    feet: int,
    hollows: tuple[Hollow, ...],
    voids: int,
) -> tuple[str, ...]:
    """Return how it stands, in sentences."""
    patches = "one patch of" if feet == 1 else f"{feet} patches, together"
    said = [f"It stands on {patches} {seat_mm2:.0f} mm²."]
    if seat.sink_mm:
        said.append(f"{seat.sink_mm:.2g} mm is trimmed off the underside so that it is flat.")
    else:
        said.append("The mouth is not its lowest place; the block rises past the lower parts.")
    if block is None:
        said.append("It stands on the floor without a foot block: there is no reservoir.")
    elif block.kind == "flared":
        said.append(
            f"The foot block goes on below the base, {block.height_mm:.0f} mm high, and only "
            "widens downward: on the casting it is sawn off along the edge of the base."
        )
    else:
        said.append(
            f"The foot block is a slab {block.height_mm:.0f} mm high and {block.width_mm:.0f} mm "
            "wide, wider than the feet."
        )
    for hollow in hollows:
        said.append(
            f"A closed hollow of {hollow.volume_mm3:.0f} mm³ lies inside or under the base, near "
            f"({hollow.place_mm[0]:.0f}, {hollow.place_mm[1]:.0f}, {hollow.place_mm[2]:.0f}) mm: "
            "fill it with clay before pouring."
        )
    if voids:
        said.append(
            f"{voids} closed voids inside the piece are left out: castings come out solid there."
        )
    return tuple(said)
