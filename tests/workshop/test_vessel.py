"""Inner sizes of containers from the shelf and from stock."""

from __future__ import annotations

import pytest

from partline.errors import WorkshopError
from partline.job import ShelfItem
from partline.workshop.fitting import frustum_mm3
from partline.workshop.materials import defaults
from partline.workshop.vessel import own_vessels, stock_vessels

NOMINAL_ML = {"oz": 29.5735, "mL": 1.0, "L": 1000.0, "qt": 946.353, "gal": 3785.41}


def test_a_stock_cup_holds_a_little_more_than_its_name_says() -> None:
    """Nominal sizes of drinking cups are filled below the brim: common practice, no source."""
    for cup in stock_vessels(defaults().stock, 100.0):
        if cup.kind == "cup":
            words = cup.name.split()
            nominal = float(words[0]) * NOMINAL_ML[words[-2]]
            brim = frustum_mm3(cup.floor_mm / 2, cup.slope, cup.height_mm) / 1000
            assert 1.0 <= brim / nominal <= 1.25, cup.name
            least = 0.0 if cup.name.endswith("pail") else 0.09  # cups taper by 5 to 8 degrees
            assert least <= cup.slope <= 0.1415, cup.name


def test_a_pipe_is_cut_to_length() -> None:
    pipe = ShelfItem(name="pipe", kind="pipe", rim_mm=80.0, height_mm=400.0)
    assert own_vessels([pipe], 90.0)[0].height_mm == 90.0
    assert own_vessels([pipe], 500.0)[0].height_mm == 400.0
    assert all(v.height_mm <= 90.0 for v in stock_vessels(defaults().stock, 90.0)
               if v.kind == "pipe")  # fmt: skip


def test_a_tapered_tub_keeps_its_lean_on_all_sides() -> None:
    tub = ShelfItem(name="tub", kind="box", rim_mm=100, floor_mm=90, depth_mm=60, height_mm=50)
    vessel = own_vessels([tub], 90.0)[0]
    assert (vessel.floor_mm, vessel.floor_depth_mm, vessel.slope) == (90.0, 50.0, 0.1)


def test_a_kind_that_does_not_exist() -> None:
    odd = ShelfItem.model_construct(name="odd", kind="sphere", rim_mm=1.0, floor_mm=None,
                                    depth_mm=None, height_mm=1.0, floor_rise_mm=0.0)  # fmt: skip
    with pytest.raises(WorkshopError, match='"sphere"; say cup, pipe or box'):
        own_vessels([odd], 90.0)
