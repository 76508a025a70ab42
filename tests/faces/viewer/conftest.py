"""One window for a test, closed again whatever happens; a small mesh file to open."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))

pytest.importorskip("pyvistaqt")


def has_screen() -> bool:
    """Tell whether a window can open here at all."""
    return not sys.platform.startswith("linux") or bool(
        os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    )


def pytest_collection_modifyitems(items):
    for item in items:
        if "viewer" in item.path.parts and item.get_closest_marker("screen") and not has_screen():
            item.add_marker(pytest.mark.skip(reason="no screen; run under xvfb-run"))


@pytest.fixture(scope="session")
def plan():
    from fake_plan import fake_plan

    return fake_plan()


@pytest.fixture
def window(qtbot, plan, tmp_path, monkeypatch):
    import platformdirs
    from qtpy.QtCore import QSettings

    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("PARTLINE_SHELF", str(tmp_path / "shelf.toml"))
    # Nothing of whoever runs the tests is read or written.
    QSettings.setPath(QSettings.IniFormat, QSettings.UserScope, str(tmp_path / "settings"))
    monkeypatch.setattr(platformdirs, "user_data_path", lambda *_, **__: tmp_path / "own")
    from partline.faces.viewer.window import Window

    def planner(job, *, progress, earlier=None, log=None):
        progress(0.5, "following the air")
        return plan

    opened = Window(planner)
    qtbot.addWidget(opened)
    opened.show()
    qtbot.waitExposed(opened)
    yield opened
    opened.close()
    # Work that is long in stopping, as what is still being compiled is, keeps it open until then.
    qtbot.waitUntil(opened.isHidden, timeout=120_000)


@pytest.fixture
def mesh_file(tmp_path, plan):
    """Write the knob as an OBJ file under a name with a space and an accent."""
    surface = plan.master.surface
    path = tmp_path / "petit chamois à tête.obj"
    rows = [f"v {x} {y} {z}" for x, y, z in surface.vertices]
    rows += [f"f {a + 1} {b + 1} {c + 1}" for a, b, c in surface.faces]
    path.write_text("\n".join(rows), encoding="utf-8")
    return path
