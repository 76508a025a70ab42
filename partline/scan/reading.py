"""Read a scan and make it the master."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from partline.errors import InternalError, NotSolid
from partline.geometry.surface import Surface
from partline.geometry.volume import area, is_closed, volume
from partline.progress import Progress, silent, span
from partline.scan.files import read_file
from partline.scan.master import Master
from partline.scan.orienting import Direction, turning
from partline.scan.posing import pose
from partline.scan.repairing import cleaned, refusal, solid
from partline.scan.sizing import Measurement, Size, extent_words, size_warnings
from partline.scan.wording import repair


def read_master(
    path: str | Path,
    *,
    height_mm: float | None = None,
    units: str | None = None,
    measured: Measurement | None = None,
    up: Direction = "+z",
    front: Direction = "-y",
    progress: Progress = silent,
) -> Master:
    """Read a mesh file, mend it with every repair listed, and turn it into its standing pose.

    Parameters
    ----------
    path : str or Path
        STL, OBJ or PLY file, also packed as .xz or .gz.
    height_mm : float, optional
        Finished height along `up` [mm]. Exactly one of this, `units` and `measured`.
    units : str, optional
        Unit of the file's coordinates: "mm", "cm", "m", "in", ...
    measured : (point, point, length), optional
        Two (3,) points in the file's coordinates and the finished distance between them [mm].
    up, front : str or (3,) array_like
        Which way of the file is up and which side is the front: "+z", "-y" or three numbers.
        The front is made square to up.
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
    size = Size(height_mm, units, measured).checked(needed=True)
    turning(up, front)
    progress(0.0, "reading the file")
    file = read_file(path)
    progress(0.15, "looking at the mesh")
    try:
        draft, found = cleaned(file.draft, span(progress, 0.15, 0.45))
        if not len(draft.faces):
            raise refusal([])
        matrix = pose(draft, size, up=up, front=front)
        found = [finding.moved(matrix) for finding in found]
        draft, more, warnings = solid(draft.moved(matrix), span(progress, 0.45, 0.95))
    except NotSolid as fault:
        raise NotSolid(f"{file.name}: {fault}") from fault
    # A filling may have moved the bounding box: the pose is set on the finished solid.
    last = pose(draft, Size(height_mm, "mm" if height_mm is None else None), up="+z", front="-y")
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
        repairs=tuple(repair(finding.moved(last)) for finding in found + more),
        warnings=(*size_warnings(surface.extents), *warnings),
        volume_doubt_mm3=sum(finding.doubt for finding in found + more),
        path=file.name,
        sha256=file.sha256,
        size_words=f"{size.words}: {extent_words(surface.extents)}",
    )
