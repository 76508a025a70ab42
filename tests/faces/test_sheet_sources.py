"""Every figure on the last page says whose it is."""

from __future__ import annotations

import dataclasses
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan

from partline.faces.sheet_sources import certificates, methods, provenance, used_figures
from partline.plan import Plan
from partline.workshop.materials import TAGS


@pytest.fixture(scope="module")
def plan() -> Plan:
    return fake_plan()


def with_job(plan: Plan, part: str, **fields: object) -> Plan:
    changed = getattr(plan.job, part).model_copy(update=fields)
    return dataclasses.replace(plan, job=plan.job.model_copy(update={part: changed}))


def test_each_row_has_a_value_and_an_origin(plan: Plan) -> None:
    rows = used_figures(plan, "mm")
    assert len({what for what, _ in rows}) == len(rows)
    for what, said in rows:
        assert said.words, what
        assert said.tag in ("default", "yours"), what
        origins = (*TAGS, "stated in the job file")
        assert said.source.startswith(origins), (what, said.source)
        if said.source.startswith("published"):
            assert len(said.source) > len("published: ")


def test_what_the_user_stated_is_theirs(plan: Plan) -> None:
    key = "least rubber beside the piece"
    assert dict(used_figures(plan, "mm"))[key].tag == "default"
    stated = dict(used_figures(with_job(plan, "stand", wall_mm=12.2), "mm"))
    assert stated[key].tag == "yours"
    density = "density of the rubber (condensation silicone)"
    assert dict(used_figures(plan, "mm"))[density].tag == "default"
    assert dict(used_figures(with_job(plan, "rubber", density=1.3), "mm"))[density].tag == "yours"


def test_own_figures_are_measured_by_you(plan: Plan, tmp_path: Path) -> None:
    own = tmp_path / "mine.toml"
    own.write_text("[air]\nvisible_bubble_mm = 0.8\n")
    rows = dict(used_figures(with_job(plan, "shop", defaults=own), "mm"))
    said = rows["diameter of the smallest bubble anyone would fill"]
    assert (said.words, said.tag, said.source) == ("0.8 mm", "yours", "measured by you")


def test_certificates_state_the_bound(plan: Plan) -> None:
    words = certificates(plan)
    assert words[0] == plan.cut.certificate
    # the best leaves 12 mm^3 and the gap is 1 mm^3
    assert (
        "Resin pour: no tip within 30° leaves less than 11 mm³ of air; the one named leaves "
        in (words[-1])
    )
    none = dataclasses.replace(plan, cut=dataclasses.replace(plan.cut, lines=(), certificate=""))
    assert len(certificates(none)) == 2
    assert all(m.endswith(".") for m in methods(plan))


def test_provenance_tells_two_sheets_apart(plan: Plan) -> None:
    said = provenance(plan)
    assert said["file"] == plan.master.path
    assert len(said["sha256"]) == 64
