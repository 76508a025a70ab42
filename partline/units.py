"""Units at the edges: text with a unit to mm, g, kPa and min, and back to words for the bench.

Conversions are carried out in exact fractions, so "0.1 in" is 2.54 mm and nothing near it.
"""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Callable
from fractions import Fraction
from functools import cache
from typing import Any, Literal

from partline.errors import UnitError
from partline.unit_names import (
    DENSITY,
    KINDS,
    LENGTH,
    MASS,
    PERCENT,
    PRESSURE,
    SHOWN,
    TEMPERATURE,
    TIME,
    VOLUME,
    Kind,
)

System = Literal["mm", "inches", "both"]
STANDARD_ATMOSPHERE_KPA = 101.325
FL_OZ_US_MM3 = 29573.5295625
OUNCE_G = 28.349523125
INCH_MM = 25.4


_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_DECIMAL = r"(?:\d+(?:\.\d*)?|\.\d+)(?:e[+-]?\d{1,3})?"
_AMOUNT = re.compile(
    rf"^([+-]?)\s*(?:(\d+)[\s-]+)?(?:(\d+)\s*/\s*(\d+)|({_DECIMAL}))(?![\d,.])\s*(.*)$",
    re.IGNORECASE | re.DOTALL,
)


@cache
def _registry() -> Any:
    from pint import UnitRegistry  # a third of a second: only when a quantity is read

    return UnitRegistry(non_int_type=Fraction)


@cache
def factor(kind: str, unit: str) -> Fraction:
    """Return the exact factor from a unit, as written at the bench, to partline's own.

    Parameters
    ----------
    kind : str
        "length", "volume", "mass", "time", "pressure", "density" or "share".
    unit : str
        E.g. "in", "fl oz US", "psi".

    Raises
    ------
    UnitError
        If the unit is not one of that kind.
    """
    sort = next((k for k in KINDS if k.name == kind), None)
    if sort is None or sort is TEMPERATURE:
        raise UnitError(f"There is no factor for {kind!r}.")
    registry = _registry()
    there = registry.Quantity(Fraction(1), _known_unit(unit, sort, unit))
    return Fraction(there.to(sort.base).magnitude)


def _split(text: object, kind: Kind) -> tuple[Fraction, str]:
    """Return amount and unit text; the unit may be empty."""
    if isinstance(text, bool) or not isinstance(text, str):
        if isinstance(text, (int, float)) and not isinstance(text, bool):
            raise UnitError(_bare(str(text), kind))
        raise UnitError(f"{text!r} is not a {kind.name}. Write it like {kind.examples}.")
    words = text.strip()
    for sign, fraction in _VULGAR.items():
        words = words.replace(sign, f" {fraction}").strip()
    match = _AMOUNT.match(words)
    if match is None:
        comma = " Use a point, not a comma." if re.match(r"^[+-]?\d+,\d", words) else ""
        raise UnitError(f'"{text}" is not a {kind.name}. Write it like {kind.examples}.{comma}')
    sign, whole, over, under, decimal, unit = match.groups()
    if decimal is not None and whole is not None:
        raise UnitError(f'"{text}" has two numbers. Write it like {kind.examples}.')
    if under is not None and int(under) == 0:
        raise UnitError(f'"{text}" divides by zero. Write it like {kind.examples}.')
    amount = Fraction(decimal) if decimal else int(whole or 0) + Fraction(int(over), int(under))
    return (-amount if sign == "-" else amount), unit.strip()


def _bare(number: str, kind: Kind) -> str:
    shown = [f'"{number} {u}"' for u in SHOWN[kind.name]]
    return (
        f"{number} has no unit. A {kind.name} needs one: " + ", ".join(shown[:-1])
        + (f" or {shown[-1]}." if len(shown) > 1 else f"{shown[-1]}.")
    )  # fmt: skip


def _known_unit(unit: str, kind: Kind, text: str) -> str:
    """Return the units library's name of a unit as written, or explain what it could be."""
    plain = re.sub(r"\s+", " ", unit.lower().strip())
    if kind is VOLUME:
        plain = _sided(plain, text)
    if plain in kind.units:
        return kind.units[plain]
    other = next((k for k in KINDS if plain in k.units), None)
    if other is not None:
        raise UnitError(
            f'"{text}" is a {other.name}; here a {kind.name} is wanted, like {kind.examples}.'
        )
    near = difflib.get_close_matches(plain, kind.units, n=1)
    hint = f' Did you mean "{near[0]}"?' if near else ""
    raise UnitError(
        f'"{unit}" in "{text}" is not a unit of {kind.name}.{hint} Write it like {kind.examples}.'
    )


