"""Stage `reports`: the last step of the press-day sheet: what the tape should find, with blanks for what it does find.

In: a Form. Out: a table in the recipe's units. The full check is the gauge page.
"""

from __future__ import annotations

from formgen.curve.ordinates import Ordinates, ordinates
from formgen.holding.model import Holding
from formgen.lengths import Units, write_length
from formgen.reports.press_sheet_items import Table


def measured_table(form: Holding, brief: int = 0) -> Table:
    """Widths across the part and its height in the middle, right after release and a day later."""
    arch = form.pressing.laminate.arch
    units = arch.recipe.asked.units
    found = ordinates(arch)
    across = found.across[:1] if brief > 1 else found.across
    rows = [
        (f"across the {a.where}, {face}", write_length(value, units))
        for a in across
        for face, value in (("inside", a.inside_mm), ("outside", a.outside_mm))
    ]
    rows += _height(found, units)
    return Table(
        head=(f"within {write_length(arch.recipe.asked.part.tolerance_mm, units)}", "wanted", "off form", "next day"),
        rows=tuple(rows),
    )


def _height(found: Ordinates, units: Units) -> list[tuple[str, str]]:
    """The station where the inside face is farthest from the base line; of several, the one nearest to the middle."""
    faces = [(row.from_a_mm, row.inside) for row in found.rows if row.inside is not None]
    if not faces:
        return []
    half = found.span_mm / 2.0
    at, far = max(faces, key=lambda pair: (round(abs(pair[1].height_mm), 6), -abs(pair[0] - half)))
    middle = found.base == "springing line" and abs(at - half) < 1e-6
    where = "at the middle" if middle else f"{write_length(at, units)} from A of the gauge page"
    way = "above" if far.height_mm >= 0.0 else "below"
    return [(f"inside face {way} the {found.base}, {where}", write_length(abs(far.height_mm), units))]
