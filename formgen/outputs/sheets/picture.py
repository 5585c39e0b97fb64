"""Stage `outputs`: a picture of the sheets with their pieces, for the wall beside the router.

In: `Sheets`. Out: one SVG file, all sheets to one scale, each with its number, its pieces by numbers that a list below
it explains, and what is left. A number stands where its piece is widest, clear of every line.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from formgen.geometry.distance import distances_mm
from formgen.geometry.outline import Point
from formgen.lengths import Units, write_length
from formgen.outputs.svg import Svg, picture, run, tag, text
from formgen.sheets.model import CutSheet, Placement, Sheets
from formgen.verdict import MARK

#: Width of a sheet on the paper, white between sheets, height of a line of text (mm).
WIDE, GAP, LINE = 170.0, 6.0, 4.0
#: Sizes of letters in the list and of numbers in the pieces (mm), and columns of the list.
LISTED, NUMBER, COLUMNS = 2.5, 2.6, 4
INK, BOARD, CUT, REST = "#33302a", "#efe6d2", "#cdb389", "#dfe8d8"


def sheets_svg(sheets: Sheets) -> Svg:
    """The picture, as SVG text; y runs up on a sheet and down on the paper."""
    longest = max((sheet.stock.length_mm for sheet in sheets.sheets), default=1.0)
    scale = WIDE / longest
    shown: list[Svg] = []
    top = GAP
    for sheet in sheets.sheets:
        high = sheet.stock.width_mm * scale
        shown.append(tag("g", *_sheet(sheet, scale, sheets.units), transform=f"translate({GAP:.2f} {top:.2f})"))
        top += high + LINE * (1 + _rows(sheet) + len(_marked(sheet))) + GAP
    said = f"{len(sheets.sheets)} sheets with their pieces"
    return picture(WIDE + 2 * GAP, top, said, *shown, font_family="sans-serif", fill=INK)


def _sheet(sheet: CutSheet, scale: float, units: Units) -> Iterator[Svg]:
    stock = sheet.stock
    wide, high = stock.length_mm * scale, stock.width_mm * scale
    board = f"{'offcut of ' if stock.offcut else ''}{stock.board}"
    size = f"{write_length(stock.length_mm, units)} × {write_length(stock.width_mm, units)}"
    title = f"{sheet.number}: {board}, {size}, {100 * sheet.usage:.0f} % used"
    yield text(None, LINE * 0.75, title, LINE * 0.8)
    yield tag(
        "g",
        tag("rect", width=wide, height=high, fill=BOARD),
        *_on_board(sheet, scale),
        transform=f"translate(0 {LINE:.2f})",
        stroke=INK,
        stroke_width="0.15",
    )
    rows = _rows(sheet)
    for number, p in enumerate(sheet.placements, 1):
        column, row = divmod(number - 1, rows)
        yield text(column * WIDE / COLUMNS, LINE * (row + 1.8) + high, f"{number}: {p.part.name}", LISTED)
    for row, form in enumerate(_marked(sheet), rows):
        yield text(None, LINE * (row + 1.8) + high, f"{MARK}: {form}", LISTED, font_weight="bold")


def _on_board(sheet: CutSheet, scale: float) -> Iterator[Svg]:
    """List what is left, pieces, and their numbers."""
    across_mm = sheet.stock.width_mm
    for rest in sheet.rests:
        yield tag(
            "rect",
            x=rest.x_mm * scale,
            y=(across_mm - rest.y_mm - rest.width_mm) * scale,
            width=rest.length_mm * scale,
            height=rest.width_mm * scale,
            fill=REST,
            stroke_dasharray="1 1",
        )
    for p in sheet.placements:
        rings = [p.outline, *(opening.outline for opening in p.piece.openings)]
        edges = [[(x * scale, (across_mm - y) * scale) for x, y in ring.flattened(0.1 / scale)] for ring in rings]
        path = " ".join(run(edge, closed=True) for edge in edges)
        yield tag("path", fill=CUT, fill_rule="evenodd", d=path)
    for number, p in enumerate(sheet.placements, 1):
        x, y = _clearest(p)
        at = x * scale, (across_mm - y) * scale + 0.36 * NUMBER
        yield text(*at, str(number), NUMBER, text_anchor="middle", stroke="none")


def _marked(sheet: CutSheet) -> list[str]:
    """Forms of which pieces lie on the sheet and on which nothing must be pressed."""
    return list(dict.fromkeys(p.part.form for p in sheet.placements if p.part.problems))


def _rows(sheet: CutSheet) -> int:
    return -(-len(sheet.placements) // COLUMNS)


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
    clear = np.min([distances_mm(np.array(points), ring.edges) for ring in rings], axis=0)
    return points[int(np.argmax(np.round(clear, 3)))]
