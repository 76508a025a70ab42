from __future__ import annotations

from partline.scan import wording
from partline.scan.draft import Finding
from partline.scan.wording import counted, near, percent, repair, sentence


def test_one_and_many():
    assert counted(1, "hole", "holes") == "1 hole"
    assert counted(0, "hole", "holes") == "0 holes"


def test_sentences_say_how_many_how_big_and_where():
    words = sentence(Finding("hole", 3, 12.34, (1.04, -0.04, 7.0), "a note"))
    assert words == "3 holes filled, the largest 12.3 mm round, near (1, 0, 7) mm (a note)."
    assert near((0.0, -0.01, 2.55)).count("-") == 0


def test_small_lengths_of_an_unknown_unit_are_not_lost():
    """A scan in metres 0.5 high: to one decimal its holes would be 0.0 round, all in one place."""
    words = sentence(Finding("hole", 3, 0.0123, (0.1234, -0.0, 0.05)), "file units")
    assert "the largest 0.0123 file units round, near (0.123, 0, 0.05) file units" in words
    assert near((1234.5, -1e-17, 2.0), "file units") == "near (1230, 0, 2) file units"


def test_every_kind_has_a_name_and_a_sentence():
    assert set(wording._SENTENCES) == set(wording._NAMES)
    for kind in wording._SENTENCES:
        made = repair(Finding(kind, 1, 2.0, (0.0, 0.0, 0.0)))
        assert made.kind == kind
        assert made.words.startswith("1 ")
        assert made.words.endswith(".")


def test_small_shares():
    assert percent(0.0262) == "2.6 %"
    assert percent(1.0) == "100 %"
    assert percent(1e-9) == "less than 0.01 %"


def test_a_gap_is_never_nothing():
    for size, words in ((0.0, "less than 0.000001 mm"), (0.004, "at most 0.004 mm")):
        assert words in sentence(Finding("gap", 2, size, (0.0, 0.0, 0.0)))
