"""The bench sheet: self-contained, escaped, complete, and 1:1 when a browser prints it."""

from __future__ import annotations

import dataclasses
import re
import shutil
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan

from partline.errors import PlanFileError
from partline.faces.sheet import sheet_html, write_sheet
from partline.plan import Plan
from partline.planfile import open_plan, write_plan

PNG = (  # one grey pixel
    b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00\x00\x01\x00\x00\x00\x01\x08\x00\x00\x00\x00:~\x9bU"
    b"\x00\x00\x00\nIDATx\x9cch\x00\x00\x00\x82\x00\x81w\xcdr\xb6\x00\x00\x00\x00IEND\xaeB`\x82"
)
HOSTILE = "<script>alert(1)</script> \"grey\" & 'colour' {{ 7 * 6 }}"


class Reader(HTMLParser):
    """Collects elements and visible text; complains about tags that do not match."""

    EMPTY = frozenset({"meta", "img", "br", "link", "input", "circle", "rect", "col"})

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in self.EMPTY:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open, tag
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] != "style":
            self.words.append(data)


def read(page: str) -> Reader:
    reader = Reader()
    reader.feed(page)
    reader.close()
    assert not reader.open
    return reader


def text_of(page: str) -> str:
    return re.sub(r"\s+", " ", "".join(read(page).words))


@pytest.fixture(scope="module")
def plan() -> Plan:
    return fake_plan()


def named(plan: Plan, name: str) -> Plan:
    return dataclasses.replace(plan, job=plan.job.model_copy(update={"name": name}))


def shop(plan: Plan, **fields: Any) -> Plan:
    part = plan.job.shop.model_copy(update=fields)
    return dataclasses.replace(plan, job=plan.job.model_copy(update={"shop": part}))


def test_the_five_lines_come_first(plan: Plan) -> None:
    words = text_of(sheet_html(plan))
    first = words.index("50 mm tall · 9 oz cup")
    order = ["hardener to 27.0 g, then rubber to 297.0 g", "resin a casting", "1 place holds air",
             "two cuts, back right and back left", "Check the size, fix it down",
             "Weigh and pour the rubber", "Turn it over and cut", "Bring it out",
             "Weigh and pour the resin", "Scrape the parting line", "Holes to fill",
             "Fill, prime", "Care of the mould", "the card that lives with the mould", "The run",
             "Where the numbers come from", "Usual figures used", "What is proved"]  # fmt: skip
    at = [first] + [words.index(w, first) for w in order]
    assert at == sorted(at)


def test_nothing_from_outside(plan: Plan) -> None:
    stills = {k: PNG for k in ("first", "cut", "rubber_air", "resin_air", "detail")}
    page = sheet_html(plan, pictures=stills)
    tags = read(page).tags
    for tag, attributes in tags:
        assert tag not in ("script", "link", "iframe", "object"), tag
        for key in ("src", "href", "xlink:href", "srcset"):
            assert (attributes.get(key) or "data:image/png;base64,").startswith("data:")
    assert sum(tag == "img" for tag, _ in tags) == 5
    assert "@import" not in page
    assert not re.search(r"url\((?!#)", page)
    bare = page.replace("http://www.w3.org/2000/svg", "")  # a name, never fetched
    assert "http" not in bare


def test_whatever_the_user_typed_is_escaped(plan: Plan) -> None:
    box = dataclasses.replace(plan.container, name=HOSTILE)
    master = dataclasses.replace(plan.master, path=HOSTILE, warnings=(HOSTILE,))
    mix = dataclasses.replace(plan.rubber_mix, parts=(HOSTILE, "b")) if plan.rubber_mix else None
    bad = dataclasses.replace(named(plan, HOSTILE), container=box, master=master, rubber_mix=mix)
    page = sheet_html(bad)
    assert "<script" not in page
    words = text_of(page)
    assert words.count(HOSTILE) >= 7
    # in US spelling the user's own words stay as they are
    us = read(sheet_html(bad, spelling="US"))
    assert HOSTILE in "".join(us.words)


def test_us_spelling(plan: Plan) -> None:
    page = sheet_html(named(plan, "the grey mould"), spelling="US")
    words = text_of(page)
    assert 'lang="en-US"' in page
    assert "Care of the mold" in words
    assert not re.search(r"\b(moulds?|vapour|sensitised|programme)\b",
                         words.replace("the grey mould", ""))  # fmt: skip
    assert "the grey mould" in words
    assert "Care of the mould" in text_of(sheet_html(plan))


def test_every_tag_has_its_meaning(plan: Plan) -> None:
    reader = read(sheet_html(plan))
    words = text_of(sheet_html(plan))
    for tag in ("exact", "estimate", "default", "yours"):
        assert f"{tag}: " in words
    tagged = [a for t, a in reader.tags if t == "span" and a.get("class") == "tag"]
    numbers = [a for t, a in reader.tags if t == "span" and (a.get("class") or "").startswith("n")]
    assert len(tagged) >= len(numbers) > 40


def test_a_missing_ratio_is_asked_for(plan: Plan) -> None:
    resin = dataclasses.replace(plan.resin, mix=None)
    words = text_of(sheet_html(dataclasses.replace(plan, rubber_mix=None, resin=resin)))
    assert words.count("The label’s ratio was not given.") == 2
    assert "Mix 297.0 g" in words
    assert "ratio not known: read it off the label" in words
    assert "The label’s ratio" not in text_of(sheet_html(plan))


