"""`partline mouths`: compare where the resin could go in."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from partline.faces.verbs.folders import scans_option
from partline.progress import Progress

if TYPE_CHECKING:
    from partline.job import Job
    from partline.mouths import MouthRow


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--most", type=click.IntRange(2, 5), default=4, show_default=True,
              help="How many mouths to compare.")  # fmt: skip
@scans_option
def mouths(job: Path, most: int, scans: tuple[Path, ...]) -> None:
    """Compare mouths for a job: air in both pours, cut, stretch and scar of each."""
    from partline.faces.cli import _bar
    from partline.job import load_job
    from partline.large_scan import work_on

    checked = load_job(job, scans=scans)
    with _bar() as progress:
        lines = work_on(checked.scan.file, mouth_lines, checked, most=most, progress=progress)
    for line in lines:
        click.echo(line)


def mouth_lines(job: Job, *, most: int, progress: Progress) -> tuple[str, ...]:
    """Compare mouths; return what to say."""
    from partline.faces.run_words import choice_rows
    from partline.mouths import compare_mouths, mouth_words, mouth_work

    rows = compare_mouths(job, most=most, progress=progress)
    work = [
        f"{name}: parting line {seam}, voids {voids}, one good piece {each}, the whole run {whole}"
        for name, _, seam, voids, each, whole in choice_rows(mouth_work(job, rows))
    ]
    return (*mouth_words(rows), *work, *(_in_the_job(r) for r in rows[1:] if not r.refused))


def _in_the_job(row: MouthRow) -> str:
    assert row.mouth.point is not None
    x, y, z = row.mouth.point
    return (f'{row.name}: in the job file, mouth = {{ at = "point", '
            f"point = [{x:.3f}, {y:.3f}, {z:.3f}] }}")  # fmt: skip
