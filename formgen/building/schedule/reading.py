"""Building: how a schedule was read, for whoever shows it before anything is made of it."""

from __future__ import annotations

import re

from formgen.building.schedule.asides import LeftOut
from formgen.building.schedule.columns import QUANTITY, Column
from formgen.building.schedule.table import Table
from formgen.fixed import fixed
from formgen.lengths import Units


@fixed
class Reading:
    """A schedule as it was read.

    Args:
        file: its name.
        sheet: the workbook's sheet, empty for a CSV file; `others` are not read.
        base: the base recipe's name.
        header_row: of the column names.
        units: of the base recipe: what a number without a unit is where the schedule says nothing.
        unit: what a line of the schedule says of all its sizes, or nothing; it stands in `unit_row`.
        columns: what each is taken for.
        left_out: rows that are no openings.
        remarks: what does not add up.
    """

    file: str
    sheet: str
    others: tuple[str, ...]
    base: str
    header_row: int
    units: Units
    unit: str
    unit_row: int
    columns: tuple[Column, ...]
    left_out: tuple[LeftOut, ...]
    remarks: tuple[str, ...]

    @property
    def shown_in(self) -> Units:
        """The units in which an office reads its own sizes again: the schedule's, where all of it has but one."""
        said = {column.unit for column in self.columns if column.measures}
        if said and said <= {"mm", "cm", "m"}:
            return "mm"
        return "in" if said and said <= {"in", "ft", "ft-in"} else self.units


def reading_of(table: Table, base: str, units: Units, wanted: int | None) -> Reading:
    """Return how a table was read.

    Args:
        table: its columns decided.
        base: the base recipe's name.
        units: of the base recipe.
        wanted: the sum of all quantities; None where rows are refused.
    """
    return Reading(
        file=table.name,
        sheet=table.sheet,
        others=table.others,
        base=base,
        header_row=table.header_row,
        units=units,
        unit=table.unit,
        unit_row=table.unit_row,
        columns=table.columns,
        left_out=table.left_out,
        remarks=() if wanted is None else _sums(table, wanted),
    )


def _sums(table: Table, wanted: int) -> tuple[str, ...]:
    """Say where a total's one number is not the sum of the quantities."""
    if not any(column.path == QUANTITY for column in table.columns):
        return ()
    said = [(out.row, re.findall(r"\d+(?:\.\d+)?", out.text)) for out in table.left_out if out.why == "total"]
    return tuple(
        f"row {row} totals {numbers[0]}; the quantities above add up to {wanted}"
        for row, numbers in said
        if len(numbers) == 1 and float(numbers[0]) != wanted
    )
