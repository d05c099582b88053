"""The boiler's water side: level, swell, what the glass shows, carry-over, covered heating surface."""

from __future__ import annotations

import math

from halfglass.plant.compile import kernel
from halfglass.plant.parameters import LEVEL_NODES, Boiler
from halfglass.plant.steam import surface_tension

GRAVITY = 9.80665
DRIFT_PROFILE = 1.2
"""Distribution parameter C0 of the drift-flux form (Zuber & Findlay 1965)."""

FLASH_SHARE = 0.7
"""Weight of steam that flashes all through the water against steam made at the plates, which rises the whole
way: between 0.5 (from half depth on the mean) and 1 (judgement). It is why cold feed, which quenches what the
plates make, lowers the level before it raises it."""


@kernel
def surface_height(boiler: Boiler, volume_under_surface: float) -> float:
    """Height of the surface for a volume of water and bubbles.

    Parameters: volume_under_surface [m³, clipped to 0 .. boiler.volume].
    Returns: m above the lowest water space, monotone in the volume.
    """
    position = min(max(volume_under_surface / boiler.volume, 0.0), 1.0) * (LEVEL_NODES - 1)
    node = min(int(position), LEVEL_NODES - 2)
    share = position - node
    height: float = boiler.height_table[node] * (1.0 - share) + boiler.height_table[node + 1] * share
    return height


@kernel
def surface_area(boiler: Boiler, volume_under_surface: float) -> float:
    """Area of the water surface [m²] for a volume of water and bubbles [m³, held from 0 to full]."""
    position = min(max(volume_under_surface / boiler.volume, 0.0), 1.0) * (LEVEL_NODES - 1)
    node = min(int(position), LEVEL_NODES - 2)
    share = position - node
    area: float = boiler.area_table[node] * (1.0 - share) + boiler.area_table[node + 1] * share
    return area


@kernel
def bubble_rise_speed(temperature: float, liquid_volume: float, vapour_volume: float) -> float:
    """Rise speed of steam bubbles in a crowd.

    Parameters: temperature [K, 273 to 647]; specific volumes [m³/kg, the vapour's above the liquid's].
    Returns: m/s.
    Notes: 1.53 (σ g Δρ / ρ_f²)^¼ (Harmathy 1960) [HAR].

    >>> round(bubble_rise_speed(373.124, 0.0010434, 1.673295), 3)
    0.24
    """
    density = 1.0 / liquid_volume
    difference = density - 1.0 / vapour_volume
    return 1.53 * math.sqrt(math.sqrt(surface_tension(temperature) * GRAVITY * difference / density**2))


@kernel
def boiling_share(steam_pressure_absolute: float, pressure_absolute: float) -> float:
    """Whether bubbles can live under the surface: 0 while shut-in air holds the water below boiling, else 1.

    Parameters: pressure of the steam alone and of steam and air together [Pa absolute].
    Notes: none below 90 % of the pressure, all above 98 %, linear between (judgement).

    >>> boiling_share(1.7e3, 101325.0), boiling_share(6.0e5, 6.0e5)
    (0.0, 1.0)
    """
    return min(1.0, max(0.0, (steam_pressure_absolute / pressure_absolute - 0.90) / 0.08))


@kernel
def settled_bubble_volume(
    boiler: Boiler,
    liquid_volume_total: float,
    area: float,
    evaporation_rate: float,
    rise_speed: float,
    vapour_volume: float,
) -> float:
    """Steam volume under the surface once the present boiling has gone on for a while.

    Parameters: liquid_volume_total [m³]; area of surface [m²]; evaporation_rate [kg/s, bubbles made under
    the surface; negative counts as none]; rise_speed [m/s]; vapour_volume [m³/kg].
    Returns: m³.
    Notes: void α = j/(C0 j + v) at the surface with j = ṁ v_g / A (Zuber & Findlay 1965) [ZF]; boiling is
    spread over the depth, so the mean void is half of that (judgement).
    """
    flux = max(0.0, evaporation_rate) * vapour_volume / max(area, 1e-4)
    void_mean = 0.5 * flux / (DRIFT_PROFILE * flux + rise_speed)
    return liquid_volume_total * void_mean / (1.0 - void_mean)


@kernel
def height_at(height: float, athwartships: float, fore_and_aft: float, heel: float, trim: float) -> float:
    """Height of the water surface away from the middle of the boiler, along the boiler's own upright.

    Parameters: height of the surface at its middle [m]; athwartships [m, + to starboard], fore_and_aft [m,
    + forward] of that; heel [rad, + to starboard], trim [rad, + by the head], each below a right angle.
    Returns: m. The surface stays level while the boat leans, so it stands higher towards the low side; the
    middle keeps its height (exact for a surface alike on both sides of it).

    >>> round(height_at(0.5, 0.2, 0.0, 0.1, 0.0), 4), round(height_at(0.5, 0.2, -0.4, 0.1, 0.05), 4)
    (0.5201, 0.5001)
    """
    return height + athwartships * math.tan(heel) + fore_and_aft * math.tan(trim)


