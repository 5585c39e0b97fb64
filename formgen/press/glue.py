"""Stage `press`: the glue: how much, how long it stays open, how long it presses, and how much pressure it would like.

In: an adhesive, the plies, the shop's people and temperature, the vacuum held. Out: kg, minutes, MPa.
"""

from __future__ import annotations

from dataclasses import dataclass

from formgen.findings import Finding, Severity
from formgen.lengths import Units, write_fine
from formgen.press.amounts import stress_text, temperature_text
from formgen.recipe.entries import Adhesive
from formgen.recipe.figures import Figure, figure
from formgen.recipe.shop import Shop


@dataclass(frozen=True, kw_only=True)
class Glue:
    """The glue of one part.

    Args:
        adhesive: its name.
        lines: glue lines, one less than the plies.
        line_m2: mean area of a line, trim included.
        spread_g_per_m2: on one line.
        net_kg: what the lines take.
        mixed_kg: with waste: what to mix.
        lay_up_min: spreading and stacking, bagging and pumping down, with the people of the shop.
        open_least_min, open_most_min: how long the glue stays open at the shop's temperature.
        press_least_min, press_most_min: how long it presses at the shop's temperature.
        temperature_celsius: the shop's.
        reference_celsius: at which the adhesive's own times hold; elsewhere they go by a rule of thumb.
        asked_least_mpa, asked_most_mpa: pressure that handbooks ask for.
        available_mpa: what the vacuum gives.
        source, how_sure: where the adhesive's numbers come from.
        cautions: names of the catalogue's lines that belong here.
    """

    adhesive: str
    lines: int
    line_m2: float
    spread_g_per_m2: float
    net_kg: float
    mixed_kg: float
    lay_up_min: float
    open_least_min: float
    open_most_min: float
    press_least_min: float
    press_most_min: float
    temperature_celsius: float
    reference_celsius: float
    asked_least_mpa: float
    asked_most_mpa: float
    available_mpa: float
    source: str
    how_sure: str
    cautions: tuple[str, ...]


def glue_kg(lines: int, line_m2: float, spread_g_per_m2: float) -> float:
    """Weight of glue on so many lines: 8 plies 2.0 × 0.15 m at 200 g/m² have seven lines and take 0.42 kg."""
    return lines * line_m2 * spread_g_per_m2 / 1000.0


def slower(temperature_celsius: float, reference_celsius: float, doubling_celsius: float) -> float:
    """How many times longer the glue takes than at the reference temperature.

    Assumptions:
        The rate of setting halves with every `doubling_celsius` that it is colder: a rule of thumb (common practice,
        no source), good for ten degrees or so. The maker's own table goes before it.

    Reference:
        van 't Hoff's rule: rates grow two- to fourfold in 10 K (from memory).
    """
    return float(2.0 ** ((reference_celsius - temperature_celsius) / doubling_celsius))


def plan_glue(
    adhesive: Adhesive,
    spread_g_per_m2: float | None,
    plies: int,
    line_m2: float,
    shop: Shop,
    held_kpa: float,
    pump_down_s: float,
) -> Glue:
    """The glue of one part.

    Args:
        adhesive: shop's own or catalogue's.
        spread_g_per_m2: None takes the middle of the adhesive's range.
        plies: how many.
        line_m2: mean area of a line.
        shop: people, temperature, figures.
        held_kpa: gauge vacuum.
        pump_down_s: time to it.
    """
    lines = plies - 1
    spread = sum(adhesive.spread_g_per_m2) / 2.0 if spread_g_per_m2 is None else spread_g_per_m2
    net = glue_kg(lines, line_m2, spread)
    laying = lines * line_m2 / (figure("laying_m2_per_min", shop).value * shop.people)
    reference = figure("cure_reference_celsius", shop).value
    factor = slower(shop.temperature_celsius, reference, figure("cure_doubling_celsius", shop).value)
    return Glue(
        adhesive=adhesive.name,
        lines=lines,
        line_m2=line_m2,
        spread_g_per_m2=spread,
        net_kg=net,
        mixed_kg=net * (1.0 + figure("glue_waste_share", shop).value),
        lay_up_min=laying + figure("bagging_min", shop).value + pump_down_s / 60.0,
        open_least_min=adhesive.open_min[0] * factor,
        open_most_min=adhesive.open_min[1] * factor,
        press_least_min=adhesive.clamp_min[0] * factor,
        press_most_min=adhesive.clamp_min[1] * factor,
        temperature_celsius=shop.temperature_celsius,
        reference_celsius=reference,
        asked_least_mpa=adhesive.pressure_mpa[0],
        asked_most_mpa=adhesive.pressure_mpa[1],
        available_mpa=held_kpa / 1000.0,
        source=adhesive.source,
        how_sure=adhesive.how_sure,
        cautions=adhesive.cautions,
    )


