"""Stage `outputs`: the sheet map: which piece, from which form, layer and opening, lies where on which sheet.

In: `Sheets`. Out: a table for people (CSV) and a record for programs (JSON), from which the layout can be made again.
Neither holds a date or a path: the same layout gives the same bytes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from formgen.errors import ExportError
from formgen.form.model import Form
from formgen.outputs.record.job import versions_used
from formgen.outputs.record.plain import number, plain
from formgen.outputs.sheets.csv_table import Cell, as_csv
from formgen.outputs.sheets.names import SHEETS_FOLDER, sheet_file
from formgen.quoted import escaped
from formgen.recipe.shop import Shop
from formgen.sheets.dense import dense_version
from formgen.sheets.leftover import rests_of
from formgen.sheets.model import CutSheet, Part, Placement, Run, Sheets
from formgen.sheets.parts import parts_of, rules_of, stock_of, units_of
from formgen.verdict import MARK

FORMAT = 2
#: No piece lies further from a sheet's corner (mm), and none is turned by more degrees.
FURTHEST = 1e6
COLUMNS = (
    "sheet", "file", "board", "sheet length mm", "sheet width mm", "offcut", "piece", "form", "layer", "openings",
    "left edge mm", "lower edge mm", "turned deg", "length mm", "width mm", "verdict",
)  # fmt: skip


def map_table(sheets: Sheets) -> bytes:
    """The map as CSV, a row for each piece: UTF-8 with a mark at its start, commas, CRLF (RFC 4180)."""
    rows = (_row(sheets, sheet, p) for sheet in sheets.sheets for p in sheet.placements)
    return as_csv([COLUMNS, *rows])


def _row(sheets: Sheets, sheet: CutSheet, p: Placement) -> tuple[Cell, ...]:
    x0, y0, x1, y1 = p.outline.bounds
    stock = sheet.stock
    return (
        sheet.number, sheet_file(sheets, sheet), stock.board, round(stock.length_mm, 1), round(stock.width_mm, 1),
        "yes" if stock.offcut else "no", p.part.piece.name, p.part.form, p.part.layer, " ".join(p.part.openings),
        round(x0, 1), round(y0, 1), p.angle_deg, round(x1 - x0, 1), round(y1 - y0, 1),
        MARK if p.part.problems else "may be pressed",
    )  # fmt: skip


def map_record(sheets: Sheets) -> dict[str, Any]:
    """The map without its files: what was asked, and what was found, kept apart."""
    openings = {part.form: list(part.openings) for part in sheets.parts}
    return {
        "format": FORMAT,
        "name": SHEETS_FOLDER,
        "asked": {
            "forms": openings,
            "rules": plain(sheets.rules),
            "stock": [plain(stock) for stock in sheets.stock],
            "drawing_units": sheets.units,
        },
        "found": {
            "runs": [plain(run) for run in sheets.runs],
            "usage": number(sheets.usage),
            "do_not_press": {form: list(problems) for form, problems in sheets.problems.items()},
            "unplaced": [part.name for part in sheets.unplaced],
            "sheets": [_sheet(sheets, sheet) for sheet in sheets.sheets],
        },
        "versions": {**versions_used(), "packingsolver": dense_version()},
    }


def _sheet(sheets: Sheets, sheet: CutSheet) -> dict[str, Any]:
    return {
        "number": sheet.number,
        "file": sheet_file(sheets, sheet),
        "stock": sheets.stock.index(sheet.stock),
        "usage": number(sheet.usage),
        "pieces": [
            {
                "form": p.part.form,
                "layer": p.part.layer,
                "piece": p.part.piece.name,
                "turned_deg": p.angle_deg,
                "dx_mm": p.dx_mm,
                "dy_mm": p.dy_mm,
                "mirrored": p.mirrored,
            }
            for p in sheet.placements
        ],
        "offcuts": [plain(rest) for rest in sheet.rests],
    }


def sheets_from_record(record: Mapping[str, Any], forms: Sequence[Form]) -> Sheets:
    """The layout that a record tells of, made again from the forms themselves; only places are taken from the record.

    Args:
        record: from `map_record`, as read.
        forms: those that the record names, in any order.

    Raises:
        ExportError: the record is not one, or tells of a form or piece that there is not.
    """
    try:
        asked, found = record["asked"], record["found"]
        by_name = {form.recipe.name: form for form in forms}
        own = [by_name[name] for name in asked["forms"]]
        shop = own[0].recipe.shop if own else Shop()
        parts = parts_of(own, {name: _marks(marks) for name, marks in asked["forms"].items()})
        stock, rules = stock_of(own, shop), rules_of(shop)
        by_piece = {(part.form, part.piece.name): part for part in parts}
        made: list[CutSheet] = []
        _refuse_counts(found["sheets"], len(parts))
        for held in found["sheets"]:
            on = stock[held["stock"]]
            placements = tuple(_placement(p, held["number"], by_piece) for p in held["pieces"])
            rests = rests_of([p.outline for p in placements], on.length_mm, on.width_mm, rules.cutter_mm, rules.keep_mm)
            made.append(CutSheet(number=held["number"], stock=on, placements=placements, rests=rests))
        laid = {(p.part.form, p.part.piece.name) for sheet in made for p in sheet.placements}
        return Sheets(
            parts=parts,
            stock=stock,
            rules=rules,
            sheets=tuple(made),
            runs=tuple(_run(run) for run in found["runs"]),
            unplaced=tuple(part for part in parts if (part.form, part.piece.name) not in laid),
            router=shop.router,
            units=units_of(own, shop),
        )
    except (KeyError, TypeError, ValueError, IndexError, AttributeError, ArithmeticError) as err:
        told = escaped(repr(err))
        raise ExportError(f"sheet-map.json names what no form here has ({told}): run formgen sheets again") from err


def _placement(held: Mapping[str, Any], sheet: int, by_piece: Mapping[tuple[str, str], Part]) -> Placement:
    return Placement(
        part=by_piece[held["form"], held["piece"]],
        sheet=sheet,
        angle_deg=_number(held["turned_deg"]),
        dx_mm=_number(held["dx_mm"]),
        dy_mm=_number(held["dy_mm"]),
        mirrored=bool(held["mirrored"]),
    )


def _refuse_counts(sheets: Any, parts: int) -> None:
    """Refuse sheets that are not numbered from 1, and more pieces than there are."""
    if [type(held["number"]) is int and held["number"] for held in sheets] != list(range(1, len(sheets) + 1)):
        raise ValueError("sheets are not numbered from 1")
    if sum(len(held["pieces"]) for held in sheets) > parts:
        raise ValueError("more pieces than there are")


def _number(held: Any) -> float:
    if type(held) not in (int, float) or abs(held) > FURTHEST:
        raise ValueError(f"{held!r} is no place on a sheet")
    return float(held)


def _marks(held: Any) -> tuple[str, ...]:
    """Openings of a form: each a line of text, since they are written on its sheets."""
    if not isinstance(held, list) or not all(isinstance(mark, str) and mark.isprintable() for mark in held):
        raise ValueError("openings are no texts of one line")
    return tuple(held)


def _run(held: Mapping[str, Any]) -> Run:
    """Read how a board was laid out: the only word of a record that nobody can make again, so its kind is looked at."""
    run = Run(**held)
    for name in ("board", "engine", "effort", "why"):
        text = getattr(run, name)
        if not isinstance(text, str) or not text.isprintable():
            raise ValueError(f"{name} is no text of one line")
    if not all(type(count) is int and count >= 0 for count in (run.sheets, run.offcuts, run.at_least)):
        raise ValueError("runs count no sheets")
    return run
