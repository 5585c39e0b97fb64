"""Stage `outputs`: the sheet map for the wall beside the router: all sheets with the lists of their pieces, on pages.

In: `Sheets`. Out: one SVG file, in mm of paper, its pages one below the other; each fits A4 and letter, and a browser
prints them page by page. All sheets have one scale. It holds its look in itself and is dark on a dark screen.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Mapping

from formgen.drafting.paper import FINE_MM, HEAD_MM, TEXT_MM, THICK_MM
from formgen.fixed import fixed
from formgen.lengths import Units, write_fine, write_sizes
from formgen.outputs.html.look import look
from formgen.outputs.html.paint import LETTERED, alone, paint
from formgen.outputs.sheets.hatches import hatches_of, sample
from formgen.outputs.sheets.picture import ASIDE, RIM, grouped, rest_text, sheet_drawing
from formgen.outputs.svg import CAPITAL, Attribute, Svg, tag, text
from formgen.sheets.model import CutSheet, Sheets
from formgen.verdict import MARK

#: Each page is as wide as A4 and not as high as letter (mm); its margin, and the room for its head.
PAGE, MARGIN, TOP = (210.0, 279.0), 12.0, 8.0
WIDE, HIGH = PAGE[0] - 2 * MARGIN, PAGE[1] - 2 * MARGIN - TOP
#: A line of the list, its columns, letters on a line of a column, and the width of a sample of a hatch (mm).
LINE, COLUMNS, LETTERS, SAMPLE = 4.6, 3, 26, 6.0
#: What stands before the sizes of what is left.
KEEP = "keep"
#: Head of a sheet, and white below its list (mm).
HEAD, GAP = 7.0, 7.0


@fixed
class _Block:
    """A sheet on the paper: its picture, lines of its list (form or none, text) in columns, and the height of all."""

    sheet: CutSheet
    picture_mm: float
    rows: int
    lines: tuple[tuple[str, str], ...]

    @property
    def high_mm(self) -> float:
        """Height of all, the white below it included."""
        return HEAD + self.picture_mm + self.rows * LINE + GAP


def sheets_svg(sheets: Sheets) -> Svg:
    """The file, as SVG text."""
    hatches = hatches_of(sheets)
    lists = [tuple(_lines(sheet, sheets.units)) for sheet in sheets.sheets]
    rows = [-(-len(lines) // COLUMNS) for lines in lists]
    scale = min(
        [(WIDE - ASIDE - RIM) / max((s.stock.length_mm for s in sheets.sheets), default=1.0)]
        + [
            max(HIGH - HEAD - GAP - ASIDE - RIM - count * LINE, HIGH / 4) / sheet.stock.width_mm
            for sheet, count in zip(sheets.sheets, rows, strict=True)
        ]
    )
    blocks = [
        _Block(sheet=sheet, picture_mm=sheet.stock.width_mm * scale + ASIDE + RIM, rows=count, lines=lines)
        for sheet, count, lines in zip(sheets.sheets, rows, lists, strict=True)
    ]
    pages = list(_paged(blocks))
    shown: list[Svg] = []
    for number, page in enumerate(pages):
        at = f"translate({MARGIN:g} {number * PAGE[1] + MARGIN:g})"
        shown.append(tag("g", *_page(sheets, page, f"{number + 1} of {len(pages)}", scale, hatches), transform=at))
    style = f"{look()}@page {{ size: {PAGE[0]:g}mm {PAGE[1]:g}mm; margin: 0; }}\n"
    said = f"{len(sheets.sheets)} sheets with their pieces"
    return alone(PAGE[0], max(len(pages), 1) * PAGE[1], said, style, tag("g", *shown, **LETTERED))


def _paged(blocks: list[_Block]) -> Iterator[list[_Block]]:
    """Fill pages with blocks in order, each as long as they fit; one that is higher than a page has one of its own."""
    page: list[_Block] = []
    for block in blocks:
        if page and sum(b.high_mm for b in page) + block.high_mm - GAP > HIGH:
            yield page
            page = []
        page.append(block)
    if page:
        yield page


def _page(sheets: Sheets, blocks: list[_Block], number: str, scale: float, hatches: Mapping[str, int]) -> Iterator[Svg]:
    """The head of a page, and its sheets from the top down."""
    size = TEXT_MM / CAPITAL
    boards = ", ".join(dict.fromkeys(sheet.stock.board for sheet in sheets.sheets))
    head = f"Sheets: {len(sheets.sheets)} of {boards}, cutter {write_fine(sheets.rules.cutter_mm, sheets.units)}"
    yield text(0.0, TEXT_MM, head, size)
    yield text(WIDE, TEXT_MM, number, size, text_anchor="end")
    yield tag("path", d=f"M0 {TOP - 3:g}H{WIDE:g}", stroke_width=THICK_MM, **paint(stroke="ink"))
    down = TOP
    for block in blocks:
        yield tag("g", *_sheet(block, sheets, scale, hatches), transform=f"translate(0 {down:.2f})")
        down += block.high_mm


def _sheet(block: _Block, sheets: Sheets, scale: float, hatches: Mapping[str, int]) -> Iterator[Svg]:
    sheet, stock = block.sheet, block.sheet.stock
    size = write_sizes((stock.length_mm, stock.width_mm), sheets.units)
    title = f"{sheet.number} of {len(sheets.sheets)}: {'offcut of ' if stock.offcut else ''}{stock.board}, {size}"
    yield text(0.0, HEAD_MM + 0.5, title, HEAD_MM / CAPITAL, font_weight="bold")
    used = f"{100 * sheet.usage:.0f} % used"
    yield text(WIDE, HEAD_MM + 0.5, used, FINE_MM / CAPITAL, text_anchor="end", **paint(fill="soft"))
    yield tag("g", *sheet_drawing(sheet, scale, hatches, sheets.units), transform=f"translate(0 {HEAD:g})")
    base = HEAD + block.picture_mm + LINE - 1.2
    for i, (form, said) in enumerate(block.lines):
        column, row = divmod(i, block.rows)
        x, y = column * WIDE / COLUMNS, base + row * LINE
        place: dict[str, Attribute] = {"x": x, "y": y - TEXT_MM - 0.3, "width": SAMPLE - 1.5, "height": TEXT_MM + 0.6}
        if form or said.startswith(KEEP):
            yield sample(hatches.get(form), SAMPLE - 1.5, TEXT_MM + 0.6, **place)
        bold = "bold" if said.startswith(MARK) else None
        yield text(x + SAMPLE, y, said, TEXT_MM / CAPITAL, font_weight=bold)


def _lines(sheet: CutSheet, units: Units) -> Iterator[tuple[str, str]]:
    """The list of pieces by form, and what is to be kept: the form whose hatch a line begins with, and its words."""
    for form, pieces in grouped(sheet).items():
        named = [f"{number}\u00a0{placed.part.piece.name}" for number, placed in pieces]  # no line ends between the two
        said = f"{form}: {', '.join(named)}"
        for i, line in enumerate(textwrap.wrap(said, LETTERS, break_on_hyphens=False)):
            yield ("" if i else form, line)
        if pieces[0][1].part.problems:
            yield "", f"{MARK}: {form}"
    for rest in sheet.rests:
        yield "", f"{KEEP} {rest_text(rest, units)}"
