"""What the window remembers from one day to the next: recent pieces, lengths, hints seen."""

from __future__ import annotations

from pathlib import Path
from typing import Literal, cast

from qtpy.QtCore import QSettings

Lengths = Literal["mm", "inches"]

_MOST = 8


class Settings:
    """The platform's own store for a program's settings."""

    def __init__(self) -> None:
        self._store = QSettings(QSettings.IniFormat, QSettings.UserScope, "partline", "window")

    def recent(self) -> list[Path]:
        """Return the pieces that were open lately and are still there, the last one first."""
        kept = self._store.value("recent", [])
        names = [kept] if isinstance(kept, str) else list(kept or [])
        return [Path(name) for name in names if Path(name).is_file()]

    def opened(self, path: Path) -> list[Path]:
        """Put a piece first among those, and return them."""
        path = path.resolve()
        found = [path, *(p for p in self.recent() if p != path)][:_MOST]
        self._store.setValue("recent", [str(p) for p in found])
        return found

    def scans(self) -> tuple[Path, ...]:
        """Return the folders of the scans that were opened lately: a job may read from them."""
        return tuple({p.parent: None for p in self.recent() if p.suffix.lower() != ".toml"})

    def lengths(self) -> Lengths:
        """Return how lengths are said."""
        kept = self._store.value("lengths", "mm")
        return cast(Lengths, kept if kept in ("mm", "inches") else "mm")

    def say_in(self, system: Lengths) -> None:
        """Remember how lengths are said."""
        self._store.setValue("lengths", system)
