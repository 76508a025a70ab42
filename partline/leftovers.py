"""What a plan that was stopped on the way may leave in its folder: nothing anyone needs."""

from __future__ import annotations

import re
from pathlib import Path

# Half-written files, and arrays whose plan.json did not get its turn.
_HALF = re.compile(r"\..*\.part")
_ARRAYS = re.compile(r"plan-[0-9a-f]{12}\.npz")


def is_leftover(name: str) -> bool:
    """Whether a file of that name may be one; arrays are only where plan.json names others."""
    return bool(_HALF.fullmatch(name) or _ARRAYS.fullmatch(name))


def sweep(home: Path, *, keep: str) -> None:
    """Remove the leftovers of a folder but for the arrays that its plan names."""
    for path in home.iterdir():
        if path.name != keep and is_leftover(path.name):
            path.unlink(missing_ok=True)
