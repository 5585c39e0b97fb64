"""Building: from an opening schedule and a base recipe to one recipe for each opening.

In: a table and a base recipe. Out: openings, each with the recipe that the strict models of `recipe` understood
(`rows.py`), rows that were refused, what is wrong with the columns, and how all of it was read (`reading.py`).
Everything that is wrong is said at once, with row and column: a column that means nothing hides no cell.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from formgen.building.running.events import Tell, tell_how_far
from formgen.building.schedule.file import read_table
from formgen.building.schedule.opening import Opening, Refused, Schedule
from formgen.building.schedule.reading import reading_of
from formgen.building.schedule.rows import RowReader
from formgen.building.schedule.settle import settled
from formgen.errors import RecipeError
from formgen.lengths import Units
from formgen.quoted import quoted
from formgen.recipe.load import SHOP_FILE, load_shop
from formgen.recipe.shop import Shop
from formgen.recipe.short import filled, in_sections
from formgen.recipe.source import read_source


def read_schedule(
    path: Path,
    base_path: Path,
    shop_path: Path | None = None,
    tell: Tell = lambda _event: None,
    *,
    sheet: str = "",
) -> Schedule:
    """The openings of a schedule.

    Args:
        path: the schedule, CSV or XLSX.
        base_path: the base recipe, which need not be whole.
        shop_path: the shop file; None takes `shop.yaml` beside the base recipe if there is one, else the defaults.
        tell: told how far it is, where there are many rows.
        sheet: of the workbook; without it the one that reads as a schedule.

    Raises:
        RecipeError: nothing can be read: no table, a base recipe that is not YAML, a bad shop file.
    """
    if shop_path is None and (base_path.parent / SHOP_FILE).is_file():
        shop_path = base_path.parent / SHOP_FILE
    base = in_sections(read_source(base_path))
    if not isinstance(base.data, dict):
        raise RecipeError(f"{base.name}: expected keys with values, such as format: 1; see a recipe that works")
    shop, shop_source = (load_shop(shop_path), read_source(shop_path)) if shop_path is not None else (Shop(), None)
    units: Units = "mm" if filled(base)[0].data["units"] == "mm" else "in"
    table = settled(read_table(path, sheet), base.data, units)
    reader = RowReader(table=table, base=base, shop=shop, shop_source=shop_source, folder=base_path.parent)
    read = []
    for i, row in enumerate(table.rows):
        tell_how_far(tell, "reading", "reading the openings", i, len(table.rows))
        read.append(reader.read(row))
    openings = [held for held in read if isinstance(held, Opening)]
    refused = [held for held in read if isinstance(held, Refused)]
    refused += [Refused(row=n, mark="", lines=(f"{table.name}: {line}",)) for n, line in table.mistakes]
    openings, twice = _each_once(openings)
    refused = sorted([*refused, *twice], key=lambda held: held.row)
    wanted = None if refused else sum(opening.quantity for opening in openings)
    return Schedule(
        file=table.name,
        base=base.name,
        openings=tuple(openings),
        refused=tuple(refused),
        faults=table.faults,
        reading=reading_of(table, base.name, units, wanted),
    )


def _each_once(openings: Iterable[Opening]) -> tuple[list[Opening], list[Refused]]:
    """Openings whose marks differ in more than capitals: a mark becomes a folder's name."""
    first: dict[str, Opening] = {}
    refused = []
    for opening in openings:
        other = first.setdefault(opening.mark.casefold(), opening)
        if other is not opening:
            line = (
                f"{opening.file}: row {opening.row}, column {opening.columns['name']} = {quoted(opening.mark)} stands "
                f"in row {other.row} too, expected a mark of its own; change one, or give the quantity"
            )
            refused.append(Refused(row=opening.row, mark=opening.mark, lines=(line,)))
    return list(first.values()), refused
