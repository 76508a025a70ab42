from __future__ import annotations

import pytest

from partline.cut.rubber import lip_strain, stiffness_mpa, tearing_kj_m2, working_strain


# Gent (1958), "On the relation between indentation hardness and Young's modulus"; values worked
# from the formula by hand (formula from memory).
@pytest.mark.parametrize(
    ("shore", "modulus"), [(20, 0.732), (25, 0.924), (30, 1.142), (40, 1.690), (50, 2.46)]
)
def test_stiffness_follows_gent(shore: float, modulus: float) -> None:
    assert stiffness_mpa(shore) == pytest.approx(modulus, rel=2e-3)


@pytest.mark.parametrize("shore", [-1, 100, 120])
def test_there_is_no_such_hardness(shore: float) -> None:
    with pytest.raises(ValueError, match="Shore A"):
        stiffness_mpa(shore)


def test_the_working_strain_is_a_share_of_the_elongation() -> None:
    assert working_strain(350, 0.25) == pytest.approx(0.875)
    with pytest.raises(ValueError, match="above 0"):
        working_strain(0, 0.25)
    with pytest.raises(ValueError, match="share"):
        working_strain(350, 1.5)


def lips(**change: float) -> float:
    base = dict(
        count=1, off_middle=0, narrow_mm=100, wide_mm=100, across_mm=40, wall_mm=12, height_mm=60
    )
    return lip_strain(**{**base, **change})  # type: ignore[arg-type]


def test_a_lip_bends_as_an_arc() -> None:
    """t / 2R with R = h^2 / 2d: 12 mm over R = 90 mm is 6.7 % (closed form)."""
    assert lips() == pytest.approx(12 / (2 * 90), rel=1e-12)


def test_two_cuts_bend_half_as_much_and_one_on_a_side_twice() -> None:
    assert lips(count=2) == pytest.approx(lips() / 2)
    assert lips(off_middle=1) == pytest.approx(2 * lips())


def test_a_slim_piece_opens_more_easily_and_an_undercut_thickens_the_wall() -> None:
    assert lips(across_mm=20) < lips() < lips(height_mm=40)
    assert lips(narrow_mm=60) > lips()


@pytest.mark.parametrize(
    ("stretch", "crack", "energy"),
    [(0.2, 10, 0.71), (0.5, 10, 3.5), (1.0, 10, 10.3), (0.25, 5, 0.5), (0.5, 5, 1.7)],
)
def test_the_end_of_a_cut_tears_as_rivlin_and_thomas_say(stretch, crack, energy) -> None:
    """Worked out by hand from T = 2 k W c for Shore A 20, neo-Hookean."""
    assert tearing_kj_m2(20, stretch, crack) == pytest.approx(energy, rel=0.07)


def test_rubber_at_rest_does_not_tear() -> None:
    assert tearing_kj_m2(20, 0.0, 10) == 0
    with pytest.raises(ValueError, match="0 or more"):
        tearing_kj_m2(20, -0.1, 10)
