"""Take the pictures of the window for the documents: the sample, from the first screen on.

Run it from the checkout, on Linux without a screen of its own:

    xvfb-run -a -s "-screen 0 1920x1080x24" python docs/take_pictures.py docs/pictures

With --size 1920x1080 it shows what a large screen shows, with --dark a dark desktop, and with
QT_SCALE_FACTOR=2 in the environment a screen of fine dots. It goes as a person would: open the
sample, look at the plan, walk through the stages, tip the mould, paint, undo, open a scan and
answer its questions. With --plan it shows a plan of the sample that was made before, by
`partline demo`, so that it takes seconds.
"""

from __future__ import annotations

import argparse
import os
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from PIL import Image
from qtpy.QtCore import QEventLoop, QPoint, QSettings, Qt, QTimer
from qtpy.QtGui import QColor, QPalette
from qtpy.QtTest import QTest
from qtpy.QtWidgets import QApplication

from partline.faces.viewer.window import Window
from partline.plan import Plan
from partline.planfile import open_plan
from partline.samples import sample


def pause(milliseconds: int) -> None:
    """Let the window and its worker run; QTest.qWait would hold the interpreter's lock."""
    loop = QEventLoop()
    QTimer.singleShot(milliseconds, loop.quit)
    loop.exec()


def wait_for(done: Callable[[], bool], seconds: float = 600.0) -> None:
    """Let the window work until something is done."""
    end = time.monotonic() + seconds
    while not done():
        if time.monotonic() > end:
            raise TimeoutError("The window did not get there in time.")
        pause(20)
    pause(150)


def darken(application: QApplication) -> None:
    """Give a program the colours of a dark desktop, where there is no desktop to ask."""
    application.setStyle("Fusion")
    dark, pale, plate = QColor("#2b2b2b"), QColor("#e6e6e6"), QColor("#3a3a3a")
    roles = {"Window": dark, "Base": QColor("#1f1f1f"), "AlternateBase": QColor("#343434"),
             "Button": plate, "ToolTipBase": plate, "WindowText": pale, "Text": pale,
             "ButtonText": pale, "ToolTipText": pale, "PlaceholderText": QColor("#9a9a9a"),
             "Mid": QColor("#555555"), "Highlight": QColor("#2f7fc1"),
             "HighlightedText": QColor("#ffffff"), "Link": QColor("#7fb8ff")}  # fmt: skip
    palette = QPalette()
    for role, colour in roles.items():
        palette.setColor(getattr(QPalette, role), colour)
    for role in (QPalette.WindowText, QPalette.Text, QPalette.ButtonText):
        palette.setColor(QPalette.Disabled, role, QColor("#777777"))
    application.setPalette(palette)


