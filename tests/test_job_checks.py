"""Ratings, extras and gutters of a job file: one message with key and line, before any work."""

from __future__ import annotations

from pathlib import Path

import pytest

from partline.errors import JobError
from partline.job import Job, read_job, write_job

HEAD = 'name = "peg"\n[scan]\nfile = "peg.ply"\nheight = "62 mm"\n'
RESIN = '[resin]\nkind = "opaque polyurethane resin"\n'
PARTS = 'parts = { "isocyanate part" = 1, "polyol part" = 1 }\nby = "weight"\n'


def job(text: str) -> Job:
    return read_job(HEAD + text, Path("."), check_files=False)


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ('[shop]\npressure_pot_rating = "40 psi gauge"\npressure = "60 psi gauge"\n', 7,
         "60 psi gauge, and the pot is rated for 40 psi"),
        ('[shop]\npressure = "60 psi gauge"\n', 6, "pot's own rating is not given"),
        ('[shop]\npressure_pot_rating = "60 psi gauge"\npressure = "90 psi"\n', 7,
         "gauge"),
        ('[shop]\npressure_pot_rating = "60 psi absolute"\npressure = "5 psi absolute"\n', 7,
         "pressure"),
        ('[shop]\nvacuum_chamber = true\nvacuum_chamber_rating = "20 kPa absolute"\n', 7,
         "rated down to 20 kPa"),
        (RESIN + 'extras = { pigment = "2 %" }\n', 7, "of which part"),
        (RESIN + PARTS + 'extras = { pigment = 2 }\n', 9, "no unit"),
        (RESIN + PARTS + 'extras = { pigment = "2 %" }\nextras_in = "rubber"\n', 9, "extras_in"),
        (RESIN + PARTS + 'extras = { "polyol part" = "2 %" }\n', 9, "already one of the parts"),
        ('[[shelf]]\nname = "a"\nrim = "8 cm"\nfloor = "6 cm"\nheight = "9 cm"\n'
         'ring_width = "4 mm"\n', 5, "both"),
        ('[[shelf]]\nname = "a"\nrim = "8 cm"\nfloor = "6 cm"\nheight = "9 cm"\n'
         'ring_width = "31 mm"\nring_depth = "2 mm"\n', 10, "leave nothing"),
    ],
)  # fmt: skip
def test_one_message_with_key_and_line(text: str, line: int, words: str) -> None:
    with pytest.raises(JobError, match=words) as caught:
        job(text)
    assert f"line {line}" in str(caught.value)


def test_what_is_allowed_reads_back() -> None:
    made = job(
        RESIN + PARTS + 'extras = { pigment = "2 %", "glass balloons" = "12.5 %" }\n'
        '[shop]\naltitude = "1500 m"\npressure_pot_rating = "80 psi gauge"\n'
        'pressure = "50 psi gauge"\nvacuum_chamber = true\n'
        'vacuum_chamber_rating = "0 kPa absolute"\n'
    )  # fmt: skip
    assert made.resin.extras == {"pigment": 2.0, "glass balloons": 12.5}
    assert made.shop.vacuum_chamber_rating_kpa == 0.0
    assert read_job(write_job(made), Path("."), check_files=False) == made
