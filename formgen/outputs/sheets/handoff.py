"""Stage `outputs`: sheet files handed to the router: verified, copied whole, hashed, never over a different file.

In: a folder of sheets, the forms that it was made from, and the folder to copy to (a stick, a share, a watched folder).
Out: files named so that they sort in cutting order and tell the operator what to load, and a cut list.
"""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Mapping, Sequence
from pathlib import Path

from formgen.errors import ExportError, VerifyError
from formgen.fixed import fixed
from formgen.form.model import Form
from formgen.lengths import Units
from formgen.outputs.dxf.pen import MM_PER_INCH
from formgen.outputs.folder.exclusive import put_in_place, read_plain, sweep_parts
from formgen.outputs.folder.names import JOB_FILE
from formgen.outputs.folder.whole import plain_errors
from formgen.outputs.sheets.cut_list import cut_list
from formgen.outputs.sheets.folder import read_sheet_record, verify_sheets
from formgen.outputs.sheets.map import sheets_from_record
from formgen.outputs.sheets.names import RECORD_FILE, SHEETS_FOLDER, sheet_file
from formgen.quoted import escaped
from formgen.sheets.model import CutSheet, Sheets

CUT_LIST_FILE = "cut-list.html"
#: Files of a hand-over, of this layout or of another.
_OURS = re.compile(r"\d{2,}-of-\d+_.+\.dxf")


@fixed
class Sent:
    """The result of a hand-over.

    Args:
        copied: names of the files that were written.
        stood: names of those that were there already with the same bytes.
        others: sheet files in the folder that belong to another hand-over; left as they are, but somebody must know.
    """

    copied: tuple[str, ...]
    stood: tuple[str, ...]
    others: tuple[str, ...]


def sheets_folder(folder: Path) -> Path:
    """The folder of sheets: the one named, or `sheets` in it.

    Raises:
        ExportError: neither has a sheet map.
    """
    for at in (folder, folder / SHEETS_FOLDER):
        if (at / RECORD_FILE).is_file():
            return at
    raise ExportError(f"{folder.name}: holds no {RECORD_FILE}, expected a folder of sheets: lay out the sheets first")


def forms_needed(folder: Path) -> tuple[str, ...]:
    """Names of the forms whose pieces are on the sheets of a folder.

    Raises:
        ExportError: its record cannot be read, or names no folders beside it.
    """
    forms = read_sheet_record(sheets_folder(folder))["asked"].get("forms")
    if not isinstance(forms, dict) or any(not name or Path(name).name != name for name in forms):
        raise ExportError(f"{folder.name}: {RECORD_FILE} names no forms beside it: lay out the sheets again")
    return tuple(forms)


def router_name(sheets: Sheets, sheet: CutSheet) -> str:
    """The file's name for the operator: `03-of-17_mdf-18_2440x1220mm.dxf`, `03-of-17_mdf-3-4_97x48.5in.dxf`.

    Offcuts say that they are.
    """
    digits = max(2, len(str(len(sheets.sheets))))
    stock = sheet.stock
    board = re.sub(r"[^A-Za-z0-9.]+", "-", stock.board).strip("-.") or "board"
    size = "x".join(_side(side, sheets.units) for side in (stock.length_mm, stock.width_mm)) + sheets.units
    kind = f"offcut-{size}" if stock.offcut else size
    return f"{sheet.number:0{digits}d}-of-{len(sheets.sheets):0{digits}d}_{board}_{kind}.dxf"


def _side(side_mm: float, units: Units) -> str:
    return f"{side_mm / MM_PER_INCH:.2f}".rstrip("0").rstrip(".") if units == "in" else f"{side_mm:.0f}"


def send(folder: Path, to: Path, forms: Sequence[Form], *, replace: bool = False) -> Sent:
    """Copy the sheet files and a cut list to the router's folder.

    Args:
        folder: of the sheets, or the folder for results with `sheets` in it.
        to: where to; made if it is not there.
        forms: the models, made again from their records.
        replace: put new files in the place of others that have the same names; without it they are refused. A link is
            refused either way.

    Raises:
        VerifyError: the sheets are not what the forms say; nothing is copied.
        ExportError: the folder is one of results; a file of that name with other content is there and `replace` is off
            (nothing is copied), or a file cannot be written, or does not read back as it was written.
    """
    source = sheets_folder(folder)
    found = verify_sheets(source, forms)
    if found:
        raise VerifyError(*found)
    sheets = sheets_from_record(read_sheet_record(source), forms)
    contents = _contents(source, sheets)
    _refuse_own(source, to)
    with plain_errors(to):
        to.mkdir(parents=True, exist_ok=True)
        sweep_parts(to)
        there = [name for name in contents if os.path.lexists(to / name)]
        stood = tuple(name for name in there if read_plain(to / name) == contents[name])
        differ = [name for name in there if name not in stood]
        if differ and not replace:
            raise ExportError(
                f"{to.name}: holds {differ[0]} with other content"
                + (f", and {len(differ) - 1} more" if len(differ) > 1 else "")
                + ", expected no file of that name or the same one; move it away, or say that it may be replaced"
            )
        copied = tuple(name for name in contents if name not in stood)
        for name in copied:
            _copy(contents[name], to / name)
        others = sorted(p.name for p in to.iterdir() if _OURS.fullmatch(p.name) and p.name not in contents)
    return Sent(copied=copied, stood=stood, others=tuple(others))


def _refuse_own(source: Path, to: Path) -> None:
    """Refuse a folder of results: what is laid there would stand in the way of the next build, layout or hand-over."""
    place, results = to.resolve(), source.parent.resolve()
    own = {results, source.resolve(), *(path.parent.resolve() for path in results.glob(f"*/{JOB_FILE}"))}
    if place in own or any(folder in own - {results} for folder in place.parents):
        raise ExportError(f"{escaped(to)}: is a folder of results, expected the router's: name another folder")
    for record in (JOB_FILE, RECORD_FILE):
        if os.path.lexists(place / record):
            raise ExportError(f"{escaped(to)}: holds a {record} of formgen, expected the router's: name another folder")


def _contents(source: Path, sheets: Sheets) -> Mapping[str, bytes]:
    """Return what is handed over, in cutting order, by its name there."""
    files = {router_name(sheets, sheet): read_plain(source / sheet_file(sheets, sheet)) for sheet in sheets.sheets}
    return {**files, CUT_LIST_FILE: cut_list(sheets, files)}


def _copy(content: bytes, target: Path) -> None:
    """Write a file beside its place, read it back, put it in place, and read it again."""
    wanted = hashlib.sha256(content).hexdigest()

    def refuse_changed(read: bytes) -> None:
        held = hashlib.sha256(read).hexdigest()
        if held != wanted:
            raise ExportError(
                f"{target.name}: reads back with SHA-256 {held[:12]}…, expected {wanted[:12]}…: the folder or its disk "
                "is at fault; send to another"
            )

    put_in_place(content, target, refuse_changed)
