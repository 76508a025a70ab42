"""How units are written at the bench, and what the units library calls them."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Kind:
    """What one sort of quantity is called, how it may be written, and the unit it becomes."""

    name: str
    base: str
    examples: str
    units: dict[str, str]  # as written at the bench, lower case -> name in the units library


def _names(**groups: str) -> dict[str, str]:
    return {word: unit for unit, words in groups.items() for word in words.split("|")}


LENGTH = Kind("length", "millimeter", '"62 mm", "6.2 cm", "2 7/16 in"', _names(
    millimeter="mm|millimetre|millimetres|millimeter|millimeters",
    centimeter="cm|centimetre|centimetres|centimeter|centimeters",
    meter="m|metre|metres|meter|meters",
    inch='in|in.|inch|inches|"|”|″',
    foot="ft|ft.|foot|feet|'|’|′",
))  # fmt: skip
VOLUME = Kind("volume", "millimeter**3", '"250 mL", "9 fl oz US", "9 fl oz UK"', {
    **_names(milliliter="ml|millilitre|millilitres|milliliter|milliliters", centiliter="cl",
             liter="l|litre|litres|liter|liters"),
    **dict.fromkeys(("mm3", "mm^3", "mm³"), "millimeter**3"),
    **dict.fromkeys(("cm3", "cm^3", "cm³", "cc"), "centimeter**3"),
    **dict.fromkeys(("in3", "in^3", "in³", "cu in"), "inch**3"),
    **{f"{word} us": f"US_{unit}"
       for word, unit in (("fl oz", "fluid_ounce"), ("pt", "pint"), ("qt", "liquid_quart"),
                          ("gal", "liquid_gallon"))},
    **{f"{word} uk": f"imperial_{unit}"
       for word, unit in (("fl oz", "fluid_ounce"), ("pt", "pint"), ("qt", "quart"),
                          ("gal", "gallon"))},
})  # fmt: skip
MASS = Kind("mass", "gram", '"297 g", "0.3 kg", "10.5 oz", "2 lb"', _names(
    gram="g|gram|grams|gramme|grammes", kilogram="kg|kilo|kilos|kilogram|kilograms",
    milligram="mg", ounce="oz|oz.|ounce|ounces", pound="lb|lb.|lbs|pound|pounds",
))  # fmt: skip
TIME = Kind("time", "minute", '"30 min", "90 s", "1.5 h"', _names(
    second="s|sec|secs|second|seconds", minute="min|mins|minute|minutes",
    hour="h|hr|hrs|hour|hours", day="d|day|days",
))  # fmt: skip
PRESSURE = Kind("pressure", "kilopascal", '"60 psi gauge", "4 bar gauge", "101 kPa absolute"',
                  _names(psi="psi|lb/in2", bar="bar", millibar="mbar", kilopascal="kpa",
                         pascal="pa", megapascal="mpa", atmosphere="atm", inHg="inhg|in hg",
                         mmHg="mmhg|mm hg", torr="torr"))  # fmt: skip
TEMPERATURE = Kind("temperature", "degree_Celsius", '"21 C", "70 F"', _names(
    degree_Celsius="c|°c|deg c|celsius", degree_Fahrenheit="f|°f|deg f|fahrenheit",
    kelvin="k|kelvin",
))  # fmt: skip
DENSITY = Kind("density", "gram/centimeter**3", '"1.18 g/cm3", "1180 kg/m3"', {
    **dict.fromkeys(("g/cm3", "g/cm^3", "g/cm³", "g/ml", "g/cc"), "gram/centimeter**3"),
    **dict.fromkeys(("kg/m3", "kg/m^3", "kg/m³", "g/l"), "kilogram/meter**3"),
    **dict.fromkeys(("kg/l",), "kilogram/liter"),
    **dict.fromkeys(("lb/ft3", "lb/ft^3", "lb/ft³"), "pound/foot**3"),
    **dict.fromkeys(("oz/in3", "oz/in^3", "oz/in³"), "ounce/inch**3"),
    "lb/gal us": "pound/US_liquid_gallon",
})  # fmt: skip
PERCENT = Kind("share", "percent", '"85 %"', {"%": "percent", "percent": "percent"})
KINDS = (LENGTH, VOLUME, MASS, TIME, PRESSURE, TEMPERATURE, DENSITY, PERCENT)

# The units named when one is missing.
SHOWN: dict[str, tuple[str, ...]] = {
    "length": ("mm", "cm", "m", "in"),
    "volume": ("mL", "L", "fl oz US", "fl oz UK"),
    "mass": ("g", "kg", "oz", "lb"),
    "time": ("s", "min", "h"),
    "pressure": ("psi gauge", "bar gauge", "kPa absolute"),
    "temperature": ("C", "F"),
    "density": ("g/cm3", "kg/m3"),
    "share": ("%",),
}
