"""Stage `reports`: the gauge page: the finished part on its base line, and a table to fill in with a tape.

In: a Form. Out: `gauge.pdf`, one page. The heights come from `curve/ordinates.py`; here they are only written down.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from formgen.curve.ordinates import Height, Ordinates, ordinates
from formgen.holding.model import Holding
from formgen.lengths import Units, write_length
from formgen.reports.gauge_drawing import draw_part, framed, part_outline
from formgen.reports.page_text import fitting, showable
from formgen.reports.paper import THICK_MM, THIN_MM, new_pdf, text_width_mm
from formgen.reports.press_sheet import MARGIN_MM, draw, paper_mm
from formgen.reports.press_sheet_items import Write
from formgen.reports.press_sheet_laid import Laid, Rule, Word, paragraph, stacked
from formgen.reports.stamp import stamp

#: Most of the page's height that the drawing may take.
DRAWING_SHARE = 0.35
#: Widths of the columns without their blanks: number, from A, height, play (mm).
NUMBER_MM, FROM_MM, HEIGHT_MM, PLAY_MM = 9.0, 25.0, 26.0, 18.0
#: Highest and least high row (mm).
ROW_MM = (8.5, 4.2)
#: A face that leans so that its play is so many times the tolerance is too steep for an upright reading.
STEEP = 4.0
#: A part that reaches past A and B by more than so many thicknesses bulges.
BULGE = 1.5


def gauge_page(form: Holding) -> bytes:
    """The page."""
    arch = form.pressing.laminate.arch
    asked = arch.recipe.asked
    width, height = paper_mm(form)
    wide = width - 2.0 * MARGIN_MM
    found = ordinates(arch)
    head = _head(form, found, wide)
    top = height - MARGIN_MM - head.height_mm
    frame = framed(found, MARGIN_MM, top, wide, DRAWING_SHARE * height)
    room = top - frame.height_mm - MARGIN_MM - 8.0
    table = _table(found, asked.units, wide, room)
    with new_pdf(width, height, showable(f"{asked.name}: check gauge")) as pdf:
        draw(pdf.canvas, head.moved(MARGIN_MM, MARGIN_MM), height)
        draw_part(pdf.canvas, found, frame)
        scale = Word(x_mm=0.0, y_mm=0.0, text=f"Drawn 1 : {frame.scale:g}", capital_mm=2.0)
        below = MARGIN_MM + head.height_mm + frame.height_mm + 5.0
        draw(pdf.canvas, Laid(height_mm=0.0, words=(scale,)).moved(MARGIN_MM, below), height)
        draw(pdf.canvas, table.moved(MARGIN_MM, below + 3.0), height)
    return pdf.content


def base_text(found: Ordinates, units: Units) -> str:
    """What A and B are, in words."""
    on = {"inside": "inside face", "outside": "outside face", "centre": "centre line"}[found.measured_on]
    if found.base == "springing line":
        legs = (found.springing_mm[0], found.centre.length_mm - found.springing_mm[1])
        if min(legs) > 0.0:
            up = " and ".join(dict.fromkeys(write_length(leg, units) for leg in legs))
            return f"A and B are the springing points on the {on}, {up} up the legs from their ends"
        return f"A and B are the springing points: the ends of the {on}"
    if found.measured_on == "centre":
        return "A and B are the middles of the ends; the base line is the chord between them"
    cut = ", where the saw cut leans" if any(found.mitre_rad) else ""
    return f"A and B are the ends of the {on}{cut}; the base line is the chord between them"


def _head(form: Holding, found: Ordinates, width_mm: float) -> Laid:
    """Name, blanks, and how to measure."""
    asked = form.pressing.laminate.arch.recipe.asked
    units, name, day = asked.units, showable(asked.name), "check gauge"
    capital, face = fitting(name, 0.6 * width_mm, (5.0, 4.2, 3.5, 2.5, 1.8))
    title = Laid(
        height_mm=6.2,
        words=(
            Word(x_mm=0.0, y_mm=5.0, text=name, capital_mm=capital, face=face),
            Word(x_mm=width_mm - text_width_mm(day, 5.0), y_mm=5.0, text=day, capital_mm=5.0),
        ),
    )
    to = "1/64 in" if units == "in" else "0.1 mm"
    tolerance = write_length(found.tolerance_mm, units)
    point = " A is at the point." if form.pressing.laminate.arch.copies > 1 else ""
    how = (
        f"Lay the finished part on its edge as drawn; its inside is the lower face. {base_text(found, units)}: join "
        f"them with a straight edge.{point} Hook the tape at A and mark the stations; measure square to the line to "
        f"both faces, minus where a face lies below it. The faces may be {tolerance} off, square to themselves; ± is "
        "what that makes of a reading. Where it says steep, the distance across is the better check. "
        f"Lengths to the nearest {to}. {_board_text(found)}"
    )
    rule = Rule(x0_mm=0.0, y0_mm=0.0, x1_mm=width_mm, y1_mm=0.0, width_mm=THICK_MM)
    blanks = Write(labels=("Day", "By", "Part no.")).laid(width_mm, 2.5)
    return stacked(
        [*stamp(form, width_mm), title, blanks, Laid(height_mm=0.5, rules=(rule,)), paragraph(how, width_mm, 2.2)], 1.2
    )


def _board_text(found: Ordinates) -> str:
    """What the gauge plate is good for: all that the tape does, and what bulges out past A and B, too."""
    x0, _, x1, _ = part_outline(found).bounds
    past = max(-x0, x1 - found.span_mm) > BULGE * found.thickness_mm
    more = ", and is the check for what lies past A and B" if past else ""
    return f"A board cut to gauge.dxf shows the same at a glance{more}."


def _table(found: Ordinates, units: Units, width_mm: float, room_mm: float) -> Laid:
    """A row for each station and each distance across, each with places to write."""
    blank = (width_mm - NUMBER_MM - FROM_MM - 2.0 * (HEIGHT_MM + PLAY_MM)) / 2.0
    widths = (NUMBER_MM, FROM_MM, HEIGHT_MM, PLAY_MM, blank, HEIGHT_MM, PLAY_MM, blank)
    edges = [sum(widths[:i]) for i in range(len(widths) + 1)]
    rows = [*_rows(found, units)]
    across = [*_across(found, units)]
    heads = ("", "from A", "inside", "±", "found", "outside", "±", "found")
    row_mm = max(ROW_MM[1], min(ROW_MM[0], room_mm / (len(rows) + len(across) + 1.8)))
    capital = min(2.5, 0.42 * row_mm)
    small = 0.9 * capital
    words = [_cell(text, edges[i], 0.0, row_mm, small) for i, text in enumerate(heads) if text]
    down = row_mm
    rules = [_level(0.0, width_mm, down, THICK_MM)]
    for row in rows:
        words += [_cell(text, edges[i], down, row_mm, capital) for i, text in row]
        down += row_mm
        rules.append(_level(0.0, width_mm, down, THIN_MM))
    rules += [Rule(x0_mm=x, y0_mm=row_mm, x1_mm=x, y1_mm=down) for x in edges]
    begin = down + 0.6 * row_mm
    down = begin
    rules.append(_level(0.0, width_mm, down, THIN_MM))
    for what, row in across:
        place, face = fitting(showable(what), edges[2] - 2.0, (small, 0.85 * small, 0.7 * small))
        words.append(
            Word(x_mm=1.0, y_mm=down + (row_mm + place) / 2.0, text=showable(what), capital_mm=place, face=face)
        )
        words += [_cell(text, edges[i], down, row_mm, capital) for i, text in row]
        down += row_mm
        rules.append(_level(0.0, width_mm, down, THIN_MM))
    rules += [Rule(x0_mm=x, y0_mm=begin, x1_mm=x, y1_mm=down) for x in (edges[0], *edges[2:])]
    return Laid(height_mm=down, words=tuple(words), rules=tuple(rules))


def _rows(found: Ordinates, units: Units) -> Iterable[Sequence[tuple[int, str]]]:
    """Cells of the stations, by their column."""
    for number, row in enumerate(found.rows, start=1):
        cells = [(0, str(number)), (1, write_length(row.from_a_mm, units))]
        for column, height in ((2, row.inside), (5, row.outside)):
            cells += [(column + i, text) for i, text in enumerate(_height(height, found.tolerance_mm, units)) if text]
        yield cells


def _height(height: Height | None, tolerance_mm: float, units: Units) -> tuple[str, str]:
    if height is None:
        return "–", ""
    steep = not math.isfinite(height.play_mm) or height.play_mm > STEEP * tolerance_mm
    return write_length(height.height_mm, units), "steep" if steep else write_length(height.play_mm, units)


def _across(found: Ordinates, units: Units) -> Iterable[tuple[str, Sequence[tuple[int, str]]]]:
    """Cells of the distances across: the ends of both faces."""
    tolerance = write_length(found.tolerance_mm, units)
    for across in found.across:
        inside, outside = (write_length(mm, units) for mm in (across.inside_mm, across.outside_mm))
        yield f"across the {across.where}", ((2, inside), (3, tolerance), (5, outside), (6, tolerance))


def _cell(text: str, x_mm: float, y_mm: float, row_mm: float, capital_mm: float) -> Word:
    return Word(x_mm=x_mm + 1.2, y_mm=y_mm + (row_mm + capital_mm) / 2.0, text=showable(text), capital_mm=capital_mm)


def _level(x0_mm: float, x1_mm: float, y_mm: float, width_mm: float) -> Rule:
    return Rule(x0_mm=x0_mm, y0_mm=y_mm, x1_mm=x1_mm, y1_mm=y_mm, width_mm=width_mm)
