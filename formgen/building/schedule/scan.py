"""Building: a workbook looked through before any library builds it, so that its size is known before its cells are.

In: the file's bytes. Out: its sheets, each with where its values end, which formulas have no value and which cells are
merged. Cells with a format and nothing in them count for nothing. What is larger or sparser than the limits is refused
as soon as it is met; what no spreadsheet writes raises, and `file.py` says so.
"""

from __future__ import annotations

import io
import posixpath
import re
import zipfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from xml.parsers import expat

from formgen.building.schedule.cells import Merged
from formgen.building.schedule.table import MOST_COLUMNS, MOST_ROWS
from formgen.errors import RecipeError
from formgen.quoted import escaped

#: A workbook is a compressed archive; nothing that an estimator keeps unpacks to more than this.
LARGEST_UNPACKED_BYTES = 50_000_000
MOST_PARTS = 1_000
#: Rows by columns from A1 to the last value.
MOST_CELLS = 120_000
#: Elements of sheets and of texts (rows, cells, values), and of all else (styles, names, properties).
MOST_ELEMENTS, MOST_OTHER_ELEMENTS = 400_000, 50_000

_CHUNK_BYTES = 1_000_000
_CELL = re.compile(r"([A-Z]{1,3})([1-9][0-9]{0,6})")
_AREA = re.compile(rf"{_CELL.pattern}(?::{_CELL.pattern})?")


class BrokenWorkbookError(ValueError):
    """Raised by a workbook such as no spreadsheet writes."""


@dataclass(kw_only=True)
class Sheet:
    """A sheet as the workbook's own parts tell of it.

    Args:
        rows: the last row with a value.
        columns: the last column with a value.
        formulas: cells with a formula and no value, as (row, `B2`).
        merged: areas of merged cells.
    """

    rows: int = 0
    columns: int = 0
    formulas: list[tuple[int, str]] = field(default_factory=list)
    merged: list[Merged] = field(default_factory=list)


def scan(name: str, raw: bytes) -> dict[str, Sheet]:
    """Every sheet by its title, in the order of the workbook.

    Args:
        name: the file's name, for messages.
        raw: its bytes.

    Raises:
        RecipeError: larger or sparser than the limits.
        Exception: the archive or its XML is damaged.
    """
    with zipfile.ZipFile(io.BytesIO(raw)) as archive:
        entries = archive.infolist()
        if len(entries) > MOST_PARTS or len({entry.filename for entry in entries}) < len(entries):
            raise BrokenWorkbookError("parts")
        if sum(entry.file_size for entry in entries) > LARGEST_UNPACKED_BYTES:
            raise RecipeError(
                f"{name}: unpacks to more than {LARGEST_UNPACKED_BYTES // 1_000_000} MB, expected an opening schedule; "
                "check what it is"
            )
        book = _Book(name)
        for entry in entries:
            book.read(archive, entry)
    return book.sheets()


class _Book:
    """All parts of a workbook, read one after another."""

    def __init__(self, name: str) -> None:
        self._name = name
        #: Elements that may still come, of sheets and texts (True) and of all else.
        self._left = {True: MOST_ELEMENTS, False: MOST_OTHER_ELEMENTS}
        self._held: dict[str, Sheet] = {}
        #: (part that lists the sheet, identifier there, title), and the part that each identifier means.
        self.listed: list[tuple[str, str, str]] = []
        self._targets: dict[tuple[str, str], str] = {}
        self.formats = 1
        self.last_format = 0

    def read(self, archive: zipfile.ZipFile, entry: zipfile.ZipInfo) -> None:
        """One part; what is no XML is unpacked all the same, so that damage shows."""
        part = _Part(self, entry.filename)
        parser = expat.ParserCreate()
        parser.buffer_text = True
        parser.StartElementHandler, parser.EndElementHandler = part.start, part.end
        parser.CharacterDataHandler = part.text
        parser.StartDoctypeDeclHandler = _refuse_doctype
        with archive.open(entry) as file:
            try:
                while chunk := file.read(_CHUNK_BYTES):
                    parser.Parse(chunk)
                parser.Parse(b"", True)  # noqa: FBT003 -- has no name
            except expat.ExpatError:
                if entry.filename.lower().endswith((".xml", ".rels")):
                    raise
                while file.read(_CHUNK_BYTES):
                    pass

    def count(self, *, of_cells: bool) -> None:
        """One more element, of sheets and texts or of all else.

        Raises:
            RecipeError: there are more than a schedule has.
        """
        self._left[of_cells] -= 1
        if self._left[of_cells] < 0:
            raise RecipeError(
                f"{self._name}: holds more rows, cells and formats than any opening schedule, empty ones among them; "
                "copy the schedule alone into a new workbook"
            )

    def hold(self, path: str, row: int, column: int, sheet: Sheet) -> None:
        """A cell with something in it.

        Raises:
            RecipeError: it lies outside what a schedule covers.
        """
        rows, columns = max(row, sheet.rows), max(column, sheet.columns)
        if rows > MOST_ROWS or columns > MOST_COLUMNS or rows * columns > MOST_CELLS:
            raise RecipeError(
                f"{self._name}: expected at most {MOST_ROWS} rows, {MOST_COLUMNS} columns and {MOST_CELLS} cells "
                f"between the first and the last, got something in cell {_letters(column)}{row} of "
                f"{escaped(posixpath.basename(path))}; delete what lies outside the schedule"
            )
        sheet.rows, sheet.columns = rows, columns
        self._held[path] = sheet

    def relates(self, path: str, key: str, target: str) -> None:
        """Learn what identifiers mean in the part that these relations are of."""
        above, _, rest = path.rpartition("_rels/")
        owner = above + rest.removesuffix(".rels")
        self._targets[owner, key] = posixpath.normpath(posixpath.join("/", above, target)).lstrip("/")

    def sheets(self) -> dict[str, Sheet]:
        """Every sheet by its title; one without a value is a sheet with nothing on it."""
        if self.last_format >= self.formats:
            raise BrokenWorkbookError("a cell has a format that is not defined")
        if not self.listed or len({title for _, _, title in self.listed}) < len(self.listed):
            raise BrokenWorkbookError("no sheets, or two of one title")
        parts = {title: self._targets.get((path, key), "") for path, key, title in self.listed}
        return {title: self._held.get(part, Sheet()) for title, part in parts.items()}


