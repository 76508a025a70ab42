"""Numbered places beside the piece: each once, none over another, on the right side."""

from __future__ import annotations

import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan

from partline.faces.air_drawings import air_views
from partline.faces.air_rows import AirRow
from partline.faces.colours import AIR
from partline.faces.drawings import ghosts
from partline.plan import Plan


@pytest.fixture(scope="module")
def plan() -> Plan:
    return fake_plan()


def rows(plan: Plan, n: int) -> tuple[AirRow, ...]:
    points = plan.stand.cavity.surface.vertices
    chosen = points[np.random.default_rng(4).integers(0, len(points), n)]
    return tuple(AirRow(k + 1, p, 5.0, 0.0, True, 4.0) for k, p in enumerate(chosen))


@pytest.mark.parametrize("mouth_up", [False, True])
def test_every_number_once_none_over_another(plan: Plan, mouth_up: bool) -> None:
    for drawing in air_views(ghosts(plan), rows(plan, 15), mouth_up=mouth_up):
        top = ET.fromstring(drawing.svg())
        balls = [e for e in top.iter() if e.tag.endswith("circle") and e.get("fill") == "#fff"]
        spots = np.array([[float(str(b.get(k))) for k in ("cx", "cy")] for b in balls])
        apart = np.linalg.norm(spots[:, None] - spots[None], axis=2) + 1e9 * np.eye(len(spots))
        radius = float(str(balls[0].get("r")))
        assert apart.min() > 2 * radius
        inside = (spots - radius >= (drawing.left, drawing.top)).all()
        assert inside
        assert (spots[:, 1] + radius <= drawing.top + drawing.height).all()
        numbers = [e.text for e in top.iter() if e.text and e.text.isdigit()]
        assert sorted(map(int, numbers)) == list(range(1, 16))
        assert drawing.paper_size[0] <= 84.0 + 1e-9


def test_a_place_on_the_right_is_drawn_there(plan: Plan) -> None:
    right = (AirRow(1, np.array([15.0, 0.0, 50.0]), 5.0, 0.0, True, 4.0),)
    standing, turned = (air_views(ghosts(plan), right, mouth_up=over)[0] for over in (False, True))
    for drawing, sign, height in ((standing, 1, -50.0), (turned, -1, 50.0)):
        dot = next(e for e in ET.fromstring(drawing.svg()).iter() if e.get("fill") == AIR)
        assert float(str(dot.get("cx"))) == pytest.approx(15.0 * sign)
        assert float(str(dot.get("cy"))) == pytest.approx(height)