@kernel
def crown_tilt(boiler: Boiler, heel: float, trim: float) -> float:
    """How much higher or lower a corner of the crown lies than its middle, against the surface [m, >= 0]."""
    across = boiler.crown_half_breadth * math.tan(abs(heel))
    along = boiler.crown_half_length * math.tan(abs(trim))
    return across + along


@kernel
def crown_cover(boiler: Boiler, height: float, heel: float, trim: float) -> float:
    """Water over the corner of the crown that is least covered.

    Parameters: height of the surface at its middle [m]; heel, trim [rad].
    Returns: m, negative when that corner is bare.
    """
    middle = height_at(height, 0.0, boiler.crown_fore_and_aft, heel, trim)
    return middle - crown_tilt(boiler, heel, trim) - boiler.crown_height


@kernel
def glass_level(
    boiler: Boiler,
    height: float,
    void_fraction: float,
    liquid_volume: float,
    boiler_temperature: float,
    air_temperature: float,
) -> float:
    """What the gauge glass shows, above the bottom nut; negative or above the glass when out of sight.

    Parameters: height of the boiler's surface where the glass is [m, see `height_at`]; void_fraction under
    it; liquid_volume [m³/kg]; temperatures [K].
    Returns: m.
    Notes: the glass balances the weight of boiler water above the bottom nut with its own cooler, denser
    and bubble-free water: (h - h_nut)(1 - α) ρ_boiler / ρ_glass. Cooler water density by a quadratic fit to
    [IF97] within 0.3 % from 0 to 200 °C.
    """
    cooling = boiler.glass_water_cooling_fraction
    celsius = boiler_temperature - 273.15 - cooling * (boiler_temperature - air_temperature)
    density_glass = 1001.7 - 0.1616 * celsius - 0.002622 * celsius * celsius
    column = (height - boiler.bottom_nut_height) * (1.0 - void_fraction)
    return column / liquid_volume / density_glass


@kernel
def steam_room_seconds(steam_space: float, steam_flow_out: float, vapour_volume: float) -> float:
    """How long the steam in the steam space would last at a draw.

    Parameters: steam_space [m³]; steam_flow_out, the engine's [kg/s]; vapour_volume [m³/kg].
    Returns: s, at most 999 (a cap that says "plenty": judgement).

    >>> steam_room_seconds(0.03, 0.02, 0.24)
    6.25
    """
    return min(999.0, steam_space / max(steam_flow_out * vapour_volume, 1e-9))


@kernel
def carry_over_fraction(
    height: float, top_nut_height: float, steam_room: float, solids_ppm: float, oil_ppm: float
) -> float:
    """Share of water in the steam drawn.

    Parameters: height of surface and top nut [m]; steam_room [s]; solids and oil in the water [mg/kg].
    Returns: 0 to 0.6.
    Notes: 20 s of steam room suffices, 12 s may carry over [CYC]: here a
    square law that reaches 2 % at 12 s. Above the top nut 25 % per 50 mm; foam from solids above 3500 ppm
    and from oil: value from memory.

    >>> [round(carry_over_fraction(0.6, 0.7, steam_room, 0.0, 0.0), 3) for steam_room in (20.0, 12.0)]
    [0.002, 0.022]
    """
    shortage = max(0.0, (20.0 - steam_room) / 8.0)
    foam = 1.0 + max(0.0, solids_ppm - 3500.0) / 1500.0 + oil_ppm / 200.0
    high = max(0.0, height - top_nut_height) / 0.05 * 0.25
    return min(0.6, 0.002 + (0.02 * shortage * shortage + high) * foam + 0.004 * (foam - 1.0))


@kernel
def covered_fraction(height: float, lowest: float, highest: float) -> float:
    """Share of a heating surface that has water behind it, the surface being spread evenly over its heights.

    Parameters: height of the water [m]; lowest, highest of the surface [m].
    Returns: 0 to 1.

    >>> covered_fraction(0.45, 0.3, 0.6)
    0.5000000000000001
    """
    return min(1.0, max(0.0, (height - lowest) / max(highest - lowest, 1e-3)))


@kernel
def radiant_covered_fraction(boiler: Boiler, height: float, heel: float, trim: float) -> float:
    """Share of the radiant surface that has water behind it: walls as the water falls, the crown all at once.

    Parameters: height of the water at the middle of the boiler [m]; heel, trim [rad].
    Returns: 0 to 1. The crown dries from its least covered corner to the opposite one, over `crown_depth`
    when the boat lies level.
    """
    walls = covered_fraction(height, boiler.radiant_lowest_height, boiler.radiant_highest_height)
    cover = crown_cover(boiler, height, heel, trim)
    dries_over = boiler.crown_depth + 2.0 * crown_tilt(boiler, heel, trim)
    crown = covered_fraction(cover, -dries_over, 0.0)
    return walls + boiler.radiant_crown_fraction * (crown - walls)


@kernel
def convective_covered_fraction(boiler: Boiler, height: float) -> float:
    """Share of the convective surface that has water behind it.

    Parameters: height of the water at the middle of the boiler [m].
    Returns: 0 to 1.
    """
    return covered_fraction(height, boiler.convective_lowest_height, boiler.convective_highest_height)
