"""The window: the piece in the middle, what to do next beside it, the bench along the bottom."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import replace
from functools import partial
from pathlib import Path

from qtpy.QtCore import QEvent, QTimer
from qtpy.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent
from qtpy.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QMainWindow,
    QVBoxLayout,
    QWidget,
)

from partline.faces.asking import FORMS
from partline.faces.painting import BRUSHES
from partline.faces.slicing import section_words, side_toward
from partline.faces.view import Eye, View
from partline.faces.viewer.answers import Answers
from partline.faces.viewer.bench_forms import BenchForms
from partline.faces.viewer.cut_stage import CutStage
from partline.faces.viewer.easel import Easel
from partline.faces.viewer.errands import Errands
from partline.faces.viewer.hands import Hands
from partline.faces.viewer.help import Help
from partline.faces.viewer.jobs import Jobs
from partline.faces.viewer.leading_hand import LeadingHand
from partline.faces.viewer.menus import Menus
from partline.faces.viewer.mouth_stage import MouthStage
from partline.faces.viewer.outputs import Outputs
from partline.faces.viewer.pane import Pane
from partline.faces.viewer.pour_stage import PourStage
from partline.faces.viewer.prompt import Prompt
from partline.faces.viewer.questions import HINTS, HOMES
from partline.faces.viewer.rows import SIDES, Notice, ShowRow, StageStrip
from partline.faces.viewer.section_row import SectionRow
from partline.faces.viewer.settings import Lengths, Settings
from partline.faces.viewer.stage_pages import StagePages
from partline.faces.viewer.style import STYLE
from partline.faces.viewer.work import Opened, plan_job
from partline.faces.words import first_lines
from partline.faces.workbench import Workbench, look_of
from partline.plan import Plan
from partline.samples import sample

# A choice is kept beside the piece this long after it was made.
_KEEP_MS = 800
# What is stale is worked out again this long after the last choice.
_AGAIN_MS = 120


class Window(QMainWindow):
    """One window on one workbench.

    Parameters
    ----------
    planner : callable
        `planner(job, earlier=..., progress=...)` returns the plan; by default the product's own.
    """

    def __init__(self, planner: Callable[..., Plan] = plan_job) -> None:
        super().__init__()
        self.setWindowTitle("partline")
        self.resize(1280, 720)
        self.setMinimumSize(1000, 600)
        self.setAcceptDrops(True)
        self.setStyleSheet(STYLE)
        self.bench, self.jobs, self.settings = Workbench(), Jobs(self), Settings()
        self.stage = "piece"
        self.system: Lengths = self.settings.lengths()
        self._closing = False
        self._help: Help | None = None
        self._build()
        self.lines = LeadingHand(self.bench, self.pane, self.jobs)
        self.hands = Hands(self.bench, self.pane, self._draw, self.lines)
        self.easel = Easel(self.bench, self.pane, self.hands)
        self.answers = Answers(self.bench, self.prompt, self.pane, self.notice)
        self.cutting = CutStage(
            self.bench, self.cut, self.lines, self.answers, self.easel, self._draw, self.refresh
        )
        self.errands = Errands(self.bench, self.jobs, self.notice, self, planner)
        self.pouring = PourStage(self.bench, self.jobs, self.pour.play, self._shown)
        self.mouths = MouthStage(self.bench, self.jobs, self.stand.mouths, self.refresh)
        self.errands.remember = self._remember
        self.given: tuple[Path, ...] = ()
        self.errands.scans = lambda: (*self.given, *self.settings.scans())
        self.errands.look = lambda: look_of(
            self.bench.view, self.stage, self.system, step=self.pour.play.step()
        )
        self.outputs = Outputs(self.errands, self.jobs, self.pane, self.notice, self)
        self._keep = QTimer(self, singleShot=True, interval=_KEEP_MS)
        self._keep.timeout.connect(self.errands.keep_choices)
        # Not in the midst of a click or a stroke, and once for several choices in a row.
        self._again = QTimer(self, singleShot=True, interval=_AGAIN_MS)
        self._again.timeout.connect(self.errands.keep_up)
        self._connect()
        self.menus = Menus(self)
        self._offer(self.settings.recent())
        self.bench.listen(self.refresh)
        self.refresh()

    # How it is put together

    def _build(self) -> None:
        self.pane = Pane(self._turned, lambda face, shares: self.answers.clicked(face, shares))
        self.prompt, self.notice = Prompt(), Notice()
        self.shows, self.section, self.strip = ShowRow(), SectionRow(), StageStrip()
        self.shows.units[self.system].setChecked(True)
        self.pages = StagePages()
        self.piece, self.stand, self.air = self.pages.piece, self.pages.stand, self.pages.air
        self.cut, self.weigh, self.pour = self.pages.cut, self.pages.weigh, self.pages.pour
        self.after = self.pages.after
        self.hint = QLabel(HINTS["piece"])
        self.hint.setWordWrap(True)
        self.hint.setObjectName("hint")
        side = QWidget()
        side.setMinimumWidth(368)
        side.setMaximumWidth(520)
        column = QVBoxLayout(side)
        column.setContentsMargins(4, 8, 8, 4)
        self.forms = BenchForms(self.bench, self.notice)
        self.prompt.place.addWidget(self.forms)
        column.addWidget(self.prompt)
        column.addWidget(self.pages, 100)
        column.addWidget(self.hint)
        middle = QHBoxLayout()
        middle.addWidget(self.pane, 3)
        middle.addWidget(side, 1)
        whole = QWidget()
        rows = QVBoxLayout(whole)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.setSpacing(0)
        rows.addWidget(self.shows)
        rows.addWidget(self.section)
        rows.addLayout(middle, 1)
        rows.addWidget(self.notice)
        rows.addWidget(self.strip)
        self.setCentralWidget(whole)

    def _connect(self) -> None:
        self.prompt.answered.connect(self.answer)
        self.prompt.other_way.connect(self._other_way)
        self.prompt.stop.connect(self._stop)
        self.shows.layer.connect(lambda name, on: self._look(self.bench.view.switched(name, on)))
        self.shows.pour.connect(lambda pour: self._look(self.bench.view.poured(pour)))
        self.shows.side.connect(self._look_from)
        self.shows.section.connect(self._cut_open)
        self.section.moved.connect(
            lambda at, held: self._look(self.bench.view.opened(at, moving=held))
        )
        self.shows.system.connect(self._say_in)
        self.strip.chosen.connect(self._open_stage)
        self.jobs.progressed.connect(self.prompt.show_progress)
        self.jobs.failed.connect(lambda words: self.notice.say(words, trouble=True))
        self.jobs.busy.connect(self._busy)
        self.piece.other.clicked.connect(lambda: self.errands.ask_open())
        self.piece.again.connect(self.open_path)
        self.piece.cells.chosen.connect(self.answers.draw_anew)
        self.piece.sizing.clicked.connect(lambda: self.bench.change(height_mm=None, scale=None))
        self.stand.over.clicked.connect(lambda: self.answers.tip("over"))
        self.stand.round.clicked.connect(lambda: self.answers.tip("round"))
        self.stand.front.clicked.connect(lambda: self.bench.change(front_said=False))
        self.stand.mouth.clicked.connect(self.answers.ask_mouth)
        self.air.selected.connect(
            lambda k: self._look(replace(self.bench.view.switched("air", True), selected=k))
        )
        self.air.tipped.connect(self.hands.tip_to)
        self.air.freed.connect(self.answers.free_vents)
        self.air.by_hand.connect(lambda on: self._hold("tip" if on else "turn"))
        self.cut.brush.connect(self._hold)
        self.cut.size.connect(lambda mm: setattr(self.hands, "radius_mm", mm))
        self.cut.other.connect(lambda k: self._look(replace(self.bench.view, choice=k)))
        self.weigh.ask.connect(self.forms.ask)
        self.forms.form.entered.connect(lambda: self.answer(self.prompt.question))
        self.after.form.written.connect(self._write_pull)
        self.pour.print.clicked.connect(lambda: self.print_sheet())
        self.pour.job.clicked.connect(lambda: self.errands.ask_save())

    # What is shown

    def refresh(self) -> None:
        """Show the workbench as it is now."""
        bench, plan = self.bench, self.bench.plan
        self.section.follow(bench.view.section, section_words(bench.view))
        if plan is not None and bench.view.moving:
            if self.stage == "air":
                self.air.follow_tip(plan, bench)
            self._draw()
            return
        stale = bench.stale() | self.errands.uncounted()
        if self.errands.behind():
            self._again.start()
        # Where the work was stopped or refused, the button begins it again.
        busy = self.jobs.working() or self._again.isActive()
        waits = plan is None or (bool(stale) and not busy)
        question = bench.question() or ("plan" if waits else "done")
        if plan is None or (question != self.prompt.question and question != "plan"):
            self.stage = HOMES.get(question, self.stage if plan else "piece")
        lines = first_lines(plan, self.system) if plan and question == "done" else ()
        self.prompt.ask(question, lines=lines, stale=bool(stale),
                        small=question == "done" and self.stage != "piece")  # fmt: skip
        self.forms.follow(question, self.system)
        self.pages.follow(bench, plan, self.system, stale)
        opened = bench.master is not None
        self.shows.follow(bench.view, planned=plan is not None, opened=opened)
        self.strip.follow(self.stage, opened=opened, planned=plan is not None, stale=stale)
        self.menus.follow(*bench.can_undo())
        self.pages.open(self.stage, asked=question in FORMS)
        self.hint.setText(HINTS[self.stage] if question not in FORMS else "")
        named = bench.job_path or bench.path
        self.setWindowTitle(f"{named.name} - partline" if named else "partline")
        self.mouths.follow(self.system)
        self.pouring.follow(open_=self.stage == "pour")
        self.hands.vents.open = self.stage == "air"
        self.cutting.follow(open_=self.stage == "cut", system=self.system)
        self._draw()
        self._keep.start()

    def _draw(self) -> None:
        self.easel.draw(self.system)

    def _look(self, view: View) -> None:
        self.bench.change(view=view)

    def _shown(self) -> None:
        self.shows.follow(self.bench.view, planned=True, opened=True)
        self._draw()

    def _turned(self, eye: Eye) -> None:
        self._look(self.bench.view.seen_from(eye))

    def _look_from(self, side: str) -> None:
        self.easel.fit_again()
        self._look(self.bench.view.seen_from(SIDES[side]))

    def _cut_open(self, on: bool) -> None:
        """Take away the half of the block that is toward the eye, or show it whole."""
        view = self.bench.view
        self._look(view.opened((side_toward(view.eye), 0.0) if on else None))

    def _say_in(self, system: Lengths) -> None:
        self.system = system
        self.settings.say_in(system)
        self.refresh()

    def _open_stage(self, stage: str) -> None:
        view = self.bench.view
        if self.pour.play.at >= 0:
            # What was played tips nothing any more.
            view = view.tipped(None)
            self.pour.play.rest()
        if self.bench.plan is not None and self.bench.question() in FORMS:
            self.forms.later()
        self.stage = stage
        view = view.entered(stage, planned=self.bench.plan is not None)
        self._hold("turn", self.cutting.faced(view) if stage == "cut" else view)

    def _hold(self, mode: str, view: View | None = None) -> None:
        """Take something else in hand; paint goes on a piece that is not tipped."""
        view = view or self.bench.view
        self.hands.take(mode)
        self.cut.hold(mode)
        self.air.hand.setChecked(mode == "tip")
        self._look(view.tipped(None).switched("zones", True) if mode in BRUSHES else view)

    def _busy(self, busy: bool) -> None:
        planning = self.errands.planning is not None and self.bench.plan is not None
        self.prompt.show_busy(busy)
        self.pages.setEnabled(not busy or planning)
        if busy:
            return
        self.errands.planning = None
        if self._closing:
            self.close()
        elif self._ready():
            # The piece is drawn first; the work would hold its picture up.
            act = self.errands.work_out
            QTimer.singleShot(_AGAIN_MS, self, lambda: self.jobs.working() or act())
        else:
            self.refresh()
            self.errands.read_ahead()

    def _ready(self) -> bool:
        """Tell whether a job has just been opened with everything answered."""
        fresh = self._just_opened
        self._just_opened = False
        return fresh and not self.bench.question() and self.bench.plan is None

    _just_opened = False

    def _stop(self) -> None:
        self.jobs.stop()
        self.notice.say("Stopped.", trouble=False)

    # What the sculptor says

    def answer(self, question: str) -> None:
        """Do what the button of a question does."""
        if self.jobs.working():
            return
        acts: dict[str, Callable[[], object]] = {
            "scan": self.errands.ask_open, "height": self.answers.height,
            "distance": self.answers.height,
            "points": lambda: self.bench.change(measured=None),
            "front": self.answers.front_is_seen, "mouth": self.answers.mouth_is_base,
            "plan": self.errands.work_out, "done": self.ask_sheet,
            **{name: partial(self.forms.answer, name) for name in FORMS},
        }  # fmt: skip
        acts[question]()

    def _other_way(self, question: str) -> None:
        """Do what the second button of a question does."""
        if question == "done":
            self._open_stage("stand")
        elif question == "scan":
            self.open_sample()
        elif question in FORMS:
            self.forms.later()
        else:
            self.bench.change(measured=())

    def open_path(self, path: Path, begun: Future[Opened] | None = None) -> None:
        """Open a scan or a job; one with everything answered is worked out at once."""
        if not self.jobs.working():
            self._just_opened = True
            self.errands.open_path(path, begun)

    def open_sample(self) -> None:
        """Open the sample job."""
        self.open_path(sample("ram.toml"))

    def _remember(self, path: Path) -> None:
        look = self.bench.base.look if self.bench.base else None
        if look is not None and self._just_opened and not self.bench.question():
            self.stage, self.pouring.resume = look.stage, look.step
        self._offer(self.settings.opened(path))

    def _offer(self, recent: list[Path]) -> None:
        self.menus.offer(recent)
        self.piece.offer(recent)

    def ask_sheet(self) -> None:
        """Ask where the sheet goes, and write it."""
        self.errands.ask_sheet(self.system)

    def print_sheet(self) -> None:
        """Print the sheet and the card with the platform's own dialog."""
        self.outputs.print(self.system)

    def _write_pull(self) -> None:
        """Write the pull of the form down; what is wrong with it stands in the notice."""
        if self.errands.write_pull(lambda plan: self.after.form.pull(plan, self.system)):
            self.after.form.clear()
            self.refresh()

    def show_help(self) -> None:
        """Open the help, which needs no network."""
        self._help = self._help or Help(self)
        self._help.show()
        self._help.raise_()

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
            self.open_path(Path(files[0]))

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
        self._keep.stop()
        self._again.stop()
        self.pour.play.rest()
        self.errands.keep_choices()
        self.pane.shut()
        super().closeEvent(event)