def _sided(plain: str, text: str) -> str:
    """Bring "US fl oz", "fl. oz. (UK)", "imp pint" to one form; refuse one without a side."""
    words = plain.replace(".", " ").replace("(", " ").replace(")", " ").replace("floz", "fl oz")
    words = re.sub(r"\b(fluid ounces?|fl ?oz)\b", "fl oz", re.sub(r"\s+", " ", words))
    words = re.sub(r"\b(gallons?|gals)\b", "gal", re.sub(r"\bquarts?\b", "qt", words))
    words = re.sub(r"\bpints?\b", "pt", words)
    words = re.sub(r"\b(imp|imperial|british)\b", "uk", re.sub(r"\b(usa|american)\b", "us", words))
    sides = [side for side in ("us", "uk") if re.search(rf"\b{side}\b", words)]
    rest = re.sub(r"\s+", " ", re.sub(r"\b(us|uk)\b", " ", words)).strip()
    if rest in ("oz", "ounce", "ounces"):
        raise UnitError(
            f'"{text}": an ounce alone is a weight. For a volume write "fl oz US" (29.57 mL) or '
            '"fl oz UK" (28.41 mL).'
        )
    if rest not in ("fl oz", "pt", "qt", "gal"):
        return plain
    if len(sides) != 1:
        apart = "3.9 % smaller" if rest == "fl oz" else "a fifth larger"
        raise UnitError(
            f'"{text}" could be US or UK, and the UK one is {apart}. Write "{rest} US" or '
            f'"{rest} UK".'
        )
    return f"{rest} {sides[0]}"


def _finite(value: Fraction, text: str) -> float:
    try:
        return float(value)
    except OverflowError:
        raise UnitError(f'"{text}" is too large to be meant.') from None


def _read(text: object, kind: Kind) -> float:
    amount, unit = _split(text, kind)
    if not unit:
        raise UnitError(_bare(str(text).strip(), kind))
    return _finite(amount * factor(kind.name, _unit_key(unit, kind, str(text))), str(text))


def _unit_key(unit: str, kind: Kind, text: str) -> str:
    _known_unit(unit, kind, text)  # so that an error shows the whole text, not only the unit
    return unit


def length_mm(text: object) -> float:
    """Read a length such as "62 mm", "2 7/16 in", '1/2"' or "6.2 cm" [mm].

    Raises
    ------
    UnitError
        If it is not a length or has no unit; the text names the units it could have.
    """
    return _read(text, LENGTH)


def volume_mm3(text: object) -> float:
    """Read a volume such as "250 mL" or "9 fl oz US" [mm^3]; US and UK are never guessed.

    Raises
    ------
    UnitError
        If it is not a volume, has no unit, or does not say US or UK where they differ.
    """
    return _read(text, VOLUME)


def mass_g(text: object) -> float:
    """Read a mass such as "297g", "10.5 oz" or "2 lb" [g]; UnitError otherwise."""
    return _read(text, MASS)


def minutes(text: object) -> float:
    """Read a time such as "30 min", "90 s" or "1.5 h" [min]; UnitError otherwise."""
    return _read(text, TIME)


def density(text: object) -> float:
    """Read a density such as "1.18 g/cm3" or "1180 kg/m3" [g/cm^3]; UnitError otherwise."""
    return _read(text, DENSITY)


def percent(text: object) -> float:
    """Read a share such as "350 %" [percent]; UnitError otherwise."""
    return _read(text, PERCENT)


def celsius(text: object) -> float:
    """Read a temperature such as "21 C" or "70 F" [degrees Celsius]; UnitError otherwise."""
    amount, unit = _split(text, TEMPERATURE)
    if not unit:
        raise UnitError(_bare(str(text).strip(), TEMPERATURE))
    name = _known_unit(unit, TEMPERATURE, str(text))
    value = _finite(_registry().Quantity(amount, name).to("degree_Celsius").magnitude, str(text))
    if value < -273.15:
        raise UnitError(f'"{text}" is below absolute zero.')
    return value


