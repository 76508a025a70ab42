"""Progress of long work: a callable that hears a fraction and words, and may cancel."""

from __future__ import annotations

from typing import Protocol


class Progress(Protocol):
    """Called with the share done, 0 to 1, and words; may raise `errors.Cancelled`."""

    def __call__(self, fraction: float, words: str) -> None: ...


def silent(fraction: float, words: str) -> None:
    """Report to nobody; the default of every long computation."""


def span(progress: Progress, start: float, stop: float) -> Progress:
    """Return a progress callable for one part of a larger job.

    Parameters
    ----------
    progress : Progress
        Hears of the whole job.
    start, stop : float
        The share of the whole [0 to 1] at which the part begins and ends.
    """

    def part(fraction: float, words: str) -> None:
        progress(start + (stop - start) * fraction, words)

    return part
