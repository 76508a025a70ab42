"""Default figures: each says what it is and where it comes from; a user's own win."""

from __future__ import annotations

from pathlib import Path

import pytest

from partline.errors import WorkshopError
from partline.workshop.materials import TAGS, defaults, wall_for


def test_every_figure_says_what_it_is() -> None:
    for key, figure in defaults().figures.items():
        assert figure.tag in TAGS, key
        assert (figure.tag == "published") == bool(figure.source), key
        assert figure.words, key
        low, high = figure.range
        assert low <= figure.value <= high, key
        assert not any(word in figure.words.lower() for word in ("standard", "iso ")), key


def test_access() -> None:
    bubble = defaults().get("air.visible_bubble_mm")
    assert (bubble.value, bubble.unit, bubble.tag) == (0.5, "mm", "common practice")
    assert defaults() is defaults()
    with pytest.raises(WorkshopError, match=r"Did you mean \"air.visible_bubble_mm\""):
        defaults().get("air.visible_buble_mm")


def test_every_kind_has_what_a_plan_needs() -> None:
    known = defaults()
    assert "condensation silicone" in known.kinds("rubber")
    assert "opaque polyurethane resin" in known.kinds("resin")
    for table, names in (
        ("rubber", {"density", "viscosity_pa_s", "pot_life_min", "shore_a", "elongation_percent",
                    "linear_shrinkage_percent", "life", "demould_h", "air_out_days"}),
        ("resin", {"density", "viscosity_pa_s", "pot_life_min", "demould_min",
                   "linear_shrinkage_percent"}),
    ):  # fmt: skip
        for kind in known.kinds(table):
            assert set(known.of_kind(table, kind)) == names
    with pytest.raises(WorkshopError, match="Did you mean"):
        known.of_kind("rubber", "condensation")


def test_the_wall_grows_with_the_piece() -> None:
    assert [wall_for(size).value for size in (30, 62, 200, 400)] == [10.0, 12.7, 19.0, 25.0]


def test_every_step_with_a_danger_has_its_cautions() -> None:
    cautions = defaults().cautions
    for step in ("rubber_mix", "degassing", "cutting", "resin_mix", "pressure", "demould",
                 "finishing", "master", "rubber_pour", "resin_pour"):  # fmt: skip
        assert len(cautions[step]) >= 2
        assert "data sheet" in cautions[step][-1]
        assert "competent person" in cautions[step][-1]


def test_own_figures_win(tmp_path: Path) -> None:
    mine = tmp_path / "mine.toml"
    mine.write_text(
        "[air]\nvisible_bubble_mm = 0.8\n[rubber.latex]\ndensity = 0.95\n"
        '[cut]\nweb_mm = { value = 15, source = "my last ten blocks" }\n'
        "[stock]\ncups = [{ name = 'jar', rim = 60, floor = 60, height = 70, floor_rise = 1 }]\n",
        encoding="utf-8",
    )
    known = defaults(mine)
    assert known.get("air.visible_bubble_mm").value == 0.8
    assert known.get("air.visible_bubble_mm").tag == "measured by you"
    assert known.get("cut.web_mm").source == "my last ten blocks"
    assert known.value("air.neck_mm") == defaults().value("air.neck_mm")
    assert known.get("rubber.latex.density").unit == "g/cm3"
    assert known.stock[-1].name == "jar"
    assert defaults().get("air.visible_bubble_mm").value == 0.5


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[air]\nvisible_buble_mm = 1", "visible_bubble_mm"),
        ("[air]\nneck_mm = -1", "cannot|not a number that can be meant"),
        ("[air]\nneck_mm = true", "not a number"),
        ('[air]\nneck_mm = { value = 1, unit = "in" }', "in mm, not in"),
        ("[stock]\ncups = [{ name = 'jar' }]", "rim"),
        ("[air", "not TOML"),
    ],
)
def test_own_figures_that_cannot_be(tmp_path: Path, text: str, words: str) -> None:
    mine = tmp_path / "mine.toml"
    mine.write_text(text, encoding="utf-8")
    with pytest.raises(WorkshopError, match=words):
        defaults(mine)
    with pytest.raises(WorkshopError, match="cannot be read"):
        defaults(tmp_path / "none.toml")
