"""Stage `laminate`: from the arch to the plies and the curve that they are pressed to.

In: an Arch. Out: a Laminate, in mm, MPa and ratios. It says nothing of forms, films or clamps.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from formgen.curve.arch import Arch, levelled
from formgen.errors import CurveError, LaminateError
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.outline import strip_crossing
from formgen.laminate.bend import bend_findings, curved_strength, strength_findings
from formgen.laminate.boards import material_findings, materials
from formgen.laminate.choice import choose
from formgen.laminate.moisture import Moisture, moisture_findings, pull_in
from formgen.laminate.plies import Laminate, Ply, tightest_stretch
from formgen.laminate.springback import adjusted_ratio, pressed_curvature_factor, spring_back_ratio
from formgen.laminate.stock import Stock, asked_stocks
from formgen.laminate.tails import EndTail, end_tails, tail_findings
from formgen.laminate.woods import wood_findings
from formgen.lengths import write_length
from formgen.recipe.catalogue import adhesive
from formgen.recipe.entries import Adhesive
from formgen.recipe.figures import figure
from formgen.recipe.model import Recipe


def make_laminate(arch: Arch) -> Laminate:
    """The stack of plies, its spring-back and the pressed curve.

    Raises:
        LaminateError: a single ply; a ply that would be bent about its own face; no plies that `auto` could choose.
    """
    recipe = arch.recipe
    gamma, rho = factors(recipe)
    count, chosen = choose(arch, gamma, rho) if recipe.asked.laminate.plies == "auto" else (None, None)
    stocks = asked_stocks(recipe, count)
    thicknesses = [stock.thickness_mm for stock in stocks]
    elastic = spring_back_ratio([stock.modulus_mpa for stock in stocks], thicknesses)
    s = adjusted_ratio(elastic, gamma, rho)
    moisture = _moisture(arch, stocks, s)
    factor = pressed_curvature_factor(s) * (1.0 if moisture is None else moisture.built_in)
    pressed, plies = _pressed(arch, stocks, factor)
    tails = _tails(arch, stocks, pressed)
    strength = curved_strength(stocks, arch.target.tightest_radius_mm - math.fsum(thicknesses) / 2.0)
    cuts = materials(plies, stocks, arch)
    return Laminate(
        arch=arch,
        plies=plies,
        thickness_mm=math.fsum(thicknesses),
        spring_back=s,
        spring_back_elastic=elastic,
        pressed_factor=factor,
        glue_line_stiffness=gamma,
        relaxation=rho,
        moisture=moisture,
        strength=strength,
        tails=tails,
        ply_step_mm=max(abs(b.length_mm - a.length_mm) for a, b in pairwise(plies)),
        tightest=tightest_stretch(pressed),
        materials=cuts,
        pressed=pressed,
        springing_mm=arch.springing_mm,
        findings=(
            *([] if chosen is None else [chosen]),
            *bend_findings(plies, stocks, recipe.units),
            *wood_findings(stocks, named_adhesive(recipe), recipe.units, swelling_counts=moisture is not None),
            *moisture_findings(moisture, s, recipe.part.tolerance_mm, recipe.units),
            *strength_findings(strength, recipe.units),
            *([] if tails is None else tail_findings(tails, arch)),
            *material_findings(cuts, arch),
        ),
    )


def named_adhesive(recipe: Recipe) -> Adhesive | None:
    """The glue that the recipe names, else the shop's usual one; None where nobody chose."""
    name = recipe.asked.laminate.adhesive or recipe.shop.adhesive
    return None if name is None else adhesive(name, recipe.shop)


def factors(recipe: Recipe) -> tuple[float, float]:
    """Glue-line stiffness and relaxation: the recipe's, else its adhesive's or the shop's usual one's, else 1 and 1."""
    ask, glue = recipe.asked.laminate, named_adhesive(recipe)
    gamma, rho = (1.0, 1.0) if glue is None else (glue.glue_line_stiffness, glue.relaxation)
    return (
        gamma if ask.glue_line_stiffness is None else ask.glue_line_stiffness,
        rho if ask.relaxation is None else ask.relaxation,
    )


