"""Stage `reports`: sentences about what holds the part: where a clamp stays, what hands and clamps must bring, the bar.

In: a Holding. Out: text in the recipe's units. Nothing is computed here.
"""

from __future__ import annotations

import math

from formgen.amounts import pressure_text, small_reading
from formgen.holding.model import Holding
from formgen.holding.on_form.model import TOLD_TO, StayingClamp
from formgen.holding.spreader_bar import BarSetting, lying_on
from formgen.press.caul import CaulPressure
from formgen.press.drawing_down import DrawingDown
from formgen.reports.press_sheet import facts
from formgen.reports.press_sheet.words import checked, listed, numbers, tape, thin
from formgen.reports.rows.holding import closing_texts, foot_texts
from formgen.units import MM_PER_IN


def distance(holding: Holding, stay: StayingClamp) -> str:
    """Say how far from the spring line a clamp stands, by the tape; empty where it is measured from elsewhere."""
    if stay.trim_line or stay.beyond_springing_mm is None:
        return ""
    return tape(abs(stay.beyond_springing_mm), facts.units(holding))


def beyond(holding: Holding, stay: StayingClamp) -> str:
    """`1 3/16 in beyond the spring line, on the leg`; `at the trim line`."""
    if stay.trim_line:
        return "at the trim line"
    if stay.beyond_springing_mm is None:
        pressed = holding.laminate.pressed
        from_end = stay.station_mm if stay.end == "right" else pressed.length_mm - stay.station_mm
        return f"{tape(from_end, facts.units(holding))} from the trim line, along the part"
    side = (
        "beyond the spring line, on the leg"
        if stay.beyond_springing_mm >= 0.0
        else "before the spring line, on the arc"
    )
    return f"{distance(holding, stay)} {side}"


def place(holding: Holding, stay: StayingClamp) -> str:
    """Say which clamp, at which end, and where."""
    number = f"clamp {stay.clamp}" if stay.clamp is not None else "one from the back of the form"
    return f"{number} at the {stay.end} end, {beyond(holding, stay)}"


def stay_alike(holding: Holding) -> bool:
    """Tell whether the clamps that stay at the ends of the arc stand equally far from their spring lines."""
    far = {distance(holding, stay) for stay in facts.stays(holding)}
    return len(far) == 1 and far != {""}


def pair_place(holding: Holding) -> str:
    """Say where the pair stays and which clamps it is, said once for both ends."""
    stays = facts.stays(holding)
    on = (stays[0].beyond_springing_mm or 0.0) >= 0.0
    where = "beyond each spring line, on the leg" if on else "before each spring line, on the arc"
    known = [stay.clamp for stay in stays if stay.clamp is not None]
    who = f"clamps {numbers(known)} stay" if len(known) == len(stays) else "one stays at each end"
    return f"{where}, to the middle of the clamp: there {who}, on blocks."


def others_stay(holding: Holding, held: facts.Clamps) -> str:
    """Say what stays beside the pairs: bar and feet; empty where nothing does."""
    pairs = {stay.clamp for stay in facts.stays(holding)}
    feet = [*held.feet, *(n for n in held.stay if n not in pairs)]
    which = f": {numbers(feet)}" if feet else ""
    if facts.bar(holding) is not None:
        return f"The bar stays{f', and so do the feet{which}' if feet else ''}."
    return f"The feet stay{which}." if feet else ""


def slack_costs(holding: Holding) -> str:
    """Say what a mark of slack on the tape does to the part, in brackets; empty where it does nothing."""
    on, units = holding.on_form, facts.units(holding)
    if on is None or on.per_slack < 1e-3:
        return ""
    mark, mm = ("1/16 in", float(MM_PER_IN) / 16.0) if units == "in" else ("1 mm", 1.0)
    return f" ({mark} lifts the part by {thin(mm * on.per_slack, units)})"


def extra_clamps(holding: Holding) -> list[str]:
    """Clamps that stay and stand in no relief: sentences, one for both ends where they are alike."""
    extra = [s for s in facts.stays(holding) if s.clamp is None]
    where = dict.fromkeys(beyond(holding, s) for s in extra)
    both = [text for text in where if {s.end for s in extra if beyond(holding, s) == text} == {"right", "left"}]
    texts = [f"One more at each end of the arc, on a block, {text}." for text in both]
    alone = [s for s in extra if beyond(holding, s) not in both]
    return [*texts, *(f"One more at the {s.end} end, on a block, {beyond(holding, s)}." for s in alone)]


def just_snug(holding: Holding) -> str:
    """The most that the gauge may read while the plies are bent."""
    soft = holding.soft_vacuum
    if soft is None:
        return ""
    reading = f"{small_reading(soft.gauge_kpa, facts.units(holding))} at most"
    return reading if soft.shows else f"{reading}, less than the gauge shows"


def ends(holding: Holding) -> str:
    """`both legs`, or `both ends` where there are none."""
    laminate = holding.laminate
    return "both legs" if laminate.arch.two_legged and laminate.springing_mm[0] > 0.0 else "both ends"


def inward(holding: Holding) -> str:
    """Say which way the ends go to the form."""
    return "down" if holding.pressing.side == "male" else "in"


