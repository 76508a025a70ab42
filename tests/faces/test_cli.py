"""The main commands: what they write, and one clear paragraph for whatever a user can mend."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from pathlib import Path

import pytest
from pypdf import PdfReader

from partline.faces.cli import main
from partline.samples import sample

CUBE = """v 0 0 0
v 20 0 0
v 20 20 0
v 0 20 0
v 0 0 30
v 20 0 30
v 20 20 30
v 0 20 30
f 4 3 2 1
f 5 6 7 8
f 1 2 6 5
f 2 3 7 6
f 3 4 8 7
f 4 1 5 8
"""
HEIGHT = 'height = "30 mm"'
MESHES = {
    "empty.stl": "",
    "text.stl": "hello, this is text",
    "zero.stl": "solid x\nendsolid x\n",
    "one.obj": "v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n",
    "nan.obj": "v nan 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n",
    "cube.obj": CUBE,
}


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a space and an accent in its name, and good and bad meshes in it."""
    folder = tmp_path / "été à l'atelier"
    folder.mkdir()
    for name, text in MESHES.items():
        (folder / name).write_text(text, encoding="utf-8")
    monkeypatch.chdir(folder)
    monkeypatch.setenv("PARTLINE_SHELF", str(tmp_path / "shelf.toml"))
    return folder


def job(bench: Path, mesh: str | Path, *lines: str) -> str:
    text = "\n".join(['name = "x"', "[scan]", f'file = "{Path(mesh).as_posix()}"', *lines])
    (bench / "job.toml").write_text(text + "\n", encoding="utf-8")
    return "job.toml"


def refused(capsys: pytest.CaptureFixture[str], bench: Path, arguments: list[str]) -> str:
    """Run a command that must fail; return its one paragraph."""
    before = sorted(os.listdir(bench))
    assert main(arguments) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert "Traceback" not in err
    assert len(err.strip().splitlines()) == 1
    assert sorted(os.listdir(bench)) == before
    return err


@pytest.mark.parametrize(
    ("mesh", "line", "words"),
    [
        ("missing.stl", HEIGHT, "does not exist"),
        ("empty.stl", HEIGHT, "empty"),
        ("text.stl", HEIGHT, "not an STL file"),
        ("zero.stl", HEIGHT, "zero.stl"),
        ("one.obj", HEIGHT, "no height"),
        ("nan.obj", HEIGHT, "not a number"),
        ("cube.obj", 'hieght = "30 mm"', 'line 4, .*Did you mean "height"'),
        ("cube.obj", "height = 30", 'line 4, .*30 has no unit.*"30 mm"'),
        ("cube.obj", "", "size is not said"),
    ],
)
def test_bad_input_is_refused_and_nothing_written(
    capsys: pytest.CaptureFixture[str], bench: Path, mesh: str, line: str, words: str
) -> None:
    import re

    said = refused(capsys, bench, ["plan", job(bench, mesh, line)])
    assert re.search(words, said), said


def test_a_missing_job_and_a_bare_number_are_refused(
    capsys: pytest.CaptureFixture[str], bench: Path
) -> None:
    assert "no job file" in refused(capsys, bench, ["plan", "none.toml"])
    assert "has no unit" in refused(capsys, bench, ["mix", "297", "10:1"])


@pytest.mark.scans
@pytest.mark.parametrize(
    ("scan", "words"), [("black_vase_scan.ply", "1 large hole"), ("plane_holes.obj", "27 holes")]
)
def test_scans_whose_volume_would_be_a_guess_are_refused(
    capsys: pytest.CaptureFixture[str], bench: Path, scan: str, words: str
) -> None:
    path = scans() / scan
    asked = ["plan", job(bench, path, HEIGHT), "--scans", str(path.parent)]
    assert words in refused(capsys, bench, asked)


def test_mix_needs_no_scan(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["mix", "297g", "10:1"]) == 0
    assert "hardener to 27.0; rubber to 297.0" in capsys.readouterr().out


def test_start_writes_a_job_once(capsys: pytest.CaptureFixture[str], bench: Path) -> None:
    assert main(["start", "cube.obj"]) == 0
    text = (bench / "cube.toml").read_text(encoding="utf-8")
    assert 'file = "cube.obj"' in text
    capsys.readouterr()
    assert "left as it is" in refused(capsys, bench, ["start", "cube.obj"])
    assert (bench / "cube.toml").read_text(encoding="utf-8") == text


@pytest.mark.parametrize("verb", ["plan", "cast", "mouths", "materials", "log"])
def test_a_job_elsewhere_names_a_scan_that_is_read_from_a_given_folder_only(
    capsys: pytest.CaptureFixture[str], bench: Path, verb: str
) -> None:
    import shlex

    (bench / "jobs").mkdir()
    assert main(["start", "cube.obj", "-o", "jobs/cube.toml"]) == 0
    last = capsys.readouterr().out.strip().splitlines()[-1]
    assert shlex.split(last)[1:] == ["plan", "jobs/cube.toml", "--scans", str(bench.resolve())]
    text = (bench / "jobs" / "cube.toml").read_text("utf-8")
    (bench / "jobs" / "cube.toml").write_text(text.replace("# height = ", f"{HEIGHT} ", 1), "utf-8")
    asked = [verb, "jobs/cube.toml", *(["--no-pictures"] if verb == "plan" else [])]
    said = refused(capsys, bench, asked)
    assert "[scan] file" in said
    assert "outside the folder of the job" in said
    main([*asked, "--scans", str(bench)])
    assert "outside" not in capsys.readouterr().err


