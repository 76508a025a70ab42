"""How big the piece will be: one statement, nothing guessed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from partline.errors import UnitError
from partline.geometry.surface import Floats

# NIST SP 811 (2008), Appendix B.8: 1 in = 25.4 mm and 1 ft = 304.8 mm exactly.
MM_PER_INCH = 25.4
UNITS_MM = {
    "um": 1e-3, "mm": 1.0, "cm": 10.0, "dm": 100.0, "m": 1000.0,
    "in": MM_PER_INCH, "inch": MM_PER_INCH, "ft": 304.8,
}  # fmt: skip
SMALLEST_MM = 5.0
LARGEST_MM = 1000.0
Measurement = tuple[ArrayLike, ArrayLike, float]


@dataclass(frozen=True, eq=False)
class Size:
    """The one statement that sets the size; all None where none was made.

    Attributes
    ----------
    height_mm : float or None
        Finished height along `up` [mm].
    units : str or None
        Unit of the file's coordinates.
    measured : (point, point, length) or None
        Two (3,) points in the file's coordinates and the distance between them [mm].
    by_file : bool
        Whether the file says its unit itself.
    """

    height_mm: float | None = None
    units: str | None = None
    measured: Measurement | None = None
    by_file: bool = False

    @property
    def is_said(self) -> bool:
        """Whether any statement was made."""
        return any(v is not None for v in (self.height_mm, self.units, self.measured))

    def checked(self, *, needed: bool) -> Size:
        """Return itself if exactly one statement was made (or, unless needed, none).

        Raises
        ------
        UnitError
            Otherwise, or if the statement makes no sense.
        """
        given = [
            name for name in ("height_mm", "measured", "units") if getattr(self, name) is not None
        ]
        if len(given) > 1:
            often = "twice" if len(given) == 2 else f"{len(given)} times"
            names = {"height_mm": "height", "measured": "measured length"}
            said = " and ".join(names.get(name, name) for name in given)
            raise UnitError(f"The size is stated {often}: by {said}. Keep one.")
        if not given and needed:
            raise UnitError(
                "STL, OBJ and PLY files have no unit, and none is guessed. State one of: the "
                "finished height (height_mm), one measured distance between two points "
                f"(measured), or the file's unit (units: {', '.join(UNITS_MM)})."
            )
        if self.units is not None and self.units not in UNITS_MM:
            raise UnitError(f"Unit {self.units!r} is not known. It can be {', '.join(UNITS_MM)}.")
        for name, value in (("height", self.height_mm), ("measured length", self._length())):
            if value is not None and not (isinstance(value, int | float) and 0 < value < np.inf):
                raise UnitError(f"The {name} is {value} mm. It must be a number above nothing.")
        return self

    def _length(self) -> float | None:
        return None if self.measured is None else self.measured[2]

    def scale(self, upright: Floats) -> float:
        """Return how many mm one unit of the file is.

        Parameters
        ----------
        upright : (n, 3) float64
            The vertices, turned so that +Z is up, in the file's unit.

        Raises
        ------
        UnitError
            If the piece has no height, or the two measured points are one.
        """
        if self.units is not None:
            return UNITS_MM[self.units]
        if self.height_mm is not None:
            rise = float(np.ptp(upright[:, 2]))
            if rise <= 0:
                raise UnitError("The mesh has no height along up. State another up, or its units.")
            return self.height_mm / rise
        if self.measured is None:
            return 1.0
        try:
            start, stop = (np.asarray(p, dtype=np.float64) for p in self.measured[:2])
        except (TypeError, ValueError) as fault:
            raise UnitError(f"The measured points must be three numbers each: {fault}.") from fault
        gap = float(np.linalg.norm(stop - start)) if start.shape == stop.shape == (3,) else 0.0
        if not np.isfinite(gap) or gap <= 0:
            raise UnitError("The two measured points must be two places of three numbers each.")
        return float(self.measured[2]) / gap

    @property
    def words(self) -> str:
        """How the size was set."""
        if self.height_mm is not None:
            inches = f"{self.height_mm / MM_PER_INCH:.4g}"
            return f"height {self.height_mm:g} mm ({inches} in), as stated"
        if self.units is not None:
            source = "the file itself says" if self.by_file else "stated"
            return f"file in {self.units}, as {source}"
        if self.measured is not None:
            return f"{float(self.measured[2]):g} mm between two points, as measured"
        return "no size stated, lengths in the file's own unit"

    def told(self, extents: Floats) -> str:
        """Return how the size was set, and the (3,) size that came of it [mm]."""
        tall, words = float(extents[2]), self.words
        if self.height_mm is not None and abs(tall - self.height_mm) > 0.05:
            words += f", for the scan; {tall:.1f} mm as the new surface is drawn"
        return f"{words}: {extent_words(extents)}"


def extent_words(extents: Floats) -> str:
    """Return a (3,) size [mm] in mm and inches."""
    mm = " x ".join(f"{value:.1f}" for value in extents)
    inches = " x ".join(f"{value / MM_PER_INCH:.2f}" for value in extents)
    return f"{mm} mm ({inches} in) wide, deep and high"


def size_warnings(extents: Floats, size: Size) -> list[str]:
    """Return a warning when a piece is under 5 mm or over 1 m [mm], and what to check then."""
    largest = float(np.max(extents))
    if SMALLEST_MM <= largest <= LARGEST_MM:
        return []
    is_small = largest < SMALLEST_MM
    told = f"only {largest:.3g} mm" if is_small else f"{largest / 1000:.3g} m"
    check = f"unit: it may be in {'metres' if is_small else 'millimetres'}"
    if size.height_mm is not None:
        check = "height that is stated, and which way is up"
    elif size.measured is not None:
        check = "two points and the length between them"
    return [f"It is {told} across. Check the {check}."]


def unit_warnings(size: Size, unit: str) -> list[str]:
    """Return a warning when a unit is stated that is not the one the file itself has."""
    if not unit or size.units in (None, unit):
        return []
    return [f"The file itself says it is in {unit}; it was taken to be in {size.units}, as stated."]
