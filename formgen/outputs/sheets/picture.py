"""Stage `outputs`: pictures of the sheets with their pieces: for the cut list, the building page, and the wall.

In: `Sheets`. Out: a figure of one sheet for a page, and an SVG file that prints two sheets to a page. Pieces have
numbers, which a list beside the figure explains; forms are told apart by their hatching; the router's origin, its x and
what is worth keeping are marked. A number stands where its piece is widest, clear of every line.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from formgen.drafting.paper import CAPITAL, HEAD_MM, MARGIN_MM, SIZES_MM, TEXT_MM
from formgen.fixed import fixed
from formgen.geometry.distance import distances_mm
from formgen.geometry.outline import Point
from formgen.lengths import Units, write_length
from formgen.outputs.html.look import look
from formgen.outputs.svg import Svg, picture, run, tag, text
from formgen.sheets.model import CutSheet, Placement, Sheets
from formgen.verdict import MARK

#: Width of a figure with its margins, and margins left of the sheet and below it for origin and arrows (mm).
WIDE, BESIDE, BELOW = 118.0, 8.0, 9.0
#: Size of letters whose capitals are 2.5 mm and 3.5 mm high.
LETTERS, HEADS = TEXT_MM / CAPITAL, HEAD_MM / CAPITAL
#: Length of an axis with its arrow (mm), pitch of lines in lists (mm), columns of a list on the wall, sheets to a page.
AXIS, PITCH, COLUMNS, TO_A_PAGE = 16.0, 4.6, 4, 2
#: Hatchings: angle and strokes in a cell 3 mm wide; the first form on a sheet has none.
CELL = 3.0
HATCHES: tuple[tuple[int, str], ...] = (
    (45, "M0 0V3"), (135, "M0 0V3"), (0, "M0 0V3"), (90, "M0 0V3"), (45, "M0 0V3M0 0H3"), (0, "M0 0V3M0 0H3"),
    (0, "M.7 1.5H2.3"), (90, "M.7 1.5H2.3"), (45, "M0 0V3M1 0V3"),
)  # fmt: skip


@fixed
class Group:
    """Pieces of one form on a sheet.

    Args:
        form: its name.
        hatch: name of its hatching; empty for the form without any.
        pieces: number on the sheet and name of each.
        marked: nothing must be pressed on the form.
    """

    form: str
    hatch: str
    pieces: tuple[tuple[int, str], ...]
    marked: bool

    @property
    def swatch(self) -> Svg:
        """A sample of the form's hatching."""
        sample = tag("g", self.sample(11.0, 6.0), transform="translate(0.5 0.5)")
        return tag("svg", sample, class_="sheet swatch", viewBox="0 0 12 7", aria_hidden="true")

    def sample(self, wide: float, high: float) -> Svg:
        """A field of the hatching."""
        cell = tag("rect", class_="piece", width=wide, height=high)
        if not self.hatch:
            return cell
        over = tag("rect", class_="hatch", fill=f"url(#{self.hatch})", width=wide, height=high)
        return tag("g", cell, over)


def groups_of(sheet: CutSheet) -> tuple[Group, ...]:
    """The forms whose pieces lie on a sheet, in the order of their first pieces."""
    numbered = list(enumerate(sheet.placements, 1))
    forms = list(dict.fromkeys(p.part.form for p in sheet.placements))
    return tuple(
        Group(
            form=form,
            hatch=f"s{sheet.number}h{(i - 1) % len(HATCHES)}" if i else "",
            pieces=tuple((number, p.piece.name) for number, p in numbered if p.part.form == form),
            marked=any(p.part.problems for p in sheet.placements if p.part.form == form),
        )
        for i, form in enumerate(forms)
    )


def sheet_figure(sheet: CutSheet, units: Units) -> Svg:
    """One sheet for a page: no list, which the page has beside it."""
    scale = (WIDE - BESIDE - 1.0) / sheet.stock.length_mm
    high = sheet.stock.width_mm * scale + BELOW + 1.0
    said = f"Sheet {sheet.number} with {len(sheet.placements)} pieces"
    drawn = _figure(sheet, scale, units)
    box = f"0 0 {WIDE:.0f} {high:.1f}"
    return tag("svg", *drawn, class_="sheet", viewBox=box, role="img", aria_label=said)


