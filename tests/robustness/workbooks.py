"""Workbooks made by hand, as a spreadsheet packs them, and damage to them below the XML; nothing here is formgen's.

`python -m tests.robustness.workbooks --times 2000` damages a sound one so often and counts, by class, what was read and
what was refused; a traceback, a hang or a refusal without a line ends it with the seed that did it. The tests run a
short share with the same seeds each time.
"""

from __future__ import annotations

import argparse
import io
import random
import sys
import tempfile
import time
import warnings
import zipfile
import zlib
from collections import Counter
from collections.abc import Callable, Mapping
from pathlib import Path

from tests.pace import allowed_s

_HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_KIND = "application/vnd.openxmlformats-officedocument.spreadsheetml"
TEXTS = ("opening", "span", "W-1", "depth", "remarks", "Hall – north")
#: No damaged workbook is looked at for longer (s of processor).
LONGEST_S = 2.0


def cell(place: str, text: str) -> str:
    """A cell with a text in it."""
    return f'<c r="{place}" t="inlineStr"><is><t>{text}</t></is></c>'


def sheet(*cells: str) -> str:
    """Rows of a sheet from cells, each of which says its place."""
    rows: dict[int, str] = {}
    for held in cells:
        place = held.split('"')[1]
        number = int(place.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ"))
        rows[number] = rows.get(number, "") + held
    return "".join(f'<row r="{number}">{held}</row>' for number, held in sorted(rows.items()))


_SCHEDULE = """\
<row r="1"><c r="A1" t="s"><v>0</v></c><c r="B1" t="s"><v>1</v></c><c r="C1" t="s"><v>4</v></c></row>\
<row r="2"><c r="A2" t="s"><v>2</v></c><c r="B2" s="1"><v>700</v></c><c r="C2" t="s"><v>5</v></c></row>\
<row r="3"><c r="A3" t="str"><f>1+1</f><v>W-2</v></c><c r="B3"><v>900.5</v></c></row>"""


#: What the sound workbook says.
HEADER = ("opening", "span", "remarks")
ROWS = [(2, "W-1", 700, "Hall – north"), (3, "W-2", 900.5, None)]


def parts(rows: str = _SCHEDULE) -> dict[str, str]:
    """The parts of a workbook of one sheet with these rows, by name."""
    kinds = {"worksheets/sheet1": "worksheet", "styles": "styles", "sharedStrings": "sharedStrings"}
    listed = "".join(
        f'<Override PartName="/xl/{part}.xml" ContentType="{_KIND}.{kind}+xml"/>'
        for part, kind in {"workbook": "sheet.main", **kinds}.items()
    )
    related = "".join(
        f'<Relationship Id="rId{i}" Type="{_OFFICE}/{kind}" Target="{part}.xml"/>'
        for i, (part, kind) in enumerate(kinds.items(), 1)
    )
    texts = "".join(f"<si><t>{text}</t></si>" for text in TEXTS)
    made = {
        "[Content_Types].xml": f'<Types xmlns="{_PACKAGE}/content-types"><Default Extension="rels" '
        f'ContentType="application/vnd.openxmlformats-package.relationships+xml"/>{listed}</Types>',
        "_rels/.rels": f'<Relationships xmlns="{_PACKAGE}/relationships"><Relationship Id="rId1" '
        f'Type="{_OFFICE}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'<workbook xmlns="{_MAIN}" xmlns:r="{_OFFICE}"><sheets>'
        '<sheet name="one" sheetId="1" r:id="rId1"/></sheets></workbook>',
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{_PACKAGE}/relationships">{related}</Relationships>',
        "xl/styles.xml": f'<styleSheet xmlns="{_MAIN}"><fonts count="1"><font/></fonts>'
        '<fills count="1"><fill><patternFill/></fill></fills>'
        '<borders count="1"><border/></borders><cellStyleXfs count="1"><xf/></cellStyleXfs>'
        '<cellXfs count="2"><xf numFmtId="0"/><xf numFmtId="2"/></cellXfs></styleSheet>',
        "xl/sharedStrings.xml": f'<sst xmlns="{_MAIN}" count="{len(TEXTS)}">{texts}</sst>',
        "xl/worksheets/sheet1.xml": f'<worksheet xmlns="{_MAIN}"><sheetData>{rows}</sheetData></worksheet>',
    }
    return {name: _HEAD + text for name, text in made.items()}


def packed(held: Mapping[str, str | bytes], how: int = zipfile.ZIP_DEFLATED) -> bytes:
    """Parts as a file."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", how) as archive:
        for name, text in held.items():
            archive.writestr(name, text)
    return out.getvalue()


def book(rows: str = _SCHEDULE) -> bytes:
    """A workbook of one sheet with these rows."""
    return packed(parts(rows))


def repacked(
    raw: bytes, change: Callable[[str, bytes], bytes] | None = None, more: Mapping[str, bytes] | None = None
) -> bytes:
    """A workbook with its parts changed, and more parts behind them."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(raw)) as source, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as target:
        for name in source.namelist():
            content = source.read(name)
            target.writestr(name, content if change is None else change(name, content))
        for name, content in (more or {}).items():
            target.writestr(name, content)
    return out.getvalue()


def _bytes_turned(chosen: random.Random) -> bytes:
    raw = bytearray(book())
    for _ in range(chosen.randint(1, 8)):
        raw[chosen.randrange(len(raw))] = chosen.randrange(256)
    return bytes(raw)


def _cut(chosen: random.Random) -> bytes:
    raw = book()
    at = chosen.randrange(len(raw))
    return raw[:at] if chosen.random() < 0.5 else raw[:at] + raw[at + chosen.randint(1, 200) :]


def _stream(chosen: random.Random) -> bytes:
    """A part's packed bytes damaged and its checksum made to fit what comes out of them, if anything does."""
    name = chosen.choice(list(parts()))
    text = parts()[name].encode()
    packer = zlib.compressobj(wbits=-15)
    stream = bytearray(packer.compress(text) + packer.flush())
    for _ in range(chosen.randint(1, 3)):
        stream[chosen.randrange(len(stream))] ^= 1 << chosen.randrange(8)
    try:
        out = zlib.decompressobj(wbits=-15).decompress(bytes(stream), 1_000_000)
    except zlib.error:
        out = text
    raw = bytearray(packed({**parts(), name: b"\0"}, zipfile.ZIP_STORED))
    return _replaced(raw, name, bytes(stream), zlib.crc32(out), len(out))


def _replaced(raw: bytearray, name: str, stream: bytes, checksum: int, size: int) -> bytes:
    """An archive in which a part of one stored byte is these packed bytes instead."""
    with zipfile.ZipFile(io.BytesIO(bytes(raw))) as archive:
        entries = archive.infolist()
        contents = {entry.filename: archive.read(entry) for entry in entries}
    out, central = bytearray(), bytearray()
    for entry in entries:
        here = entry.filename == name
        content = stream if here else contents[entry.filename]
        numbers = (checksum, len(stream), size) if here else (entry.CRC, len(content), len(content))
        said = entry.filename.encode()
        common = (20).to_bytes(2, "little") + bytes(2) + (8 if here else 0).to_bytes(2, "little") + bytes(4)
        common += b"".join(number.to_bytes(4, "little") for number in numbers)
        common += len(said).to_bytes(2, "little") + bytes(2)
        offset = len(out).to_bytes(4, "little")
        out += b"PK\x03\x04" + common + said + content
        central += b"PK\x01\x02" + (20).to_bytes(2, "little") + common + bytes(10) + offset + said
    count = len(entries).to_bytes(2, "little")
    end = b"PK\x05\x06" + bytes(4) + count + count + len(central).to_bytes(4, "little") + len(out).to_bytes(4, "little")
    return bytes(out + central + end + bytes(2))


def _headers(chosen: random.Random) -> bytes:
    """A field of a header or of the directory: flags, method, checksum, sizes, offsets."""
    raw = bytearray(book())
    marks = [at for mark in (b"PK\x03\x04", b"PK\x01\x02", b"PK\x05\x06") for at in _all(raw, mark)]
    at = chosen.choice(marks) + chosen.randrange(4, 30, 2)
    size = chosen.choice((2, 4))
    raw[at : at + size] = chosen.choice((0, 1, 8, 9, 12, 14, 99, 2**15, 2**16 - 1)).to_bytes(2, "little") * (size // 2)
    return bytes(raw)


def _all(raw: bytes | bytearray, mark: bytes) -> list[int]:
    found, at = [], raw.find(mark)
    while at >= 0:
        found.append(at)
        at = raw.find(mark, at + 1)
    return found


def _left_out(chosen: random.Random) -> bytes:
    held = parts()
    for _ in range(chosen.randint(1, 2)):
        held.pop(chosen.choice(list(held)))
    return packed(held)


def _exchanged(chosen: random.Random) -> bytes:
    held: dict[str, str | bytes] = dict(parts())
    one, other = chosen.sample(list(held), 2)
    held[one] = chosen.choice((held[other], b"", b"\0" * 40, b"<", "<a/>", str(held[one]).encode("utf-16")))
    return packed(held)


def _numbers(chosen: random.Random) -> bytes:
    """A number in the XML that points somewhere: rows, cells, formats, texts, identifiers."""
    held = parts()
    name = chosen.choice(list(held))
    odd = ("-1", "0", "99", "1048577", "99999999999", "1e3", "", "x", "Z1048576", "XFD1", "A0", "1.5", "٣")
    text = held[name]
    at = [i for i, c in enumerate(text) if c == '"']
    at = at[4:] if len(at) > 6 else at
    begin = chosen.randrange(0, len(at) - 1, 2)
    held[name] = text[: at[begin] + 1] + chosen.choice(odd) + text[at[begin + 1] :]
    return packed(held)


def _nested(chosen: random.Random) -> bytes:
    held: dict[str, str | bytes] = dict(parts())
    name = chosen.choice(list(held))
    tag = chosen.choice(("row", "c", "v", "is", "si", "t", "xf", "sheet", "a"))
    many = chosen.choice((100, 5_000, 100_000))
    text = str(held[name])
    at = text.rindex("</")
    held[name] = text[:at] + f"<{tag}>" * many + f"</{tag}>" * many + text[at:]
    return packed(held)


CLASSES: Mapping[str, Callable[[random.Random], bytes]] = {
    "bytes turned anywhere": _bytes_turned,
    "cut": _cut,
    "packed streams damaged, checksums that fit": _stream,
    "headers and directory": _headers,
    "parts left out": _left_out,
    "parts exchanged": _exchanged,
    "numbers that point": _numbers,
    "nested deep": _nested,
}


#: Damage that a checksum or the directory shows: what is read all the same is what stood there.
SAME_OR_REFUSED = ("bytes turned anywhere", "cut", "headers and directory", "parts left out")


def damaged(kind: str, seed: int) -> bytes:
    """A workbook with that damage; the same for the same seed."""
    return CLASSES[kind](random.Random(f"{kind} {seed}"))  # noqa: S311 -- the same inputs on every run


def looked_at(path: Path, raw: bytes, *, same: bool = False) -> str:
    """`read` or `refused`; AssertionError for anything else.

    Args:
        path: where the file is written.
        raw: its bytes.
        same: it may be read only as the sound workbook is.
    """
    from formgen.building.schedule.file import read_table
    from formgen.errors import RecipeError

    lines, table = list[str](), None
    path.write_bytes(raw)
    begin = time.process_time()
    with warnings.catch_warnings():
        warnings.simplefilter("error")  # a warning of the library would reach the screen
        try:
            table = read_table(path)
        except RecipeError as err:
            lines = str(err).split("\n")
    assert time.process_time() - begin < allowed_s(LONGEST_S), "took too long"
    assert all(line.isprintable() and line.startswith(f"{path.name}: ") for line in lines), lines
    if table is None:
        return "refused"
    held = [(row.number, *row.cells) for row in table.rows]
    assert not same or (table.header, held, table.mistakes) == (HEADER, ROWS, ()), f"read as {table}"
    return "read"


def main() -> None:
    """The command."""
    parser = argparse.ArgumentParser(prog="python -m tests.robustness.workbooks", description=__doc__)
    parser.add_argument("--times", type=int, default=2000, help="workbooks in all")
    parser.add_argument("--seed", type=int, default=0, help="the first seed")
    asked = parser.parse_args()
    faults = 0
    with tempfile.TemporaryDirectory() as folder:
        for kind in CLASSES:
            counts: Counter[str] = Counter()
            for seed in range(asked.seed, asked.seed + max(1, asked.times // len(CLASSES))):
                try:
                    answer = looked_at(Path(folder) / "a.xlsx", damaged(kind, seed), same=kind in SAME_OR_REFUSED)
                    counts[answer] += 1
                except Exception as err:  # whatever it is, it is a fault with a seed
                    counts["FAULT"] += 1
                    print(f"{kind}, seed {seed}: {err!r}")  # noqa: T201 -- the command's answer
            faults += counts["FAULT"]
            told = ", ".join(f"{count} {what}" for what, count in sorted(counts.items()))
            print(f"{sum(counts.values()):8d}  workbooks: {kind}: {told}")  # noqa: T201 -- the command's answer
    sys.exit(1 if faults else 0)


if __name__ == "__main__":
    main()
