"""Stills: each view is a picture with its colours in it, and a broken driver becomes words."""

from __future__ import annotations

import io
import os
import time
from functools import partial
from pathlib import Path

import numpy as np
import pytest
from fake_plan import fake_plan
from PIL import Image

from partline.errors import Cancelled, MissingExtra
from partline.faces import colours, picture
from partline.faces.actor import Actor


@pytest.fixture(scope="module")
def pictures():
    """Need a graphics library, not a screen."""
    try:
        return picture.stills(fake_plan(), scale=0.5)
    except MissingExtra as fault:
        pytest.skip(str(fault))


def _near(png: bytes, colour: str, within: int = 70) -> int:
    """Count pixels of about a colour; loosely, for drivers shade differently."""
    shown = np.asarray(Image.open(io.BytesIO(png)).convert("RGB")).astype(int)
    hue = colours.rgb(colour).astype(int)
    return int((np.abs(shown - hue).sum(axis=2) < within).sum())


def test_every_view_is_a_png_of_its_size(pictures):
    assert set(pictures) == set(picture.VIEWS)
    panels = {"first": 1, "cut": 3, "rubber_air": 2, "resin_air": 2, "detail": 2}
    for name, png in pictures.items():
        assert png.startswith(b"\x89PNG\r\n\x1a\n")
        assert Image.open(io.BytesIO(png)).size == (450 * panels[name], 500)


def test_each_picture_shows_what_it_is_for(pictures):
    assert _near(pictures["cut"], colours.CUT) > 300
    assert _near(pictures["first"], colours.CUT) < 30
    for name in ("rubber_air", "resin_air"):
        assert _near(pictures[name], colours.AIR) > 300
    assert _near(pictures["first"], colours.AIR) < 30
    assert _near(pictures["first"], colours.STONE, 90) > 1500
    assert _near(pictures["detail"], colours.DETAIL_END) > 100


def test_nothing_touches_the_picture_s_edge(pictures):
    for name, png in pictures.items():
        shown = np.asarray(Image.open(io.BytesIO(png)).convert("L"))
        rim = np.concatenate([shown[0], shown[-1], shown[:, 0], shown[:, -1]])
        assert (rim > 250).all(), name


def test_an_unknown_view_is_named():
    with pytest.raises(ValueError, match="sunset"):
        picture.stills(fake_plan(), ["sunset"])


@pytest.fixture
def called(monkeypatch):
    """Let another function than the drawing be called in the drawing's process."""
    tests = Path(__file__).parents[1]
    monkeypatch.syspath_prepend(str(tests))
    monkeypatch.setenv("PYTHONPATH", str(tests), prepend=os.pathsep)
    return lambda function: monkeypatch.setattr(picture, "drawn", function)


def test_a_crash_of_the_graphics_library_is_said_in_words(called, monkeypatch, tmp_path):
    import apart_calls

    # It notes which window it was told to use and dies.
    note = tmp_path / "tried"
    called(partial(apart_calls.note_and_crash, str(note)))
    monkeypatch.delenv("VTK_DEFAULT_OPENGL_WINDOW", raising=False)
    with pytest.raises(MissingExtra, match=r"cannot draw.*Everything else works"):
        picture.stills(fake_plan(), ["first"])
    assert note.read_text().split() == ["-", "vtkOSOpenGLRenderWindow"]


def test_a_library_that_is_missing_is_named(called):
    import apart_calls

    called(apart_calls.lack)
    with pytest.raises(
        MissingExtra, match=r"cannot draw the pictures \(libGL.so.1: no such file\)"
    ):
        picture.stills(fake_plan(), ["first"])


def test_a_drawing_that_hangs_is_given_up(called, monkeypatch):
    import apart_calls

    called(apart_calls.hang)
    monkeypatch.setattr(picture, "_WAIT_S", 0.0)
    with pytest.raises(MissingExtra, match="longer than"):
        picture.stills(fake_plan(), ["first"])


def test_a_cancelled_drawing_is_left_at_once(called):
    import apart_calls

    called(apart_calls.hang)
    heard = []

    def stop(fraction: float, words: str) -> None:
        heard.append(fraction)
        if fraction >= 0.2:
            raise Cancelled

    begun = time.monotonic()
    with pytest.raises(Cancelled):
        picture.stills(fake_plan(), ["first"], progress=stop)
    assert time.monotonic() - begun < 30.0  # it would sleep for a minute
    assert heard == sorted(heard)


def test_no_word_of_a_wide_piece_runs_off_the_picture(pictures):
    """A flat wide plate with a long word at each end: as much plate is seen as of a small one."""
    inked = []
    for wide in (5.0, 60.0):
        plate = Actor("plate", np.array([[-wide, 0, 0], [wide, 0, 0], [wide, 0, 9.0]]),
                      np.array([[0, 1, 2]], dtype=np.int32))  # fmt: skip
        words = [
            Actor(side, np.array([[x, 0.0, 4.0]]), colour="#a00000",
                  labels=("where the cut starts",), side=side)
            for side, x in (("left", -wide), ("right", wide))
        ]  # fmt: skip
        panel = picture.Panel((plate, *words), (0.0, -1.0, 0.0), "")
        inked.append(_near(picture.draw_panels([panel], scale=0.5), "#a00000"))
    assert inked[1] > 2000
    assert inked[1] == pytest.approx(inked[0], rel=0.15)
