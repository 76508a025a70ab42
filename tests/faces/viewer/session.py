"""A window in a process of its own: open, plan, close; for tests of how it ends.

    python session.py HOW FOLDER

HOW is "close" (as its cross does), "quit" (as the menu does), "working" (its cross while a plan is
worked out) or "stay" (until it is killed). The plan is one that was made before and is kept in
FOLDER/plan; the piece is FOLDER/knob.obj.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

from qtpy.QtCore import QSettings, QTimer
from qtpy.QtWidgets import QApplication

from partline.faces.keeping import kept_for
from partline.faces.viewer.window import Window
from partline.job import load_job
from partline.planfile import open_plan


def main(how: str, folder: Path) -> int:
    """Run one session and return the exit status of the program."""
    QSettings.setPath(QSettings.IniFormat, QSettings.UserScope, str(folder / "settings"))
    application = QApplication([])
    plan = open_plan(folder / "plan")

    def planner(job, *, progress, earlier=None, log=None):
        if how == "working":
            print("working", flush=True)
            for k in range(3000):
                progress(k / 3000, "following the air")
                time.sleep(0.01)
        return plan

    window = Window(planner)
    window.show()

    def keeping() -> None:
        # The autosave waits for a pause in what is said, and a busy machine makes it longer.
        file = kept_for(folder / "knob.obj")
        if file.exists() and load_job(file).cut.cuts == 2:
            kept.stop()
            print("kept", flush=True)

    def follow() -> None:
        bench = window.bench
        if window.jobs.working():
            if how == "working" and window.errands.planning is not None:
                clock.stop()
                window.close()
            return
        if bench.master is None:
            window.open_path(folder / "knob.obj")
        elif bench.height_mm is None:
            bench.change(height_mm=62.0)
            bench.change(front_said=True)
            bench.change(mouth_said=True, asked=())
        elif bench.plan is None:
            window.answer("plan")
        elif how == "stay":
            clock.stop()
            window.strip.buttons["cut"].click()
            window.answers.cuts(2)
            kept.start(50)
        else:
            clock.stop()
            window.strip.buttons["air"].click()
            window.shows.pours["resin"].click()
            QTimer.singleShot(100, window.close if how == "close" else application.quit)

    kept = QTimer()
    kept.timeout.connect(keeping)
    clock = QTimer(interval=20)
    clock.timeout.connect(follow)
    clock.start()
    status = int(application.exec())
    print("ended", flush=True)
    return status


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], Path(sys.argv[2])))
