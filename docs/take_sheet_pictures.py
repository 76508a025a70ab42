"""Take the two pictures of the README from a plan of the sample: the ram, and its bench sheet.

Run it from the checkout, with poppler's pdftoppm and pdftotext on the path:

    partline demo -o ram-plan
    python docs/take_sheet_pictures.py ram-plan docs/pictures

`ram.png` sets three of the stills side by side: the ram in its cup, one view of the cut, one of
the air. `sheet.png` sets the first page beside the block seen through.
"""

from __future__ import annotations

import argparse
import io
import subprocess
from pathlib import Path

from PIL import Image, ImageOps

RAM_WIDE, SHEET_WIDE = 1500, 1140  # [px]
SEEN_THROUGH = "The block seen through"  # what the page is found by


def panel(path: Path, number: int) -> Image.Image:
    """Return one of the views that stand side by side in a still, each 0.9 as wide as high."""
    with Image.open(path) as still:
        wide = round(0.9 * still.height)
        if still.width % wide or number >= still.width // wide:
            raise SystemExit(f"{path} holds no view {number + 1} of {wide} px.")
        return still.convert("RGB").crop((number * wide, 0, (number + 1) * wide, still.height))


def ram(folder: Path) -> Image.Image:
    """Return the ram in its cup, its cut from the side, the air as the block is turned over."""
    shown = [panel(folder / "first.png", 0), panel(folder / "cut.png", 0),
             panel(folder / "resin_air.png", 0)]  # fmt: skip
    return beside(shown, RAM_WIDE, gap=0)


def sheet(folder: Path) -> Image.Image:
    """Return the first page of the sheet and the one of the block seen through, framed."""
    pdf = folder / "sheet.pdf"
    pages = [ImageOps.expand(page_of(pdf, n), 2, "#c4c6c9") for n in (1, seen_through(pdf))]
    return beside(pages, SHEET_WIDE, gap=40)


def seen_through(pdf: Path) -> int:
    """Return the number of the page on which the block is seen through."""
    told = subprocess.run(["pdftotext", pdf, "-"], check=True, capture_output=True, text=True)
    pages = told.stdout.split("\f")
    found = [number for number, words in enumerate(pages, 1) if SEEN_THROUGH in words]
    if not found:
        raise SystemExit(f"{pdf} has no page with the words: {SEEN_THROUGH}.")
    return found[0]


def page_of(pdf: Path, number: int) -> Image.Image:
    """Return a page of a PDF as a picture."""
    said = ["pdftoppm", "-r", "110", "-f", str(number), "-l", str(number), "-png", pdf]
    drawn = subprocess.run(said, check=True, capture_output=True)
    return Image.open(io.BytesIO(drawn.stdout)).convert("RGB")


def beside(pictures: list[Image.Image], wide: int, *, gap: int) -> Image.Image:
    """Return pictures of one height side by side on white, so wide in all [px]."""
    whole = sum(p.width for p in pictures) + gap * (len(pictures) - 1)
    out = Image.new("RGB", (whole, max(p.height for p in pictures)), "white")
    left = 0
    for picture in pictures:
        out.paste(picture, (left, 0))
        left += picture.width + gap
    return out.resize((wide, round(out.height * wide / whole)), Image.Resampling.LANCZOS)


def main() -> None:
    """Take both pictures into a folder."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("plan", type=Path, help="folder of a plan of the sample")
    parser.add_argument("pictures", type=Path)
    said = parser.parse_args()
    said.pictures.mkdir(parents=True, exist_ok=True)
    for name, picture in (("ram", ram(said.plan)), ("sheet", sheet(said.plan))):
        picture.save(said.pictures / f"{name}.png", optimize=True)


if __name__ == "__main__":
    main()
