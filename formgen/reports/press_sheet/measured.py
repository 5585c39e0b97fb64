"""Stage `reports`: what the tape should find on the finished part, with blanks for what it does find.

In: a Form. Out: tables in the recipe's units, of the readings that are taken at release and again on the next day, in
the order of `curve/readings.py`. The full check is the gauge page.
"""

from __future__ import annotations

from collections.abc import Sequence

from formgen.curve.readings import Reading
from formgen.form.model import Form
from formgen.lengths import Units
from formgen.reports.press_sheet.items import Table
from formgen.reports.press_sheet.words import checked
from formgen.reports.rows.makes import first_readings, is_shared, reading_text, within_text


def measured_tables(form: Form, brief: int = 0) -> tuple[Table, ...]:
    """Spans and rise, right after release and a day later: a table for each opening.

    Args:
        form: the form.
        brief: 2 leaves out all spans but those at the feet.
    """
    units = form.recipe.units
    tables = []
    for part in form.makes:
        shown = first_readings(part, one_face=is_shared(form))
        if brief > 1:
            shown = tuple(r for r in shown if r.name != "span" or r.place == shown[0].place)
        within = f"within {within_text(part.gauge.tolerance_mm, units)}"
        head = f"{part.mark}, {within}" if is_shared(form) else within
        tables.append(_table(head, shown, units))
    return tuple(tables)


def spacer_mm(form: Form) -> float:
    """Between the inside faces of the finished part at its feet or ends, where a spacer stands."""
    return next(r.wanted_mm for r in form.makes[0].readings if r.name == "span" and r.face == "inside")


def _table(head: str, shown: Sequence[Reading], units: Units) -> Table:
    rows = tuple((f"{_place(reading)}, {reading.face}", checked(reading.wanted_mm, units)) for reading in shown)
    return Table(head=(head, "wanted", "at release", "next day"), rows=rows)


def _place(reading: Reading) -> str:
    """Say what is read; a station is one of the gauge page."""
    return reading_text(reading) + " (gauge.pdf)" * reading.place.startswith("station")
