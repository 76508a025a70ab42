"""How a scan stands, said and written for a job file before its size is known."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from partline.geometry.surface import Surface
from partline.scan.opening import Opened, opened
from partline.scan.orienting import direction
from partline.stand.proposing import Proposal, propose_stand

# A base this little off an axis of the file is level: the axis is written, not its rounding.
_LEVEL_DEG = 0.1


@dataclass(frozen=True, eq=False)
class Pose:
    """A way to stand a scan, in the file's coordinates.

    Attributes
    ----------
    up : str or (3,) float
        An axis like "+z" where the base is level along it, else a unit vector.
    front : str
        An axis square to it, or nearly; which side is on show only a person knows.
    proposal : Proposal
    turned : str
        How far it is turned from what was stated, or from the file's own axes; empty if it is not.
    """

    up: str | tuple[float, float, float]
    front: str
    proposal: Proposal
    turned: str

    @property
    def words(self) -> str:
        """How it stands and which way is up, in words."""
        shown = self.up if isinstance(self.up, str) else f"[{', '.join(map(str, self.up))}]"
        return f"{self.proposal.words(self.turned)} Up in the file is {shown}."

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain values, ready for JSON."""
        made = self.proposal
        return {
            "kind": made.kind, "up": made.up.tolist(), "share": made.share, "feet": made.feet,
            "is_stable": made.is_stable, "off_deg": made.off_deg, "cut_share": made.cut_share,
            "words": self.words,
        }  # fmt: skip


def proposed(scan: Path | Opened, *, up: str | None = None) -> Pose:
    """Return how the scan in a file stands best.

    Parameters
    ----------
    scan : Path or Opened
    up : str, optional
        What is said to be up; where nothing is, what the format says (GLB: +y), else +z.

    Raises
    ------
    ScanError, StandError
        If the file is no mesh, or up no direction.
    """
    held = opened(scan)
    draft = held.clean.compacted() if len(held.clean.faces) else held.file.draft
    hint = direction(up or held.file.up or "+z", "up")
    best = propose_stand(Surface(draft.vertices, draft.faces), up=hint)[0]
    main = int(np.argmax(np.abs(best.up)))
    axis = f"{'+' if best.up[main] > 0 else '-'}{'xyz'[main]}"
    off = float(np.degrees(np.arccos(np.clip(np.abs(best.up[main]), 0.0, 1.0))))
    x, y, z = (round(float(v), 5) + 0.0 for v in best.up)
    # Files with y up look along +z, files with z up along -y: the two habits there are.
    upright = axis[1] if up is None else "xyz"[int(np.argmax(np.abs(hint)))]
    front = {"y": "+z", "z": "-y", "x": "-y"}[upright]
    turned = ""
    if up is not None and best.off_deg >= _LEVEL_DEG:
        turned = f", {best.off_deg:.1f}° off the stated up"
    elif up is None and off >= _LEVEL_DEG:
        turned = f", tilted {off:.1f}° in the file"
    return Pose(axis if off < _LEVEL_DEG else (x, y, z), front, best, turned)
