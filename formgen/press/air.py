"""Stage `press`: air: its pressure at a height, a pump's time to draw it out, what leaks bring back.

In: mm, litres, m³/h, absolute kPa. Out: kPa, s, Pa·m³/s, kN. Knows nothing of parts, bags or shops.
"""

from __future__ import annotations

import math

SEA_LEVEL_KPA = 101.325
SEA_LEVEL_K = 288.15
LAPSE_K_PER_M = 0.0065
GRAVITY_M_PER_S2 = 9.80665
AIR_J_PER_KG_K = 287.05287


def standard_atmosphere_kpa(altitude_mm: float) -> float:
    """Air pressure at a height above the sea, −5 to 11 km.

    Assumptions:
        Standard day, still air; the height is taken as geopotential (at 3000 m geometric 1.4 m less). Weather moves
        the true pressure by about 3 % either way.

    Reference:
        p = p₀ (1 − L h/T₀)^(g/(R L)): ICAO Doc 7488 (1993), ISO 2533:1975, US Standard Atmosphere 1976.
    """
    share = 1.0 - LAPSE_K_PER_M * altitude_mm / 1000.0 / SEA_LEVEL_K
    return float(SEA_LEVEL_KPA * share ** (GRAVITY_M_PER_S2 / (AIR_J_PER_KG_K * LAPSE_K_PER_M)))


def force_kn(pressure_kpa: float, area_mm2: float) -> float:
    """Pressure times area."""
    return pressure_kpa * area_mm2 * 1e-6


def pump_down_s(volume_l: float, flow_m3_per_h: float, from_kpa: float, to_kpa: float) -> float:
    """Time to bring a volume from one absolute pressure to a lower one: t = (V/S) ln(p₁/p₂), s.

    Assumptions:
        The pump takes its free-air flow at every pressure (in truth it falls off near its end vacuum, so the last
        tenth takes longer), air stays at one temperature, nothing leaks and no line throttles.

    Reference:
        Vacuum engineering's pump-down time (for example Leybold, Fundamentals of Vacuum Technology; from memory).
    """
    return volume_l / 1000.0 / (flow_m3_per_h / 3600.0) * math.log(from_kpa / to_kpa)


def leak_pa_m3_per_s(volume_l: float, rise_kpa_per_min: float) -> float:
    """Leak by the rate of rise: Q = V Δp/Δt, Pa·m³/s."""
    return volume_l / 1000.0 * rise_kpa_per_min * 1000.0 / 60.0


def floor_kpa(leak: float, flow_m3_per_h: float) -> float:
    """Absolute pressure below which a pump brings no leaking vessel: p = Q/S.

    Args:
        leak: Pa·m³/s.
        flow_m3_per_h: the pump's flow.

    Assumptions:
        The leak is that of the rate-of-rise test, and the pump takes its free-air flow.

    Reference:
        Balance of the air in a leaking vessel, V dp/dt = Q − S p = 0.
    """
    return leak / (flow_m3_per_h / 3600.0) / 1000.0


def switch_cycle_s(
    volume_l: float, flow_m3_per_h: float, leak: float, deepest_kpa: float, band_kpa: float
) -> tuple[float, float | None]:
    """Time a pump on a vacuum switch: it stands and runs for (off, on) s; on is None where it never gets there.

    Args:
        volume_l: air space.
        flow_m3_per_h: the pump's flow.
        leak: Pa·m³/s, the same throughout.
        deepest_kpa: absolute pressure at which the switch stops the pump.
        band_kpa: rise at which it starts again.

    Assumptions:
        V dp/dt = Q − S p while it runs, V dp/dt = Q while it stands.

    Reference:
        Balance of the air in a leaking vessel; off = V Δp/Q, on = (V/S) ln[(p + Δp − Q/S)/(p − Q/S)].
    """
    cubic_m, flow = volume_l / 1000.0, flow_m3_per_h / 3600.0
    deepest, band = deepest_kpa * 1000.0, band_kpa * 1000.0
    off = cubic_m * band / leak
    floor = 1000.0 * floor_kpa(leak, flow_m3_per_h)
    if floor >= deepest:
        return off, None
    return off, cubic_m / flow * math.log((deepest + band - floor) / (deepest - floor))
