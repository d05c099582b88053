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
"""Share of that heat still to come if the carbon stops at carbon monoxide: 10150 of 14600 Btu/lb [BW]."""
AIR_PER_CHAR = 11.52
"""kg of air that just burns 1 kg of carbon (eq. 10 of [BW])."""
VOLATILE_AIR_PER_JOULE = 3.3e-7
"""kg of air per J of volatile heat: methane 0.34, wood gas 0.31 kg/MJ (values from memory)."""
MOISTURE_HEAT = 2.44e6
"""J/kg to evaporate fuel moisture (same figure as in the net-heat formula for wood)."""
GAS_HEAT_AT_ZERO, GAS_HEAT_SLOPE = 952.0, 0.234
"""J/(kg K) and J/(kg K²): heat capacity a + b T of flue gas of coal with half as much air again as it needs,
a straight line within 2 % between 300 and 1500 K through those of its nitrogen, carbon dioxide, oxygen and
steam (values from memory)."""
AIR_HEAT = 1010.0
BED_HEAT = 1100.0
"""J/(kg K) of glowing char and ash (value from memory)."""
OXYGEN_DEPTH = 0.025
"""m of even bed that uses up all but 1/e of the oxygen: 95 % within the lowest 3 in (76 mm) [TP139]."""
MONOXIDE_FROM, MONOXIDE_DEPTH, MONOXIDE_HIGHEST = 0.076, 0.15, 0.6
"""m, m and share: carbon that leaves the top of a deep bed as carbon monoxide (from memory of [TP139])."""
MONOXIDE_BURNT = 0.9
"""Greatest share of that monoxide that burns above the bed before the tubes quench it (judgement)."""
CATCHING_DEPTH = 0.010
"""m of glowing char that gives green fuel 1 - 1/e of the heat of a thick bed (judgement)."""

CATCHING_DEAD, CATCHING_BRIGHT = 400.0, 900.0
GLOWING_DEAD, GLOWING_BRIGHT = 310.0, 450.0
"""K, mean furnace temperatures between which green fuel catches and glowing char burns on (judgement)."""


@kernel
def stack_draught(
    height: float, gas_temperature: float, air_temperature: float, atmosphere_absolute: float
) -> float:
    """Draught of a column of hot gas, 80 % of the theoretical being available.

    Parameters: height [m, >= 0]; temperatures [K, above 0]; atmosphere_absolute [Pa].
    Returns: Pa, below 0 for gas colder than the air.
    Notes: 0.8 g H p/R (1/T - 1/T1), the SI form of D = 0.52 H P (1/T - 1/T1) [BW].

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
    m = c sqrt(Δp). The bed's resistance 0.3 + 0.7 d/d0 grows with its depth d (the rest is that of the bars)
    and doubles with a bed of ash of ash_choking_depth. The split is judgement.
    The column of hot gas draws inward only: with no
    draught nothing flows, smoke into the stokehold is left out.
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

    >>> [liveliness(temperature, 400.0, 900.0) for temperature in (350.0, 650.0, 950.0)]
    [0.0, 0.5, 1.0]
    """
    share = min(1.0, max(0.0, (fire_temperature - dead) / (bright - dead)))
    return share * share * (3.0 - 2.0 * share)


@kernel
def ignition_rate(
    green_mass: float, green_lag_mass: float, fire_temperature: float, char_depth: float
) -> float:
    """Share of the green fuel that catches each second.

    Parameters: green_mass [kg, >= 0]; green_lag_mass [kg·s, >= 0]; fire_temperature [K]; char_depth, of the
    glowing bed [m, >= 0].
    Returns: 1/s.
    Notes: dg/dt = -g L (1 - exp(-d/δ))/τ: τ is the mean lag of the charges on a thick bright fire, L their
    liveliness in the furnace, d the depth of glowing char and δ = CATCHING_DEPTH. A dull or a thin bed
    lengthens the lag without bound (form: judgement; lags: see the catalogue of fuels). As moisture leaves
    before the rest, τ of a charge that was w moist grows to 1/(1 - w) of its lag by the time it is dry.

    >>> round(1.0 / ignition_rate(2.0, 2.0 * 300.0, 1200.0, 0.10))
    300
    """
    if green_mass <= 1e-9:
        return 0.0
    lag = max(1.0, green_lag_mass / green_mass)
    kindled = 1.0 - math.exp(-max(0.0, char_depth) / CATCHING_DEPTH)
    return kindled * liveliness(fire_temperature, CATCHING_DEAD, CATCHING_BRIGHT) / lag


@kernel
def oxygen_used_share(char_depth: float) -> float:
    """Share of the air under the grate whose oxygen the glowing char takes.

    Parameters: char_depth, mean depth of the bed [m, >= 0].
    Returns: 0 to 1.
    Notes: an even bed of depth d takes 1 - exp(-d/δ), δ = 25 mm: all within the lowest 3 in [TP139]. A
    hand-fired bed is of irregular thickness, for which [BW] gives coal half as much air again as it needs:
    with depths spread exponentially about their mean d the share is d/(d + δ) (the spread is a judgement).

    >>> round(oxygen_used_share(0.10), 3)
    0.8
    """
    depth = max(0.0, char_depth)
    return depth / (depth + OXYGEN_DEPTH)


@kernel
def monoxide_share(char_depth: float) -> float:
    """Share of the burnt carbon that leaves the top of the bed as carbon monoxide.

    Parameters: char_depth [m, >= 0].
    Returns: 0 to 0.6.
    Notes: none up to the 3 in (76 mm) in which the oxygen is used up [TP139], then
    0.6 (1 - exp(-(d - 76 mm)/150 mm)) (value from memory).

    >>> round(monoxide_share(0.15), 3)
    0.234
    """
    deeper = max(0.0, char_depth - MONOXIDE_FROM)
    return MONOXIDE_HIGHEST * (1.0 - math.exp(-deeper / MONOXIDE_DEPTH))


