"""The fire: draught, the bed from green fuel to ash, furnace heat, and the gas on its way to the chimney."""

from __future__ import annotations

import math

from halfglass.plant.compile import kernel
from halfglass.plant.parameters import Boiler, Fire

GRAVITY = 9.80665
AIR_GAS_CONSTANT = 287.05
STEFAN_BOLTZMANN = 5.670374e-8
REFERENCE_TEMPERATURE = 288.15
"""K: heats of air, gas and bed are counted from here."""
CHAR_HEAT = 32.8e6
"""J/kg of carbon to carbon dioxide (value from memory)."""
CARBON_MONOXIDE_HEAT_SHARE = 0.70
"""Share of that heat that leaves with the gas if the carbon stops at carbon monoxide (from memory)."""
AIR_PER_CHAR = 11.5
"""kg of air that just burns 1 kg of carbon: 2.667/0.232."""
VOLATILE_AIR_PER_JOULE = 3.2e-7
"""kg air per J of volatile heat: about 0.32 kg per MJ for all solid fuels (common practice, no source)."""
MOISTURE_HEAT = 2.44e6
"""J/kg to evaporate fuel moisture (same figure as in the net-heat formula for wood)."""
GAS_HEAT = 1130.0
"""J/(kg K), mean for flue gas between 15 and 1000 °C (value from memory)."""
AIR_HEAT = 1010.0
BED_HEAT = 1100.0
"""J/(kg K) of glowing char and ash (value from memory)."""

CATCHING_DEAD, CATCHING_BRIGHT = 400.0, 900.0
GLOWING_DEAD, GLOWING_BRIGHT = 310.0, 450.0
"""K, mean furnace temperatures between which green fuel catches and glowing char burns on (judgement)."""


@kernel
def stack_draught(
    height: float, gas_temperature: float, air_temperature: float, atmosphere_absolute: float
) -> float:
    """Draught of a column of hot gas, 80 % of the theoretical being available.

    Parameters: height [m]; temperatures [K]; atmosphere_absolute [Pa].
    Returns: Pa.
    Notes: 0.8 g H p/R (1/T - 1/T1), the SI form of D = 0.52 H P (1/T - 1/T1) (Babcock & Wilcox 1919).

    >>> round(stack_draught(2.5, 573.15, 288.15, 101325.0), 2)
    11.95
    """
    density_over = atmosphere_absolute / AIR_GAS_CONSTANT
    return 0.8 * GRAVITY * height * density_over * (1.0 / air_temperature - 1.0 / gas_temperature)


@kernel
def air_flows(
    fire: Fire,
    draught: float,
    damper: float,
    fire_door: float,
    bed_depth: float,
    ash_depth: float,
    clinker: float,
) -> tuple[float, float]:
    """Air through the grate and air over the fire.

    Parameters: draught [Pa]; damper, fire_door [0-1]; depths [m]; clinker [0-1 of the grate].
    Returns: (kg/s under the grate, kg/s over the fire).
    Notes: two parallel inlets (damper and bed in series; door and leaks) in series with the flue, each
    m = c sqrt(Δp). The bed's resistance grows in proportion to its depth and doubles with a bed of ash of
    ash_choking_depth.
    """
    if draught <= 0.0:
        return 0.0, 0.0
    opening = fire.damper_conductance * (
        fire.damper_leak_fraction + (1.0 - fire.damper_leak_fraction) * min(max(damper, 0.0), 1.0)
    )
    resistance = 0.3 + 0.7 * bed_depth / fire.bed_reference_depth + ash_depth / fire.ash_choking_depth
    bed = fire.bed_conductance * (1.0 - clinker) / math.sqrt(resistance)
    under = 1.0 / math.sqrt(1.0 / opening**2 + 1.0 / max(bed, 1e-9) ** 2)
    over = fire.over_fire_conductance + fire.door_conductance * fire_door
    inlet = under + over
    total = math.sqrt(draught / (1.0 / inlet**2 + 1.0 / fire.flue_conductance**2))
    return total * under / inlet, total * over / inlet


