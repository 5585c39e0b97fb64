"""Building: an opening schedule as rows of cells under a header, without the rows that are no openings.

In: cells with their row numbers, from a CSV file or a sheet of a workbook (`file`). Out: a `Table`: columns, rows,
numbered as a spreadsheet numbers them, and what was left out and why. What cells mean together is for `settle` and
`read` to say.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from formgen.building.schedule.asides import LeftOut, sort_out
from formgen.building.schedule.cells import Cell, Merged, Row, Spoiled
from formgen.building.schedule.columns import Column, read_columns
from formgen.building.schedule.header import Header, find_header, names_sizes
from formgen.building.schedule.merging import spread
from formgen.building.schedule.words import is_one_of, plain, sheet_unit
from formgen.errors import RecipeError
from formgen.fixed import fixed
from formgen.quoted import escaped, quoted, unseen

_NO_CONTROL = "expected no control characters; delete them"
MOST_ROWS, MOST_COLUMNS = 20_000, 200
_WANTED = (
    "expected a row of column names with the opening's mark among them (opening, mark, ref or no.); "
    "add it above the openings"
)


@fixed
class Table:
    """A schedule as it was read.

    Args:
        name: the file's name, for messages.
        header_row: number of the (last) row that the header stands in.
        header: column names as typed, runs of blanks as one and none at the ends.
        columns: what each means, as far as its name says.
        rows: the openings.
        mistakes: rows that cannot be read, as (row, line without the file's name).
        faults: what is wrong with the header, each with the file's name.
        left_out: rows that are no openings.
        unit: of all sizes, from a line such as `All dimensions in mm`; empty where there is none.
        unit_row: number of that line's row.
        sheet: the workbook's sheet; empty for a CSV file.
        others: further sheets with anything on them.
    """

    name: str
    header_row: int
    header: tuple[str, ...]
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    mistakes: tuple[tuple[int, str], ...] = ()
    faults: tuple[str, ...] = ()
    left_out: tuple[LeftOut, ...] = ()
    unit: str = ""
    unit_row: int = 0
    sheet: str = ""
    others: tuple[str, ...] = ()


Records = Sequence[tuple[int, Sequence[Cell]]]


def held(records: Records) -> list[tuple[int, list[Cell]]]:
    """The records that hold anything, their ends of lines alike and blank texts None."""
    made = ((number, [_blank_is_none(cell) for cell in cells]) for number, cells in records)
    return [(number, cells) for number, cells in made if any(cell is not None for cell in cells)]


def tabled(name: str, records: Records, merged: Sequence[Merged] = ()) -> Table:
    """Header and openings from numbered records; blank records are passed over.

    Args:
        name: the file's name.
        records: (row number, cells), top to bottom.
        merged: areas of merged cells.

    Raises:
        RecipeError: no header that names the opening's mark, too many columns, or control characters in it.
    """
    filled = held(records)
    header = find_header(filled[:MOST_ROWS], merged)
    if header is None:
        near = next((number for number, cells in filled if names_sizes(cells)), None)
        found = f", got a row of columns without it in row {near}" if near is not None else ""
        raise RecipeError(f"{name}: {_WANTED.replace(';', f'{found};')}")
    if len(header.names) > MOST_COLUMNS:
        raise RecipeError(
            f"{name}: row {header.row}: expected at most {MOST_COLUMNS} columns, got {len(header.names)}; delete what "
            "lies outside the schedule"
        )
    _refuse_hidden(name, header)
    above, below = filled[: header.first], filled[header.first + header.deep :]
    columns, faults = read_columns(name, header.row, header.names)
    openings, mistakes, left_out = sort_out(below, columns, header.names, header.row)
    openings = spread(openings, columns, merged)
    unnamed = [i for i, title in enumerate(header.names) if not title]
    faults += _twice(name, header)
    faults += [
        f"{name}: row {header.row}, column {i + 1} has no name, expected one; name it or delete the column"
        for i in unnamed
        if any(row.cells[i] is not None for row in openings) or not openings
    ]
    kept = [i for i in range(len(header.names)) if i not in unnamed]
    titles = tuple(LeftOut(row=number, why="title", text=_text(cells)) for number, cells in above)
    unit, unit_row, torn = _unit_of_all(name, [*above, *[(out.row, [out.text]) for out in left_out]])
    rows = [Row(number=row.number, cells=tuple(row.cells[i] for i in kept)) for row in openings]
    rows, hidden = _without_hidden(rows, [header.names[i] for i in kept])
    return Table(
        name=name,
        header_row=header.row,
        header=tuple(header.names[i] for i in kept),
        columns=tuple(columns[i] for i in kept),
        rows=tuple(_as_above(rows, [columns[i] for i in kept])),
        mistakes=tuple(sorted([*mistakes, *hidden])),
        faults=(*faults, *torn),
        left_out=(*titles, *left_out),
        unit=unit,
        unit_row=unit_row,
    )


def _unit_of_all(name: str, asides: Sequence[tuple[int, Sequence[Cell]]]) -> tuple[str, int, list[str]]:
    """The unit that a line beside the openings says of all sizes, its row, and what is wrong if two lines differ."""
    said = [(sheet_unit(cell), number) for number, cells in asides for cell in cells if isinstance(cell, str)]
    found = [(unit, number) for unit, number in said if unit is not None]
    if not found:
        return "", 0, []
    (unit, row), *others = found
    torn = [
        f"{name}: row {number} says sizes in {other}, row {row} in {unit}, expected one unit; correct one of them"
        for other, number in others
        if other != unit
    ]
    return unit, row, torn


def _refuse_hidden(name: str, header: Header) -> None:
    """Refuse characters in column names on which a screen would act."""
    lines = [
        f"{name}: row {header.row}, column {i}: {quoted(column)}, {_NO_CONTROL}"
        for i, column in enumerate(header.names, 1)
        if _hidden(column)
    ]
    if lines:
        raise RecipeError(*lines)


def _twice(name: str, header: Header) -> list[str]:
    """A line for each column that stands twice."""
    keys = [plain(column) for column in header.names]
    return [
        f"{name}: row {header.row}, column {quoted(column)} stands twice; delete one"
        for i, column in enumerate(header.names)
        if column and keys[i] in keys[:i]
    ]


def _without_hidden(rows: Sequence[Row], header: Sequence[str]) -> tuple[list[Row], list[tuple[int, str]]]:
    """The rows in whose cells everything shows, and a line for each other cell."""
    lines = [
        (row.number, f"row {row.number}, column {escaped(column)} = {quoted(cell)}, {_NO_CONTROL}")
        for row in rows
        for column, cell in zip(header, row.cells, strict=True)
        if _hidden(cell)
    ]
    bad = {number for number, _ in lines}
    return [row for row in rows if row.number not in bad], lines


def _as_above(rows: Sequence[Row], columns: Sequence[Column]) -> Iterator[Row]:
    """The rows with what stands above in the place of `ditto` or two strokes."""
    last: tuple[Cell, ...] = ()
    for row in rows:
        cells = list(row.cells)
        for i, cell in enumerate(cells):
            if not is_one_of(cell, "ditto") or columns[i].path == ("name",):
                continue
            nothing = Spoiled(line="expected a value, since no row above holds one; write it", got=str(cell))
            cells[i] = last[i] if last and last[i] is not None else nothing
        last = tuple(cells)
        yield Row(number=row.number, cells=last)


def _text(cells: Sequence[Cell]) -> str:
    return " ".join(" ".join(str(cell).split()) for cell in cells if cell is not None)


def _hidden(cell: Cell) -> bool:
    """Tell whether a cell holds a character on which a screen would act, or that shows nothing."""
    return isinstance(cell, str) and unseen(cell) is not None


def _blank_is_none(cell: Cell) -> Cell:
    """A cell with its lines ended alike; None where it is blank."""
    if not isinstance(cell, str):
        return cell
    return cell.replace("\r\n", "\n").replace("\r", "\n") if cell.strip() else None
