"""Layouts of many forms, narrow pieces and odd sizes of board, without a form behind them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache

from formgen.geometry.outline import Outline
from formgen.lengths import Units
from formgen.sheets.layout import sheet_parts
from formgen.sheets.model import Sheets, Stock
from tests.sheets.shapes import RULES, box, parts_of_outlines, ring, stock_of_size


def crowd(
    outlines: Sequence[Outline], forms: int, stock: Stock, units: Units = "mm", problems: tuple[str, ...] = ()
) -> Sheets:
    """Sheets of pieces that belong in turn to so many forms; on the first form nothing must be pressed if so told."""
    parts = [
        replace(
            part,
            form=f"A-{400 + i % forms}",
            layer=1 + i // forms,
            piece=replace(part.piece, name=f"L{1 + i // forms:02d}"),
            problems=problems if i % forms == 0 else (),
        )
        for i, part in enumerate(parts_of_outlines(outlines))
    ]
    return sheet_parts(parts, [stock], RULES, "preview", engine="quick", units=units)


@cache
def wide_bands(count: int, forms: int, units: Units = "mm", problems: tuple[str, ...] = ()) -> Sheets:
    """Bands that hold their numbers, on boards of the usual size."""
    bands = [ring(590 - 30 * (i % 3), 115, 1.5) for i in range(count)]
    return crowd(bands, forms, stock_of_size(2440, 1220), units, problems)


@cache
def strips(count: int, forms: int) -> Sheets:
    """Strips too narrow for a number."""
    return crowd([box(500, 24) for _ in range(count)], forms, stock_of_size(2440, 1220))
