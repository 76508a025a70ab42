"""The forms about the bench: what a label says comes into the job, and nothing else does."""

from __future__ import annotations

from pathlib import Path

import pytest

from partline.errors import JobError
from partline.faces.asking import FORMS, answered, entries, said, wanted
from partline.job import MaterialPart, load_job, read_job, write_job
from partline.samples import sample

WITH_LINES = FORMS[1:]


@pytest.fixture(scope="module")
def ram():
    return load_job(sample("ram.toml"))


@pytest.mark.parametrize("question", WITH_LINES)
def test_a_form_left_as_it_is_changes_nothing(ram, question):
    assert answered(ram, question, said(ram, question)) == ram


@pytest.mark.parametrize("question", WITH_LINES)
def test_every_line_says_in_a_sentence_what_is_meant(ram, question):
    for entry in entries(ram, question):
        assert entry.label
        assert entry.tip[0].isupper()
        assert entry.tip.endswith(".")


def test_a_label_is_read_into_the_job_and_out_again(ram, tmp_path):
    typed = {"kind": "addition silicone", "parts.hardener": "1", "parts.rubber": "10",
             "by": "weight", "pot_life": "0.75 h", "shore_a": "15", "density": "1,1"}  # fmt: skip
    typed["density"] = "1.1"
    job = answered(ram, "rubber", typed)
    assert job.rubber.parts == {"hardener": 1, "rubber": 10}
    assert (job.rubber.pot_life_min, job.rubber.shore_a, job.rubber.density) == (45.0, 15, 1.1)
    scans = [Path(job.scan.file).parent]
    assert read_job(write_job(job, tmp_path), tmp_path, scans=scans).rubber == job.rubber
    assert said(job, "rubber")["pot_life"] == "45"


def test_what_the_label_does_not_say_stays_open(ram):
    empty = dict.fromkeys(said(ram, "resin"), "") | {"kind": "opaque polyurethane resin"}
    job = answered(ram, "resin", empty)
    assert job.resin == MaterialPart(kind="opaque polyurethane resin")


def test_a_rating_counts_from_the_room_and_comes_back_as_typed(ram):
    typed = said(ram, "ratings") | {"pressure_pot_rating": "60", "vacuum_chamber": "yes",
                                    "vacuum_chamber_rating": "29.5 inHg vacuum"}  # fmt: skip
    job = answered(ram, "ratings", typed)
    # 60 psi of 6.894757 kPa (NIST SP 811) over 101.325 kPa.
    assert job.shop.pressure_pot_rating_kpa == pytest.approx(101.325 + 60 * 6.894757, abs=1e-3)
    assert job.shop.vacuum_chamber
    again = said(job, "ratings")
    assert (again["pressure_pot_rating"], again["vacuum_chamber_rating"]) == ("60", "29.5")
    assert answered(job, "ratings", again) == job


def test_no_rating_is_assumed(ram):
    job = answered(ram, "ratings", said(ram, "ratings") | {"vacuum_chamber": "yes"})
    assert job.shop.pressure_pot_rating_kpa is None
    assert job.shop.vacuum_chamber_rating_kpa is None


@pytest.mark.parametrize(
    ("question", "typed", "words"),
    [
        ("rubber", {"pot_life": "soon"}, "Pot life: .*not a time"),
        ("rubber", {"shore_a": "200"}, "Hardness.*at most 100"),
        ("rubber", {"by": ""}, "choose by weight or by volume"),
        ("rubber", {"by": "volume"}, "Density, hardener: .*specific gravity"),
        ("rubber", {"parts.hardener": ""}, "Parts, hardener: .*every part"),
        ("rubber", {"parts.hardener": "-3"}, "Parts, hardener: .*more than 0"),
        ("ratings", {"pressure_pot_rating": "60 psi"}, "Pressure pot.*gauge"),
        ("ratings", {"pressure_pot_rating": "60 psi vacuum"}, "Pressure pot rated for"),
        ("ratings", {"vacuum_chamber": "yes", "vacuum_chamber_rating": "2"}, "Chamber rated for"),
        ("number", {"good": "2.5"}, "Good castings: 2.5 is not a whole number"),
        ("number", {"good": "many"}, "Good castings: .*not a number"),
        ("number", {"start": "tomorrow"}, "First day of work: .*not a date"),
        ("number", {"yield_share": "120"}, "Come out good"),
    ],
)
def test_what_cannot_be_is_said_by_the_name_of_its_line(ram, question, typed, words):
    with pytest.raises(JobError, match=words) as told:
        answered(ram, question, said(ram, question) | typed)
    for key in ("parts =", "part_densities", "by =", "pressure_pot_rating", "yield_share"):
        assert key not in str(told.value)


def test_lines_that_do_not_matter_are_left_out(ram):
    lines = entries(ram, "rubber")
    assert len(wanted(lines, {"by": "volume"})) == len(wanted(lines, {"by": "weight"})) + 2
    lines = entries(ram, "ratings")
    assert len(wanted(lines, {"vacuum_chamber": "yes"})) == len(lines)
    assert len(wanted(lines, {"vacuum_chamber": "no"})) == len(lines) - 1
