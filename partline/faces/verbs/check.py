"""`partline check`: a scan looked over, in words, as JSON, or in a picture with numbers."""

from __future__ import annotations

import json
from pathlib import Path

import click

from partline.faces.verbs.rebuild import rebuild_of, rebuild_options


@click.command()
@click.argument("mesh", type=click.Path(path_type=Path))
@click.option("--height", help='Finished height as it stands, like "62 mm" or "2 7/16 in".')
@click.option("--units", help="Unit of the file's numbers: mm, cm, m or in.")
@click.option("--up", help="Which way of the file is up, like +y; found where it is not said.")
@click.option("--json", "as_json", is_flag=True, help="For programs instead of people.")
@click.option("--picture", type=click.Path(path_type=Path),
              help="PNG to draw, its faults numbered as in the words.")  # fmt: skip
@rebuild_options
def check(
    mesh: Path, height: str | None, units: str | None, up: str | None, as_json: bool,
    picture: Path | None, rebuild: bool, cell: str | None,
) -> None:  # fmt: skip
    """Look a scan over: size, holes, faults, and whether it is a solid."""
    from partline.faces.checking import check_picture, checked
    from partline.faces.cli import _bar
    from partline.faces.files import write_new
    from partline.units import length_mm

    asked = rebuild_of(rebuild, cell)
    height_mm = None if height is None else length_mm(height)
    with _bar() as progress:
        made = checked(
            mesh, height_mm=height_mm, units=units, up=up, rebuild=asked, progress=progress
        )
    drawn = None if picture is None else write_new(picture, check_picture(made))
    if as_json:
        click.echo(json.dumps(made.to_dict(), indent=2, ensure_ascii=False))
        return
    for line in made.words:
        click.echo(line)
    if drawn is not None:
        click.echo(f"Picture with those numbers: {drawn}")
