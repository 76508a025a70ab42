"""How long a move is held, from its definition, and for what it is not."""

from __future__ import annotations

import numpy as np
import pytest
from serpentine import serpentine

from partline.air.hold import hold_s, worth_waiting_for
from partline.air.pockets import trapped_air
from partline.air.rocking import plan_rocking

BUBBLE = np.pi / 6.0 * 0.5**3


@pytest.mark.parametrize(
    ("freed", "bubble"),
    [
        ([30.0], 30.0),
        ([30.0, 1.0], 30.0),  # a thirtieth of it: not waited for
        ([1.0, 30.0, 2.0], 2.0),  # 3 of 33 is more than a twentieth, the 1 alone is less
        ([10.0, 10.0, 10.0], 10.0),
        ([0.2, 0.06], 0.2),  # less than one visible bubble is left
        ([0.2, 0.06, 0.06], 0.06),
        ([0.0, 0.0], 0.0),
        ([], 0.0),
    ],
)
def test_the_smallest_bubble_worth_waiting_for(freed: list[float], bubble: float) -> None:
    assert worth_waiting_for(freed, visible_mm3=BUBBLE) == bubble


def test_many_small_pockets_are_waited_for_when_together_they_are_much() -> None:
    assert worth_waiting_for([10.0] + [0.1] * 100, visible_mm3=BUBBLE) == 0.1


def test_the_time_is_that_of_stokes() -> None:
    # v = rho g d^2 / (18 mu): 1.05 g/cm^3, 1 mm, 0.1 Pa s (Stokes 1851): 5.72 mm/s.
    assert hold_s(np.pi / 6.0, 100.0, viscosity_pa_s=0.1, density=1.05) == 18.0
    # A ball of half the width takes four times as long.
    assert hold_s(BUBBLE, 100.0, viscosity_pa_s=0.1, density=1.05) == 70.0


def test_a_move_is_held_for_what_it_frees_itself() -> None:
    cavity = serpentine(2)
    volumes = [p.volume_mm3 for p in trapped_air(cavity, (0.0, 0.0, -1.0)).pockets]
    volumes[int(np.argmin(volumes))] = 0.1
    plan = plan_rocking(
        cavity, air_in=volumes, max_tilt_deg=30, max_moves=3, viscosity_pa_s=0.1, density=1.05
    )
    held = [
        hold_s(v, cavity.fans.size, viscosity_pa_s=0.1, density=1.05)
        for v in (min(volumes), max(volumes))
    ]
    # One move frees no more than the speck and waits for it, the other frees a whole run.
    assert sorted(m.hold_s for m in plan.moves) == sorted(held)
    assert held[0] > 5.0 * held[1]