class Tour:
    """Walks through a window and keeps a picture of every stop."""

    def __init__(self, folder: Path, size: tuple[int, int], plan: Plan | None = None) -> None:
        self.known, self.folder = plan is not None, folder
        self.window = Window() if plan is None else Window(lambda _job, **_: plan)
        self.window.resize(*size)
        self.window.show()
        pause(400)

    def take(self, name: str) -> None:
        """Keep what the window shows now, in fewer colours so that the file is small."""
        pause(250)
        path = self.folder / f"window-{name}.png"
        self.window.grab().save(str(path))
        with Image.open(path) as picture:
            few = picture.convert("RGB").quantize(256, kmeans=1, dither=Image.Dither.NONE)
        few.save(path, optimize=True)

    def settled(self) -> None:
        """Wait until nothing is being worked out."""
        bench, jobs = self.window.bench, self.window.jobs
        wait_for(lambda: bench.plan is not None and not bench.stale() and not jobs.working())

    def stage(self, name: str) -> None:
        """Press a stage on the strip."""
        QTest.mouseClick(self.window.strip.buttons[name], Qt.LeftButton)

    def drag(self, start: QPoint, stop: QPoint, steps: int = 12, *, hold: bool = False) -> None:
        """Drag in the picture with the left button."""
        view = self.window.pane.view
        QTest.mousePress(view, Qt.LeftButton, pos=start)
        for k in range(1, steps + 1):
            QTest.mouseMove(view, start + (stop - start) * (k / steps))
            pause(15)
        if not hold:
            QTest.mouseRelease(view, Qt.LeftButton, pos=stop)

    def go(self) -> None:
        """Walk from the first screen to the last."""
        window = self.window
        self.take("open")
        QTest.mouseClick(window.prompt.other, Qt.LeftButton)
        wait_for(lambda: window.bench.master is not None)
        if not self.known:
            wait_for(window.jobs.working)
            self.take("working")
        self.settled()
        self.take("plan")
        for name in ("stand", "cut", "weigh", "pour", "after"):
            self.stage(name)
            self.take(name)
        self.air()
        self.paint()
        self.ask_again()
        self.questions()
        window.show_help()
        pause(200)
        window._help.grab().save(str(self.folder / "window-help.png"))
        window.close()

    def air(self) -> None:
        """Turn it over, and tip it by the dial and by hand."""
        window = self.window
        self.stage("air")
        window.shows.pours["resin"].click()
        self.take("air-level")
        window.air.best.click()
        self.take("air-best")
        window.air.level.click()
        window.air.hand.click()
        view = window.pane.view
        middle = QPoint(view.width() // 2, view.height() // 2)
        self.drag(middle, middle + QPoint(150, 60), hold=True)
        self.take("air-dragged")
        QTest.mouseRelease(view, Qt.LeftButton, pos=middle + QPoint(150, 60))
        window.air.level.click()

    def paint(self) -> None:
        """Paint where the cut stays off, see it move, and take the paint off again."""
        window = self.window
        window.shows.pours["rubber"].click()
        self.stage("cut")
        window.shows.layers["cup"].click()
        window.shows.sides["back"].click()
        window.cut.list.setCurrentRow(0)
        self.take("other-cut")
        window.cut.list.setCurrentRow(-1)
        window.cut.tools["stay off"].click()
        view = window.pane.view
        middle = QPoint(view.width() // 2, view.height() // 2)
        self.drag(middle + QPoint(-10, 60), middle + QPoint(-70, -60), steps=25)
        self.take("painted")
        self.settled()
        self.take("painted-again")
        window.bench.undo()
        pause(200)

    def ask_again(self) -> None:
        """Change the front, to show the questions of a new scan."""
        window = self.window
        window.bench.change(front_said=False)
        self.take("front")
        window.bench.undo()
        window.bench.change(view=replace(window.bench.view, choice=None))

    def questions(self) -> None:
        """Open a scan that nothing is known of, and answer what is asked."""
        window = self.window
        window.open_path(sample("ram.ply"))
        wait_for(lambda: window.prompt.question == "height" and not window.jobs.working())
        self.take("height")
        window.prompt.height_text.setText("62")
        window.prompt.button.click()
        window.prompt.button.click()
        self.take("mouth")
        window.prompt.button.click()
        cups = window.forms.cups
        cups.name.setText("9 oz cup")
        for key, size in (("rim", "77"), ("floor", "55"), ("height", "83")):
            cups.sizes[key].setText(size)
        cups.add.click()
        self.take("cups")
        for question in ("rubber", "resin", "ratings", "number"):
            window.prompt.button.click()
            self.take(question)
        window.prompt.button.click()
        self.take("ready")


def main() -> None:
    """Take the pictures into a folder."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder", type=Path)
    parser.add_argument("--size", default="1280x720")
    parser.add_argument("--dark", action="store_true")
    parser.add_argument("--plan", type=Path)
    said = parser.parse_args()
    wide, high = (int(part) for part in said.size.split("x"))
    said.folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as own:
        QSettings.setPath(QSettings.IniFormat, QSettings.UserScope, own)
        # Nothing of whoever takes the pictures is read or written.
        os.environ["XDG_DATA_HOME"] = own
        os.environ["PARTLINE_SHELF"] = str(Path(own) / "shelf.toml")
        application = QApplication([])
        if said.dark:
            darken(application)
        plan = None if said.plan is None else open_plan(said.plan)
        Tour(said.folder, (wide, high), plan).go()


if __name__ == "__main__":
    main()
