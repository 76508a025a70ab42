"""`partline materials`: every figure partline counts with, and where it comes from."""

from __future__ import annotations

from pathlib import Path

import click

from partline.faces.verbs.folders import scans_option


@click.command()
@click.argument("job", type=click.Path(path_type=Path), required=False)
@click.option("--file", "own", type=click.Path(path_type=Path), help="Your own figures; else "
              "those the job names.")  # fmt: skip
@click.option("--only", help='Only keys that begin so, like "rubber" or "casting".')
@click.option("--mine", is_flag=True, help="Only what differs from the defaults.")
@scans_option
def materials(
    job: Path | None, own: Path | None, only: str | None, mine: bool, scans: tuple[Path, ...]
) -> None:
    """Say each figure with its unit, its usual range and where it comes from."""
    from partline.errors import WorkshopError
    from partline.faces.figures import plain
    from partline.job import load_job
    from partline.workshop.origins import asked_of, figures_of

    checked = None if job is None else load_job(job, check_files=False, scans=scans)
    found = [f for f in figures_of(checked, own)
             if (only is None or f.default.key.startswith(only))
             and not (mine and f.origin == "default")]  # fmt: skip
    if only is not None and not found and not mine:
        raise WorkshopError(f'No figure\'s key begins with "{only}". Without --only all are shown.')
    before = ""
    for figure in found:
        low, high = figure.default.range
        unit = f" {figure.default.unit}" if figure.default.unit else ""
        table, _, key = figure.default.key.rpartition(".")
        if table != before:
            click.echo(f"[{table}]")
            before = table
        click.echo(f"{key} = {plain(figure.value, 3)}{unit}   usual {plain(low, 3)} to "
                   f"{plain(high, 3)}")  # fmt: skip
        click.echo(f"    {figure.default.words} ({figure.words})")
    asked = () if checked is None else asked_of(checked)
    if asked:
        click.echo("Not given, and not assumed:")
        for line in asked:
            click.echo(f"    {line}")
    click.echo("Your labels and technical sheets win: put them into the job file, or into a file "
               "of your own that [shop] defaults names.")  # fmt: skip
