"""Opening schedules that no estimator writes: refused by row and column, without a traceback, without a file."""

from __future__ import annotations

import io
import random
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import Workbook

from tests.robustness.asking import ask, flow, written
from tests.robustness.hostile import NAMES, NUMBERS, encodings
from tests.robustness.recipes_to_try import SCHEDULE, SHOP, SOUND

Tried = Callable[[str], None]
HEADER = "opening,quantity,arch,span,rise,depth,remarks,laminate.plies"
GOOD_ROW = ["W-1", "1", "semicircle", "700", "", "60", "north", "6"]


@pytest.fixture
def sound(tmp_path: Path) -> Path:
    """A folder with a sound base recipe and shop file."""
    written(tmp_path, flow(SHOP), "shop.yaml")
    written(tmp_path, flow(SOUND), "base.yaml")
    return tmp_path


def refused(folder: Path, content: str | bytes, name: str = "openings.csv") -> str:
    """Refused in lines, and no file appears; what was said. A bad last row keeps good ones from being built."""
    schedule = written(folder, content, name)
    answer = ask("batch", schedule, "--base", folder / "base.yaml", "--output", folder / "output")
    assert answer.code == 1, answer.err
    assert not (folder / "output").exists()
    return answer.err


@pytest.mark.parametrize("kind", NUMBERS)
def test_cells(sound: Path, tried: Tried, kind: str) -> None:
    chosen = random.Random(kind)  # noqa: S311 -- the same inputs on every run
    for value in NUMBERS[kind]:
        row = list(GOOD_ROW)
        row[chosen.choice([1, 2, 3, 4, 5, 7])] = '"' + value.replace('"', '""') + '"'
        refused(sound, f"{HEADER}\n{','.join(row)}\nlast,x,x,x,x,x,x,x\n")
        tried(f"schedules: {kind}")


@pytest.mark.parametrize("name", NAMES, ids=ascii)
def test_marks(sound: Path, tried: Tried, name: str) -> None:
    cell = '"' + name.replace('"', '""') + '"'
    refused(sound, f"opening,span,depth\n{cell},700,60\n{cell},700,60\nbad mark 1!,700,60\n")
    refused(sound, f"opening,{cell}\nW-1,1\nbad mark 1!,1\n")
    tried("schedules: marks and column names")


@pytest.mark.parametrize("name", encodings(""))
def test_encodings(sound: Path, tried: Tried, name: str) -> None:
    refused(sound, encodings(SCHEDULE + "bad mark 1!" + "," * 11 + "\n")[name])
    tried("schedules: encodings")


SHAPES = {
    "empty": "",
    "header only, twice": "opening,opening\n",
    "no header": "W-1,700\n",
    "separators only": ",,,,\n;;;;\n",
    "open quote": 'opening,span\n"W-1,700\n',
    "quote inside": 'opening,span\nW-1,7"0"0\n',
    "too many cells": "opening,span\nW-1,700,1,2\n",
    "too few cells": "opening,span\nW-1\n",
    "many columns": "opening" + ",x" * 20000 + "\n",
    "many rows": "opening,span\n" + "W,1\n" * 20001,
    "a long cell": "opening,span\nW-1," + "9" * 200_000 + "\n",
    "zero bytes": "opening,span\nW\0-1,700\n",
    "deep keys": "opening,part.arch.span.x.y.z\nW-1,1\n",
    "deep brackets": "opening,form.clamp_reliefs\nW-1,\"" + "[" * 5000 + "\"\n",
    "a formula": "opening,span\n=1+1,=cmd|' /C calc'!A0\n",
    "tabs": "opening\tspan\nW-1\t700\n",
    "too large": "opening\n" + "x" * 5_000_001,
}  # fmt: skip


@pytest.mark.parametrize("name", SHAPES)
def test_shapes(sound: Path, tried: Tried, name: str) -> None:
    refused(sound, SHAPES[name])
    tried("schedules: shapes of a table")


def _book(*rows: list[object]) -> bytes:
    book, out = Workbook(), io.BytesIO()
    for row in rows:
        book.worksheets[0].append(row)
    book.save(out)
    return out.getvalue()


def _changed(raw: bytes, name: str, old: bytes, new: bytes) -> bytes:
    """A workbook with a text in one of its parts replaced."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(raw)) as source, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as target:
        for entry in source.namelist():
            content = source.read(entry)
            target.writestr(entry, content.replace(old, new) if entry == name else content)
    return out.getvalue()


def _workbooks() -> dict[str, bytes]:
    good = _book(["opening", "span"], ["W-1", 700], ["bad mark 1!", 1])
    sheet, laughs = "xl/worksheets/sheet1.xml", b'<!DOCTYPE x [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;">]><worksheet'
    bomb = io.BytesIO()
    with zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/workbook.xml", b" " * 110_000_000)
    return {
        "good but for a mark": good,
        "a formula never computed": _book(["opening", "span"], ["W-1", "=700+1"]),
        "a formula as mark": _book(["opening", "span"], ["=1+1", 700]),
        "an error": _changed(_book(["opening", "span"], ["W-1", "#REF!"]), sheet, b"x", b"x"),
        "a date": _changed(
            _book(["opening", "span"], ["W-1", 700], ["bad mark 1!", 2]), sheet, b"<v>700</v>", b"<v>1e999</v>"
        ),
        "no number": _changed(good, sheet, b"<v>700</v>", b"<v>nan</v>"),
        "infinity": _changed(good, sheet, b"<v>700</v>", b"<v>INF</v>"),
        "not a ZIP": b"PK\x03\x04 and no more",
        "cut": good[: len(good) // 2],
        "empty": b"",
        "an old workbook": b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600),
        "a bomb": bomb.getvalue(),
        "entities": _changed(good, sheet, b"<worksheet", laughs),
        "broken XML": _changed(good, sheet, b"</row>", b"</roe>"),
        "a huge sheet": _changed(good, sheet, b'r="B2"', b'r="XFD1048576"'),
        "a cell nowhere": _changed(good, sheet, b'r="B2"', b'r="B0"'),
        "a text nowhere": _changed(good, sheet, b't="s"', b't="zz"'),
        "no sheet": _changed(good, "xl/workbook.xml", b"<sheet ", b"<shoot "),
        "columns of control characters": _book(["opening", "sp\u202ean"], ["W-1", 700]),
    }


@pytest.mark.parametrize("name", _workbooks())
def test_workbooks(sound: Path, tried: Tried, name: str) -> None:
    refused(sound, _workbooks()[name], "openings.xlsx")
    tried("schedules: workbooks")


@settings(
    derandomize=True,
    database=None,
    max_examples=60,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(raw=st.binary(max_size=60) | st.text(max_size=40).map(lambda t: ("opening," + t).encode("utf-8", "replace")))
def test_any_bytes(sound: Path, tried: Tried, raw: bytes) -> None:
    refused(sound, raw + b"\nbad mark 1!")
    tried("schedules: any bytes")
