"""Stage `outputs`: the cut list beside the router: a card for each sheet, two of them on a printed page.

In: `Sheets` and the files of the sheets in cutting order. Out: one page of HTML with a picture of each sheet, what to
load, what to tick and to measure, its pieces by form, and the file's check sum. All sizes are in the router's units.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator, Mapping
from typing import Any

from formgen.lengths import Units, write_fine, write_sizes
from formgen.outputs.dxf.layers import IN_WORDS, depths_mm
from formgen.outputs.html.page import page
from formgen.outputs.sheets.hatches import hatches_of, sample
from formgen.outputs.sheets.picture import grouped, rest_text, sheet_picture
from formgen.sheets.model import CutSheet, Run, Sheets
from formgen.verdict import MARK

#: Width of a sheet's picture, and sizes of a sample of a hatch, in print (mm).
PICTURE, SAMPLE = 126.0, (6.0, 3.0)


def cut_list(sheets: Sheets, files: Mapping[str, bytes]) -> bytes:
    """The page.

    Args:
        sheets: the layout.
        files: the sheets' files in cutting order, by name.
    """
    hatches = hatches_of(sheets)
    boards = "; ".join(_counted(run) for run in sheets.runs)
    cutter = write_fine(sheets.rules.cutter_mm, sheets.units)
    return page(
        "outputs/sheets/cut_list.html",
        "Cut list",
        {_card_id(sheet): f"{sheet.number}" for sheet in sheets.sheets},
        running=f"Cut list. {boards}. Cutter {cutter}.",
        mark=MARK,
        problems=sheets.problems,
        boards=boards,
        pieces=len(sheets.parts),
        cutter=cutter,
        units=sheets.units,
        in_words=IN_WORDS[sheets.units],
        cards=[_card(sheets, sheet, hatches, *file) for sheet, file in zip(sheets.sheets, files.items(), strict=True)],
    )


def _counted(run: Run) -> str:
    """`mdf-18: 12 sheets and 1 offcut`."""
    counts = ((run.sheets, "sheet"), (run.offcuts, "offcut"))
    return f"{run.board}: " + " and ".join(f"{n} {what if n == 1 else f'{what}s'}" for n, what in counts if n)


def _card(sheets: Sheets, sheet: CutSheet, hatches: Mapping[str, int], name: str, content: bytes) -> dict[str, Any]:
    """The card of one sheet, as its template takes it."""
    return {
        "id": _card_id(sheet),
        "number": sheet.number,
        "count": f"{sheet.number} of {len(sheets.sheets)}",
        "picture": sheet_picture(sheet, sheets, PICTURE, hatches),
        "file": re.findall("[^_]+_?", name),
        "facts": tuple(_facts(sheet, sheets.units)),
        "grooves": _grooves(sheet, sheets.units),
        "keep": [rest_text(rest, sheets.units) for rest in sheet.rests],
        "kept": sample(None, *SAMPLE),
        "units": sheets.units,
        "marked": [form for form, pieces in grouped(sheet).items() if pieces[0][1].part.problems],
        "forms": [
            (sample(hatches[form], *SAMPLE), form, [(number, p.part.piece.name) for number, p in pieces])
            for form, pieces in grouped(sheet).items()
        ],
        "sum": hashlib.sha256(content).hexdigest()[:12],
    }


def _card_id(sheet: CutSheet) -> str:
    return f"sheet-{sheet.number}"


def _facts(sheet: CutSheet, units: Units) -> Iterator[tuple[str, str]]:
    """The board to load: its name, size and thickness, each with its word."""
    stock = sheet.stock
    yield "board", f"{'offcut of ' if stock.offcut else ''}{stock.board}"
    yield "size", write_sizes((stock.length_mm, stock.width_mm), units)
    yield "thickness", write_fine(stock.thickness_mm, units)


def _grooves(sheet: CutSheet, units: Units) -> str:
    depths = [write_fine(depth, units) for depth in depths_mm(p.part.piece for p in sheet.placements)]
    return f"{', '.join(depths)} deep" if depths else "none"