def test_check_speaks_to_people_and_to_programs(
    capsys: pytest.CaptureFixture[str], bench: Path
) -> None:
    assert main(["check", "cube.obj", "--units", "mm"]) == 0
    assert "It can be a master as it is." in capsys.readouterr().out
    assert main(["check", "cube.obj", "--units", "mm", "--json"]) == 0
    assert isinstance(json.loads(capsys.readouterr().out), dict)


def planned(capsys: pytest.CaptureFixture[str], path: str, *more: str) -> dict:
    assert main(["plan", path, "-o", "the plan", "--no-pictures", "--format", "html", *more]) == 0
    out = capsys.readouterr().out
    assert "Bench sheet:" in out
    return json.loads(Path("the plan/plan.json").read_text(encoding="utf-8"))


def test_the_drawer_pull_from_job_to_sheet_and_again(
    capsys: pytest.CaptureFixture[str], bench: Path
) -> None:
    figures = planned(capsys, str(sample("pull.toml")))
    # The closed form of the turned pull, from its profile by Pappus's theorem [mm^3].
    assert figures["master"]["volume_mm3"] == pytest.approx(8995.36, rel=1e-3)
    assert figures["resin_pour"]["pockets"] == []
    sheet = bench / "the plan" / "sheet.html"
    written = sheet.read_bytes()
    sheet.unlink()
    card = bench / "the plan" / "card.pdf"
    card.unlink()
    assert main(["sheet", "the plan", "--format", "html"]) == 0
    assert sheet.read_bytes() == written
    assert main(["sheet", "the plan", "--format", "html", "--paper", "Letter"]) == 0
    wide, high = PdfReader(card).pages[0].mediabox[2:]
    assert (float(wide), float(high)) == pytest.approx((612, 792), abs=0.1)  # ANSI A, 8.5 x 11 in


def test_a_folder_of_other_files_is_left_alone(
    capsys: pytest.CaptureFixture[str], bench: Path
) -> None:
    (bench / "mine").mkdir()
    (bench / "mine" / "letter.txt").write_text("dear", encoding="utf-8")
    said = refused(capsys, bench, ["plan", job(bench, "cube.obj", HEIGHT), "-o", "mine"])
    assert "nothing was written" in said
    assert os.listdir(bench / "mine") == ["letter.txt"]


@pytest.mark.scans
@pytest.mark.slow
@pytest.mark.parametrize(
    ("scan", "up", "front", "check"),
    [
        ("goblet.stl", "+z", "-y", lambda f: f["master"]["height_mm"] == pytest.approx(70.0)),
        ("dancing_girl.stl", "+y", "+z", lambda f: f["cut"]["count"] in (1, 2)),
    ],
)
def test_real_scans_are_planned(
    capsys: pytest.CaptureFixture[str],
    bench: Path,
    scan: str,
    up: str,
    front: str,
    check: Callable[[dict], bool],
) -> None:
    lines = ('height = "70 mm"', f'up = "{up}"', f'front = "{front}"')
    figures = planned(capsys, job(bench, scans() / scan, *lines), "--scans", str(scans()))
    assert check(figures)
    assert figures["cut"]["stretch"] <= 0.875 + 1e-9  # a quarter of 350 % elongation


def scans() -> Path:
    folder = os.environ.get("PARTLINE_SCANS")
    if not folder:
        pytest.skip("PARTLINE_SCANS does not name the folder of real scans")
    return Path(folder)


def test_a_new_surface_is_made_only_when_asked(
    capsys: pytest.CaptureFixture[str], bench: Path
) -> None:
    open_cube = CUBE.replace("f 3 4 8 7\n", "")
    (bench / "open.obj").write_text(open_cube, encoding="utf-8")
    check = ["check", "open.obj", "--units", "mm", "--up", "+z"]
    assert main(check) == 0
    assert "or --rebuild" in capsys.readouterr().out
    assert main([*check, "--rebuild", "--cell", "0.5 mm"]) == 0
    said = capsys.readouterr().out
    assert "at cells of 0.5 mm" in said
    assert "either way" in said
    assert main(["start", "open.obj", "--rebuild", "--cell", "0.5 mm"]) == 0
    text = (bench / "open.toml").read_text(encoding="utf-8")
    assert "\nrebuild = true" in text
    assert '\ncell = "0.5 mm"' in text
    capsys.readouterr()
    assert "goes with --rebuild" in refused(capsys, bench, ["check", "cube.obj", "--cell", "1 mm"])


def test_a_cell_without_a_rebuild_is_told(capsys: pytest.CaptureFixture[str], bench: Path) -> None:
    name = job(bench, "cube.obj", HEIGHT, 'cell = "0.4 mm"')
    assert "goes with rebuild = true" in refused(capsys, bench, ["plan", name])
