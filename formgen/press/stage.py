"""Stage `press`: the form's side, what lies on the part, the curve that the face takes, and the press day's sums.

In: a Laminate. Out: a Pressing, in mm and kPa.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from formgen.curve.stage import make_arch
from formgen.errors import CurveError, PressError
from formgen.findings import Finding, finding, phrase
from formgen.geometry.arcspline import ArcSpline
from formgen.laminate.plies import Laminate
from formgen.laminate.ply import loose_moment_n
from formgen.laminate.stage import make_laminate, named_adhesive
from formgen.press.drawing_down import DrawingDown, drawing_down_findings, plan_drawing_down
from formgen.press.film import FilmFolds, Side, choose_side, film_folds, fold_findings
from formgen.press.glue import Glue, glue_findings, plan_glue
from formgen.press.hollows import Hollows, hollow_finding, plan_hollows
from formgen.press.setup import Pressing
from formgen.press.squeeze import Lying, Squeeze, face_mm2, lying_between, lying_over, plan_squeeze, together_mm
from formgen.recipe.entries import Adhesive
from formgen.recipe.figures import figure
from formgen.recipe.model import Recipe


def pressing_of(recipe: Recipe) -> Pressing:
    """The pressing of a recipe, for whoever needs it and no form: what several openings share, what a form shows.

    Raises:
        FormgenError: curve, laminate or press cannot go on.
    """
    return make_pressing(make_laminate(make_arch(recipe)))


def make_pressing(laminate: Laminate) -> Pressing:
    """The form face: the pressed curve's near face, set off by everything that lies between; and the press day's sums.

    Raises:
        PressError: the offset turns the face inside out.
    """
    recipe = laminate.recipe
    near, far = lying_between(recipe), lying_over(recipe)
    male, female = (_folds(laminate, near, side) for side in ("male", "female"))
    side, reason = _side(laminate, near, male, female)
    folds, other = (male, female) if side == "male" else (female, male)
    squeeze, squeezed = plan_squeeze(laminate, near, far, side)
    glued = named_adhesive(recipe)
    hollows = plan_hollows(laminate.plies, squeeze.pressure_kpa, 0.0 if glued is None else glued.gap_mm, recipe.shop)
    drawn = _drawing_down(laminate, side, squeeze)
    lines, line_m2 = len(laminate.plies) - 1, face_mm2(laminate) * 1e-6
    glue = plan_glue(recipe, glued, lines, line_m2, squeeze.pressure_kpa, squeeze.vacuum)
    return Pressing(
        laminate=laminate,
        side=side,
        side_reason=reason,
        between=tuple((item.name, item.thickness_mm) for item in near),
        over=tuple((item.name, item.thickness_mm) for item in far),
        way=recipe.asked.press.way,
        face_offset_mm=_offset(laminate, near, side),
        over_offset_mm=_offset(laminate, far, "female" if side == "male" else "male"),
        face=_face(laminate, near, side),
        film=folds,
        moment_n=loose_moment_n(laminate.plies, laminate.pressed),
        pressure_kpa=squeeze.pressure_kpa,
        vacuum=squeeze.vacuum,
        bag=squeeze.bag,
        caul=squeeze.caul,
        hollows=hollows,
        drawing_down=drawn,
        glue=glue,
        findings=(
            *_wrap_findings(laminate, side),
            *fold_findings(folds, other, side, recipe.part.tolerance_mm, recipe.units),
            *squeezed,
            *_statics(laminate, drawn, hollows, glue, glued),
        ),
    )


def _face(laminate: Laminate, near: Sequence[Lying], side: Side) -> ArcSpline:
    try:
        return laminate.pressed.parallel(_offset(laminate, near, side))
    except CurveError as err:
        raise PressError(f"the {side} form face turns inside out: {err}") from err


def _drawing_down(laminate: Laminate, side: Side, squeeze: Squeeze) -> DrawingDown | None:
    """Only where the bag is closed behind the form does the air push the stack to it."""
    recipe = laminate.recipe
    if recipe.asked.press.way != "form-bagged":
        return None
    legs_down = figure("legs_down_kpa", recipe.shop).value
    waste = laminate.arch.waste_mm
    return plan_drawing_down(laminate.plies, laminate.pressed, waste, side, squeeze.pressure_kpa, legs_down)


def _statics(
    laminate: Laminate, drawn: DrawingDown | None, hollows: Hollows, glue: Glue, glued: Adhesive | None
) -> list[Finding]:
    """List what the pressure does in this way of pressing, and what the glue makes of it."""
    recipe = laminate.recipe
    units, tolerance = recipe.units, recipe.part.tolerance_mm
    what = "clamps" if recipe.asked.press.way == "clamped" else "bag"
    return [
        *([] if drawn is None else drawing_down_findings(drawn, tolerance, units)),
        hollow_finding(hollows, what, units),
        *glue_findings(glue, glued, recipe.shop, units, hollows, what),
    ]


def _offset(laminate: Laminate, lies: Sequence[Lying], side: Side) -> float:
    """From the pressed centre line past half the part and all that lies there; the male form's side is the inside."""
    gap = laminate.thickness_mm / 2.0 + together_mm(lies)
    return gap if side == "male" else -gap


def _folds(laminate: Laminate, near: Sequence[Lying], side: Side) -> FilmFolds:
    """Folds of a bag round the part alone; in the other ways a sheet between is cut to size and gathers nothing."""
    alone = laminate.recipe.asked.press.way == "part-bagged"
    film = together_mm([item for item in near if item.is_bag]) if alone else 0.0
    return film_folds(laminate.pressed, laminate.thickness_mm, film, side)


def _side(laminate: Laminate, near: Sequence[Lying], male: FilmFolds, female: FilmFolds) -> tuple[Side, str]:
    """The side asked for, or the one that `auto` takes: by the folds, unless only one of the faces exists."""
    ask = laminate.recipe.asked
    if ask.press.side != "auto":
        return ask.press.side, phrase("press.film-folds", "side", ask.units, "asked")
    try:
        laminate.pressed.parallel(_offset(laminate, near, "male"))
    except CurveError:
        return "female", phrase("press.film-folds", "side", ask.units, "turned")
    return choose_side(male, female, ask.part.tolerance_mm, ask.units)


def _wrap_findings(laminate: Laminate, side: str) -> list[Finding]:
    sweep = abs(laminate.pressed.sweep_rad)
    degrees = math.degrees(sweep)
    if degrees <= 180.0 + 1e-6:
        return []
    return [finding("press.wraps-form", laminate.recipe.units, value=degrees, limit=180.0, sweep=sweep, holds=side)]