def _tails(arch: Arch, stocks: Sequence[Stock], pressed: ArcSpline) -> tuple[EndTail, EndTail] | None:
    """Return how the ends stand off; only on a form in the bag does the air push them to it."""
    recipe = arch.recipe
    if recipe.asked.press.way != "form-bagged":
        return None
    vacuum = recipe.asked.press.vacuum_kpa
    return end_tails(stocks, pressed, arch, recipe.shop.pump.vacuum_kpa if vacuum is None else vacuum)


def _pressed(arch: Arch, stocks: Sequence[Stock], factor: float) -> tuple[ArcSpline, tuple[Ply, ...]]:
    """The pressed centre line in the form's axes, and every ply on it."""
    try:
        pressed = arch.target.scaled_curvature(factor)
        pressed = levelled(pressed, arch.springing_mm, arch.two_legged)
        _refuse_crossing(arch, pressed)
        return pressed, tuple(_ply(i, stocks, pressed, arch) for i in range(len(stocks)))
    except CurveError as err:
        raise LaminateError(f"the plies cannot be pressed to the curve that spring-back asks for: {err}") from err


def _refuse_crossing(arch: Arch, pressed: ArcSpline) -> None:
    """Refuses a part that, closed up by the spring-back that it is pressed for, would run through itself."""
    crossed = strip_crossing(pressed.extended(*arch.waste_mm), arch.thickness_mm)
    if crossed is None:
        return
    units = arch.recipe.units
    at = f"x {write_length(crossed[0], units)}, y {write_length(crossed[1], units)}"
    raise LaminateError(
        f"part.legs, part.end_trim: in the press the part closes up until it runs through itself at {at}, expected "
        "both ends apart: shorten the legs, the trim or the curve, or take more and thinner plies, which spring back "
        "less"
    )


def _ply(index: int, stocks: Sequence[Stock], pressed: ArcSpline, arch: Arch) -> Ply:
    stock = stocks[index]
    t = stock.thickness_mm
    whole = math.fsum(s.thickness_mm for s in stocks)
    offset = whole / 2.0 - math.fsum(s.thickness_mm for s in stocks[:index]) - t / 2.0
    own = pressed.parallel(offset)
    radius = own.tightest_radius_mm
    # A ply is bent about its own middle; its concave face must still have a radius.
    if radius <= t / 2.0:
        raise LaminateError(
            f"ply {index + 1} of {t:.2f} mm has a radius of {radius:.2f} mm in the press, "
            "expected more than half its thickness: use thinner plies or a larger radius"
        )
    return Ply(
        number=index + 1,
        wood=stock.name,
        thickness_mm=t,
        modulus_mpa=stock.modulus_mpa,
        strength_mpa=stock.strength_mpa,
        offset_mm=offset,
        length_mm=own.length_mm + sum(arch.waste_mm),
        radius_mm=radius,
        strain=t / (2.0 * radius),
        strain_limit=stock.strain_limit,
        radius_limit_mm=stock.radius_limit_mm,
    )


def _moisture(arch: Arch, stocks: Sequence[Stock], spring_back: float) -> Moisture | None:
    """Find what the glue's water does; None where neither recipe nor shop file names a glue, or a wood is not known.

    Raises:
        LaminateError: it is to be allowed for and is not known.
    """
    ask, glue, found = arch.recipe.asked.laminate, named_adhesive(arch.recipe), None
    if glue is not None:
        least, most = glue.spread_g_per_m2
        asked = ask.spread_g_per_m2
        spread = (least, (least + most) / 2.0, most) if asked is None else (asked, asked, asked)
        share = figure("glue_water_least_share", arch.recipe.shop).value
        found = pull_in(stocks, glue, spread, ask.sawn, share, spring_back, arch, allow=ask.allow_for_moisture)
    if found is None and ask.allow_for_moisture:
        why = "a wood whose swelling and density are known" if glue is not None else "a glue"
        raise LaminateError(
            f"laminate.allow_for_moisture = true, expected {why}, to calculate what its water does: "
            "name it, or leave this out"
        )
    return found
