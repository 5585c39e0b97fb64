"""Building: the header of a schedule, found by its words among the rows that stand over the openings.

In: rows that hold anything. Out: which of them names the columns: of all rows near the top the one with most words that
name a column, the mark's among them. A header of two rows (`Opening size` over `W` and `H`) and a row of units under it
are taken as one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache

from formgen.building.schedule.cells import Cell, Merged
from formgen.building.schedule.columns import NAME, RISE, SPAN, Column, known
from formgen.building.schedule.words import is_one_of, unit_of
from formgen.fixed import fixed

#: No office writes more over its schedule.
MOST_ABOVE = 60
#: No word of a column is longer.
LONGEST_WORD = 60
_MOST_LOOKED_AT = 200

Held = Sequence[tuple[int, Sequence[Cell]]]


@fixed
class Header:
    """A header that was found.

    Args:
        first: index of its first row among those that hold anything.
        deep: how many rows it takes, units among them.
        row: number of the row that names most columns.
        names: of the columns, empty where there is none.
        score: how many columns it names.
        sizes: whether one of them is the size of an arch.
    """

    first: int
    deep: int
    row: int
    names: tuple[str, ...]
    score: int
    sizes: bool


def find_header(rows: Held, merged: Sequence[Merged] = ()) -> Header | None:
    """The row, or two, that name most columns, the opening's mark among them; None where none does."""
    best: Header | None = None
    for i, (number, cells) in enumerate(rows[:MOST_ABOVE]):
        alone = _header(i, 1, number, [_name(cell) for cell in cells])
        follows = i + 1 < len(rows) and rows[i + 1][0] == number + 1 and not _are_units(rows[i + 1][1])
        joined = _header(i, 2, number + 1, _joined(rows[i], rows[i + 1], merged)) if follows else None
        if joined is not None and (alone is None or joined.score >= alone.score):
            alone = joined  # one column's name in the lower row is enough: no opening's row has one
        if alone is not None and (best is None or _is_better(alone, best)):
            best = alone
    return None if best is None else _with_units(best, rows)


def _is_better(header: Header, best: Header) -> bool:
    """Tell whether a header found further down is the better one: more columns, or as many without a row of no use."""
    same_row = header.row == best.row and header.deep < best.deep
    return header.score > best.score or (same_row and header.score == best.score)


def _are_units(cells: Sequence[Cell]) -> bool:
    """Tell whether a row holds units, at least one of a length, and nothing else."""
    filled = [cell for cell in cells if cell is not None]
    said = [isinstance(cell, str) and unit_of(cell) is not None for cell in filled]
    return any(said) and all(ok or is_one_of(cell, "no_unit") for ok, cell in zip(said, filled, strict=True))


def names_sizes(cells: Sequence[Cell]) -> bool:
    """Tell whether a row names two columns or more, one of them a size: a header without a mark."""
    found = list(_known([_name(cell) for cell in cells]))
    return len(found) > 1 and any(column.measures for column in found)


def _header(first: int, deep: int, row: int, names: Sequence[str]) -> Header | None:
    found = list(_known(names))
    if not any(column.path == NAME or column.asks == "number" for column in found):
        return None
    while names and not names[-1]:
        names = names[:-1]
    sizes = any(column.path in (SPAN, RISE) or column.asks in ("height", "overall") for column in found)
    score = len({(column.path, column.asks) for column in found})
    return Header(first=first, deep=deep, row=row, names=tuple(names), score=score, sizes=sizes)


def _known(names: Sequence[str]) -> Iterator[Column]:
    """The columns that names mean, of those that are not passed over."""
    for name in names[:_MOST_LOOKED_AT]:
        column = _column(name) if name else None
        if column is not None and (column.path or column.asks):
            yield column


@lru_cache(maxsize=4096)
def _column(name: str) -> Column | None:
    return known(name) if len(name) <= LONGEST_WORD else None


def _joined(
    above: tuple[int, Sequence[Cell]], below: tuple[int, Sequence[Cell]], merged: Sequence[Merged]
) -> list[str]:
    """Names of two rows: the lower one's, with the upper one's before it where that makes a column of it."""
    number, upper = above
    lower = [_name(cell) for cell in below[1]]
    own = [_name(cell) for cell in upper]
    over = list(own)
    for area in merged:
        if area.top <= number <= area.bottom and area.left <= len(own):
            over += [""] * (area.right - len(over))
            over[area.left - 1 : area.right] = [own[area.left - 1]] * (area.right - area.left + 1)
    names = []
    for i in range(max(len(lower), len(own))):
        low = lower[i] if i < len(lower) else ""
        high = over[i] if i < len(over) else ""
        both = f"{high} {low}"
        if not low:
            names.append(own[i] if i < len(own) else "")
        else:
            names.append(both if high and _column(both) is not None else low)
    return names


def _with_units(header: Header, rows: Held) -> Header:
    """The header with the units of the row under it, where that holds nothing else."""
    after = header.first + header.deep
    if after >= len(rows):
        return header
    units = list(rows[after][1])
    if not _are_units(units):
        return header
    names = list(header.names)
    for i, cell in enumerate(units[: len(names)]):
        if isinstance(cell, str) and unit_of(cell) is not None and _unit(names[i]) != unit_of(cell):
            names[i] = f"{names[i]} ({cell.strip().strip('()')})"
    return Header(
        first=header.first, deep=header.deep + 1, row=header.row, names=tuple(names), score=header.score,
        sizes=header.sizes,
    )  # fmt: skip


def _unit(name: str) -> str:
    column = _column(name)
    return column.unit if column is not None else ""


def _name(cell: Cell) -> str:
    """A cell as a column's name: runs of blanks as one, and none at its ends; control characters stay."""
    text = "" if cell is None else str(cell)
    return " ".join(text.split()) if text.isprintable() or set(text) & set("\n\t\r") else text
