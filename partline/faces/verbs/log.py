"""`partline log`: write a pull down beside the job, or say what the log says."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from partline.errors import LogError, PlanFileError
from partline.faces.verbs.folders import scans_option

if TYPE_CHECKING:
    from partline.plan import Plan


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--good/--bad", "good", default=None, help="How the casting came out.")
@click.option("--mould", "--mold", type=click.IntRange(1, 999_999), help="Which mould; else the "
              "last one.")  # fmt: skip
@click.option("--date", "day", help="Like 2027-03-02; else today.")
@click.option("--voids", help='Numbers on the sheet, like "2 5"; "other", or "none" if you looked.')
@click.option("--length", help='Measured on the casting, like "61.7 mm".')
@click.option("--pigment", help='In 100 g of resin, like "1.5 g".')
@click.option("--note", default="", help="Whatever else there is to say.")
@click.option("--plan", "folder", type=click.Path(path_type=Path), help="Folder of the plan whose "
              "numbers the voids have; else JOB-plan.")  # fmt: skip
@scans_option
def log(
    job: Path, good: bool | None, mould: int | None, day: str | None, voids: str | None,
    length: str | None, pigment: str | None, note: str, folder: Path | None,
    scans: tuple[Path, ...],
) -> None:  # fmt: skip
    """Write a pull into the job's log; without --good or --bad, say what the log says."""
    from partline.faces.pull_said import next_mould, said_pull
    from partline.job import load_job
    from partline.workshop.log_reading import read_log
    from partline.workshop.log_writing import append_pull, log_path, scan_hash

    checked = load_job(job, check_files=False, scans=scans)
    path, scan = log_path(job), scan_hash(checked.scan.file)
    before = read_log(path, checked.name, scan=scan)
    if good is None:
        given = (mould, day, voids, length, pigment, note or None)
        if any(value is not None for value in given):
            raise LogError("How did it come out? Say --good or --bad; nothing was written.")
        _say(job, folder, scans)
        return
    pull = said_pull(_plan_of(job, folder) if voids else None, good=good,
                     mould=mould or next_mould(before), day=day or "", voids=voids or "",
                     length=length or "", pigment=pigment or "", note=note, system="")  # fmt: skip
    append_pull(path, checked.name, pull, scan=scan)
    click.echo(f"Written into {path}.")
    _say(job, folder, scans)


def _plan_folder(job: Path, folder: Path | None) -> Path:
    return Path(f"{job.stem}-plan") if folder is None else folder


def _plan_of(job: Path, folder: Path | None) -> Plan | None:
    """Return the plan whose numbers voids have; None where none is at hand, unless one is named."""
    from partline.planfile import open_plan

    home = _plan_folder(job, folder)
    if folder is None and not (home / "plan.json").exists():
        return None
    try:
        return open_plan(home)
    except PlanFileError:
        if folder is not None:
            raise
        click.echo(f"{home} holds no plan that can be opened; the voids are written down without "
                   "its mark.", err=True)  # fmt: skip
        return None


def _say(job: Path, folder: Path | None, scans: tuple[Path, ...]) -> None:
    """Say what the log says, in counts."""
    from partline.faces import log_words
    from partline.faces.figures import plain
    from partline.job import load_job
    from partline.job_run import stated
    from partline.workshop.learning import learned
    from partline.workshop.log_reading import read_log
    from partline.workshop.log_writing import log_path, scan_hash
    from partline.workshop.materials import defaults

    checked = load_job(job, check_files=False, scans=scans)
    path = log_path(job)
    log = read_log(path, checked.name, scan=scan_hash(checked.scan.file))
    if log is None:
        click.echo(f"There is no log {path} yet. Write the first pull down with --good or --bad.")
        return
    known = defaults(checked.shop.defaults)
    life = stated(checked.run, "life")
    usual = known.of_kind("rubber", checked.rubber.kind)["life"].value
    master = checked.run.measured_on_master_mm or checked.scan.height_mm
    taught = learned(log, life=int(usual if life is None else life), master_mm=master,
                     near_end_share=known.value("run.near_end_share"))  # fmt: skip
    if taught is None:
        click.echo(f"No pull stands in {path}.")
    else:
        for line in (*log_words.measured_lines(taught), *log_words.mould_lines(taught)):
            click.echo(line)
        if taught.shrinkage_percent is not None:
            click.echo(f"Shrinkage measured on {taught.lengths}: "
                       f"{plain(taught.shrinkage_percent, 2)} %.")  # fmt: skip
        if taught.looked:
            _say_places(job, folder, log)
        for line in log_words.odd_lines(log, taught):
            click.echo(line, err=True)
    for line in log_words.fault_lines(log):
        click.echo(line, err=True)


def _say_places(job: Path, folder: Path | None, log: object) -> None:
    from partline.faces import log_words
    from partline.faces.log_places import places_hold, places_mark
    from partline.planfile import open_plan
    from partline.workshop.learning import predicted_and_seen
    from partline.workshop.log import Log

    assert isinstance(log, Log)
    home = _plan_folder(job, folder)
    if not (home / "plan.json").exists():
        click.echo(f"Plan the job into {home} to compare the voids with what was predicted.")
        return
    made = open_plan(home)
    records, earlier = predicted_and_seen(log, places_hold(made), places=places_mark(made))
    for number, predicted, seen in log_words.place_rows(records):
        click.echo(f"Place {number}: predicted: {predicted}; void seen on {seen}.")
    for line in log_words.prediction_lines(records, earlier):
        click.echo(line)
