"""Workbooks: how large they may be, what counts as something on a sheet, and what is damaged."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from openpyxl import Workbook
from openpyxl.styles import Font

from formgen.building.schedule.file import read_table
from formgen.building.schedule.table import Table
from formgen.errors import RecipeError
from tests.pace import allowed_s
from tests.robustness.workbooks import book, cell, repacked, sheet

#: Issue 12: what a schedule of 5,000 rows and 12 columns may take, and what a refusal may.
READ_S, REFUSED_S, MOST_MB = 3.0, 2.0, 200.0
HEADER = (
    "opening", "quantity", "arch", "span", "rise", "depth", "legs", "measured on", "remarks", "laminate.plies",
    "press.side", "part.tolerance",
)  # fmt: skip


def written(tmp_path: Path, raw: bytes) -> Path:
    path = tmp_path / "a.xlsx"
    path.write_bytes(raw)
    return path


def refused(tmp_path: Path, raw: bytes) -> str:
    """What is said of a workbook, in time and in one line."""
    path = written(tmp_path, raw)
    begin = time.process_time()
    with pytest.raises(RecipeError) as caught:
        read_table(path)
    assert time.process_time() - begin < allowed_s(REFUSED_S)
    assert str(caught.value).isprintable()
    return str(caught.value)


@pytest.mark.parametrize("where", ["Z1048576", "XFD1048576", "B20001", "GS1"])
@pytest.mark.parametrize("state", ["visible", "hidden", "veryHidden"])
@pytest.mark.parametrize("on", ["the schedule", "a second sheet"])
def test_a_cell_far_away_counts_only_where_it_holds_something(tmp_path: Path, where: str, state: str, on: str) -> None:
    """A format without a value is ordinary in offices; a value there makes the sheet larger than any schedule."""
    made = Workbook()
    made.worksheets[0].append(["opening", "span"])
    made.worksheets[0].append(["W-1", 700])
    held = made.worksheets[0] if on == "the schedule" else made.create_sheet("second")
    if on == "a second sheet":
        held.sheet_state = state
    held[where].font = Font(bold=True)
    path = tmp_path / "a.xlsx"
    made.save(path)
    begin = time.process_time()
    assert [row.cells for row in read_table(path).rows] == [("W-1", 700)]
    assert time.process_time() - begin < allowed_s(REFUSED_S)
    held[where].value = 1
    made.save(path)
    assert f"something in cell {where} of sheet" in refused(tmp_path, path.read_bytes())


def test_a_sheet_sparser_than_a_schedule_is_refused(tmp_path: Path) -> None:
    assert "something in cell GR2000" in refused(tmp_path, book(sheet(cell("A1", "opening"), cell("GR2000", "far"))))


def test_a_million_rows_are_refused_at_once(tmp_path: Path) -> None:
    rows = "".join(f'<row r="{i}"><c r="A{i}"><v>1</v></c></row>' for i in range(1, 300_001))
    assert "something in cell A20001" in refused(tmp_path, book(rows))
    empty = "<row/>" * 1_000_000
    assert "holds more rows, cells and formats than any opening schedule" in refused(tmp_path, book(empty))
    cells = "<row>" + "<c/>" * 1_000_000 + "</row>"
    assert "holds more rows, cells and formats than any opening schedule" in refused(tmp_path, book(cells))


@pytest.mark.parametrize("part", ["xl/styles.xml", "xl/sharedStrings.xml", "xl/workbook.xml", "_rels/.rels"])
def test_a_million_of_anything_else_is_refused_at_once(tmp_path: Path, part: str) -> None:
    def filled(name: str, raw: bytes) -> bytes:
        return raw[: raw.rindex(b"</")] + b"<xf/>" * 1_000_000 + raw[raw.rindex(b"</") :] if name == part else raw

    assert "holds more rows, cells and formats" in refused(tmp_path, repacked(book(), filled))


def test_a_bomb_is_refused_at_once(tmp_path: Path) -> None:
    big = repacked(book(), more={"xl/media/a.bin": bytes(60_000_000)})
    assert "unpacks to more than 50 MB" in refused(tmp_path, big)
    entities = b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b "' + b"x" * 9000 + b'">]><a>' + b"&b;" * 9000 + b"</a>"
    assert "is not a workbook" in refused(tmp_path, repacked(book(), more={"xl/b.xml": entities}))


_READ = """
import sys, time
from pathlib import Path
from formgen.building.schedule.file import read_table
begin = time.process_time()
rows = len(read_table(Path(sys.argv[1])).rows)
spent = time.process_time() - begin
peak_kb = next(line.split()[1] for line in open("/proc/self/status") if line.startswith("VmHWM"))
print(rows, spent, int(peak_kb) / 1024)
"""


@pytest.mark.skipif(sys.platform != "linux", reason="the peak of memory is told elsewhere")
def test_five_thousand_rows_of_twelve_columns(tmp_path: Path) -> None:
    made = Workbook(write_only=True)
    page = made.create_sheet()
    page.append(HEADER)
    for i in range(4999):
        page.append([f"W-{i}", 1, "segmental", 900.5, 180, "4 9/16", 80, "inside", f"Hall {i}", 6, "male", 0.8])
    made.save(tmp_path / "a.xlsx")
    told = subprocess.run(
        [sys.executable, "-c", _READ, str(tmp_path / "a.xlsx")],
        capture_output=True, text=True, check=True, env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])},
    ).stdout.split()  # fmt: skip
    assert int(told[0]) == 4999
    assert float(told[1]) < allowed_s(READ_S)
    assert float(told[2]) < MOST_MB


def _text(table: Table) -> list[object]:
    return [row.cells for row in table.rows]


def test_what_spreadsheets_write_is_read(tmp_path: Path) -> None:
    """Shared texts, texts in the cell, cells without a place, numbers as text: as other programs than ours write."""
    cells = '<row><c t="inlineStr"><is><t>opening</t></is></c><c t="s"><v>1</v></c></row><row/>'
    cells += (
        '<row r="4"><c r="A4" t="str"><f>1+1</f><v>W-2</v></c><c r="B4" s="0"><v>7e2</v></c><c r="D4" s="1"/></row>'
    )
    table = read_table(written(tmp_path, book(cells)))
    assert table.header == ("opening", "span")
    assert [(row.number, row.cells) for row in table.rows] == [(4, ("W-2", 700))]


DAMAGED: dict[str, Callable[[], bytes]] = {
    "a format that is not defined": lambda: book(
        sheet(cell("A1", "opening"), cell("B1", "span"), '<c r="A2" s="2"><v>1</v></c>')
    ),
    "rows out of order": lambda: book('<row r="2"/><row r="1"><c r="A1"><v>1</v></c></row>'),
    "a row twice": lambda: book('<row r="1"/><row r="1"><c r="A1"><v>1</v></c></row>'),
    "cells out of order": lambda: book('<row r="1"><c r="B1"><v>1</v></c><c r="A1"><v>1</v></c></row>'),
    "a cell in another row": lambda: book('<row r="1"><c r="A7"><v>1</v></c></row>'),
    "a text past the last": lambda: book('<row><c t="s"><v>9</v></c></row>'),
    "a text below 0": lambda: book('<row><c t="s"><v>-2</v></c></row>'),
    "a flag that is none": lambda: book('<row><c t="b"><v>maybe</v></c></row>'),
    "a date that is none": lambda: book('<row><c t="d"><v>soon</v></c></row>'),
    "a number that is none": lambda: book("<row><c><v>three</v></c></row>"),
    "two sheets of one title": lambda: repacked(
        book(), lambda _, raw: raw.replace(b"</sheets>", b'<sheet name="one" sheetId="2" r:id="rId1"/></sheets>')
    ),
    "a part twice": lambda: repacked(book(), more={"xl/styles.xml": b"<styleSheet/>"}),
}


@pytest.mark.filterwarnings("ignore:Duplicate name")
@pytest.mark.parametrize("name", DAMAGED)
def test_damage_is_refused(tmp_path: Path, name: str) -> None:
    assert "is not a workbook that can be read" in refused(tmp_path, DAMAGED[name]())


def test_a_damaged_stream_is_refused(tmp_path: Path) -> None:
    """The packed bytes of one part after another, each turned over: zlib says so, or the checksum does."""
    raw = book()
    read_table(written(tmp_path, raw))
    starts = [found.start() for found in re.finditer(b"PK\x03\x04", raw)]
    assert len(starts) > 5
    for start in starts:
        length = int.from_bytes(raw[start + 26 : start + 28], "little")
        at = start + 30 + length + 4
        broken = raw[:at] + bytes(255 - byte for byte in raw[at : at + 6]) + raw[at + 6 :]
        assert "is not a workbook that can be read" in refused(tmp_path, broken)
