"""What the kinds of mesh files say of themselves."""

from __future__ import annotations

from pathlib import Path

from partline.errors import ScanError

KINDS = (".stl", ".obj", ".ply", ".glb", ".3mf")
PACKED = (".xz", ".gz")
# STL, OBJ and PLY have no unit and no way up. glTF 2.0: metres, +Y up; 3MF: a unit in each file,
# +Z up.
WITH_UNIT = (".glb", ".3mf")
UPS = {".glb": "+y", ".3mf": "+z"}

# A packed file may claim any length. Real meshes pack to a half or a tenth; what unpacks to more
# than this many times its size, beyond a few megabytes, is a bomb.
MOST_TIMES = 50
ALWAYS_BYTES = 1 << 23


def has_unit(path: str | Path) -> bool:
    """Whether files of this kind say what unit they are in."""
    return Path(path).suffix.lower() in WITH_UNIT


def unpacked_limit(packed: int, largest: int) -> int:
    """Return how many bytes may come out of a packed file of so many, `largest` at most."""
    return min(largest, max(ALWAYS_BYTES, MOST_TIMES * packed))


def kind_of(path: str | Path) -> tuple[str, str]:
    """Return of which of the `KINDS` a file is by its name, and how it is `PACKED` or "".

    Raises
    ------
    ScanError
        If its name is not that of a mesh; nothing is read of such a file.
    """
    suffixes = [suffix.lower() for suffix in Path(path).suffixes]
    packed = suffixes.pop() if suffixes and suffixes[-1] in PACKED else ""
    kind = suffixes[-1] if suffixes else ""
    if kind not in KINDS:
        raise ScanError(
            f"{Path(path).name}: cannot tell the format from the name. "
            "Give a file that ends in .stl, .obj, .ply, .glb or .3mf (or one of them with .xz or "
            ".gz)."
        )
    return kind, packed
