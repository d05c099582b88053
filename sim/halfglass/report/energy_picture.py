"""The energy flow of a leg as a picture: bands as wide as the power they carry, from the fuel to the wash."""

from __future__ import annotations

from dataclasses import dataclass

from halfglass.report import style
from halfglass.report.bands import BAR, LINE, Sheet, bend, wrapped
from halfglass.report.work_picture import work
from halfglass.result.energy_flow import (
    BOILER,
    ENGINE,
    EXHAUST,
    FEED,
    FIRE,
    FUEL,
    HOTWELL,
    OUTSIDE,
    SHAFT,
    EnergyFlow,
    Link,
)
from halfglass.vocabulary import units

WIDTH = 420.0
FULL = 156.0
"""Width of the band that stands for the most any vessel takes in."""
LEFT = 106.0
ENDS, WORDS = 276.0, 288.0
"""Where bands that leave the boat end, and where their names begin."""
LOOP, COIL = 20.0, 42.0
"""Where the feed, and the heat of its coil, go up."""
FEED_ABOVE = 60.0
"""How far the feed stands above the condenser."""
SEEN = 5e-4
"""Share of the fuel's heat below which a band is left out of the picture; the table has it."""
NOTHING = 1e-5
"""Share of the fuel's heat below which a flow counts as none."""


@dataclass(frozen=True)
class Flows:
    """What of an energy flow is drawn, how wide, and how it is told."""

    flow: EnergyFlow
    system: str

    @property
    def least(self) -> float:
        """The smallest power drawn [W]."""
        return SEEN * abs(self.flow.fuel_power)

    def width(self, watts: float) -> float:
        """Width of a band."""
        return watts * FULL / max(node.inflow for node in self.flow.nodes)

    def links(self, source: str, target: str) -> list[Link]:
        """The links wide enough to see between two vessels, widest first."""
        found = [link for link in self.flow.links if (link.source, link.target) == (source, target)]
        return sorted((link for link in found if link.power > self.least), key=lambda link: -link.power)

    def stock(self, name: str) -> float:
        """What a vessel gained [W], 0 if too little to see."""
        gained = next(node.stored for node in self.flow.nodes if node.name == name)
        return gained if abs(gained) > self.least else 0.0

    def told(self, watts: float, letters: int = 99) -> list[str]:
        """Power and per cent of the fuel's heat, in lines of so many letters."""
        return wrapped(f"{power(watts, self.system)}, {share(watts, self.flow)}", letters)


def power(watts: float, system: str) -> str:
    """A power as picture and table tell it.

    >>> power(58984.2, "metric"), power(205.4, "metric"), power(205.4, "trade")
    ('59.0 kW', '0.21 kW', '701 Btu/h')
    """
    unit = units.display_unit("heat_rate", system)
    number = float(units.convert(watts, "power", unit))
    decimals = 0 if unit in ("Btu/h", "W") else 1 if abs(number) >= 9.95 else 2
    return f"{number:z.{decimals}f} {unit}"


def share(watts: float, flow: EnergyFlow) -> str:
    """Per cent of the fuel's heat."""
    return f"{100.0 * watts / flow.fuel_power:z.1f}\N{NO-BREAK SPACE}%"


def draw(flow: EnergyFlow, system: str, key: str) -> str:
    """The picture as inline SVG; empty if fire, boiler or engine did nothing on this leg.

    Parameters: flow; system of units; key, which keeps its names apart from others on the page.
    """
    sheet, flows = Sheet(), Flows(flow, system)
    if not all(flows.links(*ends) for ends in ((FIRE, BOILER), (BOILER, ENGINE), (ENGINE, EXHAUST))):
        return ""
    fuel = flows.width(flow.fuel_power)
    sheet.text(LEFT + fuel / 2, 11.0, [f"{FUEL}: {flows.told(flow.fuel_power)[0]}"], "middle")
    sheet.band(bend(LEFT + fuel / 2, 16.0, (LEFT + fuel / 2, 40.0), radius=0.0), fuel, style.HEAT)
    boiler = _vessel(sheet, flows, FIRE, LEFT, 38.0, BOILER)
    fed = flows.width(flow.power("feed to the boiler"))
    engine = _vessel(sheet, flows, BOILER, LEFT - fed, boiler, ENGINE)
    exhaust = _vessel(sheet, flows, ENGINE, LEFT - fed, engine, EXHAUST)
    _condenser(sheet, flows, LEFT - fed, exhaust)
    _feed(sheet, flows, LEFT - fed / 2, boiler, exhaust)
    work(sheet, flows, sheet.lowest + 26.0)
    described = [f"{link.name} {flows.told(link.power)[0]}" for link in flow.links]
    return sheet.svg(key, f"Energy flow on the leg to {flow.heading}", "; ".join(described) + ".", WIDTH)


