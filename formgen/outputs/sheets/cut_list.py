"""Stage `outputs`: the cut list for the router's operator: one page, what to load in which order, what comes off it.

In: `Sheets` and the names of the files as they are handed over. Out: HTML that needs nothing beside it.
"""

from __future__ import annotations

from collections.abc import Mapping
from html import escape

from formgen.outputs.dxf.layers import depths_mm
from formgen.outputs.dxf.names import depth_text
from formgen.sheets.model import CutSheet, Sheets
from formgen.verdict import MARK

_STYLE = (
    "body{font:11pt sans-serif;margin:12mm}table{border-collapse:collapse;width:100%}"
    "td,th{border:1px solid #999;padding:2px 5px;text-align:left;vertical-align:top}th{background:#eee}"
    ".mark{font-size:14pt;border:1mm solid #000;padding:2mm}td.box{width:6mm}code{font-size:9pt}tr{break-inside:avoid}"
)


def cut_list(sheets: Sheets, names: Mapping[int, str], hashes: Mapping[int, str]) -> str:
    """The page.

    Args:
        sheets: the layout.
        names: of the files, by the sheet's number.
        hashes: SHA-256 of the files, by the sheet's number.
    """
    rows = "\n".join(_row(sheets, sheet, names[sheet.number], hashes[sheet.number]) for sheet in sheets.sheets)
    rules = sheets.rules
    boards = "; ".join(
        f"{run.board}: {run.sheets} sheets" + (f" and {run.offcuts} offcuts" if run.offcuts else "")
        for run in sheets.runs
    )
    units = "inches" if sheets.units == "in" else "mm"
    return f"""<!DOCTYPE html>
<html lang="en"><head><meta charset="utf-8"><title>Cut list</title><style>{_STYLE}</style></head><body>
<h1>Cut list</h1>
{_marks(sheets)}<p>{escape(boards)}. {len(sheets.parts)} pieces; {100 * sheets.usage:.0f} % of the board becomes
pieces.</p>
<p>Cutter {rules.cutter_mm:.2f} mm ({rules.cutter_mm / 25.4:.3f} in). Files are in {units}; origin at the lower left
corner of the sheet, x along its length. Measure each sheet's thickness before cutting. This side up: labels are cut
on the upper face. Wear eye, ear and dust protection; hold small pieces down.</p>
<table><tr><th></th><th>Sheet</th><th>File</th><th>Load</th><th>Pieces</th><th>Grooves</th><th>Left over, mm</th>
<th>Check sum</th></tr>
{rows}
</table></body></html>
"""


def _marks(sheets: Sheets) -> str:
    """Forms on which nothing must be pressed, and why, above all else."""
    said = [
        f'<p class="mark"><b>{MARK}: {escape(form)}</b>. {escape(" ".join(problems))}</p>\n'
        for form, problems in sheets.problems.items()
    ]
    return "".join(said)


def _row(sheets: Sheets, sheet: CutSheet, name: str, sha256: str) -> str:
    stock = sheet.stock
    load = f"{'offcut of ' if stock.offcut else ''}{stock.board}, {stock.length_mm:.0f} × {stock.width_mm:.0f} mm"
    load += f", {stock.thickness_mm:.2f} mm thick"
    pieces = ", ".join(f"{p.part.name}{f' ({MARK})' if p.part.problems else ''}" for p in sheet.placements)
    grooves = ", ".join(depth_text(d, sheets.units) for d in depths_mm(p.part.piece for p in sheet.placements))
    left = ", ".join(f"{rest.length_mm:.0f} × {rest.width_mm:.0f}" for rest in sheet.rests)
    cells = (str(sheet.number), name, load, pieces, f"{grooves} deep" if grooves else "none", left or "nothing to keep")
    told = "".join(f"<td>{escape(cell)}</td>" for cell in cells)
    return f'<tr><td class="box"></td>{told}<td><code>{sha256[:12]}</code></td></tr>'
