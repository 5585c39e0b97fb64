"""Stage `outputs`: what the files of a layout on sheets are called, relative to their folder."""

from __future__ import annotations

from formgen.sheets.model import CutSheet, Sheets

RECORD_FILE = "sheet-map.json"
TABLE_FILE = "sheet-map.csv"
MAP_FILE = "sheet-map.svg"
#: Folder of the sheets' files in the folder for results.
SHEETS_FOLDER = "sheets"


def sheet_file(sheets: Sheets, sheet: CutSheet) -> str:
    """The router's file of one sheet: `sheet-03.dxf`; as many digits as the last one needs, two at least."""
    digits = max(2, len(str(len(sheets.sheets))))
    return f"sheet-{sheet.number:0{digits}d}.dxf"


def all_sheet_files(sheets: Sheets) -> tuple[str, ...]:
    """Every file beside the record."""
    return (*(sheet_file(sheets, sheet) for sheet in sheets.sheets), TABLE_FILE, MAP_FILE)
