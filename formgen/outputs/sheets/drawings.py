"""Stage `outputs`: DXF drawings for the router, one file for each sheet; and what each must hold, for reading it back.

In: `Sheets`. Out: files in the router's units; origin at the sheet's lower left corner, x along its length. Every
drawing layer holds one purpose, as in the layers' files; the sheet's edge and what is written below it are sheet notes.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from formgen.geometry.outline import Outline
from formgen.holding.do_not_press import noted
from formgen.outputs.dxf.check import DrawingCheck
from formgen.outputs.dxf.expected import notes_drawing, piece_drawing
from formgen.outputs.dxf.layers import colours, depths_mm, draw_piece, write_notes
from formgen.outputs.dxf.names import MM_PER_INCH, LayerNames, layer_names
from formgen.outputs.dxf.pen import drawing
from formgen.outputs.dxf.shapes import Drawn, shape
from formgen.sheets.model import CutSheet, Sheets


def write_sheet(sheets: Sheets, sheet: CutSheet, path: Path) -> None:
    """Write the drawing of one sheet.

    Raises:
        ExportError: two purposes would get one drawing layer.
    """
    router = sheets.router
    names, depths = _names(sheets, sheet), depths_mm(p.part.piece for p in sheet.placements)
    with drawing(path, router.dxf_version, sheets.units, colours(names, depths)) as pen:
        pen.closed(_edge(sheet), names.sheet_notes)
        for placement in sheet.placements:
            draw_piece(pen, placement.piece, names)
        write_notes(pen, sheet_texts(sheets, sheet), (0.0, 0.0), router.label_height_mm, names.sheet_notes)


def sheet_check(sheets: Sheets, sheet: CutSheet) -> DrawingCheck:
    """Return what a sheet's file must be."""
    names = _names(sheets, sheet)
    pieces: list[Drawn] = [d for p in sheet.placements for d in piece_drawing(p.piece, names)]
    edge = shape(_edge(sheet), names.sheet_notes, "edge of the sheet")
    return DrawingCheck(
        expected=[edge, *pieces, *notes_drawing(sheet_texts(sheets, sheet), names.sheet_notes)],
        faces=(),
        written=frozenset({names.labels.upper(), names.marks.upper()}),
        version=sheets.router.dxf_version,
        in_inches=sheets.units == "in",
    )


def sheet_texts(sheets: Sheets, sheet: CutSheet) -> tuple[str, ...]:
    """List what is written below a sheet; not cut."""
    stock = sheet.stock
    size = f"{stock.length_mm:.0f} x {stock.width_mm:.0f} mm"
    inches = f"{stock.length_mm / MM_PER_INCH:.2f} x {stock.width_mm / MM_PER_INCH:.2f} in"
    return (
        f"sheet {sheet.number} of {len(sheets.sheets)}: {'offcut of ' if stock.offcut else ''}{stock.board}, {size}",
        f"{inches}; as measured {stock.thickness_mm:.2f} mm = {stock.thickness_mm / MM_PER_INCH:.3f} in thick",
        f"drawing units: {'inches' if sheets.units == 'in' else 'mm'}; cutter {sheets.rules.cutter_mm:.2f} mm",
        "origin: lower left corner of the sheet; cut with this side up: labels and grooves are on it",
        *(f"{i}: {p.part.name}{_for(p.part.openings)}" for i, p in enumerate(sheet.placements, 1)),
        *_marks(sheet),
    )


def _marks(sheet: CutSheet) -> Iterator[str]:
    """Forms of which pieces lie on a sheet and on which nothing must be pressed, and why."""
    for form, problems in {p.part.form: p.part.problems for p in sheet.placements}.items():
        mark, *lines = noted(problems) or ("",)
        yield from (f"{form}: {mark}", *lines) if mark else ()


def _for(openings: tuple[str, ...]) -> str:
    return f", for {', '.join(openings)}" if openings else ""


def _edge(sheet: CutSheet) -> Outline:
    length, width = sheet.stock.length_mm, sheet.stock.width_mm
    return Outline(((0.0, 0.0, 0.0), (length, 0.0, 0.0), (length, width, 0.0), (0.0, width, 0.0)))


def _names(sheets: Sheets, sheet: CutSheet) -> LayerNames:
    return layer_names(sheets.router, sheets.units, depths_mm(p.part.piece for p in sheet.placements))
