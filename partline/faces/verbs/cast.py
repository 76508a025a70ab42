"""`partline cast`: the mould is there already; grams, tips and moves for one casting."""

from __future__ import annotations

from pathlib import Path

import click


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--volume", help="What the mould holds, reservoir included, like 36mL: no scan is "
              "read, and nothing is said of air.")  # fmt: skip
def cast(job: Path, volume: str | None) -> None:
    """You already have the mould: grams, tips, moves and times for one casting, no cut."""
    from partline.casting import plan_casting
    from partline.faces.cast_words import cast_lines
    from partline.faces.cli import _bar
    from partline.job import load_job
    from partline.units import volume_mm3

    held = None if volume is None else volume_mm3(volume)
    checked = load_job(job, check_files=held is None)
    with _bar() as progress:
        made = plan_casting(checked, volume_mm3=held, progress=progress)
    for line in cast_lines(made, checked):
        click.echo(line)
