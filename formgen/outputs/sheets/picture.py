"""Stage `outputs`: a picture of the sheets with their pieces, for the wall beside the router.

In: `Sheets`. Out: one SVG file, all sheets to one scale, each with its number, its pieces by numbers that a list below
it explains, and what is left. A number stands where its piece is widest, clear of every line.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape

import numpy as np

from formgen.geometry.distance import distances_mm
from formgen.geometry.outline import Outline, Point
from formgen.lengths import Units, write_length
from formgen.sheets.model import CutSheet, Placement, Sheets
from formgen.verdict import MARK

#: Width of a sheet on the paper, white between sheets, height of a line of text (mm).
WIDE, GAP, LINE = 170.0, 6.0, 4.0
#: Sizes of letters in the list and of numbers in the pieces (mm), and columns of the list.
LISTED, NUMBER, COLUMNS = 2.5, 2.6, 4
INK, BOARD, CUT, REST = "#33302a", "#efe6d2", "#cdb389", "#dfe8d8"


def sheets_svg(sheets: Sheets) -> str:
    """The picture, as SVG text; y runs up on a sheet and down on the paper."""
    longest = max((sheet.stock.length_mm for sheet in sheets.sheets), default=1.0)
    scale = WIDE / longest
    lines: list[str] = []
    top = GAP
    for sheet in sheets.sheets:
        high = sheet.stock.width_mm * scale
        lines += [f'<g transform="translate({GAP:.2f} {top:.2f})">', *_sheet(sheet, scale, sheets.units), "</g>"]
        top += high + LINE * (1 + _rows(sheet) + len(_marked(sheet))) + GAP
    wide = WIDE + 2 * GAP
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide:.2f} {top:.2f}" width="{wide:.2f}mm" '
        f'height="{top:.2f}mm" role="img" aria-label="{len(sheets.sheets)} sheets with their pieces" '
        f'font-family="sans-serif" fill="{INK}">'
    )
    return "\n".join([head, *lines, "</svg>", ""])


def _sheet(sheet: CutSheet, scale: float, units: Units) -> Iterator[str]:
    stock = sheet.stock
    wide, high = stock.length_mm * scale, stock.width_mm * scale
    board = f"{'offcut of ' if stock.offcut else ''}{stock.board}"
    size = f"{write_length(stock.length_mm, units)} × {write_length(stock.width_mm, units)}"
    title = f"{sheet.number}: {board}, {size}, {100 * sheet.usage:.0f} % used"
    yield f'<text y="{LINE * 0.75:.2f}" font-size="{LINE * 0.8:.2f}">{escape(title)}</text>'
    yield f'<g transform="translate(0 {LINE:.2f})" stroke="{INK}" stroke-width="0.15">'
    yield f'<rect width="{wide:.2f}" height="{high:.2f}" fill="{BOARD}"/>'
    for rest in sheet.rests:
        y = (stock.width_mm - rest.y_mm - rest.width_mm) * scale
        size = f'width="{rest.length_mm * scale:.2f}" height="{rest.width_mm * scale:.2f}"'
        yield f'<rect x="{rest.x_mm * scale:.2f}" y="{y:.2f}" {size} fill="{REST}" stroke-dasharray="1 1"/>'
    for p in sheet.placements:
        yield _piece(p, stock.width_mm, scale)
    for number, p in enumerate(sheet.placements, 1):
        x, y = _clearest(p)
        at = f'x="{x * scale:.2f}" y="{(stock.width_mm - y) * scale + 0.36 * NUMBER:.2f}"'
        yield f'<text {at} font-size="{NUMBER}" text-anchor="middle" stroke="none">{number}</text>'
    yield "</g>"
    rows = _rows(sheet)
    for number, p in enumerate(sheet.placements, 1):
        column, row = divmod(number - 1, rows)
        at = f'x="{column * WIDE / COLUMNS:.2f}" y="{LINE * (row + 1.8) + high:.2f}"'
        yield f'<text {at} font-size="{LISTED}">{number}: {escape(p.part.name)}</text>'
    for row, form in enumerate(_marked(sheet), rows):
        at = f'y="{LINE * (row + 1.8) + high:.2f}" font-size="{LISTED}" font-weight="bold"'
        yield f"<text {at}>{MARK}: {escape(form)}</text>"


def _marked(sheet: CutSheet) -> list[str]:
    """Forms of which pieces lie on the sheet and on which nothing must be pressed."""
    return list(dict.fromkeys(p.part.form for p in sheet.placements if p.part.problems))


def _rows(sheet: CutSheet) -> int:
    return -(-len(sheet.placements) // COLUMNS)


def _piece(p: Placement, high_mm: float, scale: float) -> str:
    rings = [p.outline, *(opening.outline for opening in p.piece.openings)]
    path = " ".join(_path(ring, high_mm, scale) for ring in rings)
    return f'<path fill="{CUT}" fill-rule="evenodd" d="{path}"/>'


def _path(outline: Outline, high_mm: float, scale: float) -> str:
    points: Sequence[Point] = outline.flattened(0.1 / scale)
    return "M" + "L".join(f"{x * scale:.2f} {(high_mm - y) * scale:.2f}" for x, y in points) + "Z"


def _clearest(p: Placement) -> Point:
    """Of the middles of the stretches inside the piece at some heights and widths, that farthest from every edge."""
    x0, y0, x1, y1 = p.outline.bounds
    points: list[Point] = []
    for share in (i / 16 for i in range(1, 16)):
        x, y = x0 + (x1 - x0) * share, y0 + (y1 - y0) * share
        points += [((a + b) / 2, y) for a, b in p.outline.chords((0.0, y), 1.0, 0.0)]
        points += [(x, (a + b) / 2) for a, b in p.outline.chords((x, 0.0), 0.0, 1.0)]
    rings = [p.outline, *(opening.outline for opening in p.piece.openings)]
    points = [q for q in points if not any(ring.contains(q) for ring in rings[1:])] or points
    clear = np.min([distances_mm(np.array(points), ring) for ring in rings], axis=0)
    return points[int(np.argmax(np.round(clear, 3)))]