def foot_force(holding: Holding) -> str:
    """Say what bringing each end in takes, for the whole depth; empty where it takes nothing."""
    said = foot_texts(holding.bending, facts.units(holding))
    if not said:
        return ""
    if len(set(said.values())) == 1 and len(said) == 2:
        return f"Each takes {said['right']}."
    return f"It takes {'; '.join(f'{text} at the {end} end' for end, text in said.items())}."


def closing_force(holding: Holding) -> str:
    """Say what closing the plies at the ends of the arc takes, as a range for the whole depth; empty where nothing."""
    said = closing_texts(holding.bending, facts.units(holding))
    if not said:
        return ""
    if len(set(said.values())) == 1 and len(said) == 2:
        return f"To close each end: {said['right']}."
    return f"To close the arc: {'; '.join(f'{text} at the {end} end' for end, text in said.items())}."


def caul(holding: Holding, under: CaulPressure) -> str:
    """Say what lies under the clamps, and how far apart they may stand."""
    units = facts.units(holding)
    side = f", {under.side_by_side} side by side across the part" if under.side_by_side > 1 else ""
    return (
        f"A waxed caul under every clamp, {tape(under.caul_mm, units)} with all that lies under the jaw: clamps no "
        f"more than {tape(under.reach_mm, units)} apart{side}, so that they press the glue line everywhere."
    )


def drawn_down(holding: Holding, drawing: DrawingDown) -> str:
    """From which reading on the air holds the stack down on a form in its bag."""
    needed = pressure_text(drawing.needed_kpa, facts.units(holding))
    if drawing.needed_kpa > drawing.held_kpa:
        return f"The air does not bring the stack down by itself, it would take {needed}: straps or clamps stay on."
    return f"From {needed} on the air holds the stack down; until then hands, straps or clamps do."


def usual(holding: Holding, what: str) -> str:
    """A remark behind a figure of the glue that no data sheet gave; else nothing."""
    return " (usual value)" if what in holding.pressing.glue.usual else ""


def why_all_stay(holding: Holding) -> str:
    """No clamp comes off, and why."""
    on, units = holding.on_form, facts.units(holding)
    if on is None or on.holds:
        return "No clamp comes off."
    lift_mm, most_mm = on.staying[0].lift_mm, TOLD_TO * on.tolerance_mm
    lift = thin(lift_mm, units) if lift_mm <= most_mm else f"more than {thin(most_mm, units)}"
    return (
        f"No clamp comes off: the part would lift {lift} off the form, and {thin(on.tolerance_mm, units)} is allowed."
    )


def bar_word(holding: Holding) -> str:
    """`bar` or `tie`."""
    return "tie" if facts.comes_off(holding) and holding.off is not None and holding.off.held_by == "tie" else "bar"


def bar_setting(holding: Holding, setting: BarSetting) -> str:
    """Say what is set, where, to what, and what an error does."""
    units = facts.units(holding)
    over = f"over {listed([name for name, _ in setting.lies])}" if setting.lies else "wood to wood"
    wood = f"; {checked(setting.between_legs_mm, units)} wood to wood" if setting.lies else ""
    return f"{_bar_place(holding, setting)}: {setting.tape} jaw to jaw {over}{wood}. {_bar_step(holding, setting)}"


def _bar_place(holding: Holding, setting: BarSetting) -> str:
    """Say which thing, and where it goes."""
    units = facts.units(holding)
    faces = "outside" if setting.action == "pulls in" else "inside"
    if bar_word(holding) == "tie":
        return "Tie across the two ends, on blocks square to it"
    where = "below" if setting.height_mm < 0 else "above"
    return f"Bar across the {faces} faces, {tape(abs(setting.height_mm), units)} {where} the springing line"


def _bar_step(holding: Holding, setting: BarSetting) -> str:
    """Say what the next mark on the tape does to the finished span."""
    units = facts.units(holding)
    mark, moves = ("1/16 in", setting.span_mm_per_sixteenth) if units == "in" else ("1 mm", setting.span_per_bar)
    if not math.isfinite(moves):
        return "Nothing is added for spring-back."
    return f"{mark} more opens the finished span by {thin(moves, units)}. Nothing is added for spring-back."


def in_the_bag_rows(holding: Holding) -> tuple[tuple[str, str], ...]:
    """List what a tape finds across the part in its bag, off the form, at the usual friction."""
    off, measured = holding.off, holding.recipe.part.measured_on
    if off is None or measured == "centre":
        return ()
    outside = measured == "outside"
    lies = math.fsum(mm for _, mm in lying_on(holding.pressing, measured))
    over, stands, units = (2.0 if outside else -2.0) * lies, off.usual.in_bag, facts.units(holding)
    rows = [(f"springing line, {measured}", checked(stands.span_mm + over, units))]
    if abs(stands.feet_mm - stands.span_mm) > 0.0:
        rows.append((f"ends of the legs, {measured}", checked(stands.feet_mm + over, units)))
    return tuple(rows)


def off_tolerance(holding: Holding) -> str:
    """Say how far the part may move off the form."""
    return thin(holding.off.tolerance_mm, facts.units(holding)) if holding.off is not None else ""
