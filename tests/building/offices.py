"""Opening schedules as an office keeps them: title rows, other words, merged cells, sums, notes, further sheets."""

from __future__ import annotations

import csv
import io
import random
from collections.abc import Sequence
from pathlib import Path

from openpyxl import Workbook

#: Fourteen openings of an invented library: mark, quantity, arch, span, rise, depth (mm), where.
OPENINGS: tuple[tuple[str, int, str, float, float | None, float, str], ...] = (
    ("W-01", 2, "segmental", 915, 152, 110, "Reading room"),
    ("W-02", 1, "segmental", 915, 152, 110, "Reading room"),
    ("W-03", 1, "segmental", 1070, 180, 110, "Reading room"),
    ("W-04", 1, "segmental", 1200, 200, 110, "Lobby"),
    ("W-05", 3, "segmental", 1220, 200, 110, "Lobby"),
    ("D-01", 1, "semicircle", 900, None, 140, "Porch"),
    ("D-02", 1, "semicircle", 900, None, 140, "Strong room"),
    ("W-11", 1, "ellipse", 1100, 350, 140, "Stair"),
    ("W-12", 1, "three-centred", 1200, 400, 140, "Stair"),
    ("W-13", 2, "segmental", 900, 140, 140, "Stair"),
    ("W-14", 1, "segmental", 900, 140, 140, "Stack room"),
    ("W-15", 1, "segmental", 910, 140, 140, "Stack room"),
    ("W-16", 1, "segmental", 920, 140, 140, "Stack room"),
    ("W-17", 1, "segmental", 1830, 300, 140, "Hall"),
)


def office_workbook(path: Path) -> Path:
    """A workbook of these openings as an office makes it, with nothing tidied for a program.

    Title rows (one merged), a line on units, a header of two rows with merged cells, groups with headings, a wall
    merged down three rows, feet and inches in one row, a total by formula, notes, and two further sheets.
    """
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Arched openings"
    sheet["A1"] = "Marrow Lane Library: schedule of arched openings"
    sheet.merge_cells("A1:H1")
    sheet["A2"], sheet["H2"] = "Drawing ML-104, rev B", "Sheet 1 of 1"
    sheet["A3"] = "All dimensions in mm unless noted"
    sheet["A5"], sheet["D5"] = "Ref.", "Opening size"
    for place, word in {"B5": "No.", "C5": "Shape", "F5": "Wall", "G5": "Location", "H5": "Finish"}.items():
        sheet[place] = word
    sheet["D6"], sheet["E6"] = "W", "H"
    sheet.merge_cells("D5:E5")
    for letter in "ABCFGH":
        sheet.merge_cells(f"{letter}5:{letter}6")
    sheet.append(["Ground floor"])
    for i, (mark, count, arch, span, rise, depth, where) in enumerate(OPENINGS):
        if i == 7:
            sheet.append(["First floor"])
        high = span / 2 if mark == "D-01" else rise
        row: list[object] = [mark, count, arch.capitalize(), span, high, depth, where, "oil"]
        if mark == "W-03":
            row[3], row[4] = "3'-6 1/8\"", '7 3/32"'
        sheet.append(row)
    sheet["F9"] = sheet["F10"] = None
    sheet.merge_cells("F8:F10")
    last = sheet.max_row
    sheet.append(["Total", f"=SUM(B8:B{last})"])
    sheet.append([])
    for note in (["Notes:"], ["1", "All sizes to be checked on site"], ["2. Linings by others"]):
        sheet.append(note)
    book.create_sheet("Finishes").append(["Code", "Finish"])
    rooms = book.create_sheet("Rooms")
    rooms.append(["Room", "Floor"])
    rooms.append(["Hall", "Ground"])
    book.save(path)
    return path


_WORDS = {
    "mark": ("Mark", "Ref", "REF.", "Opening", "Opening no.", "Tag"),
    "quantity": ("Qty", "No.", "No. off", "Quantity", "NR"),
    "arch": ("Arch", "Shape", "Type", "ARCH TYPE", "Head"),
    "span": ("Span", "W", "Width", "Clear width", "WIDTH"),
    "rise": ("Rise", "H", "Height", "Arch height", "RISE"),
    "depth": ("Depth", "Wall", "Wall thickness", "D", "Reveal"),
    "remarks": ("Remarks", "Notes", "Location", "Room", "Comments"),
}
_LENGTHS = ("span", "rise", "depth")
_FACTOR = {"mm": 1.0, "cm": 10.0, "in": 25.4}


def shuffled(seed: int) -> tuple[list[list[object]], str]:
    """The same openings with headers, their order and units by chance, title rows and notes around; and how."""
    r = random.Random(f"office {seed}")  # noqa: S311 -- the same schedules on every run
    order = list(_WORDS)
    r.shuffle(order)
    words = {key: r.choice(_WORDS[key]) for key in order}
    where = r.choice(("header", "cell", "row", "line"))
    unit = r.choice(("mm", "cm", "in")) if where != "line" else r.choice(("mm", "in"))
    rows: list[list[object]] = [[f"Schedule {seed}, Marrow Lane"], []][: r.randint(0, 2)]
    if where == "line":
        rows.append([{"mm": "All dimensions in mm", "in": "Sizes are in inches"}[unit]])
    template = r.choice(("{} ({})", "{}, {}", "{} {}", "{} [{}]"))
    header = [template.format(words[k], unit) if k in _LENGTHS and where == "header" else words[k] for k in order]
    rows.append([str(name).upper() if r.random() < 0.2 else name for name in header])
    if where == "row":
        rows.append([f"({unit})" if key in _LENGTHS else None for key in order])
    for mark, count, arch, span, rise, depth, room in OPENINGS:
        sizes = {"span": span, "rise": rise, "depth": depth}
        held: dict[str, object] = {
            "mark": mark,
            "quantity": count,
            "arch": r.choice((arch, arch.upper())),
            "remarks": room,
        }
        for key, mm in sizes.items():
            number = None if mm is None else round(mm / _FACTOR[unit], 6)
            held[key] = f"{number} {unit}" if number is not None and where == "cell" else number
        rows.append([held[key] for key in order])
    total: dict[str, object] = {"mark": "Total", "quantity": sum(opening[1] for opening in OPENINGS)}
    rows += [[total.get(key) for key in order], [], ["Notes:"], ["Check all sizes on site"]][: r.choice((0, 1, 4))]
    return rows, f"{where} {unit} {header}"


def as_workbook(path: Path, rows: Sequence[Sequence[object]]) -> Path:
    """Rows as the one sheet of a workbook."""
    book = Workbook()
    for row in rows:
        book.worksheets[0].append(list(row))
    book.save(path)
    return path


def as_csv(path: Path, rows: Sequence[Sequence[object]], separator: str) -> Path:
    """Rows as a spreadsheet saves them: every row as wide as the widest."""
    wide = max(map(len, rows))
    out = io.StringIO(newline="")
    csv.writer(out, delimiter=separator).writerows([*row, *[None] * (wide - len(row))] for row in rows)
    path.write_text(out.getvalue(), encoding="utf-8")
    return path