def test_cautions_stand_beside_their_step_and_defer(plan: Plan) -> None:
    words = text_of(sheet_html(plan))
    deferring = "Follow the safety data sheet and local rules; ask a competent person."
    assert words.count("Take care.") == words.count(deferring) >= 8
    assert words.index("Tin hardener") < words.index("Turn it over and cut")
    cutting = words.index("cut away from the hand")
    assert words.index("Turn it over and cut") < cutting < words.index("Weigh and pour the resin")
    assert "rated vessel" not in words  # no pot was stated
    assert "none is planned" in words
    assert "Rated chamber" not in words
    assert "mask is enough" not in words


def test_pressure_stays_below_the_plate(plan: Plan) -> None:
    # 60 psi gauge at sea level = 413.685 + 101.325 kPa absolute (NIST SP 811; standard atmosphere)
    words = text_of(sheet_html(shop(plan, pressure_pot_rating_kpa=515.0105)))
    assert "at most 3.3 bar (48 psi) on the gauge" in words  # 0.8 x 60, the rest is common practice
    assert "plate says 4.1 bar (60 psi) on the gauge" in words
    assert "rated vessel" in words
    assert "Rated chamber" in text_of(sheet_html(shop(plan, vacuum_chamber=True)))


def test_numbers_of_the_drawings_are_those_of_the_table(plan: Plan) -> None:
    page = sheet_html(plan)
    drawn = re.findall(r'font-weight="bold" fill="#9a3f86"[^>]*>(\d+)</text>', page)
    listed = re.findall(r"<td><b>(\d+)</b></td>", page)
    assert set(drawn) == set(listed) == {"1"}


def test_piece_without_block_cut_or_air(plan: Plan) -> None:
    dry = [
        dataclasses.replace(
            p, level=dataclasses.replace(p.level, pockets=(), volume_mm3=0.0, fine_mm3=0.0)
        )
        for p in (plan.rubber_pour, plan.resin_pour)
    ]
    cut = dataclasses.replace(plan.cut, lines=(), count=0, length_mm=0.0, verdict="comes out")
    bare = dataclasses.replace(
        plan,
        cut=cut,
        rubber_pour=dry[0],
        resin_pour=dry[1],
        stand=dataclasses.replace(plan.stand, foot_block=None),
    )
    words = text_of(sheet_html(bare, paper="Letter", system="inches"))
    assert "no cut: comes out" in words
    assert "no place holds air" in words
    assert "never past" not in words
    # What the stages say in sentences of their own keeps its millimetres; our figures do not.
    theirs = (*plan.stand.words, *plan.cut.words, *plan.detail.words, plan.master.size_words)
    for said in (*theirs, *(name for name, _ in plan.container.others), "2 to 3 mm", "100 mm",
                 "10 mm of parting line"):  # fmt: skip
        words = words.replace(said, "")
    assert not re.search(r".{30}\d mm\b", words)


def test_a_plan_opened_again_gives_the_same_sheet(plan: Plan, tmp_path: Path) -> None:
    write_plan(plan, tmp_path / "p")
    assert sheet_html(open_plan(tmp_path / "p")) == sheet_html(plan)


def test_a_file_of_the_users_is_left_alone(plan: Plan, tmp_path: Path) -> None:
    path = write_sheet(plan, tmp_path / "é new")
    assert path.read_text("utf-8") == sheet_html(plan)
    write_sheet(named(plan, "again"), path.parent)
    assert "again" in path.read_text("utf-8")
    assert [p.name for p in path.parent.iterdir()] == ["sheet.html"]
    path.write_text("<p>mine")
    with pytest.raises(PlanFileError, match="nothing was written"):
        write_sheet(plan, path.parent)
    assert path.read_text() == "<p>mine"


BROWSER = shutil.which("chromium") or shutil.which("google-chrome")


@pytest.mark.slow
@pytest.mark.skipif(BROWSER is None, reason="no Chromium to print with")
@pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="no pdftoppm (poppler-utils)")
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_printed_bars_are_100_mm(plan: Plan, tmp_path: Path, paper: Any) -> None:
    """100 mm at 300 dpi = 1181.1 dots (25.4 mm to the inch); long words must not shrink it."""
    image = pytest.importorskip("PIL.Image")
    long = named(plan, "W" * 300)
    path = write_sheet(long, tmp_path / "out", paper=paper, system="both")
    pdf = tmp_path / "out.pdf"
    subprocess.run(
        [str(BROWSER), "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run",
         "--disable-background-networking", "--disable-component-update", "--disable-sync",
         f"--user-data-dir={tmp_path / 'profile'}", "--no-pdf-header-footer",
         f"--print-to-pdf={pdf}", path.as_uri()],
        check=True, capture_output=True, timeout=120,
    )  # fmt: skip
    subprocess.run(["pdftoppm", "-r", "300", "-gray", "-f", "2", "-l", "3", "-png", str(pdf),
                    str(tmp_path / "page")], check=True, timeout=120)  # fmt: skip
    pages = [np.asarray(image.open(p).convert("L")) < 128 for p in tmp_path.glob("page*.png")]
    for turned in (False, True):
        runs = [r for d in pages for r in longest_runs(d.T if turned else d)]
        assert any(abs(run - 1181.1) <= 1.5 for run in runs)


def longest_runs(rows: np.ndarray) -> np.ndarray:
    """Return the longest unbroken dark run of each row [dots]."""
    best = np.zeros(len(rows), dtype=int)
    now = np.zeros(len(rows), dtype=int)
    for column in rows.T:
        now = np.where(column, now + 1, 0)
        best = np.maximum(best, now)
    return best
