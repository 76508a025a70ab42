"""Spread of the relief: gains of waves against their closed form."""

import numpy as np
import pytest
from bodies import plate, random_sphere, roughened

from partline.detail.octaves import octave_ladder
from partline.detail.spread import octave_spreads
from partline.progress import silent

HEIGHT = 0.02


@pytest.mark.parametrize("wavelength", [0.85, 1.7, 3.4, 6.8])
def test_relief_of_a_wavy_plate(wavelength):
    # Closed form: a wave keeps 1 / (1 + k^2 t1) - 1 / (1 + k^2 t2), over four octaves; its
    # spread is its height over sqrt(2), less what the window's own mean follows.
    wave_number = 2 * np.pi / wavelength
    width = 10 * wavelength
    step = wavelength / 20
    body = plate(width, width / 2, step, lambda x, _: HEIGHT * np.cos(wave_number * x))
    ladder = octave_ladder(wavelength / 4, wavelength * 4)
    middle = (np.abs(body.vertices[:, 0] - width / 2) < width / 4) & (
        np.abs(body.vertices[:, 1] - width / 4) < width / 8
    )
    shown = octave_spreads(
        body,
        ladder,
        noise_mm=0.0,
        edge_mm=step,
        random=np.zeros(len(body.vertices)),
        edge_distance_mm=np.full(len(body.vertices), np.inf),
        band_mm=None,
        progress=silent,
    )
    for one in shown:
        octave = one.octave
        follows = 1 / (1 + wave_number**2 * (octave.scale_mm / 2) ** 2)
        spread = HEIGHT * octave.gain(wavelength) * np.sqrt((1 - follows**2) / 2)
        measured = np.sqrt(one.variance_mm2[middle].mean())
        # Octaves up to the wave's own; beyond it the plate is too small for the window.
        if octave.scale_mm <= 1.5 * wavelength:
            assert measured == pytest.approx(spread, rel=0.02)


def test_band_round_hard_edges_shows_nothing_and_leaves_the_rest_alone():
    # The same texture with and without a far hard edge: outside band and window nothing moves.
    body = plate(30, 6, 0.2, lambda x, _: HEIGHT * np.cos(2 * np.pi * x / 2.0))
    x = body.vertices[:, 0]
    ladder = octave_ladder(1.0, 2.0)
    shown = {}
    for name, distance in (("none", np.full(len(x), np.inf)), ("edge", x)):
        (shown[name],) = octave_spreads(
            body,
            ladder,
            noise_mm=0.01,
            edge_mm=0.2,
            random=np.random.default_rng(0).normal(size=len(x)),
            edge_distance_mm=distance,
            band_mm=3.0,
            progress=silent,
        )
    assert shown["edge"].variance_mm2[x <= 3.0].max() == 0
    assert shown["edge"].noise_mm2[x <= 3.0].max() == 0
    far = x > 15.0
    for name in ("variance_mm2", "noise_mm2"):
        with_edge, without = getattr(shown["edge"], name), getattr(shown["none"], name)
        np.testing.assert_allclose(with_edge[far], without[far], rtol=0.02)
    # Beside the band the window is one-sided, yet of the right size.
    beside = (x > 3.2) & (x < 6.0)
    ratio = shown["edge"].variance_mm2[beside].mean() / shown["none"].variance_mm2[beside].mean()
    assert ratio == pytest.approx(1.0, abs=0.15)


def test_noise_beside_a_band_is_that_of_the_rest():
    # What lies in the band is none of the mean: it had halved the noise beside a broad band.
    body = plate(30, 12, 0.2, lambda x, _: 0 * x)
    x = body.vertices[:, 0]
    for distance in (np.full(len(x), np.inf), np.where(x < 15, 0.0, np.inf)):
        (one,) = octave_spreads(
            body, octave_ladder(1.0, 2.0), noise_mm=0.01, edge_mm=0.2,
            random=np.random.default_rng(0).normal(size=len(x)), edge_distance_mm=distance,
            band_mm=None, progress=silent,
        )  # fmt: skip
        beside = one.noise_mm2[(x >= 15) & (x < 17)].mean()
        far = one.noise_mm2[(x > 20) & (x < 26)].mean()
        assert beside == pytest.approx(far, rel=0.15)


def test_noise_of_each_octave_is_what_its_floor_says():
    """Noise of one draw on a curved, unevenly meshed body; the floor comes from another draw."""
    noise_mm = 0.02
    body = random_sphere(12_000, 15.0)
    rough = roughened(body, noise_mm)
    numbers = np.random.default_rng(3).normal(size=len(body.vertices))

    def spreads(surface, noise_mm):
        return tuple(
            octave_spreads(
                surface,
                octave_ladder(0.5, 8.0),
                noise_mm=noise_mm,
                edge_mm=0.5,
                random=numbers,
                edge_distance_mm=np.full(len(numbers), np.inf),
                band_mm=None,
                progress=silent,
            )
        )

    shown, plain = spreads(rough, noise_mm), spreads(body, 0.0)
    assert len(shown) == 4
    areas = np.bincount(body.faces.ravel(), np.repeat(body.face_areas, 3))
    for one, form in zip(shown, plain, strict=True):
        # What the sphere's own mesh shows without noise is not noise.
        measured = np.average(one.variance_mm2 - form.variance_mm2, weights=areas)
        assert measured == pytest.approx(np.average(one.noise_mm2, weights=areas), rel=0.1)
