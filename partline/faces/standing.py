"""How a scan stands, said and written for a job file before its size is known."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from partline.geometry.surface import Floats, Surface
from partline.scan.opening import Opened, opened
from partline.scan.orienting import direction
from partline.stand.proposal import Proposal
from partline.stand.proposing import LEGS, NEAR_DEG, nearly_as_stated, propose_stand, touching

# A base this little off an axis of the file is level: the axis is written, not its rounding.
_LEVEL_DEG = 0.1


@dataclass(frozen=True, eq=False)
class Pose:
    """A way to stand a scan, in the file's coordinates.

    Attributes
    ----------
    up : str or (3,) float
        As stated, or as proposed: an axis like "+z" where it lies along one, else a unit vector.
    front : str
        An axis square to it, or nearly; which side is on show only a person knows.
    proposal : Proposal
        The best way to stand it; where up was stated, of those nearly so.
    said_by : str
        Who says what is up: "you", the format of the file, or nobody (empty).
    off_deg : float
        How far up is off the proposed one where it was stated, else off an axis of the file
        [degrees].
    feet : int
        Separate patches that touch the floor with up as it is here.
    other : Proposal or None
        Feet near what is up in the file, where nothing says what is up and a base is proposed.
    """

    up: str | tuple[float, float, float]
    front: str
    proposal: Proposal
    said_by: str
    off_deg: float
    feet: int
    other: Proposal | None = None

    @property
    def words(self) -> str:
        """How it stands and which way is up, in words."""
        shown, made = _shown(self.up), self.proposal
        if self.said_by == "you":
            return f"{self._as_stated()} Up in the file is {shown}, as stated."
        off = f", tilted {self.off_deg:.1f}° in the file" if self.off_deg >= _LEVEL_DEG else ""
        said = f"{made.words(off)} Up in the file is {shown}"
        if made.kind == "none":
            why = "as its format has it" if self.said_by else "a default, as nothing says it"
            said += f", {why}"
        said += "."
        if self.other is not None:
            said += (
                f" It would also stand on {self.other.name} with up {_shown(_told(self.other.up))}."
            )
        asked = " Is that how it stands? If not, state up (--up, or up under [scan])."
        in_doubt = made.kind in ("none", "rest", "curved") or self.other is not None
        return f"{said}{asked if in_doubt else ''}"

    def _as_stated(self) -> str:
        made = self.proposal
        if made.kind in ("none", "curved") or self.off_deg < _LEVEL_DEG:
            return made.words()
        better = f"on which it would stand with up {_shown(_told(made.up))}"
        alone = (
            " and touches the floor with one foot only"
            if self.feet == 1 and made.feet >= LEGS
            else ""
        )
        return f"It has {made.name}, {better}; as stated it is {self.off_deg:.1f}° off that{alone}."

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain values, ready for JSON."""
        made = self.proposal
        return {
            "kind": made.kind, "up": direction(self.up, "up").tolist(), "said_by": self.said_by,
            "off_deg": self.off_deg, "best_up": made.up.tolist(), "share": made.share,
            "feet": made.feet, "is_stable": made.is_stable, "tip_deg": made.tip_deg,
            "cut_share": made.cut_share, "words": self.words,
        }  # fmt: skip


def proposed(scan: Path | Opened, *, up: str | None = None) -> Pose:
    """Return how the scan in a file stands best, or how it stands as stated.

    Parameters
    ----------
    scan : Path or Opened
    up : str, optional
        What is said to be up: it is kept. Where nothing is, the search begins from what the format
        says (GLB: +y), else from +z.

    Raises
    ------
    ScanError, StandError
        If the file is no mesh, or up no direction.
    """
    held = opened(scan)
    draft = held.clean.compacted() if len(held.clean.faces) else held.file.draft
    hint = direction(up or held.file.up or "+z", "up")
    said_by = "you" if up else "its format" if held.file.up else ""
    surface = Surface(draft.vertices, draft.faces)
    ways = propose_stand(surface, up=hint, is_said=bool(said_by))
    best = nearly_as_stated(ways) if up else ways[0]
    feet = [way for way in ways[1:] if way.feet >= LEGS and way.off_deg <= NEAR_DEG]
    is_open = not said_by and best.off_deg > NEAR_DEG
    other = feet[0] if feet and is_open else None
    used = hint if up else best.up
    main = int(np.argmax(np.abs(used)))
    # Files with y up look along +z, files with z up along -y: the two habits there are.
    front = {"y": "+z", "z": "-y", "x": "-y"}["xyz"[main]]
    told = _told(used)
    off = 0.0 if isinstance(told, str) else float(np.degrees(np.arccos(np.abs(used[main]))))
    return Pose(told, front, best, said_by, best.off_deg if up else off,
                touching(surface, used), other)  # fmt: skip


def _told(up: Floats) -> str | tuple[float, float, float]:
    """Return an axis by its name where a direction is level along it, else three numbers."""
    main = int(np.argmax(np.abs(up)))
    if np.degrees(np.arccos(np.clip(np.abs(up[main]), 0.0, 1.0))) < _LEVEL_DEG:
        return f"{'+' if up[main] > 0 else '-'}{'xyz'[main]}"
    x, y, z = (round(float(v), 5) + 0.0 for v in up)
    return x, y, z


def _shown(up: str | tuple[float, float, float]) -> str:
    return up if isinstance(up, str) else f"[{', '.join(map(str, up))}]"
