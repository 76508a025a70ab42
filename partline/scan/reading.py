"""Read a scan and make it the master."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from partline.errors import InternalError, NotSolid
from partline.geometry.surface import Surface
from partline.geometry.volume import area, is_closed, volume
from partline.progress import Progress, silent, span
from partline.scan.master import Master
from partline.scan.opening import Opened, opened, says_unit
from partline.scan.orienting import Direction, turning
from partline.scan.posing import pose
from partline.scan.rebuilding import Rebuild
from partline.scan.repairing import refusal, solid
from partline.scan.sizing import Measurement, Size, size_warnings, unit_warnings
from partline.scan.wording import repair


def read_master(
    path: str | Path | Opened,
    *,
    height_mm: float | None = None,
    units: str | None = None,
    measured: Measurement | None = None,
    up: Direction = "+z",
    front: Direction = "-y",
    rebuild: Rebuild | None = None,
    progress: Progress = silent,
) -> Master:
    """Read a mesh file, mend it with every repair listed, and turn it into its standing pose.

    Parameters
    ----------
    path : str or Path, or Opened
        STL, OBJ, PLY, GLB or 3MF file, also packed as .xz or .gz.
    height_mm : float, optional
        Finished height along `up` [mm]. Exactly one of this, `units` and `measured`; none is
        needed where the file says its unit (GLB, 3MF).
    units : str, optional
        Unit of the file's coordinates: "mm", "cm", "m", "in", ...
    measured : (point, point, length), optional
        Two (3,) points in the file's coordinates and the finished distance between them [mm].
    up, front : str or (3,) array_like
        Which way of the file is up and which side is the front: "+z", "-y" or three numbers.
        The front is made square to up.
    rebuild : Rebuild, optional
        As a last resort: make a new closed surface instead of mending the old one.
    progress : Progress, optional

    Returns
    -------
    Master

    Raises
    ------
    ScanError
        If the file cannot be read.
    UnitError
        If not exactly one statement of the size was made.
    StandError
        If `up` or `front` cannot be read or lie along one line.
    NotSolid
        If the volume would be a guess: large holes, edges with more than two faces that cannot
        be parted, a one-sided sheet, a body that runs through itself.
    """
    stated = Size(height_mm, units, measured).checked(needed=not says_unit(path))
    turning(up, front)
    scan = opened(path, span(progress, 0.0, 0.45))
    size, file = scan.size(stated), scan.file
    try:
        if not len(scan.clean.faces):
            raise refusal([])
        matrix = pose(scan.clean, size, up=up, front=front)
        found = [finding.moved(matrix) for finding in scan.found]
        draft, more, warnings = solid(scan.clean.moved(matrix), span(progress, 0.45, 0.95),
                                      rebuild=rebuild)  # fmt: skip
    except NotSolid as fault:
        raise NotSolid(f"{file.name}: {fault}") from fault
    progress(0.96, "setting the pose")
    # A filling may have moved the bounding box: the pose is set on the finished solid. A surface
    # drawn anew only rounds the scan off at the cell; blown up to the height it would be larger.
    asked = None if rebuild else height_mm
    last = pose(draft, Size(asked, "mm" if asked is None else None), up="+z", front="-y")
    found = [finding.moved(last) for finding in found + more]
    surface = Surface(draft.moved(last).vertices, draft.faces)
    if not is_closed(surface):
        raise InternalError(f"{file.name} was mended but is not closed.")
    progress(1.0, "master ready")
    return Master(
        surface=surface,
        volume_mm3=volume(surface),
        area_mm2=area(surface),
        file_faces=draft.file_faces.astype(np.int32),
        to_pose=last @ matrix,
        repairs=tuple(repair(finding) for finding in found),
        warnings=(
            *size_warnings(surface.extents, size),
            *unit_warnings(size, file.unit),
            *([file.left_out] if file.left_out else []),
            *warnings,
        ),
        volume_doubt_mm3=sum(finding.doubt for finding in found),
        path=file.name,
        sha256=file.sha256,
        size_words=size.told(surface.extents),
    )
