"""The PDF sheet: 1:1 as rasterised, the fonts inside it, and every figure that of plan.json."""

from __future__ import annotations

import dataclasses
import io
import json
import re
import shutil
import subprocess
import sys
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan
from test_sheet import longest_runs, text_of

from partline.errors import PlanFileError
from partline.faces.sheet import sheet_html
from partline.faces.sheet_pdf import sheet_pdf, write_sheet_pdf
from partline.plan import Plan, make_plan
from partline.planfile import open_plan, summary, write_plan

pypdf = pytest.importorskip("pypdf")


@pytest.fixture(scope="module")
def plan() -> Plan:
    return fake_plan()


def words_of(data: bytes) -> str:
    """Return all the text of a PDF, spaces made one."""
    pages = pypdf.PdfReader(io.BytesIO(data)).pages
    return re.sub(r"[\s\u00a0]+", " ", " ".join(p.extract_text() for p in pages))


def close(text: str) -> str:
    """Return a text without any space: line ends fall differently in the two sheets."""
    return re.sub(r"[\s\u00a0]+", "", text)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_paper_fonts_and_scaling(plan: Plan, paper: Any) -> None:
    reader = pypdf.PdfReader(io.BytesIO(sheet_pdf(plan, paper=paper)))
    # ISO 216 A4 210 x 297 mm; 8.5 x 11 in Letter; 72 pt to the inch of 25.4 mm
    size = {"A4": (210 / 25.4 * 72, 297 / 25.4 * 72), "Letter": (612, 792)}[paper]
    for page in reader.pages:
        assert float(page.mediabox.width) == pytest.approx(size[0], abs=0.01)
        assert float(page.mediabox.height) == pytest.approx(size[1], abs=0.01)
        for font in page["/Resources"].get("/Font", {}).values():
            found = font.get_object()
            if found["/BaseFont"] == "/Helvetica":  # named by the library, never written with
                continue
            assert "/FontFile2" in found["/FontDescriptor"].get_object(), found["/BaseFont"]
    root = reader.trailer["/Root"]
    assert root["/ViewerPreferences"]["/PrintScaling"] == "/None"
    assert root["/Lang"] == "en-GB"
    # ISO 32000-1, 12.8: what a document can do by itself; a sheet does nothing
    assert not {"/OpenAction", "/AA", "/AcroForm"} & set(root)


@pytest.mark.parametrize("system", ["mm", "inches", "both"])
@pytest.mark.parametrize("spelling", ["British", "US"])
def test_it_says_what_the_other_sheet_says(plan: Plan, system: Any, spelling: Any) -> None:
    """All words of the HTML in their order, word for word, are on the PDF's pages."""
    data = sheet_pdf(plan, system=system, spelling=spelling)
    pdf = close(words_of(data))
    page = sheet_html(plan, system=system, spelling=spelling)
    blocks = re.findall(r"<(?:p|li|td|th|h1|h2|h3|figcaption)\b[^>]*>(.*?)</(?:p|li|td|th|h1|h2|h3"
                        r"|figcaption)>", page, re.DOTALL)  # fmt: skip
    plain = [text_of(f"<p>{re.sub('<[^>]*>', '', b)}</p>") for b in blocks]
    for said in plain:
        assert close(said) in pdf, said
    order = [pdf.index(close(t)) for t in re.findall(r"<h2>(?:<i>\d</i> )?(.*?)</h2>", page)]
    assert len(order) == 9
    assert all(a < b for a, b in pairwise(order))


def test_first_pages_hold_no_statistics(plan: Plan) -> None:
    pages = pypdf.PdfReader(io.BytesIO(sheet_pdf(plan))).pages
    texts = [p.extract_text() for p in pages]
    last = next(k for k, t in enumerate(texts) if "Where the numbers come from" in t)
    for mark in ("What is proved", "Usual figures used", "How they were found",
                 "SHA-256" * 2):  # fmt: skip
        assert not any(mark in t for t in texts[:last]), mark
    assert last >= len(pages) - 3


def figures_of(top: dict[str, Any]) -> list[str]:
    """Return the figures of plan.json that a hand acts on, as the sheet must write them."""
    box, cut, run = top["container"], top["cut"], top["run"]
    said = [f"{run['pulls']} pulls", f"{run['blocks']} mould", f"{run['days']} working day",
            f"{run['good']} good"]  # fmt: skip
    for mix in (box["mix"], top["resin"]["mix"]):
        said += [f"{g:.1f} g" for g in mix["parts"].values()]
        said += [f"{g:.1f}" for g in mix["scale_reads"]]
    for length in (box["fill_line_mm"], cut["web_mm"], top["stand"]["foot_block_height_mm"]):
        said.append(f"{length:.1f}".removesuffix(".0") + " mm")
    for pour in ("rubber_pour", "resin_pour"):
        # Where the fill itself was planned, that is the way that is said.
        best = top[pour]["tipped_fill"] or top[pour]["best_direction"]
        saved = top[pour]["trapped_mm3"] - (best.get("left_mm3", 0.0))
        if best["tilt_deg"] >= 1 and saved > max(0.5, 0.05 * top[pour]["trapped_mm3"]):
            said += [f"{best['tilt_deg']:.0f}°", f"{best['side_down_deg']:.0f}°"]
    for move in (top["resin_pour"]["rocking"] or {"moves": ()})["moves"]:
        said.append(f"{move['tilt_deg']:.0f}°")
    said.append(f"{100 * cut['stretch']:.0f} %")
    said.append(f"{top['master']['height_mm']:.1f}".removesuffix(".0") + " mm")
    return said


