"""The job file: what it may say, the way back to text, and faults named with key and line."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.errors import JobError
from partline.job import (
    CutPart,
    Job,
    MaterialPart,
    Measured,
    MouthPart,
    RunPart,
    ScanPart,
    ShelfItem,
    ShopPart,
    StandPart,
    ZonePart,
    load_job,
    read_job,
    starter_job,
    write_job,
)

SMALL = 'name = "peg"\n[scan]\nfile = "peg.ply"\nheight = "62 mm"\n'

FULL = """\
name = "peg head"
[scan]
file = "scans/peg é.ply"
measured = { start = [0, 0, 0.5], stop = [0, 3, 1], length = "2 7/16 in" }
up = "Z"
front = "-x"
[stand]
mouth = { at = "faces", faces = [3, 4] }
foot_block_height = "0.75 in"
wall = "12.7 mm"
headroom = "1.5 cm"
sink = "0 mm"
show = "all round"
container = "my cup"
master_density = "1.1 g/cm3"
[[zones]]
kind = "stay off"
point = [1, 2, 3]
radius = "8 mm"
[[zones]]
kind = "pass through"
faces = [10, 11]
[cut]
cuts = 2
margin = "6 mm"
next_to_piece = "jagged"
[rubber]
kind = "addition silicone"
parts = { hardener = 1, rubber = 10 }
by = "weight"
density = "1120 kg/m3"
pot_life = "0.5 h"
shore_a = 20
elongation = "350 %"
linear_shrinkage = "0.1 %"
[resin]
kind = "clear polyurethane resin"
parts = { "isocyanate part" = 1, "polyol part" = 1 }
by = "volume"
part_densities = { "isocyanate part" = "1.15 g/cm3", "polyol part" = "1.02 g/cm3" }
[[shelf]]
name = "my cup"
rim = "76 mm"
floor = "57 mm"
height = "90 mm"
floor_rise = "4 mm"
[[shelf]]
name = "tray"
kind = "box"
rim = "100 mm"
depth = "80 mm"
height = "60 mm"
[shop]
scale_resolution = "1 g"
blade = "2 1/2 in"
room = "70 F"
altitude = "600 m"
pressure_pot_rating = "60 psi gauge"
vacuum_chamber = true
[run]
good = 24
yield_share = "92 %"
life = 30
pulls_per_day = 12
blocks_at_once = 2
"""


def read(text: str) -> Job:
    return read_job(text, Path("bench"), check_files=False)


def test_every_key_arrives_in_partlines_own_units() -> None:
    job = read(FULL)
    assert job.scan.measured == Measured(start=(0, 0, 0.5), stop=(0, 3, 1), length_mm=61.9125)
    assert job.scan.file == Path("bench/scans/peg é.ply")
    assert (job.scan.up, job.scan.front) == ("+z", "-x")
    assert job.stand == StandPart(
        mouth=MouthPart(at="faces", faces=(3, 4)), foot_block_height_mm=19.05, wall_mm=12.7,
        headroom_mm=15.0, sink_mm=0.0, show="all round", container="my cup", master_density=1.1,
    )  # fmt: skip
    assert job.zones == (
        ZonePart(kind="stay off", point=(1, 2, 3), radius_mm=8.0),
        ZonePart(kind="pass through", faces=(10, 11)),
    )
    assert job.cut == CutPart(cuts=2, margin_mm=6.0, next_to_piece="jagged")
    assert job.shop.blade_mm == 63.5
    assert job.rubber == MaterialPart(
        kind="addition silicone", parts={"hardener": 1, "rubber": 10}, by="weight", density=1.12,
        pot_life_min=30.0, shore_a=20.0, elongation_percent=350.0, linear_shrinkage_percent=0.1,
    )  # fmt: skip
    assert job.resin.part_densities == {"isocyanate part": 1.15, "polyol part": 1.02}
    assert job.shelf[1] == ShelfItem(
        name="tray", kind="box", rim_mm=100.0, depth_mm=80.0, height_mm=60.0
    )
    assert job.run == RunPart(good=24, yield_share=0.92, life=30, pulls_per_day=12,
                              blocks_at_once=2)  # fmt: skip
    assert job.shop.room_celsius == pytest.approx(21.111, abs=1e-3)


def test_a_pots_rating_counts_from_the_air_at_the_shops_altitude() -> None:
    """US Standard Atmosphere 1976: 94.32 kPa at 600 m (from memory); 60 psi = 413.685 kPa."""
    assert read(FULL).shop.pressure_pot_rating_kpa == pytest.approx(94.32 + 413.685, abs=0.05)


def test_a_job_reads_back_as_itself() -> None:
    for text in (SMALL, FULL):
        job = read(text)
        assert (
            read_job(write_job(job), "/", check_files=False).model_copy(update={"scan": job.scan})
            == job
        )
        assert read_job(
            write_job(job, "bench"), "bench", check_files=False
        ).scan.file.resolve() == (job.scan.file.resolve())
    assert "#" in write_job(read(SMALL))


@settings(max_examples=60, deadline=None)
@given(
    name=st.text(min_size=1, max_size=20).filter(lambda s: s.isprintable() or "\n" in s),
    height=st.floats(0.5, 5000.0),
    density=st.floats(0.3, 10.0),
    room=st.floats(-10, 60),
    rating=st.floats(150, 3000),
    share=st.floats(0.01, 1.0),
    point=st.tuples(*[st.floats(-1e6, 1e6)] * 3),
)
def test_no_digit_is_lost_on_the_way_to_text_and_back(  # type: ignore[no-untyped-def]
    name, height, density, room, rating, share, point
) -> None:
    job = Job(
        name=name, scan=ScanPart(file=Path("/a/b.ply"), height_mm=height),
        rubber=MaterialPart(kind="condensation silicone", density=density),
        shop=ShopPart(room_celsius=room, pressure_pot_rating_kpa=rating, altitude_m=100.0),
        zones=(ZonePart(kind="go here", point=point, radius_mm=height),)
        if height < 2000 else (), run=RunPart(yield_share=share),
    )  # fmt: skip
    assert read_job(write_job(job), "/", check_files=False) == job


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        (SMALL.replace('"62 mm"', "62"), 4, r"\[scan\] height: 62 has no unit.*62 mm"),
        (SMALL.replace("height", "hieght"), 4, r'hieght.*Did you mean "height"'),
        (SMALL.replace("height", "height_mm"), 4, r'Did you mean "height"'),
        (SMALL.replace("62 mm", "-62 mm"), 4, r"height: .*must lie between 0.5 mm and 5000 mm"),
        (SMALL.replace("62 mm", "0 mm"), 4, "cannot be meant"),
        (SMALL.replace("62 mm", "62 km"), 4, "not a unit of length"),
        (SMALL.replace('"62 mm"', "62 mm"), 4, r'Text needs quotes: height = "62 mm"'),
        (SMALL + 'units = "mm"\n', 5, "height and units each set the size"),
        ('name = "a"\n[scan]\nfile = "a.ply"\n', 2, "its size is not said"),
        ('name = "a"\n', 0, r"\[scan\]: this table is missing"),
        (SMALL + 'up = "w"\n', 5, "not an axis"),
        (SMALL + 'front = "+z"\n', 5, "must look sideways"),
        (
            SMALL + 'up = [0.0, 0.0, 1.0]\nfront = "+z"\n',
            6,
            r'"\+z" lies along up, \[0\.0, 0\.0, 1\.0\]; the front must look',
        ),
        (SMALL + "[zones]\nkind = 'go here'\n", 5, r"under the line \[\[zones\]\]"),
        (SMALL + "[[cut]]\ncuts = 2\n", 5, r"under the line \[cut\]"),
        (SMALL + "[cut]\ncuts = 3\n", 6, r'"auto", 0, 1, 2 or'),
        (SMALL + "[cut]\ncuts = true\n", 6, r'"auto", 0, 1, 2 or'),
        (SMALL + "[run]\ngood = 0\n", 6, "at least 1"),
        (SMALL + '[run]\nyield_share = "120 %"\n', 6, "not a share"),
        (SMALL + '[stand]\npot_life = "3 min"\n', 6, r"belongs in \[rubber\]"),
        (SMALL + "[[zones]]\nkind = 'go here'\n", 5, "either a point with a radius, or face"),
        (
            SMALL + "[[shelf]]\nname='a'\nrim='70 mm'\nheight='90 mm'\n",
            5,
            "measure its inner width",
        ),
        (
            SMALL + "[[shelf]]\nname='a'\nrim='70 mm'\nfloor='80 mm'\nheight='90 mm'\n",
            8,
            "wrong way round",
        ),
        (SMALL + '[rubber]\nkind = "condensed silicone"\n', 6, 'Did you mean "condensation'),
        (
            SMALL + '[rubber]\nkind="addition silicone"\nparts={A=1, B=1}\nby="weight"\n',
            7,
            "labels differ",
        ),
        (
            SMALL + '[rubber]\nkind="addition silicone"\nparts={hardener=1, rubber=1}\n',
            7,
            "by weight or by volume",
        ),
        (
            SMALL + '[resin]\nkind="epoxy resin"\nparts={hardener=1, resin=2}\nby="volume"\n',
            8,
            "part_densities for hardener, resin",
        ),
        (SMALL + '[shop]\npressure_pot_rating = "60 psi"\n', 6, "60 psi gauge"),
        (SMALL + '[shop]\npressure_pot_rating = "101 kPa absolute"\n', 6, "no more than the air"),
    ],
)
def test_a_fault_is_named_with_its_key_and_line(text: str, line: int, words: str) -> None:
    with pytest.raises(JobError, match=words) as caught:
        read(text)
    assert f"line {line}" in str(caught.value) or line == 0


def test_several_faults_are_listed_together_in_order() -> None:
    text = SMALL.replace("height", "hieght") + '[stand]\nwall = "-1 mm"\n[run]\nlife = 2.5\n'
    with pytest.raises(JobError) as caught:
        read(text)
    lines = str(caught.value).splitlines()
    assert lines[0] == "the job has 3 faults:"
    assert [line.split(",")[0].strip() for line in lines[1:]] == ["line 4", "line 6", "line 8"]


def test_files_that_are_no_job(tmp_path: Path) -> None:
    with pytest.raises(JobError, match="There is no job file"):
        load_job(tmp_path / "none.toml")
    with pytest.raises(JobError, match="folder"):
        load_job(tmp_path)
    bad = tmp_path / "bad.toml"
    bad.write_bytes("name = 'a'\n# caf\xe9\n".encode("latin-1"))
    with pytest.raises(JobError, match=r"line 2: .*UTF-8"):
        load_job(bad)
    bad.write_bytes(b"\x00\x01solid")
    with pytest.raises(JobError, match=r"not a job file|line 1"):
        load_job(bad)
    bad.write_text("[" * 5000, encoding="utf-8")
    with pytest.raises(JobError, match=r"not a job file|line 1"):
        load_job(bad)


def test_the_scan_is_looked_for_beside_the_job_file(tmp_path: Path) -> None:
    folder = tmp_path / "a job é"
    folder.mkdir()
    path = folder / "job.toml"
    path.write_bytes(b"\xef\xbb\xbf" + SMALL.replace("\n", "\r\n").encode())
    with pytest.raises(JobError, match=r"line 3, \[scan\] file: .*peg.ply does not exist"):
        load_job(path)
    (folder / "peg.ply").write_text("ply", encoding="utf-8")
    assert load_job(path).scan.file == folder / "peg.ply"


def test_own_defaults_may_add_a_kind_of_rubber(tmp_path: Path) -> None:
    (tmp_path / "peg.ply").write_text("ply", encoding="utf-8")
    text = SMALL + '[rubber]\nkind = "latex"\n[shop]\ndefaults = "mine.toml"\n'
    mine = tmp_path / "mine.toml"
    mine.write_text("[rubber.latex]\ndensity = 0.95\n", encoding="utf-8")
    assert read_job(text, tmp_path).rubber.kind == "latex"
    mine.write_text("[air]\nvisible_buble_mm = 1\n", encoding="utf-8")
    with pytest.raises(JobError, match=r"line 8, \[shop\] defaults.*visible_bubble_mm"):
        read_job(text, tmp_path)


def test_a_starter_job_leaves_labels_open(tmp_path: Path) -> None:
    mesh = tmp_path / "sleepy ram.ply"
    text = starter_job(mesh, height="62 mm", folder=tmp_path)
    job = read_job(text, tmp_path, check_files=False)
    assert (job.name, job.scan.height_mm) == ("sleepy ram", 62.0)
    assert 'file = "sleepy ram.ply"' in text
    for material in (job.rubber, job.resin):
        given = material.model_dump(exclude={"kind"})
        assert all(value is None for value in given.values())
    with pytest.raises(JobError, match="its size is not said"):
        read_job(starter_job(mesh), tmp_path, check_files=False)
    asked = ("file =", "height =", "mouth =", "[[shelf]]", "parts =", "pressure_pot", "good =")
    order = [text.index(word) for word in asked]
    assert order == sorted(order)


@pytest.mark.parametrize(
    "wrong",
    [{"height": "62"}, {"height": "0 mm"}, {"units": "parsec"}, {"up": "w"}, {"front": "z"},
     {"height": "62 mm", "units": "mm"}],
)  # fmt: skip
def test_a_starter_job_is_not_begun_wrongly(wrong: dict[str, str]) -> None:
    with pytest.raises(JobError):
        starter_job("a.ply", **wrong)  # type: ignore[arg-type]


def test_a_job_made_in_python_takes_plain_numbers() -> None:
    assert ScanPart(file=Path("a.ply"), height_mm=62).height_mm == 62.0
    with pytest.raises(ValueError, match="must lie between"):
        ScanPart(file=Path("a.ply"), height_mm=-1)


def test_a_front_may_be_any_direction_square_to_up(tmp_path):
    text = 'name = "peg"\n[scan]\nfile = "x.ply"\nheight = "62 mm"\nfront = [0.5, -1, 0]\n'
    job = read_job(text, tmp_path, check_files=False)
    assert job.scan.front == (0.5, -1.0, 0.0)
    assert read_job(write_job(job, tmp_path), tmp_path, check_files=False) == job
    for wrong, words in (("[0, 0, 2]", "sideways"), ("[0, 0, 0]", "nowhere"), ("[1, 2]", "side")):
        with pytest.raises(JobError, match=words):
            read_job(text.replace("[0.5, -1, 0]", wrong), tmp_path, check_files=False)


@pytest.mark.parametrize(
    ("key", "name", "words"),
    [("file", "keys", "cannot tell the format"), ("file", "table.xlsx", "cannot tell the format"),
     ("defaults", "keys", "defaults end in .toml")],
)  # fmt: skip
def test_a_job_reads_only_what_is_a_mesh_or_a_table_by_its_name(
    tmp_path: Path, key: str, name: str, words: str
) -> None:
    (tmp_path / "ram.ply").write_bytes(b"ply")
    (tmp_path / name).write_bytes(b"secret: 1")
    scan = name if key == "file" else "ram.ply"
    shop = f'[shop]\ndefaults = "{name}"\n' if key == "defaults" else ""
    job = tmp_path / "job.toml"
    job.write_text(f'name = "x"\n[scan]\nfile = "{scan}"\nheight = "30 mm"\n{shop}')
    with pytest.raises(JobError, match=words) as error:
        load_job(job)
    assert "secret" not in str(error.value)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no pipes with a name")
def test_a_scan_that_never_ends_is_refused(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.ply")
    job = tmp_path / "job.toml"
    job.write_text('name = "x"\n[scan]\nfile = "pipe.ply"\nheight = "30 mm"\n')
    with pytest.raises(JobError, match=r"pipe.ply is no plain file"):
        load_job(job)


OUTSIDE = ["../scan.ply", "{far}/scan.ply", "../none.ply", "link.ply", "linked/scan.ply",
           "in/../../scan.ply", "round.ply"]  # fmt: skip


@pytest.mark.skipif(not hasattr(os, "symlink"), reason="this system has no links")
@pytest.mark.parametrize("name", OUTSIDE)
@pytest.mark.parametrize("check_files", [True, False])
def test_a_job_reads_only_from_its_own_folder_or_one_that_is_given(
    tmp_path: Path, name: str, check_files: bool
) -> None:
    far, home = tmp_path / "far", tmp_path / "jobs"
    for folder in (far, home / "in"):
        folder.mkdir(parents=True)
    for place in (far, tmp_path, home / "in"):
        (place / "scan.ply").write_bytes(b"ply")
    (home / "link.ply").symlink_to(far / "scan.ply")
    (home / "linked").symlink_to(far)
    (home / "round.ply").symlink_to(home / "round.ply")
    job = home / "job.toml"

    def said(file: str) -> None:
        job.write_text(f'name = "x"\n[scan]\nfile = "{file}"\nheight = "30 mm"\n', "utf-8")

    said(name.format(far=far.as_posix()))
    with pytest.raises(JobError, match=r"line 3, \[scan\] file: .* outside .*--scans") as error:
        load_job(job, check_files=check_files)
    assert "exist" not in str(error.value)
    with pytest.raises(JobError, match="outside"):
        load_job(job, check_files=check_files, scans=[home, tmp_path / "other"])
    if "round" not in name and "none" not in name:
        assert load_job(job, check_files=check_files, scans=[tmp_path]).scan.file.is_file()
    for inside in ("in/scan.ply", "in/../in/scan.ply", (home / "in" / "scan.ply").as_posix()):
        said(inside)
        assert load_job(job, check_files=check_files).scan.file.is_file()


def test_defaults_come_from_the_same_folders(tmp_path: Path) -> None:
    (tmp_path / "jobs").mkdir()
    (tmp_path / "mine.toml").write_text("")
    text = SMALL + '[shop]\ndefaults = "../mine.toml"\n'
    with pytest.raises(JobError, match=r"line 6, \[shop\] defaults: .* outside"):
        read_job(text, tmp_path / "jobs", check_files=False)
    assert read_job(text, tmp_path / "jobs", check_files=False, scans=[tmp_path]).shop.defaults
