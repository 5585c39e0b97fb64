"""The eight answers that a joiner needs before any wood is cut, made once from the last stage.

In: a `Holding`. Out: `Answers`, each a line of text in the recipe's units with the number that it turns on. Screen,
report, building page and `job.json` (`found.answers`) lead with these, from here; nothing is computed that a stage did
not compute. Sizes to saw or set are written to the tape's mark, thicknesses as a caliper shows them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from itertools import groupby
from typing import Any

from formgen.amounts import glue_text, pressure_text, stress_text, time_text, weight_text
from formgen.findings import Severity
from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline
from formgen.holding.model import Holding
from formgen.lengths import Units, write_fine, write_length, write_measured, write_tape
from formgen.recipe.arch_kinds import Chain, Drawing, Points
from formgen.recipe.model import Recipe
from formgen.recipe.strict import key_of
from formgen.verdict import MARK

#: What stands before each answer on a screen and a page.
HEADS = {
    "plies": "plies", "spring_back": "spring-back", "form": "form", "sheets": "sheets", "holding": "held by",
    "bar": "bar", "press": "press", "glue": "glue",
}  # fmt: skip
#: What goes into the bag, in few words.
_WAY = {
    "part-bagged": "the bag round the part",
    "form-bagged": "form and part in one bag",
    "clamped": "under clamps, no bag",
}
#: A change that no tape shows (mm).
_NOTHING_MM = 0.005
#: Letters of one line on the screen, beside its head.
LINE = 65
#: More clamps than this are counted, not named.
_NAMED_CLAMPS = 6


@fixed
class Answer:
    """One answer.

    Args:
        text: one line, in the recipe's units.
        value: the number that it turns on, in `unit`; None where there is none, as with no bar.
        unit: `mm`, `kg`, `min`, or what is counted: `plies`, `sheets`, `clamps`.
    """

    text: str
    value: float | None
    unit: str


@fixed
class Answers:
    """The verdict, the asking and the eight answers.

    Args:
        verdict: may the part be pressed, and how much there is to read first.
        asked: the arch with its sizes and the face that they were measured on; the part and the way of pressing.
        plies: which and how many (plies).
        spring_back: how much wider the ends stand after release than in the press, negative nearer (mm).
        form: side, body, size; its weight (kg).
        sheets: layers, pieces, sheets by area alone (sheets).
        holding: how it is bent and what stays on while the glue sets (clamps).
        bar: the bar's setting on the form, jaw to jaw (mm).
        press: vacuum or clamp pressure, and the time in the press (min).
        glue: which, and how much is mixed (kg).
    """

    verdict: str
    asked: str
    plies: Answer
    spring_back: Answer
    form: Answer
    sheets: Answer
    holding: Answer
    bar: Answer
    press: Answer
    glue: Answer

    def rows(self) -> Iterator[tuple[str, str]]:
        """Yield the eight answers, each with what stands before it."""
        for field, head in HEADS.items():
            yield head, getattr(self, field).text


def recorded_rows(job: Mapping[str, Any]) -> list[tuple[str, str]]:
    """The eight answers that a job record holds; none where an earlier formgen wrote it."""
    held = job["found"].get("answers", {})
    return [(head, held[field]["text"]) for field, head in HEADS.items() if field in held]


def answers(form: Holding) -> Answers:
    """The answers of a form, whether its part may be pressed or not."""
    return Answers(
        verdict=_verdict(form),
        asked=f"{arch_text(form.recipe)}; {_part_text(form)}",
        plies=_plies(form),
        spring_back=_spring_back(form),
        form=_form(form),
        sheets=_sheets(form),
        holding=_held(form),
        bar=_bar(form),
        press=_press(form),
        glue=_glue(form),
    )


def _verdict(form: Holding) -> str:
    problems, warnings = (
        sum(f.severity is severity for f in form.all_findings) for severity in (Severity.PROBLEM, Severity.WARNING)
    )
    if problems:
        return f"{MARK}: {_count(problems, 'problem')} to mend first."
    to_read = f"{_count(warnings, 'warning')} to read first." if warnings else "No warnings."
    return f"May be pressed. {to_read}"


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def arch_text(recipe: Recipe) -> str:
    """The arch as it was asked for: `segmental, span 36 in, rise 6 in, on the inside face; legs 14 in`."""
    part, units = recipe.part, recipe.units
    face = "on its centre line" if part.measured_on == "centre" else f"on the {part.measured_on} face"
    said = f"{', '.join((part.arch.kind, *_sizes(recipe)))}, {face}"
    right, left = (part.legs, part.legs) if isinstance(part.legs, float) else part.legs.right_and_left_mm
    if not right + left:
        return said
    run = "" if isinstance(part.legs, float) or part.legs.run is None else f", {part.legs.run}"
    legs = (
        f"legs {_asked(right, units)}"
        if right == left
        else " and ".join(f"leg {_asked(mm, units)} {side}" for mm, side in ((right, "right"), (left, "left")) if mm)
    )
    return f"{said}; {legs}{run}"


def _sizes(recipe: Recipe) -> Iterator[str]:
    arch, units = recipe.part.arch, recipe.units
    if isinstance(arch, Chain):
        yield _count(len(arch.pieces), "piece")
    elif isinstance(arch, Points):
        yield _count(len(arch.xy_mm or ()) if arch.ordinates is None else len(arch.ordinates.heights_mm), "reading")
    elif isinstance(arch, Drawing):
        yield arch.file
    else:
        for field in type(arch).model_fields:
            value = getattr(arch, field)
            if isinstance(value, float):
                size = f"{math.degrees(value):g}°" if field.endswith("_rad") else _asked(value, units)
                yield f"{key_of(field).replace('_', ' ')} {size}"


def _asked(mm: float, units: Units) -> str:
    """A length as somebody typed it: no tenth of a millimetre that was not there."""
    return write_length(mm, units).replace(".0 mm", " mm")


def _by(units: Units, denominator: int, *mm: float) -> str:
    """Sizes to the tape's mark, their unit said once: `35 3/8 × 34 1/8 in`."""
    texts = [write_tape(each, units, denominator) for each in mm]
    return " × ".join([*(text.removesuffix(f" {units}") for text in texts[:-1]), texts[-1]])


