"""A walk through the whole window as a person goes, each step an event of its own loop."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
from event_gaps import Gaps
from qtpy.QtCore import QPoint, Qt
from qtpy.QtTest import QTest


class Walk:
    """Does every step in a window and lets `Gaps` see how long its thread is busy with it."""

    def __init__(self, window, gaps: Gaps) -> None:
        self.window, self.gaps, self.view = window, gaps, window.pane.view

    def settled(self) -> bool:
        """Tell whether nothing is worked out any more, idle work too."""
        jobs, window = self.window.jobs, self.window
        return not (jobs.working() or window._again.isActive() or jobs._thread is not None)

    def do(self, step: str, act: Callable[[], object], seconds: float = 300.0) -> None:
        """Do a step and wait until all that follows from it is done."""
        self.gaps.do(step, act, self.settled, seconds=seconds)

    def press(self, step: str, *buttons) -> None:
        """Press buttons, one after the other."""
        for button in buttons:
            self.do(step, button.click)

    def middle(self) -> QPoint:
        return QPoint(self.view.width() // 2, self.view.height() // 2)

    def drag(self, step: str, start: QPoint, by: QPoint, widget=None, moves: int = 8) -> None:
        """Press, move and let go with the left button."""
        on = widget or self.view
        self.do(f"{step}, press", lambda: QTest.mousePress(on, Qt.LeftButton, pos=start))
        for k in range(1, moves + 1):
            self.do(step, lambda at=start + by * (k / moves): QTest.mouseMove(on, at))
        self.do(f"{step}, let go", lambda: QTest.mouseRelease(on, Qt.LeftButton, pos=start + by))

    def slide(self, step: str, slider, values) -> None:
        """Move a slider that is held, and let it go."""
        slider.setSliderDown(True)
        for value in values:
            self.do(step, lambda value=value: slider.setValue(value))
        self.do(f"{step}, let go", lambda: slider.setSliderDown(False))

    def questions(self, scan: Path, height: str, up: str, front: str) -> None:
        """Open a scan and answer what is asked, with second thoughts."""
        window, bench = self.window, self.window.bench
        self.do("open the scan", lambda: window.open_path(scan))
        assert bench.master is not None
        window.prompt.height_text.setText(height)
        self.press("say the height", window.prompt.button)
        self.do("undo", bench.undo)
        self.do("redo", bench.redo)
        self.press("lay it over", window.stand.over)
        self.do("undo", bench.undo)
        self.do("stand it up", lambda: bench.change(up=up, front=front))
        self.press("look from a side", *window.shows.sides.values(), window.shows.sides["front"])
        self._click("click on the front")
        assert bench.front_said
        self.do("undo", bench.undo)
        self.press("the front is seen", window.prompt.button)
        self._click("click on the mouth")
        assert bench.mouth is not None
        self.do("undo", bench.undo)
        self.press("the mouth is the base", window.prompt.button)
        while bench.question():
            self.press("leave it as it is", window.prompt.other)
        self.do("plan", lambda: bench.plan or window.prompt.button.click(), seconds=1800.0)
        assert bench.plan is not None

    def _click(self, step: str) -> None:
        """Click on the piece, a little above its middle."""
        low, high = self.window.bench.shown_surface().bounds
        place = self.place_of(0.5 * (low + high) * (1.0, 1.0, 1.2))
        self.do(step, lambda: QTest.mouseClick(self.view, Qt.LeftButton, pos=place))

    def place_of(self, point) -> QPoint:
        """Return where a point of the scene is in the picture."""
        pane, view = self.window.pane, self.view
        origin, along = pane.ray(view.width() / 2, view.height() / 2)
        up = np.array(view.camera.GetViewUp())
        right = np.cross(along, up) / np.linalg.norm(np.cross(along, up))
        off, per = np.asarray(point) - origin, pane.per_point()
        return QPoint(round(view.width() / 2 + off @ right / per),
                      round(view.height() / 2 - off @ np.cross(right, along) / per))  # fmt: skip

    def stages(self) -> None:
        """Open every stage, switch every layer, look from every side."""
        window = self.window
        for name in ("stand", "weigh", "piece", "after", "cut", "pour", "air"):
            self.press(f"stage {name}", window.strip.buttons[name])
        for name, layer in window.shows.layers.items():
            self.press(f"show {name}", layer, layer)
        self.press("look from a side", *window.shows.sides.values(), window.shows.sides["front"])
        self.drag("turn the eye", self.middle(), QPoint(140, 30))
        self.press("inches and back", window.shows.units["inches"], window.shows.units["mm"])

    def air(self) -> None:
        """Tip it by buttons, on the dial and by hand; point places out."""
        window, page = self.window, self.window.air
        self.press("the other pour", window.shows.pours["resin"], window.shows.pours["rubber"],
                   window.shows.pours["resin"])  # fmt: skip
        self.press("tip by a button", window.strip.buttons["air"], page.best, page.level)
        for row in range(min(page.list.count(), 3)):
            self.do("point a place out", lambda row=row: page.list.setCurrentRow(row))
        dial = page.dial
        self.drag("drag on the dial", QPoint(dial.width() // 2, dial.height() // 2 - 7),
                  QPoint(40, 18), dial)  # fmt: skip
        self.press("tip by a button", page.level, page.hand)
        self.drag("drag the mould", self.middle(), QPoint(90, 50))
        self.press("tip by a button", page.level)

    def section(self) -> None:
        """Cut the block open, turn and shift the plane."""
        window, row = self.window, self.window.section
        self.press("cut it open", window.shows.open)
        self.slide("turn the section", row.turn, range(-60, 61, 20))
        self.slide("shift the section", row.shift, range(-40, 41, 10))
        self.press("close it", window.shows.open)

    def cut(self) -> None:
        """Look at what else was weighed, try ends, drag the line, keep another, paint."""
        window, page, bench = self.window, self.window.cut, self.window.bench
        self.press("open the cut", window.shows.pours["rubber"], window.strip.buttons["cut"],
                   window.shows.sides["back"])  # fmt: skip
        for row in range(min(page.list.count(), 3)):
            self.do("look at another cut", lambda row=row: page.list.setCurrentRow(row))
        self.slide("try the cut's end", page.chart.slider, range(0, 401, 50))
        place = self._place_on_line()
        if place is not None:
            self.drag("drag the line", place, QPoint(30, -25))
            self.do("undo", bench.undo)
        self.do("keep another cut", lambda: (page.list.setCurrentRow(0), page.keep.click()))
        self.do("undo", bench.undo)
        self.press("take a brush", page.tools["stay off"])
        self.drag("paint", self.middle() + QPoint(-30, 40), QPoint(60, -100))
        self.do("undo", bench.undo)
        self.press("take a brush", page.tools["stay off"])

    def _place_on_line(self) -> QPoint | None:
        """Return where a line of the cut can be taken hold of in the picture."""
        window = self.window
        if not (window.bench.plan.cut.lines and window.lines.ready()):
            return None
        for x in range(self.view.width() // 4, 3 * self.view.width() // 4, 8):
            for y in range(self.view.height() // 4, 3 * self.view.height() // 4, 8):
                if window.lines.under(x, y) is not None:
                    return QPoint(x, y)
        return None

    def pour(self) -> None:
        """Step through the pour and play it."""
        window, row = self.window, self.window.pour.play
        row.read_ms = row.frame_ms = 15
        self.press("stage pour", window.strip.buttons["pour"])
        for _ in row.steps:
            self.press("next step", row.next)
        self.press("stage pour", window.strip.buttons["pour"])
        played = lambda: self.settled() and not row.play.isChecked()  # noqa: E731
        self.gaps.do("play the pour", row.play.click, played, seconds=300.0)

    def out(self, folder: Path) -> None:
        """Save the job, write the sheet and all that goes with it."""
        self.do("save the job", lambda: self.window.errands.save(folder / "job.toml"))
        assert (folder / "job.toml").is_file()
        self.do("write the sheet", lambda: self.window.errands.export(folder / "sheet"))
        assert (folder / "sheet" / "sheet.pdf").is_file()

    def tell(self) -> str:
        """Return a table of the longest gap of each step, ours and the drawing library's."""
        drawing = self.gaps.slowest_drawing()
        worst = sorted(self.gaps.worst().values(), key=lambda gap: -gap.own_s)
        rows = [f"{gap.step:24}{1e3 * gap.own_s:8.0f}{1e3 * drawing[gap.step]:8.0f}"
                for gap in worst]  # fmt: skip
        return "\n".join([f"{'longest gap of':24}{'ours':>8}{'drawing':>8} [ms]", *rows])
