"""What the window has done in the background: reading a scan, writing the folder; no screen."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from partline.card.planning import plan_card
from partline.errors import MissingExtra
from partline.faces.viewer import work


def test_a_sheet_without_pictures_says_so(plan, monkeypatch, tmp_path):
    def broken(plan):
        raise MissingExtra("This computer cannot draw.")

    monkeypatch.setattr(work, "stills", broken)
    sheet, words = work.sheet_into(plan, tmp_path)
    assert sheet.exists()
    assert "no pictures" in words
    assert (tmp_path / "sheet.html").exists()


def test_the_cutting_card_is_written_where_the_plan_has_one(plan, monkeypatch, tmp_path):
    monkeypatch.setattr(work, "stills", lambda _: {})
    carded = replace(plan, card=plan_card(plan.cut, plan.stand, plan.container, plan.detail))
    sheet, words = work.sheet_into(carded, tmp_path)
    assert (tmp_path / "card.pdf").read_bytes().startswith(b"%PDF-")
    assert "card.pdf" in words
    assert {"plan.json", "sheet.html", "sheet.pdf", "scene.html", "cut.csv", "piece.ply"} <= {
        p.name for p in tmp_path.iterdir()
    }
    assert sheet == tmp_path / "sheet.html"


def test_a_scan_that_is_open_below_is_read_whichever_side_that_is(tmp_path, plan):
    """The stem's foot is taken off and the knob laid along x, open end at -x."""
    pytest.importorskip("partline.scan.reading")
    surface = plan.master.surface
    foot = (surface.vertices[surface.faces][:, :, 2] < 1e-9).all(axis=1)
    laid = surface.vertices[:, [2, 0, 1]]
    path = tmp_path / "open.obj"
    rows = [f"v {x} {y} {z}" for x, y, z in laid]
    rows += [f"f {a + 1} {b + 1} {c + 1}" for a, b, c in surface.faces[~foot]]
    path.write_text("\n".join(rows), encoding="utf-8")
    found = work.read_any(path)
    assert found.up == "+x"
    assert found.master.surface.extents == pytest.approx(np.ptp(laid, axis=0), rel=1e-6)
    # Along the file's own axes: the pose has no turn left, only a shift.
    assert np.allclose(found.master.to_pose[:3, :3], np.eye(3))
