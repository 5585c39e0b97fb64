"""Stage `press`: the glue: how much, how long it stays open, how long it presses, and how much pressure it would like.

In: an adhesive or none, the plies, the shop's people and temperature, the pressure on the plies. Out: kg, minutes, MPa.
While no glue is chosen only one long time in the press is taken, so that days can be planned.
"""

from __future__ import annotations

from collections.abc import Iterator

from formgen.findings import Finding, finding
from formgen.fixed import fixed
from formgen.lengths import Units
from formgen.press.hollows import Hollows
from formgen.press.vacuum import Vacuum
from formgen.recipe.catalogue import adhesives
from formgen.recipe.entries import USUAL_VALUE, Adhesive
from formgen.recipe.figures import Figure, figure
from formgen.recipe.model import Recipe
from formgen.recipe.shop import Shop


@fixed
class Glue:
    """The glue of one part; what is None is not known while no glue is chosen.

    Args:
        chosen: whether recipe or shop names a glue.
        adhesive: its name.
        lines: glue lines, one less than the plies.
        line_m2: mean area of a line, trim included.
        spread_g_per_m2: on one line.
        net_kg: what the lines take.
        mixed_kg: with waste: what to mix.
        lay_up_min: from the first glue until the pressure is on, with the people of the shop: spreading and stacking,
            bending and clamps, with a bag bagging and pumping down, too.
        open_least_min, open_most_min: how long the glue stays open at the shop's temperature.
        press_min: how long it stays in the press at the shop's temperature: the longer end of its range, or what the
            shop says of its own; the longest of all usual values while no glue is chosen.
        temperature_celsius: the shop's.
        reference_celsius: at which the adhesive's own times hold; elsewhere they go by a rule of thumb.
        asked_least_mpa, asked_most_mpa: pressure that a press is usually asked for.
        available_mpa: what presses ply on ply.
        usual: which of `spread`, `open time`, `time in the press` and `pressure` are usual values and no data sheet's.
        cautions: names of the catalogue's lines that belong here.
    """

    chosen: bool
    adhesive: str | None
    lines: int
    line_m2: float
    spread_g_per_m2: float | None
    net_kg: float | None
    mixed_kg: float | None
    lay_up_min: float
    open_least_min: float | None
    open_most_min: float | None
    press_min: float
    temperature_celsius: float
    reference_celsius: float
    asked_least_mpa: float | None
    asked_most_mpa: float | None
    available_mpa: float
    usual: tuple[str, ...]
    cautions: tuple[str, ...]


#: The adhesive's figures, and what a shop calls them.
_CALLED = {
    "spread_g_per_m2": "spread",
    "open_min": "open time",
    "clamp_min": "time in the press",
    "pressure_mpa": "pressure",
}


def glue_kg(lines: int, line_m2: float, spread_g_per_m2: float) -> float:
    """Weight of glue on so many lines: 8 plies 2.0 × 0.15 m at 200 g/m² have seven lines and take 0.42 kg."""
    return lines * line_m2 * spread_g_per_m2 / 1000.0


def slower(temperature_celsius: float, reference_celsius: float, doubling_celsius: float) -> float:
    """Count how many times longer the glue takes than at the reference temperature.

    Assumptions:
        The rate of setting halves with every `doubling_celsius` that it is colder: a rule of thumb (common practice,
        no source), good for ten degrees or so. The maker's own table goes before it.

    Reference:
        van 't Hoff's rule: rates grow two- to fourfold in 10 K (from memory).
    """
    return float(2.0 ** ((reference_celsius - temperature_celsius) / doubling_celsius))


def longest_press_min() -> float:
    """The longest time in the press of all classes of adhesive, minutes at the reference temperature."""
    return max(known.clamp_min[1] for known in adhesives().values())


def plan_glue(
    recipe: Recipe, adhesive: Adhesive | None, lines: int, line_m2: float, pressure_kpa: float, vacuum: Vacuum | None
) -> Glue:
    """The glue of one part.

    Args:
        recipe: spread, without one the middle of the adhesive's range; the shop's people, temperature and figures.
        adhesive: shop's own or catalogue's; None while none is chosen.
        lines: how many.
        line_m2: mean area of a line.
        pressure_kpa: of ply on ply.
        vacuum: of the press, whose pump-down takes its time; None without a bag.
    """
    shop, spread = recipe.shop, recipe.asked.laminate.spread_g_per_m2
    asked_spread = spread is not None
    if spread is None and adhesive is not None:
        spread = sum(adhesive.spread_g_per_m2) / 2.0
    net = None if spread is None else glue_kg(lines, line_m2, spread)
    reference = figure("cure_reference_celsius", shop).value
    factor = slower(shop.temperature_celsius, reference, figure("cure_doubling_celsius", shop).value)
    press = longest_press_min() if adhesive is None else adhesive.clamp_min[1]
    return Glue(
        chosen=adhesive is not None,
        adhesive=None if adhesive is None else adhesive.name,
        lines=lines,
        line_m2=line_m2,
        spread_g_per_m2=spread,
        net_kg=net,
        mixed_kg=None if net is None else net * (1.0 + figure("glue_waste_share", shop).value),
        lay_up_min=_lay_up_min(lines * line_m2, shop, vacuum),
        open_least_min=None if adhesive is None else adhesive.open_min[0] * factor,
        open_most_min=None if adhesive is None else adhesive.open_min[1] * factor,
        press_min=press * factor,
        temperature_celsius=shop.temperature_celsius,
        reference_celsius=reference,
        asked_least_mpa=None if adhesive is None else adhesive.pressure_mpa[0],
        asked_most_mpa=None if adhesive is None else adhesive.pressure_mpa[1],
        available_mpa=pressure_kpa / 1000.0,
        usual=_usual(adhesive, asked_spread=asked_spread),
        cautions=() if adhesive is None else adhesive.cautions,
    )


