"""What the kinds of mesh files say of themselves."""

from __future__ import annotations

from pathlib import Path

# STL, OBJ and PLY have no unit and no way up. glTF 2.0: metres, +Y up; 3MF: a unit in each file,
# +Z up.
WITH_UNIT = (".glb", ".3mf")
UPS = {".glb": "+y", ".3mf": "+z"}


def has_unit(path: str | Path) -> bool:
    """Whether files of this kind say what unit they are in."""
    return Path(path).suffix.lower() in WITH_UNIT
