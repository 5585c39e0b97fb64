"""Stage `press`: the form's side, what lies on the part, the curve that the face takes, and the press day's sums.

In: a Laminate. Out: a Pressing, in mm and kPa.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from formgen.curve.arcspline import ArcSpline
from formgen.errors import CurveError, PressError
from formgen.findings import Finding, Severity
from formgen.laminate.plies import Laminate
from formgen.press.bag import Bag, plan_bag
from formgen.press.closing import Closing, closing_findings, plan_closing
from formgen.press.film import FilmFolds, Side, choose_side, film_folds, fold_findings
from formgen.press.glue import glue_findings, plan_glue
from formgen.press.lying import Lying, lying_between, lying_over, together_mm
from formgen.press.setup import Pressing
from formgen.press.vacuum import plan_vacuum
from formgen.recipe.catalogue import adhesive
from formgen.recipe.entries import Adhesive
from formgen.recipe.figures import figure

#: Glue that is counted on where neither recipe nor shop file names one. Common practice for bent laminates, no source.
USUAL_ADHESIVE = "urea formaldehyde"


def make_pressing(laminate: Laminate) -> Pressing:
    """The form face: the pressed curve's near face, set off by everything that lies between; and the press day's sums.

    Raises:
        PressError: the offset turns the face inside out.
    """
    recipe = laminate.arch.recipe
    ask, shop, tolerance = recipe.asked.press, recipe.shop, recipe.asked.part.tolerance_mm
    near, far = lying_between(recipe), lying_over(recipe)
    male, female = (_folds(laminate, near, side) for side in ("male", "female"))
    side, reason = _side(laminate, near, male, female)
    folds, other = (male, female) if side == "male" else (female, male)
    offset = _offset(laminate, near, side)
    try:
        face = laminate.pressed.parallel(offset)
    except CurveError as err:
        raise PressError(f"the {side} form face turns inside out: {err}") from err
    bag = _bag(laminate, near, far, side)
    vacuum, vacuum_findings = plan_vacuum(
        ask.vacuum_kpa, shop, ask.bags, bag.air_l, _face_mm2(laminate), recipe.asked.units
    )
    named = adhesive(recipe.asked.laminate.adhesive or shop.adhesive or USUAL_ADHESIVE, shop)
    closing = _closing(laminate, side, vacuum.held_kpa, named)
    spread, lines = recipe.asked.laminate.spread_g_per_m2, len(laminate.plies)
    glue = plan_glue(named, spread, lines, _face_mm2(laminate) * 1e-6, shop, vacuum.held_kpa, vacuum.pump_down_s)
    return Pressing(
        laminate=laminate,
        side=side,
        side_reason=reason,
        between=tuple((item.name, item.thickness_mm) for item in near),
        over=tuple((item.name, item.thickness_mm) for item in far),
        way=ask.way,
        vacuum_kpa=vacuum.asked_kpa,
        face_offset_mm=offset,
        over_offset_mm=_offset(laminate, far, "female" if side == "male" else "male"),
        face=face,
        film=folds,
        vacuum=vacuum,
        closing=closing,
        glue=glue,
        bag=bag,
        findings=(
            *_wrap_findings(laminate, side),
            *fold_findings(folds, other, side, tolerance),
            *vacuum_findings,
            *closing_findings(closing, tolerance, named.gap_mm, recipe.asked.units),
            *glue_findings(glue, named, shop, recipe.asked.units, plies_close=closing.plies_close),
        ),
    )


def _offset(laminate: Laminate, lies: Sequence[Lying], side: Side) -> float:
    """From the pressed centre line past half the part and all that lies there; the male form's side is the inside."""
    gap = laminate.thickness_mm / 2.0 + together_mm(lies)
    return gap if side == "male" else -gap


def _folds(laminate: Laminate, near: Sequence[Lying], side: Side) -> FilmFolds:
    """Folds of the bag's film. With the form in the bag, film between is a sheet cut to size and gathers nothing."""
    in_bag = laminate.arch.recipe.asked.press.way == "form-bagged"
    film = 0.0 if in_bag else together_mm([item for item in near if item.is_bag])
    return film_folds(laminate.pressed, laminate.thickness_mm, film, side)


