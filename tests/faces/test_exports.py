"""The painted mesh and the cut's line, read back by a general library."""

from __future__ import annotations

import csv
import dataclasses

import numpy as np
import pytest
import pyvista as pv
import trimesh
from fake_plan import fake_plan

from partline.card.planning import plan_card
from partline.faces.exports import write_blade_surfaces, write_cut_lines, write_painted_mesh


def test_the_mesh_reads_back_whole_with_its_colours(tmp_path):
    plan = fake_plan()
    read = trimesh.load(write_painted_mesh(plan, tmp_path / "piece.ply"), process=False)
    assert read.vertices == pytest.approx(plan.stand.piece.vertices, abs=1e-4)
    assert np.array_equal(read.faces, plan.stand.piece.faces)
    assert len(np.unique(read.visual.vertex_colors, axis=0)) > 3
    assert read.volume == pytest.approx(plan.master.volume_mm3, rel=1e-4)


def test_the_line_is_the_cut(tmp_path):
    plan = fake_plan()
    table, drawn = write_cut_lines(plan, tmp_path)
    rows = list(csv.DictReader(table.read_text().splitlines()))
    assert len(rows) == sum(len(line.points) for line in plan.cut.lines)
    first = [[float(r[k]) for k in ("x_mm", "y_mm", "z_mm")] for r in rows if r["cut"] == "1"]
    assert np.array(first) == pytest.approx(plan.cut.lines[0].points, abs=1e-4)
    # The stand lifts the master; the scan's own numbers do not know of it.
    lift = [float(r["z_mm"]) - float(r["scan_z"]) for r in rows]
    assert lift == pytest.approx([plan.stand.lift_mm] * len(rows), abs=1e-3)
    long = pv.read(drawn).compute_cell_sizes(area=False, volume=False)["Length"]
    assert long.sum() == pytest.approx(plan.cut.length_mm, rel=1e-4)


def test_the_swept_surface_reads_back_smooth_and_jagged(tmp_path):
    plan = fake_plan()
    card = plan_card(plan.cut, plan.stand, plan.container, plan.detail)
    carded = dataclasses.replace(plan, card=card)
    scene = trimesh.load(write_blade_surfaces(carded, tmp_path / "blade.obj"), process=False,
                         split_objects=True, group_material=False)  # fmt: skip
    for cut in card.cuts:
        for name, surface in (("smooth", cut.surface), ("jagged", cut.keys.surface)):
            read = scene.geometry[f"cut{cut.number}_{name}"]
            assert read.area == pytest.approx(surface.face_areas.sum(), rel=1e-4)
    assert write_blade_surfaces(dataclasses.replace(plan, card=None), tmp_path / "none.obj") is None
    assert not (tmp_path / "none.obj").exists()
