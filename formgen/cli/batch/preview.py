"""The reading of a schedule: what each column is taken for, each opening's sizes, which of them the base recipe gave.

In: a `Reading`, its lengths in mm. Out: lines of at most 80 characters in the base recipe's units, or an event for
machines. The first thing that `batch` says, since a wrong reading costs wood.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import groupby
from textwrap import wrap
from typing import TYPE_CHECKING, Any

import click

from formgen.cli.exit_codes import REFUSED, tell_people
from formgen.cli.streams import emit_json
from formgen.lengths import Units, write_length
from formgen.quoted import escaped, quoted, visible

if TYPE_CHECKING:
    from formgen.building.schedule.asides import LeftOut
    from formgen.building.schedule.columns import Column
    from formgen.building.schedule.opening import Opening, Schedule
    from formgen.building.schedule.reading import Reading

WIDTH = 80
#: Rows that are shown where nobody asked for all of them.
FEW = 10
_HEADER = ("row", "mark", "no.", "arch", "span", "rise", "depth", "legs", "measured")
_RIGHT = frozenset({"row", "no.", "span", "rise", "depth", "legs"})
#: Columns whose cells are cut where a row is too long, widest first.
_CUT = ("mark", "arch")
#: Keys that the table has columns of its own for.
_IN_TABLE = (
    "name",
    "part.arch.kind",
    "part.arch.span",
    "part.arch.rise",
    "part.depth",
    "part.legs",
    "part.measured_on",
)


def tell_reading(schedule: Schedule, *, whole: bool, as_json: bool) -> None:
    """Say how a schedule was read: to people on stderr, or on stdout where that is what was asked; else an event."""
    if schedule.reading is None:
        return
    if as_json:
        emit_json(preview_event(schedule, schedule.reading), indent=None)
        return
    for line in preview_lines(schedule, schedule.reading, whole=whole):
        if whole:
            click.echo(line)
        else:
            tell_people(line)
    if not whole:
        tell_people("")


def told_refused(schedule: Schedule) -> int:
    """The exit code of a schedule that was only looked at; what is refused is told."""
    lines = [*schedule.faults, *dict.fromkeys(line for row in schedule.refused for line in row.lines)]
    for line in lines:
        tell_people(line)
    return REFUSED if lines else 0


def preview_lines(schedule: Schedule, reading: Reading, *, whole: bool) -> list[str]:
    """Lines on how a schedule was read; ten rows of it and a count unless the whole is wanted."""
    sheet = f", sheet {quoted(reading.sheet)}" if reading.sheet else ""
    parts = sum(opening.quantity for opening in schedule.openings)
    count, lost = len(schedule.openings), len(schedule.refused)
    counted = f"{count} {'opening' if count == 1 else 'openings'}, {parts} {'part' if parts == 1 else 'parts'}"
    refused = f", {lost} {'row' if lost == 1 else 'rows'} refused" if lost else ""
    said = [
        f"Read {visible(reading.file)}{sheet}: {counted}{refused}; header in row {reading.header_row}.",
        _units(reading),
        *_columns(schedule, reading),
        *_left_out(reading.left_out, whole=whole),
    ]
    if reading.others:
        said.append(f"Sheets not read: {', '.join(quoted(title) for title in reading.others[:FEW])}.")
    said += [f"Look again: {visible(remark)}." for remark in reading.remarks]
    lines = [line for text in said for line in wrap(text, WIDTH, subsequent_indent="  ", break_on_hyphens=False)]
    return [*lines, *_table(schedule, reading, whole=whole)]


def preview_event(schedule: Schedule, reading: Reading) -> dict[str, Any]:
    """The same for machines."""
    return {
        "event": "read",
        "schedule": reading.file,
        "sheet": reading.sheet,
        "sheets_not_read": list(reading.others),
        "header_row": reading.header_row,
        "units": reading.unit or reading.units,
        "columns": [
            {"name": c.name, "gives": ".".join(map(str, c.path)), "unit": c.unit, "why": c.why} for c in reading.columns
        ],
        "left_out": [{"row": out.row, "why": out.why, "text": out.text} for out in reading.left_out],
        "openings": [
            {"row": o.row, "mark": o.mark, "quantity": o.quantity, "typed": dict(o.typed), "base": list(o.from_base)}
            for o in schedule.openings
        ],
        "refused": [{"row": row.row, "mark": row.mark} for row in schedule.refused],
        "remarks": list(reading.remarks),
    }


def _units(reading: Reading) -> str:
    measures = [column for column in reading.columns if column.measures]
    words = {"in": "inches", "ft": "feet"}
    if reading.unit:
        said = f"Sizes without a unit are {words.get(reading.unit, reading.unit)}, as row {reading.unit_row} says"
    elif measures and all(column.unit for column in measures):
        said = "Units stand in the header"
    else:
        said = f"Sizes without a unit are {words.get(reading.units, reading.units)}, as in {visible(reading.base)}"
    return f"{said}; shown in {words.get(reading.shown_in, reading.shown_in)}."


def _columns(schedule: Schedule, reading: Reading) -> Iterator[str]:
    """Say what the columns are taken for where their names are other words, and which only the cells could tell."""
    from formgen.building.schedule.columns import NOT_DECIDED
    from formgen.building.schedule.words import name_of

    def said(column: Column) -> str:
        unit = f" ({column.unit})" if column.unit and not reading.unit else ""
        return f"{_called(column)} = {name_of(column.path)}{unit}"

    known = [column for column in reading.columns if column.path and not column.why]
    other = [said(column) for column in known if column.name.casefold() not in (name_of(column.path), _key(column))]
    if other:
        yield f"Columns: {'; '.join(other)}."
    passed = [_called(column) for column in reading.columns if not column.path and not column.why]
    if passed:
        yield f"Passed over: {', '.join(passed)}."
    for column in reading.columns:
        if column.why == NOT_DECIDED:
            yield f"{_called(column)} is not decided: see below."
        elif column.why and column.path:
            yield f"{_called(column)} is read as the {name_of(column.path)}: {column.why}."
        elif column.why:
            yield f"{_called(column)} is passed over: {column.why}."
    yield from _without_column(schedule, reading)
    blank = Counter(key for opening in schedule.openings for key in opening.from_base if key not in _IN_TABLE)
    if blank:
        told = ", ".join(f"{key} in {count} {'row' if count == 1 else 'rows'}" for key, count in blank.items())
        yield f"Blank cells that {visible(reading.base)} fills: {told}."


def _without_column(schedule: Schedule, reading: Reading) -> Iterator[str]:
    """Sizes of the arch that no column gives, so that every opening takes the base recipe's."""
    given = {_key(column) for column in reading.columns}
    for key, name in (("part.arch.span", "span"), ("part.arch.rise", "rise")):
        taken = [opening for opening in schedule.openings if key in opening.from_base]
        if taken and key not in given:
            size = _length(getattr(taken[0].recipe.part.arch, f"{name}_mm"), reading.shown_in)
            many = "1 opening takes" if len(taken) == 1 else f"{len(taken)} openings take"
            yield f"No column gives the {name}: {many} the {size} {reading.shown_in} of {visible(reading.base)}."


