"""The command line: thin verbs over the stages; errors are one paragraph and exit status 2."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, get_args

import click
from rich.console import Console
from rich.progress import BarColumn, TextColumn, TimeElapsedColumn
from rich.progress import Progress as Bar

from partline import __version__
from partline.errors import Cancelled, PartlineError
from partline.faces.planning import PLANNED, Units, plan_into, written_lines
from partline.faces.verbs.cast import cast
from partline.faces.verbs.check import check
from partline.faces.verbs.compare import compare
from partline.faces.verbs.folders import scans_option
from partline.faces.verbs.log import log
from partline.faces.verbs.materials import materials
from partline.faces.verbs.mix import mix
from partline.faces.verbs.mouths import mouths
from partline.faces.verbs.rebuild import rebuild_of, rebuild_options
from partline.faces.verbs.shelf import shelf
from partline.faces.verbs.start import start
from partline.memory import keep_freed
from partline.progress import Progress

if TYPE_CHECKING:
    from partline.scan.rebuilding import Rebuild

# Everything else is imported inside the verb that needs it, so that --help, mix and check
# start at once and never load the 3D library.

Paper = Literal["A4", "Letter"]
_UNITS = click.Choice(get_args(Units))
_PAPER = click.Choice(get_args(Paper))
Spelling = Literal["British", "US"]
Form = Literal["html", "pdf", "both"]


def _sheet_options(verb: Callable[..., None]) -> Callable[..., None]:
    """Give a verb the options of the bench sheet."""
    for option in (
        click.option("--format", "form", type=click.Choice(get_args(Form)), default="both",
                     show_default=True, help="Bench sheet for a browser, as a PDF, or both."),
        click.option("--spelling", type=click.Choice(get_args(Spelling)), default="British",
                     show_default=True, help="Words on the sheet and in the scene."),
        click.option("--show", type=_UNITS, default="mm", show_default=True,
                     help="Lengths on the sheet."),
        click.option("--paper", type=_PAPER, default="A4", show_default=True),
    ):  # fmt: skip
        verb = option(verb)
    return verb


@contextmanager
def _bar(stopped: str = "", *, after: float = 1.0) -> Iterator[Progress]:
    """Show a progress bar on the error stream; nothing where that is not a terminal.

    Work that is stopped after that share of it says so in the words given.
    """
    console = Console(stderr=True)
    reached = 0.0
    with Bar(
        BarColumn(30),
        TextColumn("{task.percentage:>3.0f} %"),
        TextColumn("{task.description}"),
        TimeElapsedColumn(),
        console=console,
        transient=True,
        disable=not console.is_terminal,
    ) as bar:
        task = bar.add_task("Starting", total=1.0)

        def progress(fraction: float, words: str) -> None:
            nonlocal reached
            reached = fraction
            bar.update(task, completed=fraction, description=words)

        try:
            yield progress
        except (KeyboardInterrupt, Cancelled):
            raise Cancelled(stopped if reached > after else "") from None


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="partline")
def partline() -> None:
    """From the scan of a master to a cut, a pour and a sheet for the bench."""


@partline.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option("-o", "--out", type=click.Path(path_type=Path), help="Folder for the results.")
@_sheet_options
@click.option("--no-pictures", is_flag=True, help="Leave the 3D pictures out.")
@rebuild_options
@scans_option
def plan(
    job: Path, out: Path | None, no_pictures: bool, rebuild: bool, cell: str | None,
    scans: tuple[Path, ...], **sheet: Any,
) -> None:  # fmt: skip
    """Plan a job: bench sheet, scene, pictures and plan.json in one folder."""
    _planned(job, out or Path(f"{job.stem}-plan"), pictures=not no_pictures,
             rebuild=rebuild_of(rebuild, cell), scans=scans, **sheet)  # fmt: skip


@partline.command()
@click.option("-o", "--out", type=click.Path(path_type=Path), default=Path("ram-plan"))
@click.option("--bad-scan", is_flag=True, help="The same ram as a scanner may give it: tilted, "
              "holed, with specks and no underside.")  # fmt: skip
@_sheet_options
def demo(out: Path, bad_scan: bool, **sheet: Any) -> None:
    """Plan the sample job, a sleepy ram for a coat peg, from start to end."""
    from partline.samples import sample

    _planned(
        sample("ram_bad.toml" if bad_scan else "ram.toml"),
        out,
        pictures=True,
        own_shelf=False,
        **sheet,
    )


def _planned(
    job: Path, folder: Path, *, own_shelf: bool = True, rebuild: Rebuild | None = None,
    scans: tuple[Path, ...] = (), **asked: Any,
) -> None:  # fmt: skip
    from partline.job import load_job
    from partline.large_scan import work_on
    from partline.workshop.log_reading import read_log
    from partline.workshop.log_writing import log_path, scan_hash
    from partline.workshop.shelf import read_shelf, shelf_path, with_shelf

    checked = load_job(job, scans=scans)
    if rebuild is not None:
        scan = {"rebuild": True, "cell_mm": rebuild.cell or checked.scan.cell_mm}
        checked = checked.model_copy(update={"scan": checked.scan.model_copy(update=scan)})
    if own_shelf:
        checked = with_shelf(checked, read_shelf(shelf_path()))
    pulls = read_log(log_path(job), checked.name, scan=scan_hash(checked.scan.file))
    with _bar(f"Stopped while {folder} was written. Each of its files is whole, but they may not "
              "belong together: plan the job again.", after=PLANNED) as progress:  # fmt: skip
        said = work_on(
            checked.scan.file, plan_into, checked, folder, log=pulls, progress=progress, **asked
        )
    for line in said.trouble:
        click.echo(line, err=True)
    for line in said.lines:
        click.echo(line)


@partline.command()
@click.argument("folder", type=click.Path(path_type=Path))
@_sheet_options
def sheet(folder: Path, form: Form, paper: Paper, show: Units, spelling: Spelling) -> None:
    """Write the bench sheet and the card again from a planned folder, nothing computed anew."""
    from partline.faces.card_pdf import write_card
    from partline.faces.papers import write_papers
    from partline.planfile import open_plan

    kept = {p.stem: p.read_bytes() for p in sorted(folder.glob("*.png"))}
    made = open_plan(folder)
    written = write_papers(
        made, folder, pictures=kept, form=form, paper=paper, system=show, spelling=spelling
    )
    for line in written_lines((*written, write_card(made, folder, paper=paper))):
        click.echo(line)


@partline.command()
@click.argument("job", type=click.Path(path_type=Path), required=False)
@click.option(
    "--desktop-entry",
    is_flag=True,
    help="Put partline into the desktop's menu (Linux), and open nothing.",
)
@scans_option
def view(job: Path | None, desktop_entry: bool, scans: tuple[Path, ...]) -> None:
    """Open the window, on a scan or a job if one is given."""
    from partline.faces.viewer import run_window

    if desktop_entry:
        from platformdirs import user_data_path

        from partline.faces.desktop import write_entry

        for path in write_entry(user_data_path()):
            click.echo(f"Wrote {path}")
        return

    code = run_window(job, scans=scans)
    if code:
        raise click.exceptions.Exit(code)


for _verb in (check, start, log, compare, mouths, materials, mix, shelf, cast):
    partline.add_command(_verb)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit status: 0, or 2 for whatever a user can mend."""
    try:
        result = partline.main(args=arguments, prog_name="partline", standalone_mode=False)
    except click.exceptions.Exit as stop:
        return stop.exit_code
    except click.ClickException as error:
        error.show()
        return 2
    except (click.Abort, KeyboardInterrupt, Cancelled) as stop:
        click.echo(str(stop) or "Stopped; nothing was written.", err=True)
        return 2
    except PartlineError as error:
        click.echo(str(error), err=True)
        return 2
    return result if isinstance(result, int) else 0


def run() -> None:
    """Entry point of the `partline` command."""
    keep_freed()
    sys.exit(main())