class _Part:
    """Handlers for the XML of one part."""

    def __init__(self, book: _Book, path: str) -> None:
        self._book = book
        self._path = path
        self._of_cells = False
        self._starts: Mapping[str, Callable[[dict[str, str]], None]] | None = None
        self._sheet = Sheet()
        self._row = self._column = 0
        self._cell = ""
        self._has_value = self._has_formula = self._in_value = False
        self._names_text = False
        self._formats: int | None = None

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        """The beginning of an element."""
        element = tag.rpartition(":")[2]
        if self._starts is None:
            self._starts = self._begin(element)
        self._book.count(of_cells=self._of_cells)
        handler = self._starts.get(element)
        if handler is not None:
            handler(attributes)

    def end(self, tag: str) -> None:
        """The end of an element."""
        element = tag.rpartition(":")[2]
        if element == "v":
            self._in_value = False
        elif element == "c" and self._cell:
            if self._has_formula and not self._has_value:
                self._sheet.formulas.append((self._row, self._cell))
            if self._has_formula or self._has_value:
                self._book.hold(self._path, self._row, self._column, self._sheet)
            self._cell = ""
        elif element == "cellXfs" and self._formats is not None:
            self._book.formats = max(self._book.formats, self._formats)
            self._formats = None

    def text(self, text: str) -> None:
        """Characters between tags."""
        if self._in_value:
            self._has_value = True
            if self._names_text and text.startswith("-"):
                raise BrokenWorkbookError("a text numbered below 0")

    def _begin(self, root: str) -> Mapping[str, Callable[[dict[str, str]], None]]:
        """Choose what to look at, by the root of the part."""
        self._of_cells = root in ("worksheet", "sst")
        known: Mapping[str, Mapping[str, Callable[[dict[str, str]], None]]] = {
            "worksheet": {
                "row": self._on_row, "c": self._on_cell, "v": self._on_value, "is": self._on_text,
                "f": self._on_formula, "mergeCell": self._on_merged,
            },
            "styleSheet": {"cellXfs": self._on_formats, "xf": self._on_format},
            "workbook": {"sheet": self._on_sheet},
            "Relationships": {"Relationship": self._on_relation},
        }  # fmt: skip
        return known.get(root, {})

    def _on_row(self, attributes: dict[str, str]) -> None:
        number = int(attributes.get("r", self._row + 1))
        if number <= self._row:
            raise BrokenWorkbookError("rows out of order")
        self._row, self._column = number, 0

    def _on_cell(self, attributes: dict[str, str]) -> None:
        place = attributes.get("r")
        column = self._column + 1
        if place is not None:
            found = _CELL.fullmatch(place)
            if found is None or int(found[2]) != self._row or _number(found[1]) < column:
                raise BrokenWorkbookError("cells out of order")
            column = _number(found[1])
        self._column = column
        self._cell = place or f"{_letters(column)}{self._row}"
        self._has_value = self._has_formula = False
        self._names_text = attributes.get("t") == "s"
        self._book.last_format = max(self._book.last_format, int(attributes.get("s", 0)))

    def _on_value(self, _attributes: dict[str, str]) -> None:
        self._in_value = True

    def _on_text(self, _attributes: dict[str, str]) -> None:
        self._has_value = True

    def _on_formula(self, _attributes: dict[str, str]) -> None:
        self._has_formula = True

    def _on_merged(self, attributes: dict[str, str]) -> None:
        found = _AREA.fullmatch(attributes["ref"])
        if found is None:
            raise BrokenWorkbookError("merged cells")
        left, top = _number(found[1]), int(found[2])
        right, bottom = (_number(found[3]), int(found[4])) if found[3] else (left, top)
        area = Merged(name=found[0], top=top, left=left, bottom=bottom, right=right)
        self._sheet.merged.append(area)

    def _on_formats(self, _attributes: dict[str, str]) -> None:
        self._formats = 0

    def _on_format(self, _attributes: dict[str, str]) -> None:
        if self._formats is not None:
            self._formats += 1

    def _on_sheet(self, attributes: dict[str, str]) -> None:
        key = next((value for name, value in attributes.items() if name.endswith(":id")), "")
        self._book.listed.append((self._path, key, attributes["name"]))

    def _on_relation(self, attributes: dict[str, str]) -> None:
        self._book.relates(self._path, attributes["Id"], attributes["Target"])


def _number(letters: str) -> int:
    """Number a column: A is 1."""
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return number


def _letters(column: int) -> str:
    """A column's letters: 1 is A."""
    letters = ""
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def _refuse_doctype(*_told: object) -> None:
    raise BrokenWorkbookError("a document type")
