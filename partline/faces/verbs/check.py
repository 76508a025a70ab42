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
@rebuild_options
def check(
    mesh: Path, height: str | None, units: str | None, up: str | None, as_json: bool,
    rebuild: bool, cell: str | None,
) -> None:  # fmt: skip
    """Look a scan over: size, holes, faults, and whether it is a solid."""
    from partline.faces.cli import _bar
    from partline.faces.standing import proposed
    from partline.progress import span
    from partline.scan.diagnosing import diagnose
    from partline.scan.opening import opened
    from partline.units import length_mm

    asked = rebuild_of(rebuild, cell)
    height_mm = None if height is None else length_mm(height)
    with _bar() as progress:
        scan = opened(mesh, span(progress, 0.0, 0.3))
        progress(0.3, "finding how it stands")
        pose = proposed(scan, up=up)
        health = diagnose(
            scan, height_mm=height_mm, units=units, up=pose.up if up is None else up,
            front=pose.front, rebuild=asked, progress=span(progress, 0.4, 1.0),
        )  # fmt: skip
    if as_json:
        plain = health.to_dict() | {"stands": pose.to_dict()}
        click.echo(json.dumps(plain, indent=2, ensure_ascii=False))
        return
    click.echo(pose.words)
    for line in health.words:
        click.echo(line)
