"""The saved shelf."""

from __future__ import annotations

from pathlib import Path

import pytest

from partline.errors import WorkshopError
from partline.job import Job, ScanPart, ShelfItem
from partline.workshop.shelf import read_shelf, save_shelf, shelf_path, with_shelf

CUP = ShelfItem(name='the "blue" cup', rim_mm=77.0, floor_mm=55.0, height_mm=83.0, ring_width_mm=4,
                ring_depth_mm=2.5)  # fmt: skip
BOX = ShelfItem(name="tray", kind="box", rim_mm=120.0, depth_mm=80.0, height_mm=60.5)


def test_there_and_back(tmp_path: Path) -> None:
    path = tmp_path / "deep" / "shelf.toml"
    assert read_shelf(path) == ()
    save_shelf(path, [CUP, BOX])
    assert read_shelf(path) == (CUP, BOX)
    save_shelf(path, [BOX])
    assert read_shelf(path) == (BOX,)
    assert [p.name for p in path.parent.iterdir()] == ["shelf.toml"]


def test_the_jobs_own_names_win() -> None:
    scan = ScanPart(file=Path("peg.ply"), height_mm=62.0)
    mine = ShelfItem(name="tray", kind="box", rim_mm=99.0, height_mm=50.0)
    job = with_shelf(Job(name="peg", scan=scan, shelf=(mine,)), [CUP, BOX])
    assert job.shelf == (mine, CUP)
    assert with_shelf(job, []) is job


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('[[shelf]]\nname = "a"\nrim = "8 in"\nheight = "90 mm"\n', "floor: a cup tapers"),
        ('[[shelf]]\nname = "a"\nrim = 80\nheight = "90 mm"\n', "rim: .*no unit"),
        ('[[shelf]]\nname = "a"\nwidth = "80 mm"\nheight = "90 mm"\n', "rim|width"),
        ('[[shelf]]\nname = "a"\nrim = "80 mm"\nfloor = "-3 mm"\nheight = "90 mm"\n', "floor: "),
        ('shelf = "a"\n', "entries and nothing else"),
        ("[[shelf\n", "not TOML"),
        ('[[shelf]]\nname="a"\nkind="pipe"\nrim="8 cm"\nheight="9 cm"\n' * 2, "twice"),
        ('[[shelf]]\nname="a"\nrim="8 cm"\nfloor="6 cm"\nring_width="3 cm"\nring_depth="2 mm"\n'
         'height="9 cm"\n', "ring_width"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_named_by_its_key(tmp_path: Path, text: str, words: str) -> None:
    path = tmp_path / "shelf.toml"
    path.write_text(text)
    with pytest.raises(WorkshopError, match=words):
        read_shelf(path)


def test_where_it_is_kept(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("PARTLINE_SHELF", str(tmp_path / "mine.toml"))
    assert shelf_path() == tmp_path / "mine.toml"
    monkeypatch.delenv("PARTLINE_SHELF")
    assert shelf_path().name == "shelf.toml"
    assert "partline" in shelf_path().parts
