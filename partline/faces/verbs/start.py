"""`partline start`: a starter job file for a scan."""

from __future__ import annotations

from pathlib import Path

import click

from partline.faces.verbs.rebuild import rebuild_of, rebuild_options


@click.command()
@click.argument("mesh", type=click.Path(path_type=Path))
@click.option("-o", "--out", type=click.Path(path_type=Path), help="Job file to write.")
@rebuild_options
def start(mesh: Path, out: Path | None, rebuild: bool, cell: str | None) -> None:
    """Write a starter job file for a scan; edit it, then plan it."""
    from partline.faces.cli import _bar
    from partline.faces.files import write_new
    from partline.faces.standing import proposed
    from partline.job import starter_job
    from partline.scan.opening import opened

    asked = rebuild_of(rebuild, cell)
    with _bar() as progress:
        scan = opened(mesh, progress)
        pose = proposed(scan)
    text = starter_job(
        mesh, up=pose.up, front=pose.front, stands=pose.words, file_unit=scan.file.unit,
        rebuild=asked is not None, cell=cell,
    )  # fmt: skip
    job = write_new(out or mesh.with_suffix(".toml"), text.encode())
    click.echo(pose.words)
    if scan.file.unit:
        click.echo(f"The file says its lengths are in {scan.file.unit}; a height in the job "
                   "file would come before that.")  # fmt: skip
    click.echo(f"Wrote {job}. Open it in any text editor, answer its questions, then run:")
    click.echo(f'  partline plan "{job}"')