def table(flow: EnergyFlow, system: str) -> list[tuple[str, str, str, str, str]]:
    """The same figures in rows: from, to, what, power, per cent of the fuel's heat; without empty ones."""
    rows = [
        (link.source, link.target, link.name, power(link.power, system), share(link.power, flow))
        for link in flow.links
        if abs(link.power) > NOTHING * abs(flow.fuel_power)
    ]
    for node in flow.nodes:
        if abs(node.stored) > NOTHING * abs(flow.fuel_power):
            word = "kept" if node.stored > 0.0 else "given up"
            gained = abs(node.stored)
            rows.append((node.name, "", word, power(gained, system), share(gained, flow)))
    return rows


def _inflow(flows: Flows, name: str) -> float:
    """Width of a vessel's bar: all that came in, and what it gave up of what it held."""
    node = next(node for node in flows.flow.nodes if node.name == name)
    return flows.width(node.inflow + max(0.0, -flows.stock(name)))


def _vessel(sheet: Sheet, flows: Flows, name: str, x: float, y: float, following: str) -> float:
    """A vessel, what leaves it to the right, and the band down to the vessel below.

    Parameters: x, y of its left upper corner; following, the vessel below. Returns: where that stands.
    """
    sheet.bar(x, y, _inflow(flows, name), name)
    _given_up(sheet, flows, name, x, y)
    (main,) = flows.links(name, following)
    width = flows.width(main.power)
    lowest = _leaving(sheet, flows, name, x + width, y, rights(flows, name))
    below = max(lowest + 8.0, y + BAR + 44.0)
    if flows.stock(following) < 0.0:
        below += 20.0
    centre = x + width / 2
    sheet.band(bend(centre, y + BAR - 2.0, (centre, below + 2.0), radius=0.0), width, style.HEAT)
    lines = [main.name, *flows.told(main.power, int(width / 5.8))]
    sheet.text(centre, (y + BAR + below) / 2 + 9.0 - LINE * len(lines) / 2, lines, "middle")
    return below


def rights(flows: Flows, name: str) -> list[tuple[str, float, str]]:
    """What leaves a vessel to the right, innermost first: name, power [W], colour."""
    found = [(link.name, link.power, style.LOSS) for link in flows.links(name, OUTSIDE)]
    if flows.stock(name) > 0.0:
        found.append((f"kept by the {name}", flows.stock(name), style.STOCK))
    return found + [(link.name, link.power, style.WORK) for link in flows.links(name, SHAFT)]


def _leaving(
    sheet: Sheet, flows: Flows, name: str, x: float, y: float, leaving: list[tuple[str, float, str]]
) -> float:
    """Bands from a vessel's bottom, beginning at x, out to the right. Returns: how far down they reach."""
    slot = y + BAR + 5.0
    x += sum(flows.width(watts) for _, watts, _ in leaving)
    for told, watts, colour in reversed(leaving):
        width = flows.width(watts)
        centre = x - width / 2
        lines = [*wrapped(told, 22), *flows.told(watts)]
        tall = max(width + 2.0, LINE * len(lines))
        middle = slot + tall / 2
        path = bend(centre, y + BAR - 2.0, (centre, middle), (ENDS, middle), radius=width / 2 + 4.0)
        sheet.band(path, width, colour)
        sheet.head(ENDS, middle, width, "right", colour)
        sheet.text(WORDS, middle - LINE * (len(lines) / 2 - 0.82), lines)
        slot += tall + 5.0
        x -= width
    return slot


def _given_up(sheet: Sheet, flows: Flows, name: str, x: float, y: float) -> None:
    """What a vessel gave up of what it held, coming in from above at its right."""
    given = -flows.stock(name)
    if given <= 0.0:
        return
    width = flows.width(given)
    centre = x + _inflow(flows, name) - width / 2
    sheet.band(bend(centre, y - 11.0, (centre, y + 2.0), radius=0.0), width, style.STOCK)
    lines = [f"given up by the {name}", *flows.told(given)]
    sheet.text(max(centre + width / 2 + 5.0, WORDS - 40.0), y - 13.0, lines)