@kernel
def liveliness(fire_temperature: float, dead: float, bright: float) -> float:
    """How readily fuel catches or burns: 0 below dead, 1 above bright, smooth between.

    Parameters: fire_temperature, mean of the furnace; dead; bright [K].
    Returns: 0 to 1.

    The furnace temperature is a mean over bed, bars and gas; the glowing zone itself is far hotter, so a bed
    with a shut damper looks cold on the average and yet stays alight (common practice, no source).
    """
    share = min(1.0, max(0.0, (fire_temperature - dead) / (bright - dead)))
    return share * share * (3.0 - 2.0 * share)


@kernel
def ignition_rate(green_mass: float, green_lag_mass: float, fire_temperature: float) -> float:
    """Share of the green fuel that catches each second.

    Parameters: green_mass [kg]; green_lag_mass [kg·s]; fire_temperature [K].
    Returns: 1/s. The charge's own lag is for a bright fire; a dull bed lengthens it without bound.
    """
    if green_mass <= 1e-9:
        return 0.0
    lag = max(1.0, green_lag_mass / green_mass)
    return liveliness(fire_temperature, CATCHING_DEAD, CATCHING_BRIGHT) / lag


@kernel
def char_burning(
    char_mass: float, char_depth: float, air_under: float, fire_temperature: float, oxygen_over_share: float
) -> tuple[float, float, float]:
    """Burning of the glowing bed, limited by air.

    Parameters: char_mass [kg]; char_depth [m]; air_under [kg/s]; fire_temperature [K];
    oxygen_over_share [0-1: how far air above the bed can burn its carbon monoxide].
    Returns: (kg char/s, W released, W leaving as unburnt carbon monoxide).
    Notes: oxygen is used up in the lowest 3 in (76 mm) of the bed, so burning follows the air and not the
    depth (US Bureau of Mines TP 139): use 1 - exp(-depth/25 mm). A bed deeper than 76 mm turns part of the
    dioxide to monoxide, up to a third of the carbon more at 250 mm (value from memory).
    """
    use = (1.0 - math.exp(-char_depth / 0.025)) * liveliness(fire_temperature, GLOWING_DEAD, GLOWING_BRIGHT)
    monoxide = min(0.35, max(0.0, (char_depth - 0.076) / 0.5))
    rate = air_under / AIR_PER_CHAR * use * (1.0 + monoxide)
    if char_mass < 0.05:
        rate *= max(0.0, char_mass) / 0.05
    monoxide_share = monoxide / (1.0 + monoxide)
    unburnt = rate * monoxide_share * CHAR_HEAT * CARBON_MONOXIDE_HEAT_SHARE * (1.0 - oxygen_over_share)
    return rate, rate * CHAR_HEAT - unburnt, unburnt


@kernel
def radiation(area: float, emissivity: float, fire_temperature: float, plate_temperature: float) -> float:
    """Heat from the fire to water-backed plate.

    Parameters: area [m²]; emissivity [0-1]; temperatures [K].
    Returns: W, negative if the plate is the hotter.
    Notes: σ ε A (T⁴ - t⁴); the handbook form 1600[(T/1000)⁴ - (t/1000)⁴] Btu/(h ft²) is ε = 0.934
    (Babcock & Wilcox 1919).

    >>> round(radiation(1.0, 0.934, 1300.0, 450.0))
    149091
    """
    return STEFAN_BOLTZMANN * emissivity * area * (fire_temperature**4 - plate_temperature**4)


@kernel
def gas_pass(
    boiler: Boiler, gas_flow: float, gas_temperature: float, plate_temperature: float, covered: float
) -> float:
    """Temperature of the gas after the tubes.

    Parameters: gas_flow [kg/s]; temperatures [K]; covered [0-1 share of tube surface with water behind].
    Returns: K.
    Notes: R = 2.00 + 0.0014 W/A Btu/(h ft² °F), W/A in lb/(h ft²) (Babcock & Wilcox 1919); plate at
    one temperature, so T - t falls as exp(-R S / m c).
    """
    if gas_flow <= 1e-9:
        return plate_temperature
    loading = gas_flow / boiler.gas_passage_area * 737.34
    conductance = (2.00 + 0.0014 * loading) * 5.678263 * boiler.convective_area * covered
    return plate_temperature + (gas_temperature - plate_temperature) * math.exp(
        -conductance / (gas_flow * GAS_HEAT)
    )
