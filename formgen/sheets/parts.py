"""Stage `sheets`: what is to be cut, from what, and by which rules, as forms and the shop file say.

In: forms and the shop. Out: parts, stock, rules.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Protocol

from formgen.errors import SheetError
from formgen.form.model import Form
from formgen.holding.do_not_press import reasons
from formgen.lengths import Units
from formgen.recipe.model import Recipe
from formgen.recipe.shop import Offcut, Sheet, Shop, StockSize
from formgen.sheets.model import Part, Rules, Stock


def parts_of(forms: Sequence[Form], openings: Mapping[str, tuple[str, ...]]) -> tuple[Part, ...]:
    """Every piece of every form, form by form, from the front.

    Raises:
        SheetError: two forms of one name, whose pieces could not be told apart.
    """
    seen: set[str] = set()
    parts = []
    for form in forms:
        recipe = form.recipe
        name = recipe.name
        if name in seen:
            raise SheetError(f"two forms are called {name}, expected a name for each: rename one")
        seen.add(name)
        problems = reasons(form.all_findings, recipe.units)
        parts += [
            Part(
                form=name,
                layer=layer.number,
                openings=openings.get(name, ()),
                piece=piece,
                board=recipe.sheet_name,
                thickness_mm=layer.thickness_mm,
                problems=problems,
            )
            for layer, piece in form.pieces
        ]
    return tuple(parts)


class Asked(Protocol):
    """Whatever was made, or is to be made, of a recipe."""

    @property
    def recipe(self) -> Recipe:
        """The recipe."""


def stock_of(forms: Sequence[Asked], shop: Shop) -> tuple[Stock, ...]:
    """Offcuts, the usual sizes and other sizes of every board that the forms are cut from.

    Raises:
        SheetError: forms that hold one board to be of different sizes.
    """
    boards: dict[str, Sheet] = {}
    for form in forms:
        recipe = form.recipe
        if boards.setdefault(recipe.sheet_name, recipe.sheet) != recipe.sheet:
            raise SheetError(
                f"{recipe.name} takes {recipe.sheet_name} to be another sheet than the forms before it do, "
                "expected one shop file for all: build them from one"
            )
    found: list[Stock] = []
    for name, sheet in boards.items():
        offcuts, other = ([size for size in sizes if size.sheet == name] for sizes in (shop.offcuts, shop.stock))
        sizes: list[StockSize | Sheet] = [*offcuts, sheet, *other]
        found += [
            Stock(
                board=name,
                length_mm=size.length_mm,
                width_mm=size.width_mm,
                thickness_mm=sheet.thickness_mm,
                edge_margin_mm=sheet.edge_margin_mm,
                quantity=size.quantity,
                offcut=isinstance(size, Offcut),
            )
            for size in sizes
            if size.quantity != 0
        ]
    return tuple(dict.fromkeys(found))


def rules_of(shop: Shop) -> Rules:
    """Return how pieces may lie in this shop."""
    return Rules(
        cutter_mm=shop.cutter.diameter_mm,
        margin_mm=shop.cutter.margin_mm,
        rotations_deg=tuple(dict.fromkeys(shop.nesting.rotations_deg)),
        keep_mm=shop.nesting.keep_mm,
    )


def units_of(forms: Sequence[Form], shop: Shop) -> Units:
    """Units of the drawings: the router's, or those that all recipes are in, or the shop's."""
    asked = {form.recipe.units for form in forms}
    return shop.router.units or (asked.pop() if len(asked) == 1 else shop.units)
