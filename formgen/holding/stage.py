"""Stage `holding`: from the form to what holds the part to it.

In: a Form. Out: a Holding; mm, N, rad.
"""

from __future__ import annotations

from dataclasses import fields

from formgen.errors import NoRestError
from formgen.findings import Finding
from formgen.form.model import Form
from formgen.holding.bending.forces import bend_to_form
from formgen.holding.bending.soft_vacuum import SoftVacuum, soft_vacuum
from formgen.holding.clamps import ClampPlan, caul_findings, clamp_plan, first_clamp_mm
from formgen.holding.model import Holding
from formgen.holding.off_form.advice import OffForm, no_shape_found, off_the_form
from formgen.holding.on_form.choose import on_the_form
from formgen.holding.on_form.model import OnForm
from formgen.holding.spreader_bar import bar_on_form, tape_findings
from formgen.press.setup import Pressing


def make_holding(form: Form) -> Holding:
    """The form with what bends the plies to it, its clamps, its bar and what becomes of the part on it and off it.

    Raises:
        PressError: no shape at rest was found for the plies under a clamp.
    """
    pressing, stations = form.pressing, form.relief_stations_mm
    bending = bend_to_form(pressing.laminate, stations, pressing.side, pressing.way)
    alone = pressing.way == "part-bagged"  # only then can clamps come off, and the part with its bag
    soft, on = (_soft_vacuum(pressing), _on(form)) if alone else (None, None)
    clamps = _clamps(form, on)
    bar = None if form.bar is None else bar_on_form(pressing, form.bar.touch.height_mm)
    off, off_findings = _off(form) if alone else (None, ())
    return Holding(
        **{field.name: getattr(form, field.name) for field in fields(form)},
        bending=bending,
        soft_vacuum=soft,
        clamps=clamps,
        bar_setting=bar,
        off=off,
        on_form=on,
        holding_findings=(
            *bending.findings,
            *(soft.findings if soft is not None else ()),
            *caul_findings(pressing, stations),
            *(clamps.findings if clamps is not None else ()),
            *(on.findings if on is not None else ()),
            *off_findings,
            *(tape_findings(bar, form.laminate) if bar is not None else ()),
        ),
    )


def _soft_vacuum(pressing: Pressing) -> SoftVacuum:
    """The most vacuum while the plies are bent."""
    recipe = pressing.recipe
    asked = recipe.asked.press.vacuum_kpa
    full = asked if asked is not None else recipe.shop.pump.vacuum_kpa
    return soft_vacuum(pressing.laminate, first_clamp_mm(pressing.laminate), full)


def _clamps(form: Form, on: OnForm | None) -> ClampPlan | None:
    """A clamp for each relief; all but those that must stay come off under vacuum, where few can hold the part."""
    if not form.relief_stations_mm:
        return None
    pressing = form.pressing
    jaw = pressing.recipe.shop.clamp.jaw_mm
    staying = {c.clamp for c in on.stays if c.clamp is not None} if on is not None and on.holds else None
    return clamp_plan(pressing.laminate, form.relief_stations_mm, pressing.side, jaw, pressing.way, staying)


def _on(form: Form) -> OnForm:
    """Return what the part does on the form with most clamps off."""
    pressing = form.pressing
    slack = pressing.recipe.asked.press.slack_mm
    return on_the_form(pressing.laminate, pressing.side, form.relief_stations_mm, pressing.pressure_kpa, slack)


def _off(form: Form) -> tuple[OffForm | None, tuple[Finding, ...]]:
    """Return what becomes of the part if it leaves the form in its bag, and what to know of it.

    Where no shape is found that bar or tie would hold, it must not.
    """
    try:
        off = off_the_form(form.pressing, form.bar.touch.height_mm if form.bar is not None else None)
    except NoRestError:
        return None, (no_shape_found(form.recipe.units),)
    return off, off.findings
