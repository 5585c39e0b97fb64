"""Stage `sheets`: minutes of handling: what pieces and sheets cost a shop, so that one can be set against the other.

In: a shop. Out: minutes for a number of pieces and sheets, and the sum in words. An offcut costs its handling, nothing
else.
"""

from __future__ import annotations

from formgen.amounts import time_text
from formgen.fixed import fixed
from formgen.recipe.figures import figure
from formgen.recipe.shop import Shop


@fixed
class Handling:
    """The minutes that a shop takes to handle pieces and sheets.

    Args:
        piece_min: one more piece of a layer: drilled, labelled, glued in.
        sheet_min: one more sheet or offcut at the router.
        sheet_worth_min: work for which the shop would rather use another new sheet.
        usual: keys of the shop file that nobody has set, whose values are usual ones.
    """

    piece_min: float
    sheet_min: float
    sheet_worth_min: float
    usual: tuple[str, ...] = ()

    def minutes(self, pieces: int, sheets: int, offcuts: int = 0) -> float:
        """Return the work of so many pieces, new sheets and offcuts, and what the sheets are worth; minutes."""
        new = sheets * (self.sheet_min + self.sheet_worth_min)
        return pieces * self.piece_min + new + offcuts * self.sheet_min

    def sum_text(self, pieces: int, sheets: int, offcuts: int = 0) -> str:
        """Write the sum out: `167 pieces × 6 min + 25 sheets × (15 + 60) min = 48 h`."""
        parts = [
            f"{_many(pieces, 'piece')} × {self.piece_min:g} min",
            f"{_many(sheets, 'sheet')} × ({self.sheet_min:g} + {self.sheet_worth_min:g}) min",
            *([f"{_many(offcuts, 'offcut')} × {self.sheet_min:g} min"] if offcuts else []),
        ]
        return f"{' + '.join(parts)} = {time_text(self.minutes(pieces, sheets, offcuts))}"

    @property
    def usual_text(self) -> str:
        """Name what the shop has not said, and where it is said; empty where it said all."""
        return f"usual minutes: set {', '.join(self.usual)} in the shop file" if self.usual else ""


def handling_of(shop: Shop) -> Handling:
    """Return the minutes of a shop, usual ones where it says nothing."""
    asked = {
        "times.piece": (shop.times.piece_minutes, "piece_min"),
        "times.sheet": (shop.times.sheet_minutes, "sheet_min"),
        "sheet_is_worth": (shop.sheet_is_worth_minutes, "sheet_worth_min"),
    }
    piece, sheet, worth = (figure(name, shop).value if own is None else own for own, name in asked.values())
    return Handling(
        piece_min=piece,
        sheet_min=sheet,
        sheet_worth_min=worth,
        usual=tuple(key for key, (own, name) in asked.items() if own is None and name not in shop.figures),
    )


def _many(count: int, noun: str) -> str:
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"
