"""Stage `reports`: rows about what holds the part: the bar, the clamps, and whether it may leave the form.

In: a Form. Out: rows of text in the recipe's units. Nothing is computed here.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from formgen.amounts import newton_range_text, newton_text, small_reading
from formgen.findings.wording import change_text
from formgen.holding.bending.model import Bending
from formgen.holding.bending.soft_vacuum import SoftVacuum
from formgen.holding.clamps import ClampPlan
from formgen.holding.model import Holding
from formgen.holding.off_form.advice import OffForm
from formgen.holding.off_form.standing import Standing
from formgen.holding.on_form.findings import staying_text
from formgen.holding.spreader_bar import BarSetting
from formgen.lengths import Units, write_fine, write_length, write_tape


def holding_rows(form: Holding) -> Iterable[tuple[str, str]]:
    """Bar setting, clamps in their order, and the part off its form."""
    units = form.recipe.units
    if form.bar_setting is not None:
        yield "spreader bar", bar_text(form.bar_setting, units)
    yield from _bending_rows(form.bending, units)
    if form.soft_vacuum is not None:
        yield "vacuum while bending", soft_text(form.soft_vacuum, units)
    if form.clamps is not None:
        yield "clamps", _clamps_text(form.clamps, units)
        yield "clamps go on", f"{release_text(form.clamps.on_order)}: all snug first, then tight in the same order"
        if form.clamps.off_at_vacuum:
            yield "off at full vacuum", release_text(form.clamps.off_at_vacuum)
    if form.on_form is not None and form.on_form.holds:
        yield "these stay on", staying_text(form.on_form.stays, units)
    if form.clamps is not None:
        yield "release", release_text(form.clamps.release)
    if form.off is not None:
        yield from _off_rows(form.off, units)


def _off_rows(off: OffForm, units: Units) -> Iterable[tuple[str, str]]:
    """List the setting of bar or tie off the form, and how the part stands in its bag and finished."""
    if off.bar is not None:
        where = "across the outside of the legs" if off.held_by == "bar" else "across the two ends"
        yield f"off the form, {off.held_by}", f"{where}: {_setting_text(off.bar, units)}"
    states = (off.least, off.usual, off.most)
    in_bag = (_standing_text(state.friction, state.in_bag, units) for state in states)
    finished = (_standing_text(state.friction, state.finished, units) for state in states)
    yield "off the form, in the bag", "; ".join(in_bag)
    yield "off the form, finished", "; ".join(finished)
    yield "while the glue sets", f"{off.advice}: {off.reason}"


def _standing_text(friction: float, stands: Standing, units: Units) -> str:
    """At a friction: departure, span and, where there are legs, feet."""
    way = "outside" if stands.departure_mm > 0 else "inside"
    off, span = write_fine(abs(stands.departure_mm), units), change_text(stands.span_change_mm, units)
    text = f"friction {friction:.1f}: {off} {way} its curve, span {span}"
    legs = abs(stands.feet_mm - stands.span_mm) > 0.0
    return f"{text}, feet {change_text(stands.feet_change_mm, units)}" if legs else text


def bar_text(setting: BarSetting, units: Units) -> str:
    """The setting as the tape reads, where, and what a small error does; the form already holds the spring-back."""
    step = "1/16 in" if units == "in" else "1 mm"
    moves = setting.span_mm_per_sixteenth if units == "in" else setting.span_per_bar
    where = "below" if setting.height_mm < 0 else "above"
    return (
        f"{setting.action} to {_setting_text(setting, units)}; {write_tape(abs(setting.height_mm), units)} {where} the "
        f"springing line; {step} of bar moves the finished span {write_fine(moves, units)}; "
        "nothing is added for spring-back"
    )


def _bending_rows(bending: Bending, units: Units) -> Iterable[tuple[str, str]]:
    """List what brings each end in, and what closes it; one row for both ends where they read alike."""
    texts = (("to bring the ends in", foot_texts(bending, units)), ("to close them", closing_texts(bending, units)))
    for what, said in texts:
        if said:
            same = len(set(said.values())) == 1 and len(said) == 2
            yield what, next(iter(said.values())) if same else "; ".join(f"{end}: {text}" for end, text in said.items())


def foot_texts(bending: Bending, units: Units) -> dict[str, str]:
    """Say by its end what bringing it in takes; only of ends where that is something."""
    return {end.end: f"{newton_text(end.foot_n, units)}, {end.foot_takes}" for end in bending.ends if end.foot_n > 0.0}


def closing_texts(bending: Bending, units: Units) -> dict[str, str]:
    """Say by its end what closing the plies takes, as a range; only of ends where that is something."""
    return {
        end.end: f"{newton_range_text(end.closing.least_n, end.closing.most_n, units)}, "
        f"{bending.means.clamps_text(*end.closing.clamps)}"
        for end in bending.ends
        if end.closing is not None and end.closing.most_n > 0.0
    }


def soft_text(soft: SoftVacuum, units: Units) -> str:
    """`bag just snug`, with the reading that it may have at most."""
    return f"bag just snug (at most {small_reading(soft.gauge_kpa, units)})"


def _setting_text(setting: BarSetting, units: Units) -> str:
    """Jaw to jaw over what lies there, and wood to wood."""
    over = " and ".join(name for name, _ in setting.lies) or "nothing"
    return f"{setting.tape} jaw to jaw over {over} ({write_fine(setting.between_legs_mm, units)} wood to wood)"


def release_text(release: Iterable[tuple[int, ...]]) -> str:
    """Clamp numbers in their order, pairs joined; a run that goes one by one by its ends alone."""
    release = tuple(release)
    alone = [group[0] for group in release if len(group) == 1]
    if len(alone) == len(release) > 2 and {b - a for a, b in pairwise(alone)} in ({1}, {-1}):
        return f"{alone[0]} to {alone[-1]}, one by one"
    return ", then ".join(" and ".join(str(n) for n in group) for group in release)


def _clamps_text(plan: ClampPlan, units: Units) -> str:
    curved = [p for p in plan.places if p.on_curve]
    text = f"{len(plan.places)}, numbered from the right"
    if not curved:
        return text
    worst = write_length(max(p.flat_mm for p in curved), units)
    return f"{text}; {len(curved)} on the curve, where a flat jaw stands off {worst}: use curved blocks"
