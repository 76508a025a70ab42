from __future__ import annotations

from partline.scan.draft import Finding
from partline.scan.fault_words import MOST_HOLES, Fault, fault_words
from partline.scan.health import Hole


def hole(length: float) -> Hole:
    return Hole(length, (1.0, 2.0, 3.0), 7, True, "down")


def test_each_place_has_the_number_of_its_sentence():
    faults = [Fault("3 edges with more than two faces", 3, (4.0, 5.0, 6.0)),
              Fault("1 face naming a corner twice", 1, None),
              Fault("1 face without area", 1, (7.0, 8.0, 9.0))]  # fmt: skip
    lines, marks = fault_words((hole(25.4),), faults, "mm")
    assert lines == [
        "[1] Hole 25.4 mm (1.00 in) round, flat, facing down, near (1, 2, 3) mm.",
        "[2] 3 edges with more than two faces, the first near (4, 5, 6) mm.",
        "1 face naming a corner twice.",
        "[3] 1 face without area, near (7, 8, 9) mm.",
    ]
    assert [mark.number for mark in marks] == [1, 2, 3]
    assert marks[2].place == (7.0, 8.0, 9.0)
    for mark in marks:
        assert f"[{mark.number}] {mark.words}" in lines


def test_no_inches_for_an_unknown_unit():
    assert "in)" not in fault_words((hole(2.0),), [], "file units")[0][0]
    assert "Hole 0.00321 file units round" in fault_words((hole(0.00321),), [], "file units")[0][0]


def test_many_holes_are_summed_up():
    lines, marks = fault_words(tuple(hole(99.0 - k) for k in range(50)), [], "mm")
    assert len(marks) == MOST_HOLES
    assert lines[-1] == f"{50 - MOST_HOLES} more holes, all smaller."


def test_few_specks_are_numbered_each_and_of_many_the_largest():
    each = ((0.5, (1.0, 2.0, 3.0)), (0.2, (4.0, 5.0, 6.0)))
    few = Finding("speck", 2, 0.5, (1.0, 2.0, 3.0), each=each)
    lines, marks = fault_words((hole(25.4),), [], "mm", few)
    assert lines[1:] == [
        "[2] Stray speck 0.5 mm across, near (1, 2, 3) mm.",
        "[3] Stray speck 0.2 mm across, near (4, 5, 6) mm.",
    ]
    assert [mark.place for mark in marks[1:]] == [place for _, place in each]
    lines, marks = fault_words((), [], "mm", Finding("speck", 40, 0.5, (1.0, 2.0, 3.0)))
    assert lines == ["[1] 40 stray specks, the largest 0.5 mm across, near (1, 2, 3) mm."]
    assert marks[0].place == (1.0, 2.0, 3.0)