def _lay_up_min(glued_m2: float, shop: Shop, vacuum: Vacuum | None) -> float:
    """From the first glue until the pressure is on; without a bag the clamps are the last of it."""
    laying = glued_m2 / (figure("laying_m2_per_min", shop).value * shop.people)
    bagging = 0.0 if vacuum is None else figure("bagging_min", shop).value + vacuum.pump_down_s / 60.0
    return laying + figure("bending_min", shop).value + bagging


def _usual(adhesive: Adhesive | None, *, asked_spread: bool) -> tuple[str, ...]:
    """List what is a usual value: of a chosen glue all that neither recipe nor shop says; of none the planned time."""
    if adhesive is None:
        return (_CALLED["clamp_min"],)
    return tuple(
        called
        for field, called in _CALLED.items()
        if adhesive.source_of(field).endswith(USUAL_VALUE) and not (field == "spread_g_per_m2" and asked_spread)
    )


def glue_findings(
    glue: Glue, adhesive: Adhesive | None, shop: Shop, units: Units, hollows: Hollows, what: str
) -> Iterator[Finding]:
    """None chosen; too cold, times by a rule of thumb, too slow, too little pressure.

    Args:
        glue: the plan.
        adhesive: its adhesive.
        shop: for the figures.
        units: in which they are written.
        hollows: whether the plies close, and what the glue bridges.
        what: what presses the plies: `bag` or `clamps`.
    """
    if adhesive is None:
        yield finding("press.glue-not-chosen", units, value=glue.press_min, glue_source=USUAL_VALUE)
        return
    yield from _by_rule(glue, figure("cure_doubling_celsius", shop), units)
    if glue.temperature_celsius < adhesive.least_temperature_c:
        yield finding(
            "press.too-cold",
            units,
            value=glue.temperature_celsius,
            limit=adhesive.least_temperature_c,
            glue=adhesive.name,
            glue_source=adhesive.source_of("least_temperature_c"),
        )
    yield from _open_time(glue, adhesive, units)
    yield from _pressure_findings(glue, adhesive, units, hollows, what)


def _open_time(glue: Glue, adhesive: Adhesive, units: Units) -> Iterator[Finding]:
    """Laying up takes longer than the glue stays open, or may; a usual value condemns no part."""
    least, most = glue.open_least_min, glue.open_most_min
    if least is None or most is None or glue.lay_up_min <= least:
        return
    over = glue.lay_up_min > most
    case = "may" if not over else "over-usual" if "open time" in glue.usual else "over"
    yield finding(
        "press.open-time",
        units,
        case,
        value=glue.lay_up_min,
        limit=most if over else least,
        lines=glue.lines,
        glue=adhesive.name,
        glue_source=adhesive.source_of("open_min"),
    )


def _by_rule(glue: Glue, doubling: Figure, units: Units) -> Iterator[Finding]:
    """Times that hold at another temperature than the shop's: a guess, and a bold one past one doubling."""
    away = abs(glue.temperature_celsius - glue.reference_celsius)
    if away == 0.0:
        return
    yield finding(
        "press.times-by-rule",
        units,
        "far" if away > doubling.value else "near",
        value=glue.temperature_celsius,
        limit=glue.reference_celsius,
        doubling=doubling.value,
        figure_source=doubling.source,
    )


def _pressure_findings(glue: Glue, adhesive: Adhesive, units: Units, hollows: Hollows, what: str) -> Iterator[Finding]:
    least, most = adhesive.pressure_mpa
    if glue.available_mpa >= least:
        return
    bridged = {"glue": adhesive.name, "gap": adhesive.gap_mm} if hollows.plies_close else {}
    yield finding(
        "press.glue-pressure",
        units,
        "enough" if hollows.plies_close else "short",
        value=glue.available_mpa,
        limit=least,
        gives=what,
        least=least,
        most=most,
        more=(least / glue.available_mpa, most / glue.available_mpa),
        glue_source=adhesive.source_of("pressure_mpa"),
        **bridged,
    )
