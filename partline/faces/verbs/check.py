"""`partline check`: a scan looked over, in words, as JSON, or in a picture with numbers."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import click

from partline.faces.verbs.rebuild import rebuild_of, rebuild_options
from partline.progress import Progress


@click.command()
@click.argument("mesh", type=click.Path(path_type=Path))
@click.option("--height", help='Finished height as it stands, like "62 mm" or "2 7/16 in".')
@click.option("--units", help="Unit of the file's numbers: mm, cm, m or in.")
@click.option(
    "--up", help='Which way of the file is up, like +y or "0, 0.1, 1"; found where not said.'
)
@click.option("--json", "as_json", is_flag=True, help="For programs instead of people.")
@click.option("--picture", type=click.Path(path_type=Path),
              help="PNG to draw, its faults numbered as in the words.")  # fmt: skip
@rebuild_options
def check(
    mesh: Path, height: str | None, units: str | None, up: str | None, as_json: bool,
    picture: Path | None, rebuild: bool, cell: str | None,
) -> None:  # fmt: skip
    """Look a scan over: size, holes, faults, and whether it is a solid."""
    from partline.faces.cli import _bar
    from partline.large_scan import work_on
    from partline.units import length_mm

    asked = rebuild_of(rebuild, cell)
    height_mm = None if height is None else length_mm(height)
    with _bar() as progress:
        lines = work_on(
            mesh, check_lines, mesh, height_mm=height_mm, units=units, up=up, rebuild=asked,
            as_json=as_json, picture=picture, progress=progress,
        )  # fmt: skip
    for line in lines:
        click.echo(line)


def check_lines(
    mesh: Path, *, as_json: bool, picture: Path | None, progress: Progress, **asked: Any
) -> tuple[str, ...]:
    """Look a scan over and draw its picture; return what to say."""
    from partline.faces.check_picture import check_picture
    from partline.faces.checking import checked
    from partline.faces.files import write_new

    made = checked(mesh, progress=progress, **asked)
    drawn = None if picture is None else write_new(picture, check_picture(made))
    if as_json:
        return (json.dumps(made.to_dict(), indent=2, ensure_ascii=False),)
    return (*made.words, *([] if drawn is None else [f"Picture with those numbers: {drawn}"]))
