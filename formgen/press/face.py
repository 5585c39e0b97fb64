"""Stage `press`: which side the form is on, what lies between part and form, and the curve that the face takes.

In: a Laminate. Out: a Pressing, in mm and kPa.
"""

from __future__ import annotations

import math

from formgen.errors import CurveError, PressError
from formgen.findings import Finding, Severity
from formgen.laminate.plies import Laminate
from formgen.press.setup import Pressing
from formgen.recipe.catalogue import between
from formgen.recipe.model import Recipe

#: What lies against the form when the recipe does not say: the part in a bag of its own lies on the bag's film;
#: a form inside the bag is waxed or taped, which takes no room. Common practice, no source.
USUAL_BETWEEN = {False: ("film",), True: ("release",)}


def make_pressing(laminate: Laminate) -> Pressing:
    """The form face: the pressed curve's near face, set off by everything that lies between.

    Raises:
        PressError: the offset turns the face inside out.
    """
    recipe = laminate.arch.recipe
    ask = recipe.asked.press
    items = _between(recipe)
    gap = laminate.thickness_mm / 2.0 + math.fsum(mm for _, mm in items)
    offset = gap if ask.side == "male" else -gap
    try:
        face = laminate.pressed.parallel(offset)
    except CurveError as err:
        raise PressError(f"the {ask.side} form face turns inside out: {err}") from err
    vacuum = ask.vacuum_kpa if ask.vacuum_kpa is not None else recipe.shop.pump.vacuum_kpa
    return Pressing(
        laminate=laminate,
        side=ask.side,
        between=items,
        form_in_bag=ask.form_in_bag,
        vacuum_kpa=vacuum,
        face_offset_mm=offset,
        face=face,
        findings=tuple(_wrap_findings(laminate, ask.side)),
    )


def _between(recipe: Recipe) -> tuple[tuple[str, float], ...]:
    ask = recipe.asked.press
    wanted = USUAL_BETWEEN[ask.form_in_bag] if ask.between is None else ask.between
    return tuple(
        (item, between(item, recipe.shop)) if isinstance(item, str) else (item.name, item.thickness_mm)
        for item in wanted
    )


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
