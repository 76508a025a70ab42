"""`partline cast`: the mould is there already; grams, tips and moves for one casting."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from partline.faces.verbs.folders import scans_option
from partline.progress import Progress

if TYPE_CHECKING:
    from partline.job import Job


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--volume", help="What the mould holds, reservoir included, like 36mL: no scan is "
              "read, and nothing is said of air.")  # fmt: skip
@scans_option
def cast(job: Path, volume: str | None, scans: tuple[Path, ...]) -> None:
    """You already have the mould: grams, tips, moves and times for one casting, no cut."""
    from partline.faces.cli import _bar
    from partline.job import load_job
    from partline.large_scan import work_on
    from partline.units import volume_mm3

    held = None if volume is None else volume_mm3(volume)
    checked = load_job(job, check_files=held is None, scans=scans)
    with _bar() as progress:
        lines = work_on(checked.scan.file, lines_of_cast, checked, held, progress=progress)
    for line in lines:
        click.echo(line)


def lines_of_cast(job: Job, volume_mm3: float | None, *, progress: Progress) -> tuple[str, ...]:
    """Plan one casting; return what to say."""
    from partline.casting import plan_casting
    from partline.faces.cast_words import cast_lines

    return tuple(cast_lines(plan_casting(job, volume_mm3=volume_mm3, progress=progress), job))
