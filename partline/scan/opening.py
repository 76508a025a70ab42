"""A mesh file opened once: read, and cleaned as far as neither size nor pose are needed."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from partline.errors import NotSolid
from partline.progress import Progress, silent, span
from partline.scan.draft import Draft, Finding
from partline.scan.files import MeshFile, read_file
from partline.scan.formats import has_unit
from partline.scan.repairing import cleaned
from partline.scan.sizing import Size
from partline.scan.surface_like import refuse_heaps, refuse_loose


@dataclass(frozen=True, eq=False)
class Opened:
    """A mesh file, ready to be diagnosed, stood up, or made a master.

    Attributes
    ----------
    file : MeshFile
    clean : Draft
        After joining, dropping, turning and parting, in the file's unit; may have no faces.
    found : tuple of Finding
        What that took.
    """

    file: MeshFile
    clean: Draft
    found: tuple[Finding, ...]

    def size(self, stated: Size) -> Size:
        """Return the size as stated, or by the unit that the file itself has.

        Raises
        ------
        UnitError
            If neither says it.
        """
        if stated.is_said or not self.file.unit:
            return stated
        return Size(units=self.file.unit, by_file=True)


def opened(scan: str | Path | Opened, progress: Progress = silent) -> Opened:
    """Read and clean a file; what is opened already is returned as it is.

    Raises
    ------
    ScanError
        If it cannot be read as a mesh.
    NotSolid
        If it is nothing like a surface, so that not even its faults can be named.
    """
    if isinstance(scan, Opened):
        return scan
    progress(0.0, "reading the file")
    file = read_file(scan)
    try:
        for refuse in (refuse_heaps, refuse_loose):
            refuse(file.draft)
        draft, found = cleaned(file.draft, span(progress, 0.3, 1.0))
    except NotSolid as fault:
        raise NotSolid(f"{file.name}: {fault}") from None
    return Opened(file, draft, tuple(_with_collapsed(file, found)))


def _with_collapsed(file: MeshFile, found: list[Finding]) -> list[Finding]:
    """Add what was left out at reading to the faces dropped for the same reason."""
    if not file.collapsed:
        return found
    later = sum(finding.count for finding in found if finding.kind == "degenerate")
    whole = Finding("degenerate", file.collapsed + later, 0.0, file.collapsed_at)
    return [whole, *(finding for finding in found if finding.kind != "degenerate")]


def says_unit(scan: str | Path | Opened) -> bool:
    """Whether the file itself says what unit it is in."""
    return bool(scan.file.unit) if isinstance(scan, Opened) else has_unit(scan)