@kernel
def char_burning(
    char_mass: float, char_depth: float, air_under: float, fire_temperature: float
) -> tuple[float, float, float, float]:
    """Burning of the glowing bed, limited by air.

    Parameters: char_mass [kg, >= 0]; char_depth [m, >= 0]; air_under [kg/s, >= 0]; fire_temperature [K].
    Returns: (kg char/s, kg/s of air it uses, W released in the bed, W still in its carbon monoxide).
    Notes: carbon to dioxide takes 11.52 kg of air a kg, to monoxide half; so with air m, share u of its
    oxygen used and share s of the carbon to monoxide the rate is u m/(11.52 (1 - s/2)): it follows the air
    and not the depth [TP139]. Less than 50 g of char burn in proportion to what there is.

    >>> rate, used, _, _ = char_burning(5.0, 0.10, 0.03, 1300.0)
    >>> round(rate * 3600.0, 2), round(used, 4)
    (7.85, 0.024)
    """
    use = oxygen_used_share(char_depth) * liveliness(fire_temperature, GLOWING_DEAD, GLOWING_BRIGHT)
    use *= min(1.0, max(0.0, char_mass) / 0.05)
    monoxide = monoxide_share(char_depth)
    used = max(0.0, air_under) * use
    rate = used / (AIR_PER_CHAR * (1.0 - 0.5 * monoxide))
    later = rate * monoxide * CHAR_HEAT * CARBON_MONOXIDE_HEAT_SHARE
    return rate, used, rate * CHAR_HEAT - later, later


@kernel
def burning_above(volatile_heat: float, monoxide_heat: float, air: float) -> float:
    """Heat set free above the bed by volatiles and carbon monoxide in the air that is to be had there.

    Parameters: volatile_heat, monoxide_heat, given off by the bed [W]; air, past or over the bed [kg/s].
    Returns: W, never more than the air allows; the rest leaves unburnt.
    Notes: share burnt tanh(air/need), as gas and air mix only so well: 0.76 with just enough air, 0.96 with
    twice (form: judgement). Volatiles first; of the monoxide at most 90 % (judgement).

    >>> round(burning_above(1.0e5, 0.0, 0.033) / 1.0e5, 3)
    0.762
    """
    need = volatile_heat * VOLATILE_AIR_PER_JOULE
    volatile_share = math.tanh(air / (need + 1e-12))
    left = max(0.0, air - need * volatile_share)
    air_per_joule = 0.5 * AIR_PER_CHAR / (CHAR_HEAT * CARBON_MONOXIDE_HEAT_SHARE)
    monoxide_burnt = MONOXIDE_BURNT * math.tanh(left / (monoxide_heat * air_per_joule + 1e-12))
    return volatile_heat * volatile_share + monoxide_heat * monoxide_burnt


@kernel
def radiation(area: float, emissivity: float, fire_temperature: float, plate_temperature: float) -> float:
    """Heat from the fire to water-backed plate.

    Parameters: area [m²]; emissivity [0-1]; temperatures [K].
    Returns: W, negative if the plate is the hotter.
    Notes: σ ε A (T⁴ - t⁴); the handbook form 1600[(T/1000)⁴ - (t/1000)⁴] Btu/(h ft²) is ε = 0.934
    [BW].

    >>> round(radiation(1.0, 0.934, 1300.0, 450.0))
    149091
    """
    return STEFAN_BOLTZMANN * emissivity * area * (fire_temperature**4 - plate_temperature**4)


@kernel
def gas_heat(temperature: float) -> float:
    """Heat in flue gas above the reference temperature.

    Parameters: temperature [K, 250 to 2200].
    Returns: J/kg.
    Notes: the integral of a + b T, a = 952 J/(kg K), b = 0.234 J/(kg K²) (see GAS_HEAT_AT_ZERO).

    >>> round(gas_heat(1273.15))
    1117652
    """
    rise = temperature - REFERENCE_TEMPERATURE
    return rise * (GAS_HEAT_AT_ZERO + 0.5 * GAS_HEAT_SLOPE * (temperature + REFERENCE_TEMPERATURE))


@kernel
def gas_pass(
    boiler: Boiler, gas_flow: float, gas_temperature: float, plate_temperature: float, covered: float
) -> float:
    """Temperature of the gas after the tubes.

    Parameters: gas_flow [kg/s]; temperatures [K]; covered [0-1 share of tube surface with water behind].
    Returns: K, between that of the plate and that of the gas.
    Notes: R = 2.00 + 0.0014 W/A Btu/(h ft² °F), W/A in lb/(h ft²) [BW]; plate at one temperature, so
    T - t falls as exp(-R S/(m c)). c is the mean between entry and exit; three rounds settle it to 0.1 K.
    """
    if gas_flow <= 1e-9:
        return plate_temperature
    loading = gas_flow / boiler.gas_passage_area * 737.34
    conductance = (2.00 + 0.0014 * loading) * 5.678263 * boiler.convective_area * covered
    out = plate_temperature
    for _ in range(3):
        heat = GAS_HEAT_AT_ZERO + 0.5 * GAS_HEAT_SLOPE * (gas_temperature + out)
        passed = math.exp(-conductance / (gas_flow * heat))
        out = plate_temperature + (gas_temperature - plate_temperature) * passed
    return out
