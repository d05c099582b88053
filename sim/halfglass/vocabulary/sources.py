"""The published works cited, by short key, so that docstrings and reports can cite by key."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from halfglass.vocabulary.errors import nearest


@dataclass(frozen=True)
class Source:
    """One published work: its short key and its full citation."""

    key: str
    citation: str


_ALL = (
    Source(
        "IF97",
        "IAPWS R7-97(2012), Revised Release on the IAPWS Industrial Formulation 1997 for the "
        "Thermodynamic Properties of Water and Steam",
    ),
    Source("BW", "Steam, its Generation and Use, 35th edition, 1919 (Project Gutenberg 22657)"),
    Source("MR70", "Steam Engines, Machinery's Reference Series 70 (Project Gutenberg 34701)"),
    Source("BOU", "Bourne, A Catechism of the Steam Engine (Project Gutenberg 10998)"),
    Source("STE", "Stephenson, Farm Engines and How to Run Them, 1903 (Project Gutenberg 43867)"),
    Source("MAG", "Maggard, Rough and Tumble Engineering (Project Gutenberg 11164)"),
    Source("LIN", "Lineham, A Text-Book of Mechanical Engineering"),
    Source("HUG", "Hughes, The Steam Injector, 1912"),
    Source("TUP", "Tupper, Introduction to Naval Architecture, table 8.3"),
    Source("RHF", "Roddy, Hess and Faller, NSWCCD-50-TR-2006/004, 2006"),
    Source("OO", "Oosterveld and van Oossanen, 1975; University of Michigan Report 237, 1981"),
    Source("DELFT", "Delft systematic yacht hull series, open data set"),
    Source("PNA", "SNAME, Principles of Naval Architecture, volume II, chapter 5, wetted surface"),
    Source("API", "API 520 Part I, example as quoted in the documentation of the fluids library"),
    Source("ETB", "engineeringtoolbox.com, suction lift of hot water"),
    Source("CFR", "40 CFR 98, table C-1"),
    Source("TP139", "US Bureau of Mines Technical Paper 139, 1918"),
    Source("AB", "Åström and Bell, Drum-boiler dynamics, Automatica 36, 2000, 363-378"),
    Source("HAR", "Harmathy, Velocity of large drops and bubbles, AIChE Journal 6, 1960"),
    Source("ZF", "Zuber and Findlay, Average volumetric concentration in two-phase flow systems, 1965"),
    Source("ISO4126", "ISO 4126-1, safety valves, choked-flow form (values from memory)"),
    Source("NAVY", "US Navy training text on boiler safety valves"),
    Source("CYC", "Cyclopedia of Mechanical Engineering, volume 4"),
    Source("MM", "Modern Mechanism, highest feed temperature of injectors"),
    Source("ROSE", "Rose, on engine-driven feed pumps"),
    Source("GERR", "Gerr, Boat Mechanical Systems Handbook, table 8-1"),
    Source("KREN", "Krendel, sustained human power (value from memory)"),
    Source("IPCC", "IPCC Guidelines for National Greenhouse Gas Inventories, 2006, volume 2, table 1.2"),
    Source("UFC", "Unified Facilities Criteria 4-159-03, drag of a locked propeller"),
    Source("HARV", "Harvald, Resistance and Propulsion of Ships, wake and thrust deduction"),
    Source("ARGESIM", "ARGESIM comparisons C1 and C5 of simulation software (definitions from memory)"),
)

SOURCES: Mapping[str, Source] = MappingProxyType({source.key: source for source in _ALL})


def cite(key: str) -> str:
    """The full citation of a key; an unknown key raises KeyError naming the nearest.

    >>> cite("CFR")
    '40 CFR 98, table C-1'
    """
    if key not in SOURCES:
        raise KeyError(f"no source has the key {key!r}; nearest: {nearest(key, SOURCES)}")
    return SOURCES[key].citation