def _line(*said: str) -> str:
    """As much as goes on one line of the screen, the first in any case; the rest is in the tables."""
    text = said[0]
    for more in said[1:]:
        text += f"; {more}" if len(text) + 2 + len(more) <= LINE else ""
    return text


def _part_text(form: Holding) -> str:
    recipe, units = form.recipe, form.recipe.units
    copies = (f"make {form.arch.copies}, the second turned over",) if form.arch.copies > 1 else ()
    sizes = f"{_asked(recipe.part.depth_mm, units)} deep, {write_measured(form.arch.thickness_mm, units)} thick"
    return "; ".join((sizes, *copies, _WAY[form.pressing.way]))


def _plies(form: Holding) -> Answer:
    laminate, units = form.laminate, form.recipe.units
    groups = [(key, len(list(alike))) for key, alike in groupby(laminate.plies, key=lambda p: (p.thickness_mm, p.wood))]
    woods = list(dict.fromkeys(ply.wood for ply in laminate.plies))
    said = f"{' + '.join(f'{count} × {write_fine(mm, units)}' for (mm, _), count in groups)} {woods[0]}"
    if len(woods) > 1 or len(said) > LINE:
        of = f"{len(woods)} woods" if len(woods) > 1 else woods[0]
        said = f"{len(laminate.plies)} plies of {of}, {write_fine(laminate.thickness_mm, units)} together"
    cuts = laminate.materials.cuts
    size = _by(units, 32, cuts[0].width_mm, max(cut.length_mm for cut in cuts))
    text = _line(said, f"cut {sum(cut.count for cut in cuts)}, {size}")
    return Answer(text=text, value=float(len(laminate.plies)), unit="plies")


def _spring_back(form: Holding) -> Answer:
    """By how much the ends move apart when the part comes off, before its glue dries out."""
    laminate, units = form.laminate, form.recipe.units
    released = laminate.pressed.scaled_curvature(1.0 - laminate.spring_back)
    opens = _across_ends_mm(released) - _across_ends_mm(laminate.pressed)
    where = "at the feet" if form.arch.two_legged else "from end to end"
    if abs(opens) < _NOTHING_MM:
        moves = f"nothing {where}"
    else:
        moves = f"{'opens' if opens > 0.0 else 'closes'} {write_measured(abs(opens), units)} {where}"
    text = _line(f"{moves} ({100.0 * laminate.spring_back:.2g} % of the curve)", "built in")
    return Answer(text=text, value=opens, unit="mm")


