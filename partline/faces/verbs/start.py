"""`partline start`: a starter job file for a scan."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

import click

from partline.faces.verbs.rebuild import rebuild_of, rebuild_options
from partline.progress import Progress


@click.command()
@click.argument("mesh", type=click.Path(path_type=Path))
@click.option("-o", "--out", type=click.Path(path_type=Path), help="Job file to write.")
@rebuild_options
def start(mesh: Path, out: Path | None, rebuild: bool, cell: str | None) -> None:
    """Write a starter job file for a scan; edit it, then plan it."""
    from partline.faces.cli import _bar
    from partline.faces.files import write_new
    from partline.large_scan import work_on

    asked = rebuild_of(rebuild, cell)
    place = out or mesh.with_suffix(".toml")
    with _bar() as progress:
        found = work_on(mesh, starter, mesh, rebuild=asked is not None, cell=cell,
                        folder=place.parent, progress=progress)  # fmt: skip
    job = write_new(place, found.text.encode())
    click.echo(found.stands)
    if found.unit:
        click.echo(f"The file says its lengths are in {found.unit}; a height in the job "
                   "file would come before that.")  # fmt: skip
    click.echo(f"Wrote {job}. Open it in any text editor, answer its questions, then run:")
    scan = mesh.resolve().parent
    apart = "" if scan.is_relative_to(place.parent.resolve()) else f' --scans "{scan}"'
    click.echo(f'  partline plan "{job}"{apart}')


class Starter(NamedTuple):
    """A starter job file's text, how the scan stands in words, and the unit its file states."""

    text: str
    stands: str
    unit: str | None


def starter(
    mesh: Path, *, rebuild: bool, cell: str | None, folder: Path, progress: Progress
) -> Starter:
    """Read a scan and return the starter job file for it, as it will lie in a folder."""
    from partline.faces.standing import proposed
    from partline.job import starter_job
    from partline.scan.opening import opened

    scan = opened(mesh, progress)
    pose = proposed(scan)
    text = starter_job(
        mesh, up=pose.up, front=pose.front, stands=pose.words, file_unit=scan.file.unit,
        rebuild=rebuild, cell=cell, folder=folder,
    )  # fmt: skip
    return Starter(text, pose.words, scan.file.unit)
