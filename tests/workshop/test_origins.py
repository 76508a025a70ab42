"""Whose each figure is."""

from __future__ import annotations

from pathlib import Path

from partline.job import Job, MaterialPart, RunPart, ScanPart, ShopPart, StandPart
from partline.workshop.origins import asked_of, figures_of


def job(**parts: object) -> Job:
    return Job(name="peg", scan=ScanPart(file=Path("peg.ply"), height_mm=62.0), **parts)


def test_default_then_own_file_then_job(tmp_path: Path) -> None:
    own = tmp_path / "mine.toml"
    own.write_text('[rubber."condensation silicone"]\ndensity = 1.21\nshore_a = 25\n'
                   '[air]\nvisible_bubble_mm = 0.8\n')  # fmt: skip
    stated = job(
        rubber=MaterialPart(kind="condensation silicone", shore_a=30.0),
        stand=StandPart(headroom_mm=15.0), run=RunPart(life=33), shop=ShopPart(defaults=own),
    )  # fmt: skip
    found = {f.default.key: f for f in figures_of(stated)}
    head = "rubber.condensation silicone."
    assert (found[head + "shore_a"].value, found[head + "shore_a"].origin) == (30.0, "job")
    assert (found[head + "density"].value, found[head + "density"].origin) == (1.21, "your file")
    assert found[head + "demould_h"].origin == "default"
    assert "published" in found[head + "demould_h"].words
    assert found["air.visible_bubble_mm"].origin == "your file"
    assert (found["stand.headroom_mm"].value, found["run.life"].value) == (15.0, 33.0)
    assert found["run.life"].origin == "job"
    assert found["run.yield_share"].origin == "default"
    assert not any(k.startswith("rubber.addition") for k in found)
    assert all(f.origin == "default" for f in figures_of())
    assert any(f.default.key.startswith("rubber.addition") for f in figures_of())


def test_what_stands_on_a_label_is_asked_for() -> None:
    bare = " ".join(asked_of(job()))
    for key in ("[rubber] parts", "[resin] parts", "[rubber] pot_life", "[resin] density",
                "master_density", "room", "pressure_pot_rating"):  # fmt: skip
        assert key in bare
    assert "vacuum" not in bare
    assert "vacuum_chamber_rating" in " ".join(asked_of(job(shop=ShopPart(vacuum_chamber=True))))
    full = MaterialPart(kind="condensation silicone", parts={"hardener": 1, "rubber": 10},
                        by="weight", pot_life_min=30, density=1.2)  # fmt: skip
    assert not any("[rubber]" in line for line in asked_of(job(rubber=full)))
