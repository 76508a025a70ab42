"""The window: the piece in the middle, what to do next beside it, the bench along the bottom."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from qtpy.QtCore import QEvent
from qtpy.QtGui import QAction, QCloseEvent, QDragEnterEvent, QDropEvent, QKeySequence
from qtpy.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QMainWindow,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from partline.errors import JobError, PartlineError
from partline.faces import colours
from partline.faces.figures import System
from partline.faces.scene import actors, bare_actors
from partline.faces.view import (
    LARGE_MM,
    SMALL_MM,
    STAGES,
    PourName,
    View,
    Workbench,
    axis_name,
    faces_near,
    front_toward,
    scale_measured,
    tall_as,
    tipped,
)
from partline.faces.viewer.errands import Errands
from partline.faces.viewer.jobs import Jobs
from partline.faces.viewer.pages import (
    AirPage,
    CutPage,
    PiecePage,
    PourPage,
    StandPage,
    WeighPage,
)
from partline.faces.viewer.pane import Eye, Pane
from partline.faces.viewer.prompt import Prompt
from partline.faces.viewer.rows import SIDES, Notice, ShowRow, StageStrip
from partline.faces.viewer.work import plan_job
from partline.faces.words import first_lines
from partline.geometry.surface import Floats, Ints, Surface
from partline.plan import Plan
from partline.units import length_mm

# Questions that a click on the piece answers.
_CLICKED = ("points", "front", "mouth")

_STYLE = """
QFrame#prompt { background: palette(alternate-base); border: 1px solid palette(mid);
  border-radius: 8px; }
QLabel#heading { font-size: 15pt; font-weight: 600; }
QLabel#lines { font-size: 11pt; }
QPushButton#next { font-weight: 600; padding: 8px 12px; }
QPushButton#stage { padding: 7px 10px; }
QPushButton#stage:checked { font-weight: 700; }
QFrame#notice { background: palette(alternate-base); border: 1px solid palette(mid);
  border-radius: 6px; }
QFrame#notice[trouble="true"] { border-left: 6px solid #d55e00; }
QToolButton { padding: 4px 8px; }
QToolButton:checked:enabled, QPushButton#stage:checked { background: palette(highlight);
  color: palette(highlighted-text); border: 1px solid palette(highlight); border-radius: 4px; }
