"""Stage `reports`: the last step of the press-day sheet: what the tape should find, with blanks for what it does find.

In: a Form. Out: tables in the recipe's units, of the readings that are taken at release and again on the next day. The
full check is the gauge page.
"""

from __future__ import annotations

from collections.abc import Sequence

from formgen.curve.readings import Reading
from formgen.form.model import Form
from formgen.lengths import Units, write_length
from formgen.reports.makes_rows import first_readings, is_shared, reading_text, within_text
from formgen.reports.press_sheet_items import Table


def measured_tables(form: Form, brief: int = 0) -> tuple[Table, ...]:
    """Spans and rise, right after release and a day later: a table for each opening.

    Args:
        form: the form.
        brief: 2 leaves out all spans but those at the feet.
    """
    units = form.pressing.laminate.arch.recipe.asked.units
    tables = []
    for part in form.makes:
        shown = first_readings(part, one_face=is_shared(form))
        if brief > 1:
            shown = tuple(r for r in shown if r.name != "span" or r.place == shown[0].place)
        within = f"within {within_text(part.gauge.tolerance_mm, units)}"
        head = f"{part.mark}, {within}" if is_shared(form) else within
        tables.append(_table(head, shown, units))
    return tuple(tables)


def _table(head: str, shown: Sequence[Reading], units: Units) -> Table:
    rows = tuple(
        (f"{_place(reading)}, {reading.face} face", write_length(reading.wanted_mm, units)) for reading in shown
    )
    return Table(head=(head, "wanted", "at release", "next day"), rows=rows)


def _place(reading: Reading) -> str:
    """What is read; a station is one of the gauge page."""
    return reading_text(reading) + " of the gauge page" * reading.place.startswith("station")
