"""The questions about the bench, asked in the window: cups, labels, ratings, how many."""

from __future__ import annotations

import pytest
from qtpy.QtCore import Qt

from partline.job import load_job
from partline.workshop.shelf import read_shelf, shelf_path

pytestmark = pytest.mark.screen


@pytest.fixture
def asked(window, plan, tmp_path):
    """A window whose next question is the one about the cups."""
    (tmp_path / "knob.ply").write_text("ply", encoding="utf-8")
    window.bench.opened(tmp_path / "knob.ply", plan.master)
    window.bench.change(height_mm=50.0, front_said=True, mouth_said=True)
    assert window.prompt.question == "cups"
    return window


def _type_cup(window, name, *sizes):
    cups = window.forms.cups
    cups.name.setText(name)
    for key, size in zip(("rim", "floor", "height"), sizes, strict=True):
        cups.sizes[key].setText(size)


def test_all_five_are_asked_one_after_the_other_and_come_into_the_job(asked, qtbot, tmp_path):
    window = asked
    _type_cup(window, "9 oz cup", "77", "55", "83")
    qtbot.mouseClick(window.forms.cups.add, Qt.LeftButton)
    assert window.forms.cups.list.item(0).text() == "9 oz cup: rim 77 mm, floor 55 mm, 83 mm high"
    assert [item.name for item in read_shelf(shelf_path())] == ["9 oz cup"]
    window.prompt.button.click()
    typed = {
        "rubber": {"parts.hardener": "10", "parts.rubber": "100", "pot_life": "30"},
        "resin": {"parts.isocyanate part": "1", "parts.polyol part": "1", "pot_life": "3"},
        "ratings": {"pressure_pot_rating": "60"},
        "number": {"good": "24"},
    }
    for question, answers in typed.items():
        assert window.prompt.question == question
        lines = window.forms.form.lines
        for key, text in answers.items():
            lines[key].box.clear()
            qtbot.keyClicks(lines[key].box, text)
        if "by" in lines:
            lines["by"].choice.setCurrentIndex(1)
        qtbot.keyClick(lines[list(answers)[-1]].box, Qt.Key_Return)
    assert window.prompt.question == "plan"
    window.errands.save(tmp_path / "knob.toml")
    job = load_job(tmp_path / "knob.toml")
    assert job.rubber.parts == {"hardener": 10, "rubber": 100}
    assert (job.rubber.by, job.resin.pot_life_min, job.run.good) == ("weight", 3.0, 24)
    assert job.shop.pressure_pot_rating_kpa == pytest.approx(101.325 + 413.685, abs=0.01)
    # The shelf is the user's, not the job's; the plan is worked out with both.
    assert job.shelf == ()
    assert [item.name for item in window.errands._job().shelf] == ["9 oz cup"]


def test_what_is_wrong_is_said_and_what_was_typed_stays(asked):
    window = asked
    _type_cup(window, "cup", "55", "77", "83")
    window.prompt.button.click()
    assert "wrong way round" in window.notice.words.text()
    assert window.prompt.question == "cups"
    assert window.forms.cups.sizes["rim"].text() == "55"
    window.forms.cups.clear()
    window.prompt.button.click()
    window.forms.form.lines["pot_life"].box.setText("soon")
    window.prompt.button.click()
    assert "Pot life" in window.notice.words.text()
    assert window.prompt.question == "rubber"
    assert window.forms.form.lines["pot_life"].box.text() == "soon"


def test_densities_are_asked_only_for_a_ratio_by_volume(asked):
    window = asked
    window.prompt.button.click()
    line = window.forms.form.lines["part_densities.hardener"]
    assert line.isHidden()
    window.forms.form.lines["by"].choice.setCurrentIndex(2)
    assert not line.isHidden()


def test_a_new_cup_makes_the_weighing_stale_and_nothing_before_it(asked, plan):
    window = asked
    window.prompt.other.click()
    bench = window.bench
    bench.change(plan=plan, planned=window.errands._job())
    assert not bench.stale()
    window._open_stage("weigh")
    window.weigh.again["cups"].click()
    assert window.prompt.question == "cups"
    _type_cup(window, "pail", "200", "180", "220")
    window.forms.cups.added.emit()
    assert bench.stale() == {"weigh", "pour", "after"}
    window.forms.cups.list.setCurrentRow(0)
    window.forms.cups.off.click()
    assert not bench.stale()
    assert read_shelf(shelf_path()) == ()
    # A stage that is opened puts the question away.
    window.strip.buttons["air"].click()
    assert window.prompt.question == "done"


def test_taking_an_answer_back_asks_again(asked):
    window = asked
    window.prompt.button.click()
    assert window.prompt.question == "rubber"
    window.bench.undo()
    assert window.prompt.question == "cups"
