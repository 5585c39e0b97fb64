"""Stage `press`: what vacuum the air, the pump and the bag allow, how long it takes, and what leaks cost.

In: altitude, wish, pump, air in the bags. Out: the vacuum that the other sums may count on, times and duty; gauge kPa.
Air itself, its pressure at a height, its flow and its leaks, comes first and knows nothing of shops.
A wish that cannot be had is never lowered in silence: it stays beside what is held, with a finding for each limit.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from formgen.errors import PressError
from formgen.findings import Finding, finding
from formgen.fixed import fixed
from formgen.lengths import Units
from formgen.recipe.figures import Figure, figure
from formgen.recipe.shop import Shop

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


@fixed
class Vacuum:
    """The vacuum of the press, gauge.

    Args:
        asked_kpa: what the recipe asks for, or the pump's usual vacuum where it asks for none.
        asked_in_recipe: whether the recipe asked.
        atmosphere_kpa: the local air pressure, which no gauge vacuum exceeds.
        practical_kpa: the practical part of it.
        pump_kpa: what the pump usually holds; where the shop does not say, what is asked of it.
        balance_kpa: where the bags leak as fast as the pump draws: deeper it cannot bring them.
        held_kpa: the least of these: what all other sums count on.
        bags: how many hang on the pump.
        air_l: air in each bag before pumping, litres.
        pump_down_s: time to `held_kpa`, all bags at once.
        loss_kpa_per_min: what a bag loses with the pump shut off: tested, or the most that is accepted.
        loss_tested: whether it was tested.
        leak_pa_m3_per_s: leak of all bags together at that loss.
        off_s: how long a vacuum switch leaves the pump off.
        on_s: how long it then runs; None where it never brings the vacuum back.
        duty: the part of the time that it runs; 1 where it never stops.
        part_force_kn: air pressure times the area of the part's face.
        cautions: names of the catalogue's lines that belong here.
    """

    asked_kpa: float
    asked_in_recipe: bool
    atmosphere_kpa: float
    practical_kpa: float
    pump_kpa: float
    balance_kpa: float
    held_kpa: float
    bags: int
    air_l: float
    pump_down_s: float
    loss_kpa_per_min: float
    loss_tested: bool
    leak_pa_m3_per_s: float
    off_s: float
    on_s: float | None
    duty: float
    part_force_kn: float
    cautions: tuple[str, ...] = ("pump",)


def plan_vacuum(
    asked_kpa: float | None, shop: Shop, bags: int, air_l: float, part_mm2: float, units: Units
) -> tuple[Vacuum, tuple[Finding, ...]]:
    """The vacuum of the press and what to know about it.

    Args:
        asked_kpa: gauge, None where the recipe leaves it to the pump.
        shop: pump, altitude and figures.
        bags: on the one pump.
        air_l: in each bag, litres.
        part_mm2: area of the part's face.
        units: in which the findings are written.

    Raises:
        PressError: a practical share of the air's pressure that is not below 1, or bags that leak more than the pump
            draws.
    """
    atmosphere = standard_atmosphere_kpa(shop.altitude_mm)
    share = figure("practical_vacuum_share", shop)
    if share.value >= 1.0:
        raise PressError(
            f"figures.practical_vacuum_share = {share.value:g} in the shop file, expected below 1: "
            "no bag holds a whole vacuum"
        )
    practical = share.value * atmosphere
    pump = shop.pump
    pump_kpa = pump.vacuum_kpa
    if "vacuum_kpa" not in pump.model_fields_set:  # nobody said what it holds: what is asked, else as usual
        pump_kpa = min(pump_kpa, practical) if asked_kpa is None else asked_kpa
    asked = pump_kpa if asked_kpa is None else asked_kpa
    wanted = min(asked, practical, pump_kpa)
    loss = figure("bag_loss_most_kpa_per_min", shop).value
    tested = pump.lost_in_a_minute_kpa
    rate = loss if tested is None else tested
    leak = leak_pa_m3_per_s(bags * air_l, rate)
    balance = atmosphere - floor_kpa(leak, pump.flow_m3_per_h)
    if balance <= 0.0:
        raise PressError(
            f"press.bags = {bags}: at {rate:.1f} kPa lost in a minute they leak more than the pump's "
            f"{pump.flow_m3_per_h:g} m³/h draws, expected less: seal them, hang fewer on it, or use a larger pump"
        )
    held = min(wanted, balance)
    band = min(pump.switch_band_kpa, wanted)
    off, on = switch_cycle_s(bags * air_l, pump.flow_m3_per_h, leak, atmosphere - wanted, band)
    vacuum = Vacuum(
        asked_kpa=asked,
        asked_in_recipe=asked_kpa is not None,
        atmosphere_kpa=atmosphere,
        practical_kpa=practical,
        pump_kpa=pump_kpa,
        balance_kpa=balance,
        held_kpa=held,
        bags=bags,
        air_l=air_l,
        pump_down_s=pump_down_s(bags * air_l, pump.flow_m3_per_h, atmosphere, atmosphere - held),
        loss_kpa_per_min=rate,
        loss_tested=tested is not None,
        leak_pa_m3_per_s=leak,
        off_s=off,
        on_s=on,
        duty=1.0 if on is None else on / (on + off),
        part_force_kn=force_kn(held, part_mm2),
    )
    return vacuum, (*_wish_findings(vacuum, share, units), *_leak_findings(vacuum, shop, units))


def _wish_findings(vacuum: Vacuum, share: Figure, units: Units) -> list[Finding]:
    """List what stands in the way of the wish: the air, the pump, or what is practical."""
    if vacuum.asked_kpa <= min(vacuum.practical_kpa, vacuum.pump_kpa):
        return []
    by_recipe = "recipe" if vacuum.asked_in_recipe else "shop"
    said: dict[str, Any] = {"value": vacuum.asked_kpa, "held": vacuum.held_kpa, "whose": by_recipe, "mend": by_recipe}
    if vacuum.asked_kpa > vacuum.atmosphere_kpa:
        return [finding("press.vacuum-above-air", units, limit=vacuum.atmosphere_kpa, **said)]
    if vacuum.pump_kpa <= vacuum.practical_kpa:
        return [finding("press.vacuum-wish", units, "pump", limit=vacuum.pump_kpa, **said)]
    practice: dict[str, Any] = {"share": share.value, "figure_source": share.source}
    return [finding("press.vacuum-wish", units, "practice", limit=vacuum.practical_kpa, **practice, **said)]


def _leak_findings(vacuum: Vacuum, shop: Shop, units: Units) -> Iterator[Finding]:
    """A weak vacuum, a bag that loses too much, a pump that runs too long."""
    least, most = figure("bag_vacuum_least_kpa", shop), figure("bag_loss_most_kpa_per_min", shop)
    if vacuum.held_kpa < least.value:
        yield finding("press.vacuum-weak", units, value=vacuum.held_kpa, limit=least.value, figure_source=least.source)
    if vacuum.loss_kpa_per_min > most.value:
        yield finding("press.leak", units, value=vacuum.loss_kpa_per_min, limit=most.value, figure_source=most.source)
    yield from _duty_findings(vacuum, figure("pump_duty_most", shop), units)


def _duty_findings(vacuum: Vacuum, most: Figure, units: Units) -> Iterator[Finding]:
    """A pump that never reaches its vacuum, or runs too long at it."""
    if vacuum.on_s is None:
        wanted = min(vacuum.asked_kpa, vacuum.practical_kpa, vacuum.pump_kpa)
        held = {"bags": vacuum.bags, "held": vacuum.held_kpa}
        yield finding("press.pump-overcome", units, value=wanted, limit=vacuum.balance_kpa, **held)
    elif vacuum.duty > most.value:
        duty = {"value": vacuum.duty, "limit": most.value}
        yield finding("press.pump-duty", units, **duty, bags=vacuum.bags, figure_source=most.source)
