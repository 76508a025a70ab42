"""A plan goes into a folder and comes out the same; a broken folder is refused in words."""

from __future__ import annotations

import dataclasses
import hashlib
import io
import json
import sys
import zipfile
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from pydantic import BaseModel

sys.path.insert(0, str(Path(__file__).parent / "faces"))
from fake_plan import fake_plan

from partline.errors import PlanFileError
from partline.plan import Plan
from partline.planfile import FORMAT, open_plan, write_plan


@pytest.fixture(scope="module")
def plan() -> Plan:
    return fake_plan(Path("a knob, é.ply"))


@pytest.fixture
def folder(plan: Plan, tmp_path: Path) -> Path:
    home = tmp_path / "bench, première"
    write_plan(plan, home)
    return home


def assert_same(first: Any, second: Any, path: str = "plan") -> None:
    """Every field, every array value, dtype and shape; nothing skipped."""
    if isinstance(second, float):  # a whole number given for a float comes back as a float
        assert isinstance(first, int | float), path
        assert first == second, path
        return
    assert type(first) is type(second), path
    if isinstance(first, np.ndarray):
        assert first.dtype == second.dtype, path
        assert first.shape == second.shape, path
        assert np.array_equal(first, second, equal_nan=first.dtype.kind == "f"), path
    elif isinstance(first, BaseModel):
        assert first == second, path
        said = first.model_dump(exclude_unset=True)
        assert second.model_dump(exclude_unset=True) == said, path
    elif dataclasses.is_dataclass(first):
        for field in dataclasses.fields(first):
            name = field.name
            assert_same(getattr(first, name), getattr(second, name), f"{path}.{name}")
    elif isinstance(first, tuple):
        assert len(first) == len(second), path
        for k, (a, b) in enumerate(zip(first, second, strict=True)):
            assert_same(a, b, f"{path}[{k}]")
    else:
        assert first == second, path


def test_the_same_plan_comes_back(plan: Plan, folder: Path) -> None:
    again = open_plan(folder)
    assert_same(plan, again)
    assert again.stand.master is again.master
    assert_same(plan, open_plan(folder / "plan.json"))


def test_infinite_clearance_survives_and_json_stays_standard(plan: Plan, tmp_path: Path) -> None:
    bare = dataclasses.replace(
        plan, cut=dataclasses.replace(plan.cut, clearance_mm=float("inf"), lines=())
    )
    path = write_plan(bare, tmp_path / "p")

    def refuse(word: str) -> float:  # RFC 8259 section 6: no Infinity, no NaN
        raise AssertionError(word)

    top = json.loads(path.read_text("utf-8"), parse_constant=refuse)
    assert top["cut"]["clearance_mm"] is None
    assert open_plan(tmp_path / "p").cut.clearance_mm == float("inf")


def test_the_named_numbers(plan: Plan, folder: Path) -> None:
    top = json.loads((folder / "plan.json").read_text("utf-8"))
    assert top["format"] == FORMAT
    wanted = (
        "master.volume_mm3 master.height_mm stand.mouth detail.noise_mm rubber_pour.trapped_mm3 "
        "rubber_pour.pockets rubber_pour.best_direction resin_pour.trapped_mm3 "
        "resin_pour.pockets resin_pour.best_direction resin_pour.best_trapped_mm3 "
        "resin_pour.rocking cut.count cut.length_mm cut.clearance_mm cut.web_mm cut.stretch "
        "container.name container.rubber_g container.mix resin.per_casting_g resin.mix "
        "run.pulls run.blocks run.days"
    )
    for key in wanted.split():
        part, name = key.split(".")
        assert name in top[part], key
    assert top["master"]["volume_mm3"] == plan.master.volume_mm3
    assert top["container"]["mix"]["parts"] == {"hardener": 27.0, "rubber": 270.0}
    assert top["resin_pour"]["best_direction"]["side_down_deg"] == 135.0
    assert len(top["resin_pour"]["pockets"]) == 1


def test_writing_again_leaves_one_set_of_arrays(plan: Plan, folder: Path) -> None:
    other = dataclasses.replace(plan, degassing_cup_mm3=7.0)
    write_plan(other, folder)
    assert len(list(folder.glob("plan-*.npz"))) == 1
    moved = dataclasses.replace(
        plan, detail=dataclasses.replace(plan.detail, relief_mm=plan.detail.relief_mm + 1)
    )
    write_plan(moved, folder)
    assert sorted(p.suffix for p in folder.iterdir()) == [".json", ".npz"]
    assert_same(moved, open_plan(folder))


def test_a_folder_of_the_users_is_left_alone(plan: Plan, tmp_path: Path) -> None:
    (tmp_path / "holiday.txt").write_text("keep")
    with pytest.raises(PlanFileError, match=r"1 file \(holiday.txt\).*nothing was written"):
        write_plan(plan, tmp_path)
    assert [p.name for p in tmp_path.iterdir()] == ["holiday.txt"]
    (tmp_path / "plan.json").write_text('{"mine": 1}')
    with pytest.raises(PlanFileError, match="no plan of partline's"):
        write_plan(plan, tmp_path)
    assert (tmp_path / "plan.json").read_text() == '{"mine": 1}'
    with pytest.raises(PlanFileError, match="is a file"):
        write_plan(plan, tmp_path / "holiday.txt")


