"""The 3D pane: words as large on any screen, leaders told from any ground."""

from __future__ import annotations

import numpy as np
import pytest
from qtpy.QtGui import QColor, QPalette

from partline.faces.actor import Actor
from partline.faces.viewer.pane import Pane

pytestmark = pytest.mark.screen
_WORDS = Actor("words", np.zeros((1, 3)), colour="#00795a", labels=("mouth",))
_LEADER = Actor(
    "leader", np.array([[-9.0, 0.0, 0.0], [9.0, 0.0, 0.0]]), line=True, colour="#00795a"
)


@pytest.fixture
def pane(qtbot):
    made = Pane(lambda *_: None, lambda *_: None)
    qtbot.addWidget(made)
    made.resize(400, 300)
    made.show()
    qtbot.waitExposed(made)
    yield made
    made.shut()


@pytest.mark.parametrize("dots", [1.0, 1.5, 2.0])
def test_words_keep_their_size_in_window_points_on_a_fine_screen(pane, dots, monkeypatch):
    """The toolkit's letters are in points of 1/72 inch, and it is told the screen's dots."""
    for widget in (pane, pane.view):
        monkeypatch.setattr(widget, "devicePixelRatioF", lambda: dots, raising=False)
    pane.view.resizeGL(400, 300)
    pane.show_actors((_WORDS,), eye=(0.0, -1.0, 0.3))
    size = pane.view.actors["partline words word 0"].GetTextProperty().GetFontSize()
    per_inch = pane.view.render_window.GetDPI()
    assert size * per_inch / 72 == pytest.approx(15 * dots)


def _contrast(a, b):
    """Return the ratio of relative luminances as WCAG 2.1 (2018) defines it."""
    lights = []
    for colour in (a, b):
        c = np.array(colour[:3])
        linear = np.where(c <= 0.03928, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)
        lights.append(float(linear @ (0.2126, 0.7152, 0.0722)) + 0.05)
    return max(lights) / min(lights)


def test_a_leader_is_told_from_a_light_and_from_a_dark_ground(pane):
    """The published least contrast of lines that carry meaning is 3 (WCAG 2.1, 1.4.11)."""
    pane.show_actors((_LEADER,), eye=(0.0, -1.0, 0.3))
    for ground in ("#efefef", "#2b2b2b", "#efefef"):
        palette = QPalette()
        palette.setColor(QPalette.Window, QColor(ground))
        pane.setPalette(palette)
        pane.ground()
        drawn = pane.view.actors["partline leader"].prop.color.float_rgb
        assert _contrast(drawn, pane.view.renderer.GetBackground()) > 3.0
