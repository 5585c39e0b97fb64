"""Building: a form on the building page: one line that says what it is and who shares it, its answers folded under it.

In: a `SharedForm`, what is wrong with it, its job record. Out: values for the template.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from formgen.answers import recorded_rows
from formgen.building.model import Member, SharedForm
from formgen.building.summary.kept import kept, listed, share_bar
from formgen.building.summary.remarks import Remark, verdict_on
from formgen.findings import Severity
from formgen.lengths import Units, write_length
from formgen.outputs.html.page import Columns
from formgen.reports.web.curve_drawing import shared_figure

#: How a form's curve came about, for people.
_KINDS = {
    "own": "its own curve",
    "arc": "one radius for all",
    "arc with legs": "one radius for all, with legs",
    "other curve": "the curve of one of them",
}


def form_card(form: SharedForm, job: Mapping[str, Any], found: Sequence[Remark]) -> dict[str, Any]:
    """Return a form for the page.

    Args:
        form: with the openings that come off it.
        job: its job record.
        found: what is wrong with all forms.
    """
    units = form.recipe.units
    pressings = [member.pressing for member in form.members]
    shared = len(form.members) > 1
    warned = sum(r.finding.severity is Severity.WARNING for r in found if r.form == form.name)
    verdict = verdict_on(form, found)
    return {
        "name": form.name,
        "off": listed(_times(member) for member in form.members),
        "kind": kept(f"{pressings[0].side}, {_KINDS[form.kind]}, {form.layers} layers of {form.recipe.sheet_name}"),
        "verdict": verdict,
        "warned": "" if not warned else "1 warning" if warned == 1 else f"{warned} warnings",
        "figure": shared_figure(form.name, pressings),
        "answers": recorded_rows(job),
        "members": _members(form, units) if shared else None,
        "radius": "" if shared else f"radius {_radius(form.members[0].made_radius_mm, units)}",
    }


def _times(member: Member) -> str:
    quantity = member.opening.quantity
    return f"{member.opening.mark} × {quantity}" if quantity > 1 else member.opening.mark


def _members(form: SharedForm, units: Units) -> Columns:
    """Return what each opening gives up for sharing."""
    header = ("opening", "how many", "radius asked", "radius made", f"gives up of its tolerance, {units}")
    rows = [
        (
            member.opening.mark,
            f"{member.opening.quantity}",
            _radius(member.asked_radius_mm, units),
            _radius(member.made_radius_mm, units),
            share_bar(member.gives_up_mm, member.tolerance_mm, units),
        )
        for member in form.members
    ]
    return Columns(f"Off {form.name}", header, rows)


def _radius(mm: float, units: Units) -> str:
    return "straight" if math.isinf(mm) else write_length(mm, units)