def test_figures_are_those_of_plan_json(plan: Plan, tmp_path: Path) -> None:
    top = json.loads(write_plan(plan, tmp_path / "p").read_text("utf-8"))
    pdf = words_of(sheet_pdf(open_plan(tmp_path / "p")))
    for said in figures_of(top):
        assert said in pdf, said
    # and the test can fail: another plan's figures are not there
    heavier = dataclasses.replace(plan, run=dataclasses.replace(plan.run, pulls=97))
    assert "97 pulls" in figures_of(summary(heavier))
    assert "97 pulls" not in pdf


def test_numbers_to_act_on_are_read_standing(plan: Plan) -> None:
    """Cap height of at least a 250th of 1.5 m: common practice for signs, no source.

    The face's capitals are 0.729 of its size (Bitstream Vera's OS/2 table, from memory).
    """
    least = 1500 / 250 / 0.729 * 72 / 25.4
    sizes: dict[str, float] = {}

    def seen(text: str, _cm: object, _tm: object, _font: object, size: float) -> None:
        for part in re.split(r"\s{2,}|\n", text.replace("\u00a0", " ")):
            sizes[part.strip()] = max(sizes.get(part.strip(), 0.0), size)

    for page in pypdf.PdfReader(io.BytesIO(sheet_pdf(plan))).pages:
        page.extract_text(visitor_text=seen)
    for words in ("27.0", "297.0", "11.8", "25.0", "38 mm", "53 mm", "58 mm", "75 mm", "17 mm",
                  "12 mm", "20°", "15°", "29 pulls"):  # fmt: skip
        assert sizes.get(words, 0.0) >= least, words


@pytest.mark.slow
def test_the_sample_too() -> None:
    from partline.job import load_job
    from partline.samples import sample

    made = make_plan(load_job(sample("ram.toml")))
    pdf = words_of(sheet_pdf(made))
    for said in figures_of(json.loads(json.dumps(summary(made)))):
        assert said in pdf, said
    # nothing is said to a sculptor in coordinates
    assert not re.search(r"-?\d+, -?\d+, -?\d+", pdf)


@pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="no pdftoppm (poppler-utils)")
def test_with_the_mould_in_both_hands_nobody_turns_a_page(plan: Plan) -> None:
    """Which way to tip, the moves, and what is done with the mixed resin are on one page."""
    pages = pypdf.PdfReader(io.BytesIO(sheet_pdf(plan))).pages
    texts = [close(p.extract_text()) for p in pages]
    (page,) = [t for t in texts if close("Tip it while filling") in t]
    assert close("Tip the block and fill in a thin stream") in page
    assert close("Stand it up and top up") in page
    assert close("Cap it") in page
    before = texts[texts.index(page) - 1] + page
    assert before.index(close("Release on the rubber")) < before.index(close("Tip it while"))


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_bars_are_100_mm(plan: Plan, tmp_path: Path, paper: Any) -> None:
    """100 mm at 300 dpi = 1181.1 dots (25.4 mm to the inch), both ways, on every such page."""
    image = pytest.importorskip("PIL.Image")
    path = write_sheet_pdf(plan, tmp_path, paper=paper, system="both")
    texts = [p.extract_text() for p in pypdf.PdfReader(path).pages]
    with_bar = [k for k, t in enumerate(texts, 1) if "measure it" in t]
    assert len(with_bar) >= 3
    for number in with_bar:
        subprocess.run(["pdftoppm", "-r", "300", "-gray", "-f", str(number), "-l", str(number),
                        "-png", str(path), str(tmp_path / "page")],
                       check=True, timeout=120)  # fmt: skip
    for page in sorted(tmp_path.glob("page*.png")):
        dark = np.asarray(image.open(page).convert("L")) < 128
        for rows in (dark, dark.T):
            assert any(abs(run - 1181.1) <= 1.5 for run in longest_runs(rows)), page.name


def test_letters_the_font_lacks_do_not_vanish(plan: Plan) -> None:
    name = "Kamień ✓ Ω ř"
    job = plan.job.model_copy(update={"name": name})
    pdf = words_of(sheet_pdf(dataclasses.replace(plan, job=job)))
    assert "Kamie" in pdf
    assert "\u25a1" not in pdf


def test_written_whole_and_only_over_our_own(plan: Plan, tmp_path: Path) -> None:
    path = write_sheet_pdf(plan, tmp_path / "é new")
    assert path.read_bytes() == sheet_pdf(plan)  # nothing of the day or the computer in it
    write_sheet_pdf(plan, path.parent)
    path.write_bytes(b"%PDF-1.4 mine")
    with pytest.raises(PlanFileError, match="nothing was written"):
        write_sheet_pdf(plan, path.parent)
    assert path.read_bytes() == b"%PDF-1.4 mine"
