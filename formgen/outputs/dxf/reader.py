"""Stage `outputs`: a small reader of ASCII DXF, another than the library that writes the files.

In: a file. Out: its version, its units and what its model space holds, in mm. It knows the entities that a form's
drawings are made of; any other is reported by its name. Blocks, tables and objects are skipped, which makes it six
times as quick as a full reader.

Reference: Autodesk, DXF Reference (group codes of the HEADER and ENTITIES sections).
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from functools import lru_cache, partial
from itertools import pairwise
from pathlib import Path

from formgen.geometry.outline import Vertex
from formgen.outputs.dxf.grammar import Tag, entries_of, refusals, sections_of
from formgen.outputs.dxf.pen import APPLICATION, MM_PER_INCH
from formgen.outputs.dxf.shapes import Drawn
from formgen.outputs.folder.exclusive import read_plain
from formgen.quoted import quoted

RELEASES = {
    "AC1009": "R12",
    "AC1015": "R2000",
    "AC1018": "R2004",
    "AC1021": "R2007",
    "AC1024": "R2010",
    "AC1027": "R2013",
    "AC1032": "R2018",
}

#: Which group code of a vertex follows which.
_IN_ORDER = {(0, 10), (10, 20), (20, 42), (20, 10), (42, 10)}
#: No number of a drawing is larger.
FURTHEST = 1e9
_CODE, _NUMBER = re.compile(r" {0,2}[0-9]{1,4}"), re.compile(r"[-+]?[0-9]{1,20}(\.[0-9]{0,20})?([eE][-+]?[0-9]{1,3})?")
#: Line ends of other systems too: a line that one reader ends and another does not is two drawings.
_CONTROL = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\u2028\u2029]")

#: What the two header variables of units say together: $INSUNITS and $MEASUREMENT.
_INCHES: dict[tuple[str | None, str | None], bool] = {("1", "0"): True, ("4", "1"): False}


def read_drawing(path: Path, *, in_inches: bool) -> tuple[list[Drawn], str, bool | None]:
    """Return what a DXF file holds, its version, and whether it says that its units are inches (None: it does not say).

    Args:
        path: the file.
        in_inches: the units to take its numbers in.

    Raises:
        ValueError: the file is not a DXF file that can be read.
    """
    tags = tags_of(read_plain(path))
    refused = next(refusals(tags), None)
    if refused:
        raise ValueError(refused)
    held = dict(sections_of(tags)[0])
    header = {name: value for (code, name), (_, value) in pairwise(held["HEADER"]) if code == 9}
    version, units = header.get("$ACADVER", ""), (header.get("$INSUNITS"), header.get("$MEASUREMENT"))
    mm_per_unit = MM_PER_INCH if in_inches else 1.0
    try:
        found = [_drawn(entity, mm_per_unit) for entity in _entities_of(held["ENTITIES"])]
    except (KeyError, IndexError) as err:
        raise ValueError(f"an entity is not whole: {err!r}") from err
    return found, RELEASES.get(version, version or "without a version"), _INCHES.get(units)


def tags_of(content: bytes) -> list[Tag]:
    """Group codes and values."""
    encoding = "cp1252" if re.search(rb"\$ACADVER\s+1\s+AC10(0|1)", content[:400]) else "utf-8"
    text = content.decode(encoding)
    if _CONTROL.search(text):
        raise ValueError("it holds control characters")
    lines = text.removesuffix("\n").split("\n")
    if len(lines) < 4 or len(lines) % 2 or lines[-1].strip() != "EOF":
        raise ValueError("it does not end as a DXF file does")
    return [(_code(code), value.strip()) for code, value in zip(lines[::2], lines[1::2], strict=True)]


@lru_cache(maxsize=1024)  # a drawing has some dozens, thousands of times
def _code(text: str) -> int:
    if not _CODE.fullmatch(text):
        raise ValueError(f"{quoted(text)} is no group code")
    return int(text)


def number_in(text: str) -> float:
    """A number as a writer of DXF writes it; none is as large as what no machine reaches."""
    if not _NUMBER.fullmatch(text) or abs(float(text)) > FURTHEST:
        raise ValueError(f"{quoted(text)} is no number of a drawing")
    return float(text)


def _entities_of(tags: Sequence[Tag]) -> list[list[Tag]]:
    """Tags of each entity of the model space, those of an old polyline together with its vertices."""
    entities: list[list[Tag]] = []
    for entry in entries_of(tags):
        if entry[0] in ((0, "VERTEX"), (0, "SEQEND")) and entities:
            entities[-1] += entry
        else:
            entities.append(entry)
    return entities


def _drawn(entity: list[Tag], mm: float) -> Drawn:
    kind = entity[0][1]
    first = first_values(entity)
    layer = plain_text(first[8]).upper()

    def at(x_code: int) -> Vertex:
        return number_in(first[x_code]) * mm, number_in(first[x_code + 10]) * mm, 0.0

    drawn = partial(Drawn, layer=layer, what=kind)
    if kind == "CIRCLE":
        return drawn(kind="circle", vertices=(at(10),), size_mm=2 * number_in(first[40]) * mm)
    if kind == "LINE":
        return drawn(kind="open line", vertices=(at(10), at(11)))
    if kind == "TEXT":
        return drawn(kind="text", vertices=(at(10),), size_mm=number_in(first[40]) * mm, text=plain_text(first[1]))
    if kind in ("LWPOLYLINE", "POLYLINE"):
        vertices = _vertices(entity) if kind == "LWPOLYLINE" else _old_vertices(entity)
        placed = tuple((x * mm, y * mm, bulge) for x, y, bulge in vertices)
        closed = first.get(70) == "1"
        return drawn(kind="closed outline" if closed else "open line", vertices=placed, text=_label(entity))
    return drawn(kind="other", vertices=((math.nan, math.nan, 0.0),))


def first_values(entity: list[Tag]) -> dict[int, str]:
    """The first value of each group code, up to the first vertex of an old polyline."""
    values: dict[int, str] = {}
    for code, value in entity[1:]:
        if code == 0:
            break
        values.setdefault(code, value)
    return values


def _vertices(entity: list[Tag]) -> list[Vertex]:
    """Vertices of an LWPOLYLINE: 10, 20 and, where an arc follows, 42, each once and in this order."""
    rows: list[list[float]] = []
    last = 0
    for code, value in entity:
        if code not in (10, 20, 42):
            continue
        if (last, code) not in _IN_ORDER:
            raise ValueError(f"a vertex of a polyline has group code {code} where there is none")
        last = code
        if code == 10:
            rows.append([number_in(value), math.nan, 0.0])
        else:
            rows[-1][1 if code == 20 else 2] = number_in(value)
    if last == 10 or len(rows) != number_in(first_values(entity)[90]):
        raise ValueError(f"a polyline has {len(rows)} vertices and says {first_values(entity)[90]}")
    return [(x, y, bulge) for x, y, bulge in rows]


def _old_vertices(entity: list[Tag]) -> list[Vertex]:
    """Vertices of a POLYLINE, each an entity of its own."""
    starts = [i for i, tag in enumerate(entity) if tag == (0, "VERTEX")]
    vertices = (first_values(entity[i:]) for i in starts)
    return [(number_in(v[10]), number_in(v[20]), number_in(v.get(42, "0"))) for v in vertices]


def _label(entity: list[Tag]) -> str:
    """The text of a label, in the extended data of its first stroke."""
    begin = next((i for i, tag in enumerate(entity) if tag == (1001, APPLICATION)), len(entity))
    return "".join(plain_text(value) for code, value in entity[begin:] if code == 1000)


def plain_text(value: str) -> str:
    r"""A text with its `\U+XXXX` escapes resolved."""
    return re.sub(r"\\U\+([0-9A-Fa-f]{4})", lambda m: chr(int(m[1], 16)), value)
