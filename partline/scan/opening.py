"""A mesh file opened once: read, and cleaned as far as neither size nor pose are needed."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from partline.progress import Progress, silent, span
from partline.scan.draft import Draft, Finding
from partline.scan.files import MeshFile, read_file
from partline.scan.formats import has_unit
from partline.scan.repairing import cleaned
from partline.scan.sizing import Size


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
    """
    if isinstance(scan, Opened):
        return scan
    progress(0.0, "reading the file")
    file = read_file(scan)
    draft, found = cleaned(file.draft, span(progress, 0.3, 1.0))
    return Opened(file, draft, tuple(found))


def says_unit(scan: str | Path | Opened) -> bool:
    """Whether the file itself says what unit it is in."""
    return bool(scan.file.unit) if isinstance(scan, Opened) else has_unit(scan)