def test_a_failed_write_leaves_the_old_plan(
    plan: Plan, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = {p.name: p.read_bytes() for p in folder.iterdir()}

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("partline.planfile.os.replace", full)
    with pytest.raises(PlanFileError, match="No space left"):
        write_plan(dataclasses.replace(plan, degassing_cup_mm3=1.0), folder)
    assert {p.name: p.read_bytes() for p in folder.iterdir()} == before


def change(folder: Path, **fields: Any) -> None:
    top = json.loads((folder / "plan.json").read_text("utf-8"))
    (folder / "plan.json").write_text(json.dumps({**top, **fields}), "utf-8")


def test_wrong_format_number(folder: Path) -> None:
    change(folder, format=99)
    with pytest.raises(PlanFileError, match=r"format number 99; this partline reads"):
        open_plan(folder)


def test_missing_and_truncated_files(folder: Path, tmp_path: Path) -> None:
    with pytest.raises(PlanFileError, match=r"no plan.json"):
        open_plan(tmp_path / "nowhere")
    arrays = next(folder.glob("*.npz"))
    whole = arrays.read_bytes()
    arrays.write_bytes(whole[: len(whole) // 2])
    with pytest.raises(PlanFileError, match="cut short or was changed"):
        open_plan(folder)
    arrays.unlink()
    with pytest.raises(PlanFileError, match="belongs to the plan"):
        open_plan(folder)
    text = (folder / "plan.json").read_bytes()
    (folder / "plan.json").write_bytes(text[:200])
    with pytest.raises(PlanFileError, match="cut short or is not a plan"):
        open_plan(folder)
    (folder / "plan.json").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(PlanFileError, match="cut short or is not a plan"):
        open_plan(folder)


def test_every_field_is_checked(folder: Path) -> None:
    top = json.loads((folder / "plan.json").read_text("utf-8"))
    whole = top["whole"]
    for spoilt, words in (
        ({**whole, "degassing_cup_mm3": "much"}, "degassing_cup_mm3"),
        ({**whole, "container": {**whole["container"], "own": 1}}, "container/own"),
        ({k: v for k, v in whole.items() if k != "cut"}, "lacks cut"),
        ({**whole, "cut": {**whole["cut"], "lines": 3}}, "cut/lines"),
        ({**whole, "job": {"nam": "x"}}, "job"),
        ({**whole, "stand": {**whole["stand"], "outline": {"array": "no"}}}, "stand/outline"),
        ({**whole, "stand": {**whole["stand"], "master": {"same_as": "/x"}}}, "stand/master"),
        (None, "text"),
    ):
        change(folder, whole=spoilt)
        with pytest.raises(PlanFileError, match=words):
            open_plan(folder)


def test_a_surface_that_does_not_hold_together_is_refused(folder: Path) -> None:
    top = json.loads((folder / "plan.json").read_text("utf-8"))
    cavity = top["whole"]["stand"]["cavity"]
    cavity["surface"]["faces"] = top["whole"]["stand"]["rubber_cavity"]["surface"]["faces"]
    change(folder, whole=top["whole"])
    with pytest.raises(PlanFileError, match="does not hold together"):
        open_plan(folder)


def test_defaults_of_the_job_stay_those_it_was_planned_with(folder: Path) -> None:
    top = json.loads((folder / "plan.json").read_text("utf-8"))
    assert "life" not in top["whole"]["job"]["said"]["run"]
    top["whole"]["job"]["all"]["run"]["life"] = 7  # as if this version's default had been 7
    change(folder, whole=top["whole"])
    assert open_plan(folder).job.run.life == 7


def test_no_pickle_is_opened(folder: Path) -> None:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        one = io.BytesIO()
        np.save(one, np.array([{"a": 1}], dtype=object), allow_pickle=True)
        archive.writestr("evil.npy", one.getvalue())
    data = packed.getvalue()
    (folder / "plan-x.npz").write_bytes(data)
    record = {"file": "plan-x.npz", "sha256": hashlib.sha256(data).hexdigest()}
    change(folder, arrays=record)
    with pytest.raises(PlanFileError, match=r"cannot be read \(Object arrays"):
        open_plan(folder)


def test_arrays_are_never_read_from_outside_the_folder(folder: Path) -> None:
    arrays = next(folder.glob("*.npz"))
    outside = folder.parent / arrays.name
    arrays.rename(outside)
    top = json.loads((folder / "plan.json").read_text("utf-8"))
    change(folder, arrays={**top["arrays"], "file": f"../{arrays.name}"})
    with pytest.raises(PlanFileError, match="belongs to the plan"):
        open_plan(folder)
