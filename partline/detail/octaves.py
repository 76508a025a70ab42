"""The octaves in which detail is looked for, and what each keeps of a wave."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from partline.geometry.surface import Floats


@dataclass(frozen=True)
class Octave:
    """One band of wavelengths: what an S-filter lets by and an L-filter then takes away.

    The words are those of ISO 25178-2 (from memory; the standard's text was not opened): the
    S-filter removes the smallest wavelengths, the L-filter the largest, and the nesting index
    is the wavelength of which either keeps one half. One implicit heat step keeps one half
    where k^2 t = 1, so t = (wavelength / 2 pi)^2. These are not the standard's Gaussian filters.

    Attributes
    ----------
    s_mm, l_mm : float
        Nesting index of the S-filter and of the L-filter [mm].
    """

    s_mm: float
    l_mm: float

    @property
    def fine_mm2(self) -> float:
        """t of the S-filter [mm^2]."""
        return (self.s_mm / (2.0 * np.pi)) ** 2

    @property
    def coarse_mm2(self) -> float:
        """t of the L-filter [mm^2]."""
        return (self.l_mm / (2.0 * np.pi)) ** 2

    @property
    def scale_mm(self) -> float:
        """Wavelength it answers best: the geometric middle [mm]."""
        return float(np.sqrt(self.s_mm * self.l_mm))

    @property
    def peak(self) -> float:
        """Greatest gain, (sqrt(q) - 1) / (sqrt(q) + 1) with q = t_coarse / t_fine [1]."""
        ratio = self.l_mm / self.s_mm
        return (ratio - 1.0) / (ratio + 1.0)

    def gain(self, wavelength_mm: ArrayLike) -> Floats:
        """Share of a wave's height that the octave keeps on a plane [1]."""
        k2 = (2.0 * np.pi / np.asarray(wavelength_mm, dtype=np.float64)) ** 2
        return 1.0 / (1.0 + k2 * self.fine_mm2) - 1.0 / (1.0 + k2 * self.coarse_mm2)


def octave_ladder(finest_mm: float, coarsest_mm: float) -> tuple[Octave, ...]:
    """Return octaves upward from the finest until the coarsest is reached, at least one.

    The ladder hangs on the two lengths only, never on the mesh, so that two meshes of one part
    are measured alike.
    """
    count = max(1, round(float(np.log2(coarsest_mm / finest_mm))))
    return tuple(Octave(finest_mm * 2.0**k, finest_mm * 2.0 ** (k + 1)) for k in range(count))


# As good as an endless ladder, and the waves of one octave of it [mm].
_ENDLESS = tuple(Octave(2.0**k, 2.0 ** (k + 1)) for k in range(-20, 21))
_WAVES = 2.0 ** np.linspace(0.0, 1.0, 33)[:-1]


def slope_factor() -> float:
    """Factor from (height / scale), added in squares over octaves, to root-mean-square slope.

    A wave of height a and wave number k has the slope Sdq = a k / sqrt(2); an endless ladder
    of octaves sees the same share of it at every wavelength, to one part in a thousand.
    """
    seen = sum((octave.gain(_WAVES) * _WAVES / octave.scale_mm) ** 2 for octave in _ENDLESS)
    return float(2.0 * np.pi / np.sqrt(np.mean(seen)))


def relief_factor() -> float:
    """Factor between root-mean-square height and heights added in squares over octaves.

    An endless ladder of octaves sees the same share of a wave's height at every wavelength, to
    one part in a thousand: less than half of it, as the octaves take it apart.
    """
    return float(np.sqrt(np.mean(sum(octave.gain(_WAVES) ** 2 for octave in _ENDLESS))))
