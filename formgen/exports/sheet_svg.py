"""Stage `exports`: a picture of the sheets with their pieces, for the wall beside the router.

In: `Sheets`. Out: one SVG file, all sheets to one scale, each with its number, its pieces by name, and what is left.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape

from formgen.curve.outline import Outline, Point
from formgen.sheets.model import CutSheet, Placement, Sheets

#: Width of a sheet on the paper, white between sheets, height of a line of text (mm).
WIDE, GAP, LINE = 170.0, 6.0, 4.0
INK, BOARD, CUT, REST = "#33302a", "#efe6d2", "#cdb389", "#dfe8d8"


def sheets_svg(sheets: Sheets) -> str:
    """The picture, as SVG text; y runs up on a sheet and down on the paper."""
    longest = max((sheet.stock.length_mm for sheet in sheets.sheets), default=1.0)
    scale = WIDE / longest
    lines: list[str] = []
    top = GAP
    for sheet in sheets.sheets:
        high = sheet.stock.width_mm * scale
        lines += [f'<g transform="translate({GAP:.2f} {top:.2f})">', *_sheet(sheet, scale), "</g>"]
        top += high + LINE + GAP
    wide = WIDE + 2 * GAP
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide:.2f} {top:.2f}" width="{wide:.2f}mm" '
        f'height="{top:.2f}mm" role="img" aria-label="{len(sheets.sheets)} sheets with their pieces" '
        f'font-family="sans-serif" fill="{INK}">'
    )
    return "\n".join([head, *lines, "</svg>", ""])


def _sheet(sheet: CutSheet, scale: float) -> Iterator[str]:
    stock = sheet.stock
    wide, high = stock.length_mm * scale, stock.width_mm * scale
    board = f"{'offcut of ' if stock.offcut else ''}{stock.board}"
    title = f"{sheet.number}: {board}, {stock.length_mm:.0f} × {stock.width_mm:.0f} mm, {100 * sheet.usage:.0f} % used"
    yield f'<text y="{LINE * 0.75:.2f}" font-size="{LINE * 0.8:.2f}">{escape(title)}</text>'
    yield f'<g transform="translate(0 {LINE:.2f})" stroke="{INK}" stroke-width="0.15">'
    yield f'<rect width="{wide:.2f}" height="{high:.2f}" fill="{BOARD}"/>'
    for rest in sheet.rests:
        y = (stock.width_mm - rest.y_mm - rest.width_mm) * scale
        size = f'width="{rest.length_mm * scale:.2f}" height="{rest.width_mm * scale:.2f}"'
        yield f'<rect x="{rest.x_mm * scale:.2f}" y="{y:.2f}" {size} fill="{REST}" stroke-dasharray="1 1"/>'
    for p in sheet.placements:
        yield from _piece(p, stock.width_mm, scale)
    yield "</g>"


def _piece(p: Placement, high_mm: float, scale: float) -> Iterator[str]:
    rings = [p.outline, *(opening.outline for opening in p.piece.openings)]
    path = " ".join(_path(ring, high_mm, scale) for ring in rings)
    yield f'<path fill="{CUT}" fill-rule="evenodd" d="{path}"/>'
    x, y = _inside(p.outline)
    yield (
        f'<text x="{x * scale:.2f}" y="{(high_mm - y) * scale:.2f}" font-size="2.4" text-anchor="middle" '
        f'stroke="none">{escape(p.part.name)}</text>'
    )


def _path(outline: Outline, high_mm: float, scale: float) -> str:
    points: Sequence[Point] = outline.flattened(0.1 / scale)
    return "M" + "L".join(f"{x * scale:.2f} {(high_mm - y) * scale:.2f}" for x, y in points) + "Z"


def _inside(outline: Outline) -> Point:
    """Middle of the longest stretch inside the outline along x, of nine heights."""
    x0, y0, _, y1 = outline.bounds
    best = (0.0, (x0, y0))
    for i in range(1, 10):
        y = y0 + (y1 - y0) * i / 10
        for a, b in outline.chords((0.0, y), 1.0, 0.0):
            if b - a > best[0] + 1e-6:
                best = (b - a, ((a + b) / 2, y))
    return best[1]