def _condenser(sheet: Sheet, flows: Flows, x: float, y: float) -> None:
    """Exhaust and condenser, and below them separator and hot well."""
    has_condenser = flows.flow.power("condenser to the lake") > flows.least
    sheet.bar(x, y, _inflow(flows, EXHAUST), "condenser" if has_condenser else "exhaust")
    _given_up(sheet, flows, EXHAUST, x, y)
    for link in flows.links(EXHAUST, FEED):
        width = flows.width(link.power)
        turn = y + BAR + 6.0 + width / 2
        path = bend(
            x + width / 2,
            y + BAR - 2.0,
            (x + width / 2, turn),
            (COIL, turn),
            (COIL, y - FEED_ABOVE + 2.0),
            radius=8.0,
        )
        sheet.band(path, width, style.HEAT)
        sheet.text(COIL + width / 2 + 4.0, y - 22.0, wrapped(link.name, 9) + flows.told(link.power, 9))
        x += width
    condensate = flows.links(EXHAUST, HOTWELL)
    _hot_well(sheet, flows, condensate, x, y)
    x += sum(flows.width(link.power) for link in condensate)
    out = rights(flows, EXHAUST)
    if out:  # the widest goes straight down
        told, watts, colour = out[0]
        width = flows.width(watts)
        lines = [*wrapped(told, int(width / 6.0)), *flows.told(watts, int(width / 5.8))]
        centre, end = x + width / 2, y + BAR + 10.0 + LINE * len(lines)
        sheet.band(bend(centre, y + BAR - 2.0, (centre, end), radius=0.0), width, style.COOL)
        sheet.head(centre, end, width, "down", style.COOL)
        sheet.text(centre, y + BAR + 14.0, lines, "middle")
        _leaving(sheet, flows, EXHAUST, x + width, y, out[1:])


def _hot_well(sheet: Sheet, flows: Flows, condensate: list[Link], x: float, y: float) -> None:
    """Condensate down to the hot well, what goes astray there, and the water drawn up to the feed."""
    y_well = y + BAR + 76.0
    for link in condensate:
        width = flows.width(link.power)
        sheet.band(
            bend(x + width / 2, y + BAR - 2.0, (x + width / 2, y_well + 2.0), radius=0.0), width, style.COOL
        )
        sheet.text(x - 5.0, y + BAR + 30.0, [link.name, *flows.told(link.power, 9)], "end")
    across = max(_inflow(flows, HOTWELL), 2.0)
    sheet.bar(x, y_well, across, "")
    sheet.text(x - 5.0, y_well + 8.0, ["separator,", "hot well"], "end")
    drawn = y_well + BAR + 16.0
    leaving = rights(flows, HOTWELL)
    at, slot = x + across, y_well + BAR + 8.0
    for told, watts, colour in reversed(leaving):
        width = flows.width(watts)
        at -= width
        middle = slot + width / 2
        corner = at + width / 2
        path = bend(corner, y_well + BAR - 2.0, (corner, middle), (x + 44.0, middle), radius=6.0)
        sheet.band(path, width, colour)
        sheet.head(x + 44.0, middle, width, "right", colour)
        sheet.text(x + 56.0, middle + 4.0, [f"{told}: {flows.told(watts)[0]}"])
        slot += max(width, LINE) + 4.0
    for link in flows.links(HOTWELL, FEED):
        width = flows.width(link.power)
        path = bend(
            x + width / 2,
            y_well + BAR - 2.0,
            (x + width / 2, drawn),
            (LOOP, drawn),
            (LOOP, y - FEED_ABOVE + 2.0),
            radius=9.0,
        )
        sheet.band(path, width, style.COOL)
        sheet.text(LOOP - 12.0, drawn + width / 2 + 12.0, ["water drawn", *flows.told(link.power)])


def _feed(sheet: Sheet, flows: Flows, x: float, boiler: float, exhaust: float) -> None:
    """What is drawn, the coil's heat and lake water, made one in the feed, and up into the boiler."""
    y = exhaust - FEED_ABOVE
    right = COIL + 5.0
    for link in flows.links(OUTSIDE, FEED):
        width = flows.width(link.power)
        right += width + 4.0
        centre = right - width / 2 - 2.0
        sheet.band(bend(centre, y - 13.0, (centre, y + 2.0), radius=0.0), width, style.COOL)
        sheet.text(right + 2.0, y - 16.0, [*wrapped(link.name, 9), *flows.told(link.power, 9)])
    fed = next(link for link in flows.flow.links if link.target == BOILER and link.source == FEED)
    width = flows.width(fed.power)
    if fed.power <= flows.least:
        return
    top = boiler - 20.0
    path = bend(LOOP, y + 2.0, (LOOP, top), (x, top), (x, boiler + 2.0), radius=width / 2 + 5.0)
    sheet.band(path, width, style.COOL)
    sheet.bar(LOOP - width / 2 - 2.0, y, right - LOOP + width / 2 + 2.0, FEED, "right")
    sheet.text(LOOP + width / 2 + 5.0, boiler + 22.0, ["feed to", "the boiler", *flows.told(fed.power, 9)])
