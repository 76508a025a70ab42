"""The option that gives folders to read scans from, shared by the verbs that read a job."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import click

scans_option: Callable[[Callable[..., None]], Callable[..., None]] = click.option(
    "--scans",
    type=click.Path(path_type=Path),
    multiple=True,
    help="A folder the job may read its scan from besides its own; as often as you like.",
)