def glue_findings(glue: Glue, adhesive: Adhesive, shop: Shop, units: Units, *, plies_close: bool) -> list[Finding]:
    """Too cold, times by a rule of thumb, too slow, too little pressure.

    Args:
        glue: the plan.
        adhesive: its adhesive.
        shop: for the figures.
        units: in which they are written.
        plies_close: whether the vacuum closes the hollows of these plies to what the glue bridges.
    """
    source = f"{adhesive.name}: {adhesive.source} ({adhesive.how_sure})"
    found = _by_rule(glue, figure("cure_doubling_celsius", shop), units)
    if glue.temperature_celsius < adhesive.least_temperature_c:
        found.append(
            Finding(
                code="press.too-cold",
                severity=Severity.PROBLEM,
                message=(
                    f"The shop is too cold for {adhesive.name}: it may never set; warm the shop, the plies and the "
                    "form, or use another glue."
                ),
                value=glue.temperature_celsius,
                limit=adhesive.least_temperature_c,
                unit="°C",
                source=source,
            )
        )
    if glue.lay_up_min > glue.open_least_min:
        over = glue.lay_up_min > glue.open_most_min
        found.append(
            Finding(
                code="press.open-time",
                severity=Severity.PROBLEM if over else Severity.WARNING,
                message=(
                    f"{glue.lines} glue lines take {glue.lay_up_min:.0f} min to spread, stack, bag and pump down; "
                    f"{adhesive.name} {'stays' if over else 'may stay'} open for less: more people, a slower glue, or "
                    "two press days."
                ),
                value=glue.lay_up_min,
                limit=glue.open_most_min if over else glue.open_least_min,
                unit="min",
                source=source,
            )
        )
    return found + _pressure_findings(glue, adhesive, source, units, plies_close=plies_close)


def _by_rule(glue: Glue, doubling: Figure, units: Units) -> list[Finding]:
    """Times that hold at another temperature than the shop's: a guess, and a bold one past one doubling."""
    away = abs(glue.temperature_celsius - glue.reference_celsius)
    if away == 0.0:
        return []
    far, degrees = away > doubling.value, doubling.value * (1.8 if units == "in" else 1.0)
    bold = "; that is further than the rule of thumb goes" if far else ""
    return [
        Finding(
            code="press.times-by-rule",
            severity=Severity.WARNING if far else Severity.NOTE,
            message=(
                f"Open and press times are reckoned from {temperature_text(glue.reference_celsius, units)}, twice as "
                f"long for each {degrees:.0f} degrees colder{bold}: "
                "the table on the glue's own sheet goes before them."
            ),
            value=glue.temperature_celsius,
            limit=glue.reference_celsius,
            unit="°C",
            source=doubling.source,
        )
    ]


def _pressure_findings(
    glue: Glue, adhesive: Adhesive, source: str, units: Units, *, plies_close: bool
) -> list[Finding]:
    if glue.available_mpa >= adhesive.pressure_mpa[0]:
        return []
    short = (
        f"The vacuum gives {stress_text(glue.available_mpa, units)} where handbooks ask a press for "
        f"{stress_text(adhesive.pressure_mpa[0], units)} to {stress_text(adhesive.pressure_mpa[1], units)}, "
        f"{adhesive.pressure_mpa[0] / glue.available_mpa:.0f} to "
        f"{adhesive.pressure_mpa[1] / glue.available_mpa:.0f} times as much"
    )
    why = (
        f"; enough here, since the plies bend shut on it and {adhesive.name} bridges up to "
        f"{write_fine(adhesive.gap_mm, units)}"
        if plies_close
        else "; and here it does not bend the plies shut: use thinner or better planed plies, or a glue that bridges "
        "more"
    )
    return [
        Finding(
            code="press.glue-pressure",
            severity=Severity.NOTE if plies_close else Severity.WARNING,
            message=f"{short}{why}.",
            value=glue.available_mpa,
            limit=adhesive.pressure_mpa[0],
            unit="MPa",
            source=source,
        )
    ]
