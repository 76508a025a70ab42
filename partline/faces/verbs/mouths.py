"""`partline mouths`: compare where the resin could go in."""

from __future__ import annotations

from pathlib import Path

import click


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--most", type=click.IntRange(2, 5), default=4, show_default=True,
              help="How many mouths to compare.")  # fmt: skip
def mouths(job: Path, most: int) -> None:
    """Compare mouths for a job: air in both pours, cut, stretch and scar of each."""
    from partline.faces.cli import _bar
    from partline.faces.run_words import choice_rows
    from partline.job import load_job
    from partline.mouths import compare_mouths, mouth_words, mouth_work

    checked = load_job(job)
    with _bar() as progress:
        rows = compare_mouths(checked, most=most, progress=progress)
    for line in mouth_words(rows):
        click.echo(line)
    for name, _, seam, voids, each, whole in choice_rows(mouth_work(checked, rows)):
        click.echo(f"{name}: parting line {seam}, voids {voids}, one good piece {each}, "
                   f"the whole run {whole}")  # fmt: skip
    for row in rows[1:]:
        if row.mouth.point is not None and not row.refused:
            x, y, z = row.mouth.point
            click.echo(
                f'{row.name}: in the job file, mouth = {{ at = "point", '
                f"point = [{x:.3f}, {y:.3f}, {z:.3f}] }}"
            )
