"""Where the sample meshes and their job files are, in a checkout or an installed package."""

from __future__ import annotations

from pathlib import Path

from partline.errors import PartlineError


def sample_folder() -> Path:
    """Return the folder of the samples.

    Raises
    ------
    PartlineError
        If the samples came neither with the package nor with a checkout.
    """
    package = Path(__file__).resolve().parent
    places = (package / "sample_meshes", package.parent / "sample_meshes")
    for place in places:
        if place.is_dir():
            return place
    raise PartlineError(
        f"The samples are missing: there is no folder {places[0]}, nor {places[1]}. "
        "Install partline again, or run it from a full checkout."
    )


def sample(name: str) -> Path:
    """Return the path of one sample file, e.g. "ram.toml" or "tile.ply".

    Parameters
    ----------
    name : str
        File name within the folder of the samples.

    Raises
    ------
    PartlineError
        If there is no such file; the text names those there are.
    """
    folder = sample_folder()
    there = sorted(p.name for p in folder.iterdir() if p.suffix in (".ply", ".toml", ".json"))
    if name in there:
        return folder / name
    if name in ("ram.ply", "tile.ply", "pull.ply", "ram_bad.ply"):
        raise PartlineError(
            f"The sample {name} is missing from {folder}. Build it again with: "
            f"python {folder / 'make_samples.py'} {Path(name).stem}"
        )
    raise PartlineError(f"There is no sample {name}; there are: {', '.join(there) or 'none'}.")
