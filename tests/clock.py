"""A clock on progress calls: in processor time, so that a busy machine does not matter."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise
from time import process_time

from partline.errors import Cancelled


@dataclass
class Clock:
    """Hears of long work; cancels it once a fraction is reached, if one is given."""

    cancel_at: float = 2.0
    calls: list[tuple[float, float, str]] = field(default_factory=list)
    cancelled_s: float = 0.0

    def __call__(self, fraction: float, words: str) -> None:
        """Note when it was called."""
        self.calls.append((process_time(), fraction, words))
        if fraction >= self.cancel_at:
            self.cancelled_s = process_time()
            raise Cancelled

    def longest_silence(self) -> tuple[float, str]:
        """Return the longest time in which the bar did not move [s], and between which calls."""
        pairs = pairwise(
            call for call, moved in zip(self.calls, self._moved(), strict=True) if moved
        )
        return max((b[0] - a[0], f"{a[1]:.3f} {a[2]} - {b[1]:.3f} {b[2]}") for a, b in pairs)

    def _moved(self) -> list[bool]:
        return [True, *(b[1] > a[1] for a, b in pairwise(self.calls))]

    def backwards(self) -> list[str]:
        """Return where the bar went back."""
        pairs = pairwise(self.calls)
        return [f"{a[1]} {a[2]} - {b[1]} {b[2]}" for a, b in pairs if b[1] < a[1] - 1e-9]
