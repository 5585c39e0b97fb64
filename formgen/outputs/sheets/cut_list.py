"""Stage `outputs`: the cut list for the router's operator: one page, what to load in which order, what comes off it.

In: `Sheets` and the names of the files as they are handed over. Out: HTML that needs nothing beside it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from formgen.outputs.dxf.layers import depths_mm
from formgen.outputs.dxf.names import depth_text
from formgen.outputs.templates import filled
from formgen.sheets.model import CutSheet, Sheets
from formgen.verdict import MARK


def cut_list(sheets: Sheets, names: Mapping[int, str], hashes: Mapping[int, str]) -> str:
    """The page.

    Args:
        sheets: the layout.
        names: of the files, by the sheet's number.
        hashes: SHA-256 of the files, by the sheet's number.
    """
    boards = "; ".join(
        f"{run.board}: {run.sheets} sheets" + (f" and {run.offcuts} offcuts" if run.offcuts else "")
        for run in sheets.runs
    )
    return filled(
        "outputs/sheets/cut_list.html",
        mark=MARK,
        sheets=sheets,
        boards=boards,
        units="inches" if sheets.units == "in" else "mm",
        rows=[_row(sheets, sheet, names[sheet.number], hashes[sheet.number]) for sheet in sheets.sheets],
    )


def _row(sheets: Sheets, sheet: CutSheet, name: str, sha256: str) -> dict[str, Any]:
    stock = sheet.stock
    load = f"{'offcut of ' if stock.offcut else ''}{stock.board}, {stock.length_mm:.0f} × {stock.width_mm:.0f} mm"
    pieces = ", ".join(f"{p.part.name}{f' ({MARK})' if p.part.problems else ''}" for p in sheet.placements)
    grooves = ", ".join(depth_text(d, sheets.units) for d in depths_mm(p.part.piece for p in sheet.placements))
    left = ", ".join(f"{rest.length_mm:.0f} × {rest.width_mm:.0f}" for rest in sheet.rests)
    return {
        "cells": (
            sheet.number,
            name,
            f"{load}, {stock.thickness_mm:.2f} mm thick",
            pieces,
            f"{grooves} deep" if grooves else "none",
            left or "nothing to keep",
        ),
        "sum": sha256[:12],
    }
