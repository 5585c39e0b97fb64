"""Stage `outputs`: the folder of the sheets: written whole, read again, and held against the forms at any later time.

In: `Sheets`, or a folder and the forms that it was made from. Out: `sheets/` in the folder for results, or one line for
each difference. A later check makes the layout again from the forms and the places in the record, holds it against the
rules, and every file against it. The drawings are in the router's units; origin at the sheet's lower left corner, x
along its length; every drawing layer holds one purpose, as in the layers' files.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from formgen.errors import ExportError, SheetError, VerifyError
from formgen.form.model import Form
from formgen.geometry.outline import Outline
from formgen.holding.do_not_press import noted
from formgen.lengths import write_fine, write_sizes
from formgen.outputs.dxf.check import check_drawing
from formgen.outputs.dxf.layers import IN_WORDS, LayerNames, colours, depths_mm, draw_piece, layer_names, write_notes
from formgen.outputs.dxf.pen import drawing
from formgen.outputs.dxf.shapes import notes_drawing, piece_drawing, shape
from formgen.outputs.folder.exclusive import read_plain
from formgen.outputs.folder.verify import foreign, holds_the_same
from formgen.outputs.folder.whole import whole_folder
from formgen.outputs.record.check import as_read, file_lines, keys_differ, table_differences, version_lines
from formgen.outputs.record.job import fingerprint_plain, write_job
from formgen.outputs.record.reader import RecordError, read_record
from formgen.outputs.sheets.map import FORMAT, map_record, map_table, sheets_from_record
from formgen.outputs.sheets.names import MAP_FILE, RECORD_FILE, SHEETS_FOLDER, TABLE_FILE, all_sheet_files, sheet_file
from formgen.outputs.sheets.places import numbers_on
from formgen.outputs.sheets.wall import sheets_svg
from formgen.quoted import escaped
from formgen.sheets.gate import check_layout
from formgen.sheets.model import CutSheet, Sheets

#: A sheet is at most so many letters' heights long: its notes can be read where all of it is on the screen.
SHEET_LETTERS = 100.0


def write_sheet(sheets: Sheets, sheet: CutSheet, path: Path) -> None:
    """Write the drawing of one sheet.

    Raises:
        ExportError: two purposes would get one drawing layer.
    """
    router = sheets.router
    names = _names(sheets, sheet)
    with drawing(path, router.dxf_version, sheets.units, colours(names)) as pen:
        pen.closed(_edge(sheet), names.sheet_notes)
        for placement in sheet.placements:
            draw_piece(pen, placement.piece, names)
        height_mm = max(router.label_height_mm, sheet.stock.length_mm / SHEET_LETTERS)
        write_notes(pen, sheet_texts(sheets, sheet), (0.0, 0.0), height_mm, names.sheet_notes)
        for number in numbers_on(sheet, height_mm):
            pen.note(number.text, number.at, number.height_mm, names.sheet_notes)


def _check_sheet(path: Path, sheets: Sheets, sheet: CutSheet) -> Iterator[str]:
    """Differences of the drawing of one sheet."""
    names = _names(sheets, sheet)
    edge = shape(_edge(sheet), names.sheet_notes, "edge of the sheet")
    pieces = [d for p in sheet.placements for d in piece_drawing(p.piece, names)]
    numbers = [str(i) for i in range(1, len(sheet.placements) + 1)]
    notes = notes_drawing((*sheet_texts(sheets, sheet), *numbers), names.sheet_notes)
    return check_drawing(path, [edge, *pieces, *notes], sheets.router, sheets.units, names=names)


def sheet_texts(sheets: Sheets, sheet: CutSheet) -> tuple[str, ...]:
    """List what is written below a sheet; not cut."""
    stock, units = sheet.stock, sheets.units
    board = f"{'offcut of ' if stock.offcut else ''}{stock.board}"
    size = write_sizes((stock.length_mm, stock.width_mm), units).replace("×", "x")
    return (
        f"sheet {sheet.number} of {len(sheets.sheets)}: {board}, {size}",
        f"as measured {write_fine(stock.thickness_mm, units)} thick",
        f"drawing units: {IN_WORDS[units]}; cutter {write_fine(sheets.rules.cutter_mm, units)}",
        "origin: lower left corner; this side up: labels, grooves",
        "numbers on the pieces are those of this list, not cut; engraved labels are upright on the form",
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


def write_sheets(sheets: Sheets, output: Path) -> Path:
    """Write the files of a layout, read them again, and put them in place.

    Args:
        sheets: the layout.
        output: folder for results; the sheets get `output/sheets`.

    Returns:
        That folder.

    Raises:
        SheetError: pieces are left for which there is no stock.
        ExportError: the folder cannot be written, or holds what formgen did not write.
        VerifyError: the layout breaks its rules, or what was written is not what it says.
    """
    refuse_unplaced(sheets)
    with whole_folder(output, SHEETS_FOLDER, RECORD_FILE) as folder:
        for sheet in sheets.sheets:
            write_sheet(sheets, sheet, folder / sheet_file(sheets, sheet))
        (folder / TABLE_FILE).write_bytes(map_table(sheets))
        (folder / MAP_FILE).write_text(sheets_svg(sheets), encoding="utf-8", newline="\n")
        write_job(map_record(sheets), all_sheet_files(sheets), folder / RECORD_FILE)
        found = [*check_layout(sheets), *_contents(folder, sheets)]
        if found:
            raise VerifyError(*found)
    return output / SHEETS_FOLDER


def refuse_unplaced(sheets: Sheets) -> None:
    """Refuse a layout that leaves pieces out.

    Raises:
        SheetError: pieces are left for which there is no stock.
    """
    if sheets.unplaced:
        names = ", ".join(part.name for part in sheets.unplaced[:8])
        raise SheetError(
            f"no stock left for {len(sheets.unplaced)} pieces ({names}), expected sheets for all: give the shop file "
            "more, or build fewer forms at once"
        )


def read_sheet_record(folder: Path) -> dict[str, Any]:
    """The record of a folder of sheets.

    Raises:
        ExportError: there is none that can be read.
    """
    try:
        record = read_record(folder / RECORD_FILE)
    except (OSError, RecordError) as err:
        raise ExportError(f"{folder.name}: no {RECORD_FILE} of formgen that can be read: lay out the sheets") from err
    if not all(isinstance(record.get(section), dict) for section in ("asked", "found", "files", "versions")):
        raise ExportError(f"{folder.name}: {RECORD_FILE} is no record of sheets: lay out the sheets again")
    if record.get("format") != FORMAT:
        raise ExportError(
            f"{folder.name}: {RECORD_FILE} is of another format, expected {FORMAT}: made by an earlier formgen: "
            "lay out the sheets again"
        )
    return record


def verify_sheets(folder: Path, forms: Sequence[Form]) -> list[str]:
    """Differences between the files in a folder of sheets and what the forms say.

    Args:
        folder: holds `sheet-map.json` and what it names.
        forms: the models, just made or made again from their records.
    """
    try:
        record = read_sheet_record(folder)
        sheets = sheets_from_record(record, forms)
    except (ExportError, SheetError) as err:
        return [str(err)]
    lines = [*check_layout(sheets), *_record(record, sheets)]
    found = [*(f"{RECORD_FILE}: {line}" for line in lines), *_bytes(folder, record["files"], sheets)]
    found += _contents(folder, sheets)
    return found or list(_made_again(folder, sheets))


def _record(record: dict[str, Any], sheets: Sheets) -> Iterator[str]:
    """Differences of the record without its files' bytes."""
    true = as_read(map_record(sheets))
    yield from keys_differ("", {*true, "files"}, record.keys())
    for section in ("format", "name", "asked", "found"):
        yield from table_differences(section, true[section], record.get(section))
    offcuts = sum(sheet.stock.offcut for sheet in sheets.sheets)
    counted = sum(run.sheets for run in sheets.runs), sum(run.offcuts for run in sheets.runs)
    if counted != (len(sheets.sheets) - offcuts, offcuts):
        yield "found.runs counts other sheets than there are: lay out the sheets again"
    yield from version_lines(record["versions"], set(true["versions"]))
    yield from file_lines(record["files"])