def _called(column: Column) -> str:
    return escaped(" ".join(column.name.split())).rstrip(".")


def _key(column: Column) -> str:
    return ".".join(map(str, column.path))


def _left_out(left_out: Sequence[LeftOut], *, whole: bool) -> Iterator[str]:
    """Rows that are no openings: each with its text, or counted by kind."""
    if not left_out:
        return
    if whole:
        yield "Left out:"
        yield from (f"  row {out.row}, {out.why}: {visible(out.text)[:60]}" for out in left_out)
        return
    groups = [(why, [out.row for out in found]) for why, found in groupby(left_out, key=lambda out: out.why)]
    told = [f"{why} ({'row' if len(rows) == 1 else 'rows'} {_listed(rows)})" for why, rows in groups]
    yield f"Left out: {', '.join(told[:FEW])}{', and more' if len(told) > FEW else ''}."


def _listed(rows: Sequence[int]) -> str:
    """Row numbers: `7`, `7, 15` or `25 to 27`; of many apart the first and last."""
    together = rows[-1] - rows[0] == len(rows) - 1
    if len(rows) > 1 and together:
        return f"{rows[0]} to {rows[-1]}"
    shown = [str(row) for row in rows]
    return ", ".join(shown) if len(rows) <= FEW else f"{', '.join(shown[:FEW])} … {shown[-1]}"


def _table(schedule: Schedule, reading: Reading, *, whole: bool) -> Iterator[str]:
    """The openings, a line each; a star marks what the base recipe gave."""
    shown = schedule.openings if whole else schedule.openings[:FEW]
    rows = [_cells(opening, reading.shown_in) for opening in shown]
    if not rows:
        return
    widths = [max(len(row[i]) for row in [_HEADER, *rows]) for i in range(len(_HEADER))]
    for name in _CUT:
        i = _HEADER.index(name)
        widths[i] = max(6, widths[i] - max(0, sum(widths) + 2 * (len(widths) - 1) - WIDTH))
    yield ""
    yield _line(_HEADER, widths)
    for opening, row in zip(shown, rows, strict=True):
        yield _line(row, widths)
        more = _more(opening) if whole else ""
        if more:
            yield f"{' ' * (widths[0] + 2)}{more}"[:WIDTH]
    if any("*" in cell for row in rows for cell in row):
        yield f"* as {reading.base} says: the cell is blank, or there is no such column"[:WIDTH]
    if len(shown) < len(schedule.openings):
        yield f"{len(schedule.openings) - len(shown)} more: --preview shows them all"


def _line(cells: Sequence[str], widths: Sequence[int]) -> str:
    fitted = [
        (cell if len(cell) <= width else f"{cell[: width - 1]}…").rjust(width)
        if name in _RIGHT
        else (cell if len(cell) <= width else f"{cell[: width - 1]}…").ljust(width)
        for name, cell, width in zip(_HEADER, cells, widths, strict=True)
    ]
    return "  ".join(fitted).rstrip()[:WIDTH]


def _cells(opening: Opening, units: Units) -> tuple[str, ...]:
    part = opening.recipe.part
    legs = part.legs if isinstance(part.legs, float) else max(part.legs.right_and_left_mm)
    values = {
        "part.arch.kind": part.arch.kind,
        "part.arch.span": _length(getattr(part.arch, "span_mm", None), units),
        "part.arch.rise": _length(getattr(part.arch, "rise_mm", None), units),
        "part.depth": _length(part.depth_mm, units),
        "part.legs": _length(legs, units),
        "part.measured_on": part.measured_on,
    }
    starred = [f"{text}{'*' if key in opening.from_base and text != '–' else ''}" for key, text in values.items()]
    return str(opening.row), opening.mark, str(opening.quantity), *starred


def _length(mm: float | None, units: Units) -> str:
    return "–" if mm is None else write_length(mm, units).removesuffix(f" {units}").removesuffix(".0")


def _more(opening: Opening) -> str:
    """Return what else the row says."""
    typed = [text if key == "note" else f"{key} {text}" for key, text in opening.typed.items() if key not in _IN_TABLE]
    return visible("; ".join(typed))
