"""`partline compare`: planned folders side by side, by the work of the whole run."""

from __future__ import annotations

from pathlib import Path

import click

from partline.errors import PlanFileError


@click.command()
@click.argument("folders", nargs=-1, required=True, type=click.Path(path_type=Path))
def compare(folders: tuple[Path, ...]) -> None:
    """Compare plans of one piece, with other cuts or another mouth, by minutes over the run."""
    from partline.faces.run_words import choice_rows
    from partline.planfile import open_plan
    from partline.workshop.minutes import Choice

    choices: list[Choice] = []
    for folder in folders:
        made = open_plan(folder)
        if made.production is None:
            raise PlanFileError(f"{folder} holds no minutes. Plan that job again.")
        m, run = made.production.minutes, made.run
        choices.append(Choice(folder.name, m.seam_min, m.voids, m.each_min, run.good * m.each_min,
                              False, made.cut.verdict))  # fmt: skip
    for name, verdict, seam, voids, each, whole in choice_rows(choices):
        click.echo(f"{name}: {verdict}; parting line {seam}, voids {voids}, one good piece {each}, "
                   f"the whole run {whole}")  # fmt: skip
    least = min(choices, key=lambda c: c.run_min)
    if len(choices) > 1:
        click.echo(f"Least work: {least.name}.")