def _across_ends_mm(curve: ArcSpline) -> float:
    return math.dist((curve.start.x_mm, curve.start.y_mm), (curve.end.x_mm, curve.end.y_mm))


def _form(form: Holding) -> Answer:
    recipe, units = form.recipe, form.recipe.units
    x0, y0, x1, y1 = form.layers[0].outline.bounds
    body = f"{write_tape(recipe.backing_mm, units)} ring" if form.body == "band" else "block"
    kg = form.weights.form_kg
    size = _by(units, 16, x1 - x0, y1 - y0, form.depth_mm)
    return Answer(text=f"{form.pressing.side} {body}, {size}, {weight_text(kg, units)}", value=kg, unit="kg")


def _sheets(form: Holding) -> Answer:
    least, name = form.weights.sheets_at_least, form.recipe.sheet_name
    layers, pieces = (_count(len(things), noun) for things, noun in ((form.layers, "layer"), (form.pieces, "piece")))
    text = _line(f"{layers} of {name}", pieces, f"{_count(least, 'sheet')} at least")
    return Answer(text=text, value=float(least), unit="sheets")


def _held(form: Holding) -> Answer:
    """The clamps, those that stay on at full vacuum, and whether the part may leave the form."""
    count = 0 if form.clamps is None else len(form.clamps.places)
    clamps = _count(count, "clamp") if count else "clamps from the back"  # where no relief is cut
    return Answer(text=_line(*_held_by(form, clamps)), value=float(count), unit="clamps")


def _held_by(form: Holding, clamps: str) -> tuple[str, ...]:
    if form.pressing.way == "clamped":
        return (f"{clamps} on a caul, all on until the glue has set",)
    if form.pressing.way == "form-bagged":
        return ("hands and clamps until the legs are down, then the bag",)
    advice = () if form.off is None else (f"part {form.off.advice.replace('stay ', 'stays ')}",)
    if form.on_form is None or not form.on_form.holds:
        return f"{clamps}, all on until the glue has set", *advice
    numbers = [str(stay.clamp) for stay in form.on_form.stays if stay.clamp is not None]
    others = len(form.on_form.stays) - len(numbers)
    said = [", ".join(numbers) if len(numbers) <= _NAMED_CLAMPS else str(len(numbers))] if numbers else []
    said += [f"{others} from the back" if form.clamps is not None else str(others)] if others else []
    return f"{clamps}; {' and '.join(said)} stay on", *advice


def _bar(form: Holding) -> Answer:
    units, bar = form.recipe.units, form.bar_setting
    if bar is not None:
        side = "below" if bar.height_mm < 0 else "above"
        where = f"{write_tape(abs(bar.height_mm), units)} {side} springing"
        return Answer(text=f"{bar.action} to {bar.tape} jaw to jaw, {where}", value=bar.jaw_to_jaw_mm, unit="mm")
    if form.off is not None and form.off.bar is not None and form.off.may_come_off:
        tie = form.off.bar
        return Answer(text=f"none; off the form a tie, {tie.tape} jaw to jaw", value=tie.jaw_to_jaw_mm, unit="mm")
    return Answer(text="none", value=None, unit="mm")


def _press(form: Holding) -> Answer:
    pressing, units = form.pressing, form.recipe.units
    by = (
        f"{pressure_text(pressing.pressure_kpa, units)} of vacuum"
        if pressing.vacuum is not None
        else f"clamps give {stress_text(pressing.pressure_kpa / 1000.0, units)}"
    )
    glue = pressing.glue
    named = () if glue.chosen else ("no glue named",)
    text = _line(f"{by}; {time_text(glue.press_min)} in the press", *named)
    return Answer(text=text, value=glue.press_min, unit="min")


def _glue(form: Holding) -> Answer:
    glue, units = form.pressing.glue, form.recipe.units
    if glue.adhesive is None:
        return Answer(text="not chosen: laminate.adhesive, or adhesive in shop.yaml", value=None, unit="kg")
    mix = "" if glue.mixed_kg is None else f", mix {glue_text(glue.mixed_kg, units)}"
    open_for = () if glue.open_least_min is None else (f"open {glue.open_least_min:.0f} min at least",)
    text = _line(f"{glue.adhesive}{mix}", *open_for, f"laid up in {glue.lay_up_min:.0f}")
    return Answer(text=text, value=glue.mixed_kg, unit="kg")
