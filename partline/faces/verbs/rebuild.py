"""The options that ask for a new surface, shared by the verbs that read a scan."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import click

from partline.errors import UnitError

if TYPE_CHECKING:
    from partline.scan.rebuilding import Rebuild


def rebuild_options(verb: Callable[..., None]) -> Callable[..., None]:
    """Give a verb the options --rebuild and --cell."""
    for option in (
        click.option("--cell", help='Size of its cells at finished size, like "0.4 mm"; nothing '
                     "finer is kept."),
        click.option("--rebuild", is_flag=True, help="As a last resort: draw a new closed surface "
                     "round a scan that cannot be mended; the difference is measured."),
    ):  # fmt: skip
        verb = option(verb)
    return verb


def rebuild_of(rebuild: bool, cell: str | None) -> Rebuild | None:
    """Return what was asked for.

    Raises
    ------
    UnitError
        If a cell is given without --rebuild, or is no length.
    """
    from partline.scan.rebuilding import Rebuild
    from partline.units import length_mm

    if cell is not None and not rebuild:
        raise UnitError("--cell goes with --rebuild; add that, or leave it out.")
    if not rebuild:
        return None
    size = None if cell is None else length_mm(cell)
    if size is not None and not 0.001 <= size <= 100.0:
        raise UnitError(f"A cell of {size:g} mm cannot be meant; say 0.001 mm to 100 mm.")
    return Rebuild(size)
