"""The closed list of units: one table per kind of quantity, each row a factor to SI.

A kind is a dimension plus what the trade means by it: gauge, absolute and differential pressure
are three kinds, and so are a temperature and a temperature difference.  Adding a unit means adding
one row here; `units` needs no change.

Legal values are exact by definition: lb 0.45359237 kg, imperial gallon 4.54609 L, US gallon
231 cubic inches, foot 0.3048 m, nautical mile 1852 m, standard gravity 9.80665 m/s2, international-
table Btu 1055.05585262 J.  Mercury is taken at 13595.1 kg/m3 and water at 1000 kg/m3, the
conventional values.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

INCH, FOOT, YARD, MILE, NAUTICAL_MILE = 0.0254, 0.3048, 0.9144, 1609.344, 1852.0
POUND, GRAVITY = 0.45359237, 9.80665
IMPERIAL_GALLON, US_GALLON = 4.54609e-3, 231 * INCH**3
POUND_FORCE = POUND * GRAVITY
PSI = POUND_FORCE / INCH**2
BTU = 1055.05585262
HORSEPOWER = 550 * FOOT * POUND_FORCE
RANKINE = 5 / 9
INCH_MERCURY = 13595.1 * GRAVITY * INCH
MILLIMETRE_MERCURY = 13595.1 * GRAVITY * 1e-3
MILLIMETRE_WATER, INCH_WATER = GRAVITY, 1000 * GRAVITY * INCH
STANDARD_ATMOSPHERE = 101325.0


@dataclass(frozen=True)
class Unit:
    """One unit: its printed symbol, SI value of one unit, SI value at its zero, other spellings."""

    symbol: str
    factor: float
    aliases: tuple[str, ...] = ()
    offset: float = 0.0


@dataclass(frozen=True)
class Kind:
    """One kind of quantity: what it is called, its SI unit, how it is written, and its units."""

    name: str
    noun: str
    si_unit: str
    example: str
    units: tuple[Unit, ...]
    family: str = ""
    compound: tuple[str, ...] = ()
    lowest: float = -math.inf
    lowest_means: str = ""
    hints: Mapping[str, str] = field(default_factory=dict)


def _scaled(unit_text: str, factor: float, *aliases: str) -> Unit:
    return Unit(unit_text, factor, aliases)


_LENGTH = (
    _scaled("m", 1.0, "metre", "metres", "meter", "meters"),
    _scaled("cm", 1e-2),
    _scaled("mm", 1e-3),
    _scaled("km", 1e3, "kilometre", "kilometres"),
    _scaled("mile", MILE, "miles", "mi", "statute mile", "statute miles"),
    _scaled("nmi", NAUTICAL_MILE, "nautical mile", "nautical miles", "NM"),
    _scaled("ft", FOOT, "foot", "feet"),
    _scaled("in", INCH, "inch", "inches"),
    _scaled("yd", YARD, "yard", "yards"),
)
_GAUGE = (
    Unit("bar gauge", 1e5, ("bar", "barg", "bar g")),
    Unit("psi gauge", PSI, ("psi", "psig", "psi g", "PSI", "PSIG", "lb/in2", "lbf/in2")),
    Unit("kPa gauge", 1e3, ("kPa", "kPag", "kPa g")),
    Unit("MPa gauge", 1e6, ("MPa",)),
    Unit("Pa gauge", 1.0, ("Pa",)),
    Unit("inHg gauge", INCH_MERCURY, ("inHg", "in Hg")),
    Unit("inHg vacuum", -INCH_MERCURY, ("in Hg vacuum",)),
    Unit("kg/cm2 gauge", GRAVITY * 1e4, ("kg/cm2", "kgf/cm2")),
)
_ABSOLUTE = (
    Unit("bar abs", 1e5, ("bara", "bar a", "bar absolute")),
    Unit("psia", PSI, ("psi abs", "psi a", "psi absolute", "PSIA")),
    Unit("kPa abs", 1e3, ("kPaa", "kPa a", "kPa absolute")),
    Unit("MPa abs", 1e6, ("MPa absolute",)),
    Unit("Pa abs", 1.0, ("Pa absolute",)),
    Unit("inHg abs", INCH_MERCURY, ("in Hg abs", "inHg absolute")),
    Unit("mmHg abs", MILLIMETRE_MERCURY, ("mm Hg abs",)),
)
_BAROMETER = (
    Unit("hPa", 100.0),
    Unit("mbar", 100.0, ("millibar", "millibars", "mb")),
    Unit("kPa", 1e3, ("kPa abs",)),
    Unit("Pa", 1.0, ("Pa abs",)),
    Unit("bar", 1e5, ("bar abs", "bara")),
    Unit("inHg", INCH_MERCURY, ("in Hg", "inHg abs")),
    Unit("mmHg", MILLIMETRE_MERCURY, ("mm Hg",)),
    Unit("psia", PSI, ("psi abs",)),
)
_DIFFERENCE = (
    Unit("Pa", 1.0),
    Unit("mm water", MILLIMETRE_WATER, ("mmH2O", "mm H2O", "mm w.g.", "mm wg", "mm WG")),
    Unit("in water", INCH_WATER, ("inH2O", "in H2O", "in w.g.", "in wg", "in WG", "inches water")),
    Unit("m water", 1000 * GRAVITY, ("mH2O",)),
    Unit("ft water", 1000 * GRAVITY * FOOT, ("ftH2O",)),
    Unit("kPa", 1e3),
    Unit("mbar", 100.0),
    Unit("bar", 1e5),
    Unit("psi", PSI, ("PSI",)),
    Unit("inHg", INCH_MERCURY, ("in Hg",)),
)
_TIME = (
    _scaled("s", 1.0, "sec", "secs", "second", "seconds"),
    _scaled("min", 60.0, "mins", "minute", "minutes"),
    _scaled("h", 3600.0, "hr", "hrs", "hour", "hours"),
    _scaled("day", 86400.0, "days", "d"),
)
_MASS = (
    _scaled("kg", 1.0, "kgs", "kilogram", "kilograms"),
    _scaled("g", 1e-3, "gram", "grams"),
    _scaled("t", 1e3, "tonne", "tonnes"),
    _scaled("lb", POUND, "lbs", "pound", "pounds"),
    _scaled("cwt", 112 * POUND, "hundredweight"),
    _scaled("long ton", 2240 * POUND, "long tons"),
)
_VOLUME = (
    _scaled("L", 1e-3, "l", "litre", "litres", "liter", "liters"),
    _scaled("mL", 1e-6, "ml"),
    _scaled("m3", 1.0, "cubic metre", "cubic metres"),
    _scaled("cm3", 1e-6, "cc"),
    _scaled("imp gal", IMPERIAL_GALLON, "imperial gallon", "imperial gallons", "imp gallons"),
    _scaled("US gal", US_GALLON, "US gallon", "US gallons"),
    _scaled("imp pint", IMPERIAL_GALLON / 8, "imp pints", "imperial pint", "imperial pints"),
    _scaled("in3", INCH**3, "cu in", "cubic inch", "cubic inches"),
    _scaled("ft3", FOOT**3, "cu ft", "cubic foot", "cubic feet"),
)
_CELSIUS = ("degC", "deg C", "C", "degrees C")
_FAHRENHEIT = ("degF", "deg F", "F", "degrees F")

_KINDS = (
    Kind("length", "a length", "m", "3.2 km", _LENGTH, compound=("ft", "in")),
    Kind("area", "an area", "m2", "0.25 m2", (
        _scaled("m2", 1.0, "sq m", "square metres"),
        _scaled("cm2", 1e-4, "sq cm"),
        _scaled("mm2", 1e-6, "sq mm"),
        _scaled("ft2", FOOT**2, "sq ft", "square feet"),
        _scaled("in2", INCH**2, "sq in", "square inches"),
    )),
    Kind("volume", "a volume", "m3", "25 L", _VOLUME),
    Kind("mass", "a mass", "kg", "40 kg", _MASS, compound=("long ton", "cwt", "lb")),
    Kind("time", "a length of time", "s", "25 min", _TIME, compound=("day", "h", "min", "s")),
    Kind("speed", "a speed", "m/s", "6 kn", (
        _scaled("m/s", 1.0),
        _scaled("kn", NAUTICAL_MILE / 3600, "knot", "knots", "kt", "kts"),
        _scaled("mph", MILE / 3600, "mile/h", "miles/h"),
        _scaled("km/h", 1 / 3.6, "kph"),
        _scaled("ft/s", FOOT),
        _scaled("m/min", 1 / 60),
    )),
    Kind("gauge_pressure", "a gauge pressure", "Pa", "75 psi", _GAUGE, family="a pressure", hints={
        "absolute_pressure": "a gauge reads above the air outside, so take off the air's pressure, "
                             "about 14.7 psi or 1.013 bar"}),
    Kind("absolute_pressure", "an absolute pressure", "Pa", "90 psia", _ABSOLUTE, lowest=0.0,
         lowest_means="an absolute pressure cannot be below nothing", hints={
             "gauge_pressure": "say absolute as 'psia' or 'bar abs', with the air's pressure added"}),
    Kind("barometer_pressure", "a barometer reading", "Pa", "1013 hPa", _BAROMETER, lowest=0.0,
         lowest_means="the air's pressure cannot be below nothing"),
    Kind("pressure_difference", "a pressure difference", "Pa", "12 mm water", _DIFFERENCE),
    Kind("temperature", "a temperature", "K", "15 °C", (
        Unit("°C", 1.0, _CELSIUS, 273.15),
        Unit("°F", RANKINE, _FAHRENHEIT, 459.67 * RANKINE),
        Unit("K", 1.0),
    ), lowest=0.0, lowest_means="that is below absolute zero, -273.15 °C"),
    Kind("temperature_difference", "a temperature difference", "K", "20 °C", (
        Unit("K", 1.0),
        Unit("°C", 1.0, _CELSIUS),
        Unit("°F", RANKINE, _FAHRENHEIT),
    )),
    Kind("fraction", "a fraction", "1", "60 %", (_scaled("%", 0.01, "percent", "per cent"),)),
    Kind("mass_flow", "a mass flow", "kg/s", "40 kg/h", (
        _scaled("kg/h", 1 / 3600),
        _scaled("kg/s", 1.0),
        _scaled("kg/min", 1 / 60),
        _scaled("g/s", 1e-3),
        _scaled("lb/h", POUND / 3600),
        _scaled("lb/min", POUND / 60),
    )),
    Kind("volume_flow", "a volume flow", "m3/s", "1.5 L/min", (
        _scaled("L/min", 1e-3 / 60, "l/min"),
        _scaled("L/h", 1e-3 / 3600, "l/h"),
        _scaled("L/s", 1e-3, "l/s"),
        _scaled("mL/h", 1e-6 / 3600, "ml/h"),
        _scaled("m3/h", 1 / 3600),
        _scaled("m3/s", 1.0),
        _scaled("imp gal/h", IMPERIAL_GALLON / 3600),
        _scaled("imp gal/min", IMPERIAL_GALLON / 60),
        _scaled("US gal/h", US_GALLON / 3600),
        _scaled("US gal/min", US_GALLON / 60),
    )),
    Kind("power", "a power", "W", "4 kW", (
        _scaled("W", 1.0, "watt", "watts"),
        _scaled("kW", 1e3),
        _scaled("MW", 1e6),
        _scaled("hp", HORSEPOWER, "HP", "horsepower"),
        _scaled("Btu/h", BTU / 3600),
    )),
    Kind("energy", "an energy", "J", "12 MJ", (
        _scaled("J", 1.0),
        _scaled("kJ", 1e3),
        _scaled("MJ", 1e6),
        _scaled("GJ", 1e9),
        _scaled("kWh", 3.6e6),
        _scaled("Btu", BTU),
    )),
    Kind("heat_per_mass", "a heat per mass", "J/kg", "29 MJ/kg", (
        _scaled("J/kg", 1.0),
        _scaled("kJ/kg", 1e3),
        _scaled("MJ/kg", 1e6),
        _scaled("kWh/kg", 3.6e6),
        _scaled("Btu/lb", BTU / POUND),
    )),
    Kind("rotation", "a speed of rotation", "rev/s", "240 rpm", (
        _scaled("rev/s", 1.0),
        _scaled("rpm", 1 / 60, "rev/min", "r/min", "RPM"),
    )),
    Kind("stroke_rate", "a rate of strokes", "1/s", "30 strokes/min", (
        _scaled("strokes/min", 1 / 60, "stroke/min", "double strokes/min"),
        _scaled("strokes/s", 1.0, "stroke/s"),
    )),
    Kind("force", "a force", "N", "90 N", (
        _scaled("N", 1.0),
        _scaled("kN", 1e3),
        _scaled("lbf", POUND_FORCE),
        _scaled("kgf", GRAVITY),
    )),
    Kind("torque", "a torque", "N m", "40 N m", (
        _scaled("N m", 1.0, "Nm"),
        _scaled("lbf ft", POUND_FORCE * FOOT, "ft lbf", "lb ft"),
        _scaled("lbf in", POUND_FORCE * INCH, "in lbf"),
    )),
    Kind("density", "a density", "kg/m3", "800 kg/m3", (
        _scaled("kg/m3", 1.0),
        _scaled("kg/L", 1e3, "kg/l"),
        _scaled("g/cm3", 1e3),
        _scaled("lb/ft3", POUND / FOOT**3),
        _scaled("lb/imp gal", POUND / IMPERIAL_GALLON),
    )),
    Kind("heat_transfer_coefficient", "a heat transfer coefficient", "W/m2 K", "17 W/m2 K", (
        _scaled("W/m2 K", 1.0, "W/m2K", "W/m2 °C", "W/m2/K"),
        _scaled("kW/m2 K", 1e3, "kW/m2K"),
        _scaled("Btu/h ft2 °F", BTU / 3600 / FOOT**2 / RANKINE, "Btu/h ft2 F", "Btu/h/ft2/°F"),
    )),
    Kind("heat_flux", "a heat flow per area", "W/m2", "12 kW/m2", (
        _scaled("W/m2", 1.0),
        _scaled("kW/m2", 1e3),
        _scaled("Btu/h ft2", BTU / 3600 / FOOT**2),
    )),
    Kind("conductivity", "a thermal conductivity", "W/m K", "0.05 W/m K", (
        _scaled("W/m K", 1.0, "W/mK", "W/m °C"),
    )),
    Kind("conductance", "a conductance", "W/K", "900 W/K", (
        _scaled("W/K", 1.0, "W/°C"),
        _scaled("kW/K", 1e3),
        _scaled("Btu/h °F", BTU / 3600 / RANKINE, "Btu/h F"),
    )),
    Kind("specific_heat", "a specific heat", "J/kg K", "490 J/kg K", (
        _scaled("J/kg K", 1.0, "J/kgK", "J/kg °C"),
        _scaled("kJ/kg K", 1e3, "kJ/kgK"),
        _scaled("Btu/lb °F", BTU / POUND / RANKINE, "Btu/lb F"),
    )),
    Kind("grate_loading", "a rate of burning per area", "kg/m2 s", "60 kg/m2 h", (
        _scaled("kg/m2 h", 1 / 3600),
        _scaled("kg/m2 s", 1.0),
        _scaled("lb/ft2 h", POUND / FOOT**2 / 3600, "lb/h ft2"),
    )),
    Kind("dissolved_solids", "an amount of dissolved solids", "mg/kg", "150 ppm", (
        _scaled("ppm", 1.0),
        _scaled("mg/kg", 1.0),
        _scaled("mg/L", 1.0, "mg/l"),
    )),
    Kind("inertia", "a moment of inertia", "kg m2", "1.2 kg m2", (
        _scaled("kg m2", 1.0),
        _scaled("lb ft2", POUND * FOOT**2),
    )),
    Kind("angle", "an angle", "rad", "10 deg", (
        _scaled("deg", math.pi / 180, "°", "degree", "degrees"),
        _scaled("rad", 1.0),
    )),
    Kind("ratio", "a plain number", "1", "1.4", (_scaled("", 1.0),)),
    Kind("count", "a count", "1", "2", (_scaled("", 1.0),)),
)

KINDS: Mapping[str, Kind] = MappingProxyType({kind.name: kind for kind in _KINDS})

# Spellings that mean two things, and what to write instead.
AMBIGUOUS: Mapping[str, str] = MappingProxyType({
    **dict.fromkeys(("gal", "gallon", "gallons"), "a gallon is imperial or US: write '{n} imp gal' or "
                                                  "'{n} US gal'"),
    **dict.fromkeys(("gal/h", "gal/hr", "gph"), "a gallon is imperial or US: write '{n} imp gal/h' or "
                                                "'{n} US gal/h'"),
    **dict.fromkeys(("gal/min", "gpm"), "a gallon is imperial or US: write '{n} imp gal/min' or "
                                        "'{n} US gal/min'"),
    **dict.fromkeys(("pint", "pints", "pt"), "a pint is imperial or US: write '{n} imp pint', or use mL"),
    **dict.fromkeys(("ton", "tons"), "a ton is 2240 lb, 2000 lb or 1000 kg: write '{n} long ton' for "
                                     "2240 lb or '{n} t' for 1000 kg"),
})

# Looks of a unit that mean the same; brackets and dots are overlooked as well.
LOOKALIKES = str.maketrans({
    "²": "2", "³": "3", "−": "-", "⁄": "/", "º": "°", "℃": "°C", "℉": "°F",
    "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "\u00a0": " ", "\u2009": " ", "\u202f": " ",
})
_BRACKETS = re.compile(r"\(([^()]*)\)")


def find_unit(kind: str, unit_text: str) -> Unit | None:
    """The unit of a kind spelt so: ``bar (gauge)``, ``W/(m2·K)``; None if the kind has none.

    >>> find_unit("speed", "knots").symbol
    'kn'
    """
    plain = " ".join(unit_text.translate(LOOKALIKES).split())
    bare = _BRACKETS.sub(r"\1", plain).replace("·", " ")
    for unit in KINDS[kind].units:
        if bare == unit.symbol or bare in unit.aliases:
            return unit
    return None


# The unit each kind is shown in, per system of units.
SYSTEMS: Mapping[str, Mapping[str, str]] = MappingProxyType({
    "metric": MappingProxyType({
        "length": "m", "area": "m2", "volume": "L", "mass": "kg", "time": "s", "speed": "kn",
        "gauge_pressure": "bar gauge", "absolute_pressure": "bar abs", "barometer_pressure": "hPa",
        "pressure_difference": "mm water", "temperature": "°C", "temperature_difference": "°C",
        "fraction": "%", "mass_flow": "kg/h", "volume_flow": "L/min", "power": "kW", "energy": "MJ",
        "heat_per_mass": "MJ/kg", "rotation": "rpm", "stroke_rate": "strokes/min", "force": "N",
        "torque": "N m", "density": "kg/m3", "heat_transfer_coefficient": "W/m2 K",
        "heat_flux": "kW/m2", "conductivity": "W/m K", "conductance": "W/K",
        "specific_heat": "kJ/kg K", "grate_loading": "kg/m2 h", "dissolved_solids": "ppm",
        "inertia": "kg m2", "angle": "deg", "ratio": "", "count": "",
    }),
    "trade": MappingProxyType({
        "length": "ft", "area": "ft2", "volume": "imp gal", "mass": "lb", "time": "s", "speed": "kn",
        "gauge_pressure": "psi gauge", "absolute_pressure": "psia", "barometer_pressure": "inHg",
        "pressure_difference": "in water", "temperature": "°F", "temperature_difference": "°F",
        "fraction": "%", "mass_flow": "lb/h", "volume_flow": "imp gal/h", "power": "hp",
        "energy": "Btu", "heat_per_mass": "Btu/lb", "rotation": "rpm", "stroke_rate": "strokes/min",
        "force": "lbf", "torque": "lbf ft", "density": "lb/ft3",
        "heat_transfer_coefficient": "Btu/h ft2 °F", "heat_flux": "Btu/h ft2",
        "conductivity": "W/m K", "conductance": "Btu/h °F", "specific_heat": "Btu/lb °F",
        "grate_loading": "lb/ft2 h", "dissolved_solids": "ppm", "inertia": "lb ft2", "angle": "deg",
        "ratio": "", "count": "",
    }),
})

# Uses of a kind that are shown in a unit of their own: the kind, then the unit per system.
USES: Mapping[str, tuple[str, Mapping[str, str]]] = MappingProxyType({
    "level": ("length", MappingProxyType({"metric": "mm", "trade": "in"})),
    "distance": ("length", MappingProxyType({"metric": "km", "trade": "mile"})),
    "heat_rate": ("power", MappingProxyType({"metric": "kW", "trade": "Btu/h"})),
})
