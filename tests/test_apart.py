"""Work in a process of its own: told of all the time, left at once, its errors raised here."""

from __future__ import annotations

import os
import sys
import time
from itertools import pairwise
from pathlib import Path
from typing import Any

import apart_calls
import numpy as np
import pytest

from partline.air.cavity import Cavity
from partline.apart import call_apart
from partline.errors import Cancelled, ScanError, WorkEnded
from partline.geometry.surface import Surface
from partline.progress import silent

BLOCK = Surface(
    [[0, 0, 0], [9, 0, 0], [0, 9, 0], [0, 0, 9]], [[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]]
)


@pytest.fixture(autouse=True)
def found_there(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PYTHONPATH", os.pathsep.join([str(Path(__file__).parent), *sys.path]))


def apart(function: Any, *given: Any, **named: Any) -> Any:
    asked = {"progress": silent, "words": "", "usual_s": 1.0} | named
    return call_apart(function, *given, **asked)


def test_what_it_gives_and_tells() -> None:
    told: list[tuple[float, str]] = []
    given = apart(apart_calls.told_and_given, 7, progress=lambda f, w: told.append((f, w)),
                  words="begins", usual_s=600.0, more=[8])  # fmt: skip
    assert given == ((7,), {"more": [8]})
    assert [words for words in dict.fromkeys(w for _, w in told) if words != "begins"] == [
        "step 0", "step 1", "step 2", "step 3",
    ]  # fmt: skip
    shares = [f for f, _ in told]
    assert shares == sorted(shares)
    assert shares[-1] == pytest.approx(0.75, abs=0.01)


def test_surfaces_come_back_as_they_were_without_what_can_be_made_anew() -> None:
    _ = BLOCK.vertex_normals
    cavity = Cavity(BLOCK, [3])
    _ = cavity.fans
    back = apart(apart_calls.the_same, cavity)
    assert set(back.__dict__) == {"surface", "outlets", "volume_mm3"}
    assert set(back.surface.__dict__) == {"vertices", "faces"}
    np.testing.assert_array_equal(back.surface.vertices, BLOCK.vertices)
    np.testing.assert_array_equal(back.surface.faces, BLOCK.faces)
    assert not back.surface.vertices.flags.writeable
    np.testing.assert_array_equal(back.surface.vertex_normals, BLOCK.vertex_normals)


def test_parts_that_are_shared_are_the_same_objects_again() -> None:
    other = BLOCK.moved(np.eye(4))
    back = apart(apart_calls.the_same, {"kept": BLOCK, "made": other}, shared=(BLOCK, None))
    assert back["kept"] is BLOCK
    assert back["made"] is not other


def test_the_bar_moves_on_while_the_interpreter_is_held_up() -> None:
    heard: list[tuple[float, float, str]] = []

    def progress(fraction: float, words: str) -> None:
        heard.append((time.monotonic(), fraction, words))
        if words and time.monotonic() - heard[0][0] > 6.0:
            raise Cancelled

    with pytest.raises(Cancelled):
        apart(apart_calls.lock_kept, progress=progress, usual_s=100.0)
    left_s = time.monotonic() - heard[-1][0]
    assert left_s < 1.0
    held = [call for call in heard if call[2] == "a library's call"]
    assert len(held) > 10
    assert all(b[1] > a[1] and b[0] - a[0] < 1.0 for a, b in pairwise(held))


def test_its_errors_are_raised_here() -> None:
    with pytest.raises(ScanError, match=r"^This is no mesh\.$"):
        apart(apart_calls.refuse)
    with pytest.raises(ZeroDivisionError, match="by nought") as fault:
        apart(apart_calls.stumble)
    assert any("in stumble" in note for note in fault.value.__notes__)


def test_one_that_breaks_off_says_how_and_what_may_help() -> None:
    with pytest.raises(WorkEnded, match=r"\(signal 9, two\).*too little memory"):
        apart(apart_calls.crash)
    with pytest.raises(WorkEnded, match=r"too little memory for this. Close other programs"):
        apart(apart_calls.want_too_much)


def test_what_cannot_be_handed_over_is_a_fault_and_no_waiting() -> None:
    with pytest.raises((AttributeError, TypeError, WorkEnded)):
        apart(apart_calls.the_same, lambda: None)
    with pytest.raises(WorkEnded, match=r"lambda|local"):
        apart(apart_calls.unlike_any)


def test_it_is_ended_when_it_takes_too_long() -> None:
    begun = time.monotonic()
    with pytest.raises(TimeoutError, match="longer than 0 s"):
        apart(apart_calls.lock_kept, most_s=0.0)
    assert time.monotonic() - begun < 30.0


def test_its_environment_can_be_another() -> None:
    named = dict(os.environ, PARTLINE_TRIED="yes")
    assert apart(apart_calls.environment, "PARTLINE_TRIED", environment=named) == "yes"


@pytest.mark.skipif(sys.platform == "win32", reason="asks the system whether a process is alive")
def test_it_ends_with_the_one_that_asked(tmp_path: Path) -> None:
    note = tmp_path / "number"
    apart_calls.forsaken(str(note), progress=silent)
    number = int(note.read_text())
    end = time.monotonic() + 10.0
    while alive(number) and time.monotonic() < end:
        time.sleep(0.05)
    assert not alive(number)


def alive(number: int) -> bool:
    try:
        os.kill(number, 0)
    except ProcessLookupError:
        return False
    # One that nobody has asked how it ended stays listed.
    stat = Path(f"/proc/{number}/stat")
    return not (stat.exists() and stat.read_text().rsplit(")", 1)[1].split()[0] == "Z")


def test_asking_with_much_is_left_at_once_too() -> None:
    def leave(_fraction: float, _words: str) -> None:
        raise Cancelled

    begun = time.monotonic()
    with pytest.raises(Cancelled):
        apart(apart_calls.the_same, np.zeros(200_000_000 // 8), progress=leave)
    assert time.monotonic() - begun < 10.0