def _side(laminate: Laminate, near: Sequence[Lying], male: FilmFolds, female: FilmFolds) -> tuple[Side, str]:
    """The side asked for, or the one that `auto` takes: by the folds, unless only one of the faces exists."""
    ask = laminate.arch.recipe.asked
    if ask.press.side != "auto":
        return ask.press.side, "as asked"
    try:
        laminate.pressed.parallel(_offset(laminate, near, "male"))
    except CurveError:
        return "female", "a male form's face would turn inside out at the tightest radius"
    return choose_side(male, female, ask.part.tolerance_mm, ask.units)


def _face_size_mm(laminate: Laminate) -> tuple[float, float]:
    """Mean length of the plies with their waste, and the depth with edge trim."""
    part = laminate.arch.recipe.asked.part
    return laminate.pressed.length_mm + sum(laminate.arch.waste_mm), part.depth_mm + 2.0 * part.edge_trim_mm


def _face_mm2(laminate: Laminate) -> float:
    length, width = _face_size_mm(laminate)
    return length * width


def _closing(laminate: Laminate, side: Side, held_kpa: float, named: Adhesive) -> Closing:
    shop = laminate.arch.recipe.shop
    depth = figure("ply_hollow_depth_mm", shop).value - named.gap_mm
    hollow = (depth, figure("ply_hollow_length_mm", shop).value)
    return plan_closing(laminate.plies, laminate.pressed, laminate.arch.waste_mm, side, held_kpa, hollow)


def _bag(laminate: Laminate, near: Sequence[Lying], far: Sequence[Lying], side: Side) -> Bag:
    """Round the part alone, or round the form with the part on it."""
    recipe = laminate.arch.recipe
    length, width = _face_size_mm(laminate)
    lies = tuple((item.name, item.thickness_mm, item.is_bag) for item in (*near, *far))
    if recipe.asked.press.way != "form-bagged":
        section = (width, laminate.thickness_mm + together_mm(near) + together_mm(far))
        return plan_bag(section, length, (length, width), lies, recipe.shop, holds="part")
    across, along = sorted(_form_size_mm(laminate, side))
    stack = math.ceil(width / recipe.sheet.thickness_mm - 1e-9) * recipe.sheet.thickness_mm
    return plan_bag((across, stack), along, (length, width), lies, recipe.shop, holds="form and part")


def _form_size_mm(laminate: Laminate, side: Side) -> tuple[float, float]:
    """Width and height of the form with the part on it: the body stands `form.backing` behind the face."""
    ask = laminate.arch.recipe.asked.form
    run_on = [ask.run_on_mm + waste for waste in laminate.arch.waste_mm]
    half = laminate.thickness_mm / 2.0
    along = laminate.pressed.extended(run_on[0], run_on[1])
    x0, y0, x1, y1 = _box(along)
    if side == "male":
        down = ask.backing_mm if ask.body == "block" else 0.0
        return x1 - x0 + 2.0 * half, y1 - y0 + half + down
    return x1 - x0 + 2.0 * (half + ask.backing_mm), y1 - y0 + half + ask.backing_mm


def _box(curve: ArcSpline) -> tuple[float, float, float, float]:
    points = curve.sampled(0.1)
    (x0, y0), (x1, y1) = points.min(axis=0), points.max(axis=0)
    return float(x0), float(y0), float(x1), float(y1)


def _wrap_findings(laminate: Laminate, side: str) -> list[Finding]:
    sweep = math.degrees(abs(laminate.pressed.sweep_rad))
    if sweep <= 180.0 + 1e-6:
        return []
    way = "wraps round" if side == "male" else "is held by the mouth of"
    return [
        Finding(
            code="press.wraps-form",
            severity=Severity.NOTE,
            message=f"Pressed through {sweep:.1f}°, the part {way} the form: slide it off sideways, across the layers.",
            value=sweep,
            limit=180.0,
            unit="deg",
            source="geometry of the pressed curve",
        )
    ]
