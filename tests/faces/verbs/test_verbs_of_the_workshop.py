"""`partline mix`, `shelf`, `materials` and `cast`: what they say, and one message for bad input."""

from __future__ import annotations

from pathlib import Path

import pytest

from partline.faces.cli import main
from partline.samples import sample

ROUND = ("isocyanate part, polyol part",)


@pytest.fixture(autouse=True)
def _own_shelf(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("PARTLINE_SHELF", str(tmp_path / "shelf.toml"))


def said(capsys: pytest.CaptureFixture[str], *arguments: str, status: int = 0) -> str:
    assert main(list(arguments)) == status
    out, err = capsys.readouterr()
    assert "Traceback" not in err
    return err if status else out


def test_mix(capsys: pytest.CaptureFixture[str]) -> None:
    assert (
        said(capsys, "mix", "297g", "10:1") == "cup on, zero; hardener to 27.0; rubber to 297.0\n"
    )
    found = said(capsys, "mix", "215 g", "1:1", "--parts", *ROUND, "--by", "volume", "--density",
                 "isocyanate part=1.15 g/cm3", "--density", "polyol part=1 g/cm3")  # fmt: skip
    assert "polyol part to 100.0; isocyanate part to 215.0" in found
    found = said(capsys, "mix", "101g", "1:1", "--parts", *ROUND, "--add", "pigment=2 %")
    assert "polyol part to 50.0; pigment to 51.0; isocyanate part to 101.0" in found
    assert "from 88 g on" in said(capsys, "mix", "23g", "100:3")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("mix", "-5g", "10:1"), "No such option"),
        (("mix", "0 g", "10:1"), "total_g is 0 g"),
        (("mix", "297", "10:1"), "no unit"),
        (("mix", "297g", "10"), "ratio"),
        (("mix", "297g", "10:1", "--by", "volume"), "densities"),
        (("mix", "297g", "10:1", "--add", "pigment"), "a name and a figure"),
        (("shelf", "cup", "--rim", "8 cm", "--height", "9 cm"), "floor: a cup tapers"),
        (("shelf", "cup", "--rim", "80", "--floor", "6 cm", "--height", "9 cm"), "rim: "),
        (("shelf", "gone", "--remove"), "no \"gone\""),
        (("materials", "--only", "moon"), '"moon"'),
    ],
)  # fmt: skip
def test_one_message(
    capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...], words: str
) -> None:
    assert words in said(capsys, *arguments, status=2)


def test_shelf_and_back(capsys: pytest.CaptureFixture[str]) -> None:
    assert "empty" in said(capsys, "shelf")
    put = ("shelf", "blue cup", "--rim", "77mm", "--floor", "55 mm", "--height", "3 1/4 in")
    assert "blue cup: cup, rim 77 mm, floor 55 mm, 82.5 mm high" in said(capsys, *put)
    assert "blue cup" in said(capsys, "shelf")
    assert "empty" in said(capsys, "shelf", "blue cup", "--remove")


def test_materials(capsys: pytest.CaptureFixture[str]) -> None:
    found = said(capsys, "materials", str(sample("ram.toml")))
    assert "[rubber.condensation silicone]" in found
    assert "[rubber.addition silicone]" not in found
    assert "density = 1.18 g/cm3" in found
    assert "your job file" in found
    assert "default, common practice" in found
    assert "pressure_pot_rating: no pressure is planned without it" in found
    assert "[rubber.addition silicone]" in said(capsys, "materials")
    mine = said(capsys, "materials", str(sample("ram.toml")), "--mine")
    assert "(default" not in mine


def test_cast_from_a_volume(capsys: pytest.CaptureFixture[str]) -> None:
    """36 mL at 1.05 g/cm3 is 37.8 g, and 5 g stay in the cup at the least."""
    found = said(capsys, "cast", str(sample("ram.toml")), "--volume", "36mL")
    assert "mix 43 g" in found or "mix 42.8 g" in found
    assert "isocyanate part to 21.4 g, then polyol part to 42.8 g" in found
    assert "cut" not in found.split("!")[0]
    assert "competent person" in found
    assert "more than 0" in said(capsys, "cast", str(sample("ram.toml")), "--volume=-3mL", status=2)


def test_cast_from_a_scan(capsys: pytest.CaptureFixture[str]) -> None:
    found = said(capsys, "cast", str(sample("pull.toml")))
    assert "Level it would hold" in found
    assert "isocyanate part to" in found
    assert "Time: " in found