def sheets_svg(sheets: Sheets) -> Svg:
    """The file for the wall: pages one below the other, two sheets on each."""
    wide, high = SIZES_MM["letter" if sheets.units == "in" else "A4"]
    shown: list[Svg] = []
    half = (high - 2 * MARGIN_MM) / TO_A_PAGE
    for i, sheet in enumerate(sheets.sheets):
        page, place = divmod(i, TO_A_PAGE)
        top = page * high + MARGIN_MM + place * half
        at = f"translate({MARGIN_MM:.2f} {top:.2f})"
        inside = _with_list(sheets, sheet, wide - 2 * MARGIN_MM, half - 6.0)
        shown.append(tag("g", *inside, transform=at))
    pages = -(-len(sheets.sheets) // TO_A_PAGE)
    style = tag("style", look() + f"@page {{ size: {wide:.1f}mm {high:.1f}mm; margin: 0; }}")
    ground = tag("rect", class_="ground", width=wide, height=max(pages, 1) * high)
    said = f"{len(sheets.sheets)} sheets with their pieces"
    return picture(wide, max(pages, 1) * high, said, style, ground, *shown, class_="sheet")


def _with_list(sheets: Sheets, sheet: CutSheet, wide: float, high: float) -> Iterator[Svg]:
    """Head, figure and list in so much room (mm)."""
    stock, groups = sheet.stock, groups_of(sheet)
    board = f"{'offcut of ' if stock.offcut else ''}{stock.board}"
    yield text(0.0, HEADS, f"{sheet.number} of {len(sheets.sheets)}: {board}", HEADS)
    used = f"{100 * sheet.usage:.0f} % becomes pieces"
    yield text(wide, HEADS, used, LETTERS, text_anchor="end")
    lines = list(_lines(groups))
    rows = -(-len(lines) // COLUMNS)
    room = high - HEADS - 4.0 - BELOW - rows * PITCH
    scale = min((wide - BESIDE) / stock.length_mm, room / stock.width_mm)
    yield tag("g", *_figure(sheet, scale, sheets.units), transform=f"translate(0 {HEADS + 4.0:.2f})")
    foot = HEADS + 4.0 + stock.width_mm * scale + BELOW + PITCH
    for i, (said, group) in enumerate(lines):
        column, row = divmod(i, rows)
        x, y = column * wide / COLUMNS, foot + row * PITCH
        if group is not None:
            yield tag("g", group.sample(7.0, TEXT_MM + 0.6), transform=f"translate({x:.2f} {y - TEXT_MM:.2f})")
            x += 9.0
        yield text(x, y, said, LETTERS, font_weight=None if group is None else "bold")


def _lines(groups: Sequence[Group]) -> Iterator[tuple[str, Group | None]]:
    """Lines of a list: each form with its sample and the mark where it has one, its pieces."""
    for group in groups:
        yield (f"{MARK}: {group.form}" if group.marked else group.form), group
        yield from ((f"{number}: {group.form} {name}", None) for number, name in group.pieces)


def _figure(sheet: CutSheet, scale: float, units: Units) -> Iterator[Svg]:
    """The sheet right of and above its axes."""
    stock = sheet.stock
    wide, high = stock.length_mm * scale, stock.width_mm * scale
    groups = groups_of(sheet)
    if any(group.hatch for group in groups):
        yield tag("defs", *(_pattern(group.hatch) for group in groups if group.hatch))
    yield tag(
        "g",
        tag("rect", class_="board", width=wide, height=high),
        *_on_board(sheet, scale, groups),
        transform=f"translate({BESIDE:.2f} 0.5)",
    )
    yield from _axes(high + 0.5)
    size = f"{write_length(stock.length_mm, units)} × {write_length(stock.width_mm, units)}"
    yield text(BESIDE + wide, high + BELOW - 1.5, size, LETTERS, text_anchor="end")


def _axes(foot: float) -> Iterator[Svg]:
    """The router's origin at the lower left corner, x along the sheet and y across it."""
    x, y = BESIDE, foot
    head = 1.6
    yield tag("circle", class_="line", cx=x, cy=y, r=1.6)
    lines = f"M{x:.2f} {y + 4:.2f}H{x + AXIS:.2f}M{x - 4:.2f} {y:.2f}V{y - AXIS:.2f}"
    arrows = (
        f"M{x + AXIS - head:.2f} {y + 4 - head / 2:.2f}l{head} {head / 2}l{-head} {head / 2}"
        f"M{x - 4 - head / 2:.2f} {y - AXIS + head:.2f}l{head / 2} {-head}l{head / 2} {head}"
    )
    yield tag("path", class_="line", d=lines + arrows)
    yield text(x + AXIS + 1.5, y + 5.2, "x", LETTERS)
    yield text(x - 5.2, y - AXIS - 1.5, "y", LETTERS)
    yield text(x - 6.0, y + 5.4, "0", LETTERS)


def _pattern(name: str) -> Svg:
    angle, strokes = HATCHES[int(name.split("h")[1])]
    turn = f"rotate({angle})" if angle else None
    stroke = tag("path", class_="strokes", d=strokes)
    return tag(
        "pattern", stroke, id=name, patternUnits="userSpaceOnUse", width=CELL, height=CELL, patternTransform=turn
    )


def _on_board(sheet: CutSheet, scale: float, groups: Sequence[Group]) -> Iterator[Svg]:
    """List what is left, pieces with their hatching, and their numbers."""
    across_mm = sheet.stock.width_mm
    for rest in sheet.rests:
        x, y = rest.x_mm * scale, (across_mm - rest.y_mm - rest.width_mm) * scale
        wide, high = rest.length_mm * scale, rest.width_mm * scale
        yield tag("rect", class_="rest", x=x, y=y, width=wide, height=high)
        if wide > 16.0 and high > 5.0:
            yield text(x + wide / 2, y + high / 2 + TEXT_MM / 2, "offcut", LETTERS, text_anchor="middle")
    hatches = {number: group.hatch for group in groups for number, _ in group.pieces}
    for number, p in enumerate(sheet.placements, 1):
        rings = [p.outline, *(opening.outline for opening in p.piece.openings)]
        edges = [[(x * scale, (across_mm - y) * scale) for x, y in ring.flattened(0.1 / scale)] for ring in rings]
        path = " ".join(run(edge, closed=True) for edge in edges)
        yield tag("path", class_="piece", fill_rule="evenodd", d=path)
        if hatches[number]:
            yield tag("path", class_="hatch", fill=f"url(#{hatches[number]})", d=path, clip_rule="evenodd")
    for number, p in enumerate(sheet.placements, 1):
        x, y = _clearest(p)
        at = x * scale, (across_mm - y) * scale
        if hatches[number]:
            yield tag("circle", class_="blank", cx=at[0], cy=at[1], r=0.62 * LETTERS * (1 if number < 10 else 1.3))
        yield text(at[0], at[1] + TEXT_MM / 2, str(number), LETTERS, text_anchor="middle")


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
