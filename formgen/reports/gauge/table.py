"""Stage `reports`: the table on the gauge page: a row for each span, for the rise and for each station.

In: a part's readings. Out: ink of rows from an upper edge down, mm on paper. Figures stand on their point, units stand
in the head alone, the inside half is shaded, and the row of the rise is ruled heavily and named.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from formgen.curve.readings import Reading
from formgen.drafting.ink import EDGE, RULES, SHADE, Face, Fill, Ink, Words, line
from formgen.drafting.paper import FACES, HEAD_MM, NARROW, PLAIN, TEXT_MM
from formgen.drafting.text import fitting, showable, wide
from formgen.fixed import fixed
from formgen.geometry.outline import Point
from formgen.lengths import Units, write_length
from formgen.makes.model import Made
from formgen.reports.rows.makes import by_face, reading_text, within_text

#: Widths of the columns without their blanks: number, from A, height, play (mm).
NUMBER_MM, FROM_MM, HEIGHT_MM, PLAY_MM = 22.0, 28.0, 30.0, 17.0
#: Height of the heads over a block of rows, and white between the two blocks (mm).
HEADS_MM, BETWEEN_MM = 6.5, 4.0
#: Where a column's figures have their point, or begin their fraction, from its left edge; white before text (mm).
POINT_MM: dict[Units, tuple[float, float]] = {"in": (10.5, 1.4), "mm": (17.0, 7.0)}
BEFORE_MM = 1.4
#: A face that leans so that its play is so many times the tolerance is too steep for an upright reading.
STEEP = 4.0
#: Over the columns of both faces.
_FACES = ("inside", "±", "found", "outside", "±", "found")


@fixed
class Row:
    """One row.

    Args:
        label: what is read; a station's number.
        from_a: how far from A; empty for a span or the rise.
        cells: height and play on the inside, on the outside; empty where nothing is read.
        crown: it is the station of the rise.
    """

    label: str
    from_a: str
    cells: tuple[str, str, str, str]
    crown: bool = False

    @property
    def is_station(self) -> bool:
        """The row is one of a station."""
        return bool(self.from_a)


def rows_of(part: Made, units: Units) -> tuple[Row, ...]:
    """Every row, spans first, then the rise, then the stations from A to B."""
    tolerance, crown = part.gauge.tolerance_mm, crown_station(part)
    found = []
    for row in by_face(part.readings):
        reading = next(iter(row.values()))
        cells = _of_faces(row, tolerance, units)
        if reading.name != "ordinate":
            found.append(Row(label=reading_text(reading), from_a="", cells=cells))
            continue
        number, from_a = reading.number, _bare(write_length(reading.from_a_mm or 0.0, units))
        name = f"{number} {crown_name(part)}" if number == crown else str(number)
        found.append(Row(label=name, from_a=from_a, cells=cells, crown=number == crown))
    return tuple(found)


def crown_station(part: Made) -> int:
    """Number of the station at which the rise is read; 0 where none is."""
    rise = _rise(part)
    if rise is None or rise.from_a_mm is None:
        return 0
    places = [row.from_a_mm for row in part.gauge.rows]
    return min(range(len(places)), key=lambda i: abs(places[i] - (rise.from_a_mm or 0.0))) + 1


def crown_name(part: Made) -> str:
    """Return what the joiner calls that station: the crown, or the deepest point where it lies below the line."""
    rise = _rise(part)
    return "deepest" if rise is not None and rise.wanted_mm < 0.0 else "crown"


def _rise(part: Made) -> Reading | None:
    return next((r for r in part.readings if r.name == "rise"), None)


def _of_faces(row: Mapping[str, Reading], tolerance_mm: float, units: Units) -> tuple[str, str, str, str]:
    """List what is wanted on the inside and on the outside, and how far off each may be."""
    cells: list[str] = []
    for face in ("inside", "outside"):
        reading = row.get(face)
        if reading is None:
            cells += ["–", ""]
            continue
        steep = not math.isfinite(reading.within_mm) or reading.within_mm > STEEP * tolerance_mm
        within = "steep" if steep else _bare(within_text(reading.within_mm, units))
        cells += [_bare(write_length(reading.wanted_mm, units)), within]
    return cells[0], cells[1], cells[2], cells[3]


def _bare(length: str) -> str:
    """A length without its unit, which the head names."""
    return length.removesuffix(" in").removesuffix(" mm")


def block_height_mm(rows: int, row_mm: float) -> float:
    """Height of a block of so many rows under its heads."""
    return HEADS_MM + rows * row_mm


def block(rows: Sequence[Row], units: Units, at: Point, width_mm: float, row_mm: float) -> Iterator[Ink]:
    """Rows of one kind under their heads, ruled.

    Args:
        rows: of stations, or of spans and the rise.
        units: named in the head.
        at: upper left corner on the paper.
        width_mm: of the table.
        row_mm: height of a row.
    """
    left, top_mm = at
    edges = [left + x for x in _edges(width_mm)]
    foot = top_mm - block_height_mm(len(rows), row_mm)
    yield _shade(edges[2], foot, edges[5], top_mm)
    yield from _heads(units, edges, top_mm, stations=rows[0].is_station)
    y = top_mm - HEADS_MM
    yield line(EDGE, (edges[0], y), (edges[-1], y))
    for row in rows:
        yield from _row(row, units, edges, y, row_mm)
        y -= row_mm
        yield line(RULES, (edges[0], y), (edges[-1], y))
        if row.crown:
            yield line(EDGE, (edges[0], y + row_mm), (edges[-1], y + row_mm))
            yield line(EDGE, (edges[0], y), (edges[-1], y))
    begin = edges if rows[0].is_station else (edges[0], *edges[2:])
    for x in begin:
        yield line(EDGE if x == edges[5] else RULES, (x, top_mm - HEADS_MM), (x, foot))


def _edges(width_mm: float) -> list[float]:
    blank = (width_mm - NUMBER_MM - FROM_MM - 2.0 * (HEIGHT_MM + PLAY_MM)) / 2.0
    widths = (NUMBER_MM, FROM_MM, HEIGHT_MM, PLAY_MM, blank, HEIGHT_MM, PLAY_MM, blank)
    return [sum(widths[:i]) for i in range(len(widths) + 1)]


def _heads(units: Units, edges: Sequence[float], top_mm: float, *, stations: bool) -> Iterator[Ink]:
    unit = "inches" if units == "in" else "mm"
    for x, text in zip(edges, (unit, "from A" if stations else "", *_FACES), strict=False):
        if text:
            yield _text(text, x, top_mm, HEADS_MM, PLAIN)


def _row(row: Row, units: Units, edges: Sequence[float], top_mm: float, row_mm: float) -> Iterator[Ink]:
    point, play_point = POINT_MM[units]
    if row.is_station:
        yield _text(row.label, edges[0], top_mm, row_mm, PLAIN)
        yield _on_point(row.from_a, edges[1] + point, top_mm, row_mm, HEAD_MM)
    else:
        room = edges[2] - edges[0] - 2 * BEFORE_MM
        yield _text(row.label, edges[0], top_mm, row_mm, fitting(row.label, room, (TEXT_MM,), (PLAIN, NARROW))[1])
    for column, text in zip((2, 3, 5, 6), row.cells, strict=True):
        if text in ("–", "steep"):
            yield _text(text, edges[column], top_mm, row_mm, PLAIN)
        elif text:
            at, capital = (point, HEAD_MM) if column in (2, 5) else (play_point, TEXT_MM)
            yield _on_point(text, edges[column] + at, top_mm, row_mm, capital)


def _text(text: str, x_mm: float, top_mm: float, high_mm: float, face: str) -> Words:
    at = (x_mm + BEFORE_MM, top_mm - (high_mm + TEXT_MM) / 2.0)
    return Words(text=showable(text), at=at, height_mm=TEXT_MM, face="narrow" if face == NARROW else "plain")


def _on_point(text: str, point_mm: float, top_mm: float, high_mm: float, capital_mm: float) -> Words:
    """A figure with its point, or the begin of its fraction, at one place; below the base line it leans."""
    face: Face = "leaning" if text.startswith(("-", "\u2212")) else "plain"
    whole, _, fraction = text.rpartition(" ") if "/" in text else (text.split(".", maxsplit=1)[0], "", "")
    before = wide(showable(whole), capital_mm, FACES[face])
    if fraction:
        mixed, own = (wide(showable(said), capital_mm, FACES[face]) for said in (f"0 {fraction}", fraction))
        space = mixed - own - wide("0", capital_mm, FACES[face])
        before = wide(showable(text), capital_mm, FACES[face]) - own - space
    at = (point_mm - before, top_mm - (high_mm + capital_mm) / 2.0)
    return Words(text=showable(text), at=at, height_mm=capital_mm, face=face)


def _shade(x0: float, y0: float, x1: float, y1: float) -> Fill:
    return Fill(pen=SHADE, vertices=((x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0)))
