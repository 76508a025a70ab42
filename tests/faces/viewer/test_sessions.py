"""Whole sessions in processes of their own: none may crash, however it ends.

PARTLINE_RUNS=20 repeats each; without it one of each is enough for every day.
"""

from __future__ import annotations

import gc
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest
import pyvista as pv
from fake_plan import turned

from partline.faces.keeping import kept_for
from partline.geometry.surface import Surface
from partline.job import load_job
from partline.planfile import write_plan

pytestmark = pytest.mark.screen
_SCRIPT = Path(__file__).with_name("session.py")
_RUNS = int(os.environ.get("PARTLINE_RUNS", "1"))


@pytest.fixture(scope="module")
def folder(tmp_path_factory, plan):
    found = tmp_path_factory.mktemp("a piece")
    surface = plan.master.surface
    rows = [f"v {x} {y} {z}" for x, y, z in surface.vertices]
    rows += [f"f {a + 1} {b + 1} {c + 1}" for a, b, c in surface.faces]
    (found / "knob.obj").write_text("\n".join(rows), encoding="utf-8")
    write_plan(plan, found / "plan")
    return found


def _begin(how: str, folder: Path) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, str(_SCRIPT), how, str(folder)], text=True,
        stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        env=dict(os.environ, PARTLINE_SHELF=str(folder / "shelf.toml")),
    )  # fmt: skip


@pytest.mark.parametrize("run", range(_RUNS))
@pytest.mark.parametrize("how", ["close", "quit", "working"])
def test_a_session_ends_without_a_crash(how, run, folder):
    session = _begin(how, folder)
    out, err = session.communicate(timeout=120)
    assert session.returncode == 0, err[-2000:]
    assert out.splitlines()[-1] == "ended"
    assert ("working" in out) == (how == "working")
    assert "Traceback" not in err


def test_after_a_kill_what_was_said_is_back(folder, window, qtbot):
    """SIGKILL leaves no time for anything; only what was kept before can come back."""
    session = _begin("stay", folder)
    end = time.monotonic() + 120
    while session.stdout.readline().strip() != "kept":
        assert session.poll() is None
        assert time.monotonic() < end
    kept = kept_for(folder / "knob.obj")
    os.kill(session.pid, getattr(signal, "SIGKILL", signal.SIGTERM))
    session.communicate(timeout=30)
    assert session.returncode != 0
    assert kept.parent == folder
    assert load_job(kept).cut.cuts == 2
    window.open_path(folder / "knob.obj")
    qtbot.waitUntil(lambda: window.bench.plan is not None, timeout=30000)
    assert (window.bench.height_mm, window.bench.base.cut.cuts) == (62.0, 2)
    assert "is back" in window.notice.words.text()
    window.notice.act.click()
    qtbot.waitUntil(lambda: window.prompt.question == "height", timeout=30000)
    assert not kept.exists()


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="reads /proc")
def test_memory_is_flat_over_ten_loads(window, folder, qtbot):
    """Nothing of an earlier scan is kept; what the process holds swings but does not climb."""

    def resident_mb() -> float:
        pages = int(Path("/proc/self/statm").read_text().split()[1])
        return pages * os.sysconf("SC_PAGE_SIZE") / 1e6

    def meshes() -> int:
        gc.collect()
        kept = [o for o in gc.get_objects() if isinstance(o, Surface | pv.PolyData)]
        return sum((len(o.faces) if isinstance(o, Surface) else o.n_cells) > 40_000 for o in kept)

    big = _large_knob(folder)
    resident, alive = [], []
    for _ in range(10):
        window.open_path(big)
        qtbot.waitUntil(lambda: not window.jobs.working(), timeout=60000)
        window.bench.change(height_mm=62.0)
        window.pane.view.render()
        resident.append(resident_mb())
        alive.append(meshes())
    print("resident MB after each load:", *(round(v) for v in resident))
    assert len(set(alive[2:])) == 1, alive
    # One such mesh with its picture and its tree of rays takes about 30 MB.
    assert np.mean(resident[7:]) - np.mean(resident[4:7]) < 45.0, resident


def _large_knob(folder: Path) -> Path:
    """Write a closed surface of 48 000 triangles."""
    path = folder / "large.ply"
    if not path.exists():
        lean = np.linspace(0.001, np.pi - 0.001, 151)
        profile = np.column_stack([20 * np.sin(lean), 30 - 30 * np.cos(lean)])
        profile[[0, -1], 0] = 0.0
        surface = turned(profile, around=160)
        head = (
            "ply\nformat binary_little_endian 1.0\n"
            f"element vertex {len(surface.vertices)}\nproperty float x\nproperty float y\n"
            f"property float z\nelement face {len(surface.faces)}\n"
            "property list uchar int vertex_indices\nend_header\n"
        )
        faces = np.zeros(len(surface.faces), dtype=[("n", "u1"), ("corners", "<i4", 3)])
        faces["n"], faces["corners"] = 3, surface.faces
        data = surface.vertices.astype("<f4").tobytes() + faces.tobytes()
        path.write_bytes(head.encode("ascii") + data)
    return path
