"""Files: CSV as spreadsheets write it, workbooks as they come, and what is refused in them."""

from __future__ import annotations

import csv
import datetime as dt
import io
import re
import time
import zipfile
from pathlib import Path

import pytest
from openpyxl import Workbook

from formgen.building.schedule.cells import Spoiled
from formgen.building.schedule.file import read_csv, read_table
from formgen.errors import RecipeError
from tests.pace import allowed_s


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("separator", [",", ";"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_csv_of_any_make(mark: bytes, separator: str, end: str) -> None:
    out = io.StringIO()
    rows = [["Opening", "remarks"], ["A", 'says "no, not yet; later"'], ["", ""], ["B", "two\nlines – ½"]]
    csv.writer(out, delimiter=separator, lineterminator=end).writerows(rows)
    table = read_csv("a.csv", mark + out.getvalue().encode())
    assert table.header == ("Opening", "remarks")
    assert [(row.number, row.cells) for row in table.rows] == [(2, tuple(rows[1])), (4, tuple(rows[3]))]


def test_inch_marks_are_read_as_typed() -> None:
    table = read_csv("a.csv", b'opening,span\nA,5\' 11-1/2"\nB,"4\' 2"""\n')
    assert [row.cells[1] for row in table.rows] == ["5' 11-1/2\"", "4' 2\""]


@pytest.mark.parametrize(
    ("raw", "expected"),
    [
        (b"", "expected a row of column names"),
        (b"opening\tspan\nA\t3\n", "expected a row of column names"),
        (b"opening,span;rise\nA,1;2\n", ""),
        (b"opening,remarks\nA,caf\xe9\n", "line 2: expected UTF-8 text; save it as CSV UTF-8"),
        (b'opening,remarks\nA,"no end\n', "line 2: not CSV"),
        (b"opening\0,x\n", "zero bytes"),
    ],
)
def test_csv_that_is_refused(raw: bytes, expected: str) -> None:
    if not expected:  # only a comma makes a header with `opening` of it
        assert read_csv("a.csv", raw).header == ("opening", "span;rise")
        return
    with pytest.raises(RecipeError, match=f"^a.csv: .*{re.escape(expected)}"):
        read_csv("a.csv", raw)


def test_a_row_with_a_cell_too_many_is_a_mistake_of_its_own() -> None:
    table = read_csv("a.csv", b"opening,span\nA,4,5\nB,3\nC\n")
    assert [row.number for row in table.rows] == [3]
    assert [(row, "expected 2 as in row 1" in line) for row, line in table.mistakes] == [(2, True), (4, True)]


def test_a_cell_longer_than_the_library_reads_is_refused_wherever_it_stands() -> None:
    long = b"x" * 131_073
    for raw, line in ((b"opening," + long + b"\nA,1\n", 1), (b"\nopening," + long, 2), (b"opening,x\nA," + long, 2)):
        with pytest.raises(RecipeError, match=rf"^a\.csv: line {line}: not CSV \(field larger than"):
            read_csv("a.csv", raw)


@pytest.mark.parametrize(
    ("raw", "line"),
    [
        (b"opening" + b",x" * 2_000_000, "row 1: expected at most 200 columns, got 2000001"),
        (b"opening\n" + b"\n" * 4_900_000, "expected at most 20000 rows; divide it"),
        (b"opening\n" + b"," * 4_900_000, ""),
    ],
    ids=["columns", "rows", "cells"],
)
def test_a_csv_far_larger_than_a_schedule_is_refused_at_once(raw: bytes, line: str) -> None:
    begin = time.process_time()
    if line:
        with pytest.raises(RecipeError, match=f"^a.csv: {line}"):
            read_csv("a.csv", raw)
    else:
        assert read_csv("a.csv", raw).rows == ()
    assert time.process_time() - begin < allowed_s(2.0)


@pytest.mark.parametrize("bad", ["\x1b", "\x07", "\x7f", "\x9b", "\u202e", "\u2028", "\x0b", "\u200b"])
def test_control_characters_in_cells_are_a_mistake_of_their_row(tmp_path: Path, bad: str) -> None:
    """They reach neither a file nor the screen; tabs, lines and spaces of any width are text."""
    table = read_csv("a.csv", f'opening,remarks\nA,"x{bad}y"\nB,"two\r\nlines\u00a0\ta"\n'.encode())
    assert [row.cells for row in table.rows] == [("B", "two\nlines\u00a0\ta")]
    ((row, line),) = table.mistakes
    assert (row, line.isprintable(), "column remarks = " in line) == (2, True, True)
    assert "expected no control characters" in line
    with pytest.raises(RecipeError, match="expected") as caught:
        read_csv("a.csv", f"opening,re{bad}marks\n".encode() if bad != "\x0b" else b"open\x0bing,a\n")
    assert str(caught.value).isprintable()
    if bad in "\x7f\x9b\u202e\u2028\u200b":  # XML 1.0 has no others
        assert read_table(saved(tmp_path, [["opening", "remarks"], ["A", f"x{bad}y"]])).mistakes[0][0] == 2


def saved(tmp_path: Path, rows: list[list[object]]) -> Path:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for row in rows:
        sheet.append(row)
    book.save(tmp_path / "a.xlsx")
    return tmp_path / "a.xlsx"


def test_a_workbook_gives_the_same_cells(tmp_path: Path) -> None:
    path = saved(tmp_path, [["Opening", "span", "plies", "x"], [101, 48.5, 6.0, "4 9/16"], ["B", None, None, True]])
    table = read_table(path)
    assert table.rows[0].cells == (101, 48.5, 6, "4 9/16")
    assert type(table.rows[0].cells[2]) is int
    assert table.rows[1].cells == ("B", None, None, True)


def test_cells_that_a_workbook_cannot_mean(tmp_path: Path) -> None:
    """A formula never computed (openpyxl computes none), a date made of 1/2, an error; the good row stays."""
    rows: list[list[object]] = [
        ["opening", "span"], ["A", "=24*2"], ["B", dt.date(2026, 2, 1)], ["C", "#DIV/0!"], ["D", 48],
    ]  # fmt: skip
    table = read_table(saved(tmp_path, rows))
    assert table.rows[3].cells == ("D", 48)
    assert [row.cells[0] for row in table.rows] == ["A", "B", "C", "D"]
    for row, words in zip(
        table.rows,
        ("cell B2 holds a formula without", "cell B3 holds a date", "cell B4 holds the error #DIV/0!"),
        strict=False,
    ):
        cell = row.cells[1]
        assert isinstance(cell, Spoiled)
        assert words in cell.line


def test_a_formula_that_was_computed_is_its_value(tmp_path: Path) -> None:
    path = saved(tmp_path, [["opening", "span"], ["A", "=24*2"]])
    out = tmp_path / "b.xlsx"
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            text = old.read(name)
            if name == "xl/worksheets/sheet1.xml":
                assert b"<f>24*2</f><v" in text
                text = re.sub(rb"<f>24\*2</f><v ?/>|<f>24\*2</f><v></v>", b"<f>24*2</f><v>48</v>", text)
            new.writestr(name, text)
    assert read_table(out).rows[0].cells == ("A", 48)


def test_no_sheet_and_no_workbook_are_refused(tmp_path: Path) -> None:
    book = Workbook()
    for name in ("one", "two"):
        book.create_sheet(name).append(["colours", "of doors"])
    book.save(tmp_path / "two.xlsx")
    with pytest.raises(
        RecipeError, match=r'no sheet reads as a schedule, .* got "one", "two"; choose one with --sheet'
    ):
        read_table(tmp_path / "two.xlsx")
    (tmp_path / "no.xlsx").write_bytes(b"opening,span\n")
    with pytest.raises(RecipeError, match="is not a workbook"):
        read_table(tmp_path / "no.xlsx")
    with pytest.raises(RecipeError, match=r"ends in .csv or .xlsx"):
        read_table(tmp_path / "a.ods")