"""


class Window(QMainWindow):
    """One window on one workbench.

    Parameters
    ----------
    planner : callable
        `planner(job, progress=...)` returns the plan; by default the product's own.
    """

    def __init__(self, planner: Callable[..., Plan] = plan_job) -> None:
        super().__init__()
        self.setWindowTitle("partline")
        self.resize(1280, 720)
        self.setMinimumSize(1000, 600)
        self.setAcceptDrops(True)
        self.setStyleSheet(_STYLE)
        self.bench, self.jobs = Workbench(), Jobs(self)
        self.stage = "piece"
        self.system: System = "mm"
        self._closing = False
        self._surface: tuple[object, Surface] | None = None
        self._fitted: object = None
        self._build()
        self.errands = Errands(self.bench, self.jobs, self.notice, self, planner)
        self._connect()
        self._menus()
        self.bench.listen(self.refresh)
        self.refresh()

    # How it is put together

    def _build(self) -> None:
        self.pane = Pane(self._turned, self._clicked)
        self.prompt, self.notice = Prompt(), Notice()
        self.shows, self.strip = ShowRow(), StageStrip()
        self.piece, self.stand, self.air = PiecePage(), StandPage(), AirPage()
        self.cut, self.weigh, self.pour = CutPage(), WeighPage(), PourPage()
        self.pages = QStackedWidget()
        for page in (self.piece, self.stand, self.air, self.cut, self.weigh, self.pour):
            self.pages.addWidget(page)
        self.hint = QLabel("Drag: turn · wheel: nearer · shift-drag: move")
        self.hint.setEnabled(False)
        side = QWidget()
        side.setFixedWidth(350)
        column = QVBoxLayout(side)
        column.setContentsMargins(4, 8, 8, 0)
        column.addWidget(self.prompt)
        column.addWidget(self.pages, 1)
        column.addWidget(self.hint)
        middle = QHBoxLayout()
        middle.addWidget(self.pane, 1)
        middle.addWidget(side)
        whole = QWidget()
        rows = QVBoxLayout(whole)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.setSpacing(0)
        rows.addWidget(self.shows)
        rows.addLayout(middle, 1)
        rows.addWidget(self.notice)
        rows.addWidget(self.strip)
        self.setCentralWidget(whole)

    def _connect(self) -> None:
        self.prompt.answered.connect(self.answer)
        self.prompt.other_way.connect(self._other_way)
        self.prompt.stop.connect(self.jobs.stop)
        self.shows.layer.connect(lambda name, on: self._look(self.bench.view.switched(name, on)))
        self.shows.pour.connect(self._show_pour)
        self.shows.side.connect(self._look_from)
        self.shows.system.connect(self._say_in)
        self.strip.chosen.connect(self._open_stage)
        self.jobs.progressed.connect(self.prompt.show_progress)
        self.jobs.failed.connect(self.trouble)
        self.jobs.stopped.connect(lambda: self.notice.say("Stopped.", trouble=False))
        self.jobs.busy.connect(self._busy)
        self.piece.other.clicked.connect(lambda: self.errands.ask_open())
        self.piece.sizing.clicked.connect(lambda: self.bench.change(height_mm=None, scale=None))
        self.stand.over.clicked.connect(lambda: self._tip("over"))
        self.stand.round.clicked.connect(lambda: self._tip("round"))
        self.stand.front.clicked.connect(
            lambda: self.bench.change(front_said=False, mouth_said=False)
        )
        self.stand.mouth.clicked.connect(lambda: self.bench.change(mouth_said=False, mouth=None))
        self.air.selected.connect(self._point_out)
        self.pour.sheet.clicked.connect(lambda: self._ask_sheet())
        self.pour.job.clicked.connect(lambda: self.errands.ask_save())

    def _menus(self) -> None:
        menu = self.menuBar().addMenu("&File")
        for words, key, action in (
            ("&Open a scan or job…", QKeySequence.Open, self.errands.ask_open),
            ("&Save the job…", QKeySequence.Save, self.errands.ask_save),
            ("&Make the bench sheet…", QKeySequence.Print, self._ask_sheet),
            ("&Quit", QKeySequence.Quit, self.close),
        ):
            item = QAction(words, self)
            item.setShortcut(key)
            item.triggered.connect(lambda _=False, action=action: action())
            menu.addAction(item)

    # What is shown

    def refresh(self) -> None:
        """Show the workbench as it is now."""
        bench, plan = self.bench, self.bench.plan
        question = bench.question() or ("done" if plan else "plan")
        homes = {"scan": "piece", "height": "piece", "points": "piece",
                 "distance": "piece", "front": "stand", "mouth": "stand",
                 "plan": "stand"}  # fmt: skip
        if question != self.prompt.question or plan is None:
            self.stage = homes.get(question, self.stage if plan else "piece")
        self.prompt.ask(question, lines=first_lines(plan, self.system) if plan else ())
        self.piece.follow(bench)
        self.stand.follow(bench)
        if plan is not None:
            self.air.follow(plan, bench, self.system)
            for page in (self.cut, self.weigh):
                page.follow(plan, self.system)
            self.pour.follow(plan)
        opened = bench.master is not None
        self.shows.follow(bench.view, planned=plan is not None, opened=opened)
        self.strip.follow(self.stage, opened=opened, planned=plan is not None)
        self.pages.setCurrentIndex(STAGES.index(self.stage))
        self._draw(question)

    def _draw(self, question: str) -> None:
        bench = self.bench
        if bench.master is None:
            self.pane.show_actors(())
            return
        if bench.plan is not None:
            shown = actors(bench.plan, bench.view)
            fit: object = (id(bench.plan), bench.view.pour)
            self.pane.pick_on(None)
        else:
            surface = self._standing()
            shown = bare_actors(surface, marked=self._marked(surface), view=bench.view)
            fit = (id(bench.master), bench.up, bench.front, bench.height_mm)
            self.pane.pick_on(surface if question in _CLICKED else None)
        self.pane.show_actors(shown, eye=None if fit == self._fitted else bench.view.eye)
        self._fitted = fit

    def _standing(self) -> Surface:
        """Return the mesh as it will stand, made anew only when it stands another way."""
        bench = self.bench
        key = (id(bench.master), bench.up, bench.front, bench.height_mm)
        if self._surface is None or self._surface[0] != key:
            self._surface = (key, bench.shown_surface())
        return self._surface[1]

    def _marked(self, surface: Surface) -> list[tuple[str, Ints, str]]:
        size = float(surface.extents.max())
        marks = [(f"point {k + 1}", pick, colours.CUT, 0.015)
                 for k, pick in enumerate(self.bench.measured or ())]  # fmt: skip
        if self.bench.mouth is not None:
            marks.append(("mouth", self.bench.mouth, colours.MOUTH, 0.05))
        return [
            (word, faces_near(surface, pick.face, within_mm=reach * size), colour)
            for word, pick, colour, reach in marks
        ]

    def trouble(self, words: str) -> None:
        """Say what went wrong, in the window."""
        self.notice.say(words, trouble=True)

    def _look(self, view: View) -> None:
        self.bench.change(view=view)

    def _turned(self, eye: Eye) -> None:
        self._look(self.bench.view.seen_from(eye))

    def _look_from(self, side: str) -> None:
        self._fitted = None
        self._look(self.bench.view.seen_from(SIDES[side]))

    def _show_pour(self, pour: PourName) -> None:
        self._look(self.bench.view.poured(pour))

    def _say_in(self, system: System) -> None:
        self.system = system
        self.refresh()

    def _open_stage(self, stage: str) -> None:
        self.stage = stage
        view = self.bench.view
        wanted = {"air": "air", "cut": "cut", "weigh": "cup"}.get(stage)
        if wanted is not None and self.bench.plan is not None:
            view = view.switched(wanted, True)
        self._look(view)

    def _point_out(self, pocket: int | None) -> None:
        view = self.bench.view.switched("air", True)
        self._look(View(view.layers, view.pour, view.eye, pocket))

    def _busy(self, busy: bool) -> None:
        self.prompt.show_busy(busy)
        self.pages.setEnabled(not busy)
        if not busy and self._closing:
            self.close()

    # What the sculptor says

    def answer(self, question: str) -> None:
        """Do what the button of a question does."""
        if self.jobs.working():
            return
        {
            "scan": self.errands.ask_open, "height": self._say_height, "distance": self._say_height,
            "points": lambda: self.bench.change(measured=None), "front": self._front_is_seen,
            "mouth": lambda: self.bench.change(mouth=None, mouth_said=True),
            "plan": self.errands.work_out, "done": self._ask_sheet,
        }[question]()  # fmt: skip

    def _say_height(self) -> None:
        words = self.prompt.height_words()
        try:
            height = length_mm(words)
        except PartlineError as fault:
            self.trouble(str(fault) if words else "Type a length first, for example 62 mm.")
            return
        if height <= 0:
            self.trouble(f'"{words}" cannot be: a length must be more than nothing.')
            return
        scale = None
        if self.bench.measured is not None:
            try:
                scale = scale_measured(self.bench, height)
            except JobError as fault:
                self.trouble(str(fault))
                return
            height = scale * tall_as(self.bench, self.bench.up)
        self.notice.hide()
        if not SMALL_MM <= height <= LARGE_MM:
            size = "less than 5 mm" if height < SMALL_MM else "more than a metre"
            self.notice.say(f"That is {size} tall. Is the unit right?", trouble=False)
        self.bench.change(height_mm=height, measured=None, scale=scale)

    def _front_is_seen(self) -> None:
        seen = self.bench.turn().T @ self.pane.eye()
        front = axis_name(seen, square_to=self.bench.up)
        self.bench.change(front=front, front_said=True, view=View())

    def _ask_sheet(self) -> None:
        self.errands.ask_sheet(self.system)

    def _other_way(self, question: str) -> None:
        """Do what the second button of a question does."""
        if question == "done":
            self._open_stage("stand")
        else:
            self.bench.change(measured=())

    def _clicked(self, face: int, shares: Floats) -> None:
        """Take a click on the piece as the answer to the question that is open."""
        if face < 0:
            self.notice.say("That was beside the piece. Click on the piece itself.", trouble=False)
            return
        pick = self.bench.pointed_at(face, shares)
        if self.bench.measured is not None:
            self.bench.change(measured=(*self.bench.measured, pick))
        elif self.bench.question() == "front":
            front = front_toward(self.bench, pick)
            self.bench.change(front=front, front_said=True, view=View())
            self.notice.say(
                "The piece now looks at you with its front. If that is not the front, press "
                "“Change the front…”.", trouble=False,
            )  # fmt: skip
        elif self.bench.question() == "mouth":
            self.bench.change(mouth=pick, mouth_said=True)
            self.notice.say(
                "The mouth is marked in green on the piece. If that is not the place, press "
                "“Change the mouth…”.", trouble=False,
            )  # fmt: skip

    def _tip(self, way: Any) -> None:
        up, front = tipped(self.bench.up, self.bench.front, way)
        # A typed height is the height as it stands; a measured size stays what it is.
        scale, height = self.bench.scale, self.bench.height_mm
        if scale is not None:
            height = scale * tall_as(self.bench, up)
        self.bench.change(up=up, front=front, height_mm=height, mouth=None, mouth_said=False,
                          view=View())  # fmt: skip

    # What the platform tells

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:  # noqa: N802
        """Take a file that is dragged in."""
        if any(url.isLocalFile() for url in event.mimeData().urls()):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:  # noqa: N802
        """Open the first file that is dropped."""
        files = [url.toLocalFile() for url in event.mimeData().urls() if url.isLocalFile()]
        if files and not self.jobs.working():
            event.acceptProposedAction()
            self.errands.open_path(Path(files[0]))

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Follow the platform between light and dark."""
        super().changeEvent(event)
        if event.type() == QEvent.PaletteChange and hasattr(self, "pane"):
            self.pane.ground()

    def closeEvent(self, event: QCloseEvent) -> None:  # noqa: N802
        """Stop the work first; a thread that still runs when a program ends takes it down."""
        if not self.jobs.close():
            self._closing = True
            self.notice.say("Stopping the work; the window closes by itself then.", trouble=False)
            event.ignore()
            return
        self.pane.shut()
        super().closeEvent(event)