def _bytes(folder: Path, listed: dict[str, Any], sheets: Sheets) -> Iterator[str]:
    """Files that are missing, changed or there beside."""
    wanted = all_sheet_files(sheets)
    yield from (
        f"{escaped(name)}: is in {RECORD_FILE}, but not of this layout" for name in listed if name not in wanted
    )
    for name in wanted:
        path = folder / name
        if path.is_symlink() or not path.is_file():
            yield f"{name}: is missing: lay out the sheets again"
        elif fingerprint_plain(path) != listed.get(name):
            yield f"{name}: was changed after it was written: lay out the sheets again"
    yield from foreign(folder, {*wanted, RECORD_FILE})


def _made_again(folder: Path, sheets: Sheets) -> Iterator[str]:
    """Drawings that are not, tag by tag, what these versions write: nothing is handed over that was not compared."""
    with TemporaryDirectory() as made:
        for sheet in sheets.sheets:
            name = sheet_file(sheets, sheet)
            write_sheet(sheets, sheet, Path(made) / name)
            if not holds_the_same(name, read_plain(folder / name), (Path(made) / name).read_bytes()):
                yield f"{name}: is not what this formgen writes of the layout: lay out the sheets again"


def _contents(folder: Path, sheets: Sheets) -> Iterator[str]:
    """Differences of what the files hold."""
    for sheet in sheets.sheets:
        name = sheet_file(sheets, sheet)
        if (folder / name).is_file():
            yield from (f"{name}: {line}" for line in _check_sheet(folder / name, sheets, sheet))
    for name, content in ((TABLE_FILE, map_table(sheets)), (MAP_FILE, sheets_svg(sheets).encode("utf-8"))):
        if (folder / name).is_file() and (folder / name).read_bytes() != content:
            yield f"{name}: is not what the layout says: lay out the sheets again"