_REFERENCE = re.compile(
    r"^(.*?)[\s(]*\b(gauge|absolute|abs|vacuum|below ambient|g|a)\)?$", re.IGNORECASE | re.DOTALL
)
_JOINED = {"psig": "psi gauge", "psia": "psi absolute", "barg": "bar gauge", "bara": "bar absolute"}


def pressure_kpa(text: object, *, local_kpa: float = STANDARD_ATMOSPHERE_KPA) -> float:
    """Read a pressure such as "60 psi gauge", "4 bar g" or "29 inHg vacuum" [kPa absolute].

    Parameters
    ----------
    text : str
        With a unit, and always with "gauge", "absolute" or "vacuum" (below ambient).
    local_kpa : float
        Pressure of the air in the shop, from which a gauge counts [kPa].

    Raises
    ------
    UnitError
        If it does not say gauge or absolute, has no unit, or lies below an empty space.
    """
    amount, unit = _split(text, PRESSURE)
    if not unit:
        raise UnitError(_bare(str(text).strip(), PRESSURE))
    match = _REFERENCE.match(_JOINED.get(unit.lower(), unit))
    if match is None:
        _known_unit(unit, PRESSURE, str(text))
        raise UnitError(
            f'"{text}" does not say from where it counts. Write "{text} gauge" (above the air '
            f'in the room, as a gauge reads) or "{text} absolute" (above an empty space).'
        )
    name, reference = match.group(1).strip(), match.group(2).lower()
    _known_unit(name, PRESSURE, str(text))
    value = _finite(amount * factor("pressure", name), str(text))
    if reference in ("gauge", "g"):
        value = local_kpa + value
    elif reference in ("vacuum", "below ambient"):
        value = local_kpa - value
    if value < 0:
        raise UnitError(
            f'"{text}" is below an empty space: the air in the room presses with only '
            f"{local_kpa:.1f} kPa."
        )
    return value


def _chosen(system: str, metric: str, inches: Callable[[], str]) -> str:
    if system == "mm":
        return metric
    if system == "inches":
        return inches()
    if system == "both":
        return f"{metric} ({inches()})"
    raise UnitError(f'"{system}" is not a system of measures. Say "mm", "inches" or "both".')


def _plain(value: float, decimals: int) -> str:
    """Return a number without needless zeros or a minus before nothing."""
    text = f"{value:.{decimals}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def sixteenths(mm: float) -> str:
    """Return a length in inches and the nearest bench fraction, e.g. "2 7/16 in"."""
    count = math.floor(abs(mm) / INCH_MM * 16 + 0.5)
    if count == 0:
        return "0 in" if mm == 0 else "under 1/16 in"
    whole, part = divmod(count, 16)
    fraction = Fraction(part, 16)
    words = " ".join(filter(None, [str(whole) if whole else "", str(fraction) if part else ""]))
    return f"{'-' if mm < 0 else ''}{words} in"


def format_length(mm: float, system: System = "mm", *, decimals: int = 1) -> str:
    """Return a length in words, e.g. "62 mm", "2 7/16 in" or "62 mm (2 7/16 in)".

    Parameters
    ----------
    mm : float
        Length [mm].
    system : "mm", "inches" or "both"
    decimals : int
        Most decimals of the millimetres.
    """
    return _chosen(system, f"{_plain(mm, decimals)} mm", lambda: sixteenths(mm))


def format_mass(g: float, system: System = "mm", *, decimals: int | None = None) -> str:
    """Return a mass in words, e.g. "27.0 g", "297 g" or "297 g (10.5 oz)".

    Without `decimals`, tenths below 50 g and whole grams above (common practice).
    """
    places = (1 if abs(g) < 50 else 0) if decimals is None else decimals
    return _chosen(system, f"{g:.{places}f} g", lambda: f"{g / OUNCE_G:.1f} oz")


def format_volume(mm3: float, system: System = "mm") -> str:
    """Return a volume in words, e.g. "12 mm³", "0.8 mL", "266 mL" or "266 mL (9.0 fl oz US)"."""
    if abs(mm3) < 100:
        metric = f"{_plain(mm3, 1 if abs(mm3) < 10 else 0)} mm³"
    else:
        metric = f"{_plain(mm3 / 1000, 1 if abs(mm3) < 1e5 else 0)} mL"
    ounces = mm3 / FL_OZ_US_MM3
    small = "under 0.1 fl oz US" if 0 < abs(ounces) < 0.05 else f"{ounces:.1f} fl oz US"
    return _chosen(system, metric, lambda: small)
