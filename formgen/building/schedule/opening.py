"""Building: the openings of a schedule, understood, and the rows that were not."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from typing import TYPE_CHECKING

from formgen.fixed import fixed
from formgen.recipe.model import KEY_IN_TEXT, Recipe

if TYPE_CHECKING:
    from formgen.building.schedule.reading import Reading


@fixed
class Opening:
    """One row of the schedule, understood.

    Args:
        row: its number in the spreadsheet.
        recipe: the base recipe with the row's values, and how many are wanted.
        file: the schedule's name.
        columns: the column that gave a key, by the key's dotted name.
        typed: what stood in those cells, by the same names.
        from_base: keys of the arch and part, and of the schedule's columns, whose value is the base recipe's.
    """

    row: int
    recipe: Recipe
    file: str
    columns: Mapping[str, str] = field(default_factory=dict, compare=False, repr=False)
    typed: Mapping[str, str] = field(default_factory=dict, compare=False, repr=False)
    from_base: tuple[str, ...] = field(default=(), compare=False, repr=False)

    @property
    def mark(self) -> str:
        """The opening's mark, which is its recipe's name."""
        return self.recipe.name

    @property
    def quantity(self) -> int:
        """The number of parts that are wanted (pairs of halves, where a point splits the arch)."""
        return self.recipe.quantity

    def placed(self, message: str) -> str:
        """A stage's message with row, mark and, where it is about a key that a cell gave, column in front."""
        for key in KEY_IN_TEXT.findall(message):
            if key in self.columns:
                return f"{self.file}: row {self.row}, opening {self.mark}, column {self.columns[key]}: {message}"
        return f"{self.file}: row {self.row}, opening {self.mark}: {message}"


@fixed
class Refused:
    """A row that cannot be made: its number, its mark as far as it can be read, and one line for each mistake."""

    row: int
    mark: str
    lines: tuple[str, ...]


@fixed
class Schedule:
    """The openings of a building.

    Args:
        file: the schedule's name.
        base: the base recipe's name.
        openings: rows that were understood, in order.
        refused: rows that were not.
        faults: what is wrong with the schedule's columns; with any, nothing is made of it.
        reading: how it was read.
    """

    file: str
    base: str
    openings: tuple[Opening, ...]
    refused: tuple[Refused, ...]
    faults: tuple[str, ...] = ()
    reading: Reading | None = field(default=None, compare=False, repr=False)
