"""Stage `reports`: the gauge page: the finished part on its base line, and a table to fill in with a tape.

In: a Form. Out: `gauge.pdf`, a page for each opening. What is read, in which order, says `curve/readings.py`;
here it is only written down.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from formgen.curve.ordinates import Ordinates
from formgen.curve.readings import Reading
from formgen.drafting.paper import MARGIN_MM, THICK_MM, THIN_MM, begin_page, new_pdf, text_width_mm
from formgen.drafting.text import fitting, showable
from formgen.holding.model import Holding
from formgen.lengths import Units, write_length
from formgen.makes.model import Made
from formgen.reports.gauge.drawing import draw_part, framed, part_outline
from formgen.reports.press_sheet.flow import draw
from formgen.reports.press_sheet.items import Write
from formgen.reports.press_sheet.laid import Laid, Rule, Word, paragraph, stacked
from formgen.reports.press_sheet.page import paper_mm
from formgen.reports.rows.makes import by_face, code_text, is_shared, reading_text, within_text
from formgen.reports.rows.makes_table import openings_pages
from formgen.reports.stamp import stamp

#: Most of the page's height that the drawing may take.
DRAWING_SHARE = 0.35
#: Widths of the columns without their blanks: number, from A, height, play (mm).
NUMBER_MM, FROM_MM, HEIGHT_MM, PLAY_MM = 9.0, 25.0, 26.0, 18.0
#: Highest and least high row (mm).
ROW_MM = (8.5, 4.2)
#: A face that leans so that its play is so many times the tolerance is too steep for an upright reading.
STEEP = 4.0
#: Over the columns of both faces.
_FACES = ("inside", "±", "found", "outside", "±", "found")
#: A part that reaches past A and B by more than so many thicknesses bulges.
BULGE = 1.5


def gauge_page(form: Holding) -> bytes:
    """The page; of a form for several openings a list of them, and a page for each."""
    asked = form.recipe.asked
    size = paper_mm(form)
    with new_pdf(*size, showable(f"{asked.name}: check gauge")) as pdf:
        if is_shared(form):
            _draw_list(pdf.canvas, form, size)
        for number, part in enumerate(form.makes):
            if number or is_shared(form):
                pdf.canvas.showPage()
                begin_page(pdf.canvas)
            _draw_gauge(pdf.canvas, form, part, size)
    return pdf.content


def _draw_list(canvas: Any, form: Holding, size_mm: tuple[float, float]) -> None:
    """The openings, and what is read on each at release."""
    name = form.recipe.name
    wide = size_mm[0] - 2.0 * MARGIN_MM
    rule = Rule(x0_mm=0.0, y0_mm=0.0, x1_mm=wide, y1_mm=0.0, width_mm=THICK_MM)
    head = stacked([*stamp(form, wide), _title(name, code_text(form), wide), Laid(height_mm=0.5, rules=(rule,))], 1.5)
    room = size_mm[1] - 2.0 * MARGIN_MM - head.height_mm - 3.0
    for number, page in enumerate(openings_pages(form, wide, room)):
        if number:
            canvas.showPage()
            begin_page(canvas)
        draw(canvas, stacked([head, page], 3.0).moved(MARGIN_MM, MARGIN_MM), size_mm[1])


def _draw_gauge(canvas: Any, form: Holding, part: Made, size_mm: tuple[float, float]) -> None:
    """One part: its drawing and its table."""
    width, height = size_mm
    wide, found = width - 2.0 * MARGIN_MM, part.gauge
    units = part.recipe.units
    head = _head(form, part, wide)
    top = height - MARGIN_MM - head.height_mm
    frame = framed(found, MARGIN_MM, top, wide, DRAWING_SHARE * height)
    room = top - frame.height_mm - MARGIN_MM - 8.0
    table = _table(part, units, wide, room)
    draw(canvas, head.moved(MARGIN_MM, MARGIN_MM), height)
    draw_part(canvas, found, frame)
    scale = Word(x_mm=0.0, y_mm=0.0, text=f"Drawn 1 : {frame.scale:g}", capital_mm=2.0)
    below = MARGIN_MM + head.height_mm + frame.height_mm + 5.0
    draw(canvas, Laid(height_mm=0.0, words=(scale,)).moved(MARGIN_MM, below), height)
    draw(canvas, table.moved(MARGIN_MM, below + 3.0), height)


def base_text(found: Ordinates, units: Units) -> str:
    """Say what A and B are, in words."""
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


def _title(name: str, code: str, width_mm: float) -> Laid:
    """Name, code, and what the page is."""
    shown, day = showable(name), "check gauge"
    right = width_mm - text_width_mm(day, 5.0)
    middle = right - text_width_mm(code, 3.5) - 8.0
    capital, face = fitting(shown, middle - 4.0, (5.0, 4.2, 3.5, 2.5, 1.8))
    return Laid(
        height_mm=6.2,
        words=(
            Word(x_mm=0.0, y_mm=5.0, text=shown, capital_mm=capital, face=face),
            Word(x_mm=middle, y_mm=5.0, text=code, capital_mm=3.5),
            Word(x_mm=right, y_mm=5.0, text=day, capital_mm=5.0),
        ),
    )


def _head(form: Holding, part: Made, width_mm: float) -> Laid:
    """Name, blanks, and how to measure."""
    found, arch = part.gauge, part.pressing.arch
    units = arch.recipe.units
    to = "1/64 in" if units == "in" else "0.1 mm"
    tolerance = within_text(found.tolerance_mm, units)
    point = " A is at the point." if arch.copies > 1 else ""
    how = (
        f"Lay the finished part on its edge as drawn; its inside is the lower face. {base_text(found, units)}: join "
        f"them with a straight edge.{point} Hook the tape at A and mark the stations; measure square to the line to "
        f"both faces, minus where a face lies below it. The faces may be {tolerance} off, square to themselves; ± is "
        "what that makes of a reading. Where it says steep, the span is the better check. Feet and ends lie on the "
        "trim lines. Read all of it on the next day; spans and rise at release too, on the press-day sheet. "
        f"Lengths to the nearest {to}. {_board_text(found)}"
    )
    rule = Rule(x0_mm=0.0, y0_mm=0.0, x1_mm=width_mm, y1_mm=0.0, width_mm=THICK_MM)
    blanks = Write(labels=("Day", "By", "Part no.")).laid(width_mm, 2.5)
    return stacked(
        [
            *stamp(form, width_mm),
            _title(part.mark, part.code, width_mm),
            blanks,
            Laid(height_mm=0.5, rules=(rule,)),
            paragraph(how, width_mm, 2.2),
        ],
        1.2,
    )


def _board_text(found: Ordinates) -> str:
    """Say what the gauge plate is good for: all that the tape does, and what bulges out past A and B, too."""
    x0, _, x1, _ = part_outline(found).bounds
    past = max(-x0, x1 - found.span_mm) > BULGE * found.thickness_mm
    more = ", and is the check for what lies past A and B" if past else ""
    return f"A board cut to gauge.dxf shows the same at a glance{more}."


def _table(part: Made, units: Units, width_mm: float, room_mm: float) -> Laid:
    """A row for each span, for the rise and for each station, each with places to write."""
    blank = (width_mm - NUMBER_MM - FROM_MM - 2.0 * (HEIGHT_MM + PLAY_MM)) / 2.0
    widths = (NUMBER_MM, FROM_MM, HEIGHT_MM, PLAY_MM, blank, HEIGHT_MM, PLAY_MM, blank)
    edges = [sum(widths[:i]) for i in range(len(widths) + 1)]
    rows = by_face(part.readings)
    first = [row for row in rows if _any(row).name != "ordinate"]
    stations = [row for row in rows if _any(row).name == "ordinate"]
    row_mm = max(ROW_MM[1], min(ROW_MM[0], room_mm / (len(rows) + 2.8)))
    tolerance = part.gauge.tolerance_mm
    blocks = (
        _block(("", "", *_FACES), [_first_cells(row, tolerance, units) for row in first], edges, row_mm, labelled=True),
        _block(("", "from A", *_FACES), [_cells(row, tolerance, units) for row in stations], edges, row_mm),
    )
    return stacked(blocks, 0.6 * row_mm)


def _block(
    heads: Sequence[str],
    rows: Sequence[Sequence[tuple[int, str]]],
    edges_mm: Sequence[float],
    row_mm: float,
    *,
    labelled: bool = False,
) -> Laid:
    """Rows under their heads, ruled; with labels the first two columns are one."""
    capital = min(2.5, 0.42 * row_mm)
    small = 0.9 * capital
    words = [_cell(text, edges_mm[i], 0.0, row_mm, small) for i, text in enumerate(heads) if text]
    down, wide = row_mm, edges_mm[-1]
    rules = [_level(0.0, wide, down, THICK_MM)]
    for row in rows:
        for i, text in row:
            if labelled and i == 0:
                words.append(_label(text, edges_mm[2], down, row_mm, small))
            else:
                words.append(_cell(text, edges_mm[i], down, row_mm, capital))
        down += row_mm
        rules.append(_level(0.0, wide, down, THIN_MM))
    upright = (edges_mm[0], *edges_mm[2:]) if labelled else edges_mm
    rules += [Rule(x0_mm=x, y0_mm=row_mm, x1_mm=x, y1_mm=down) for x in upright]
    return Laid(height_mm=down, words=tuple(words), rules=tuple(rules))


def _label(text: str, width_mm: float, y_mm: float, row_mm: float, capital_mm: float) -> Word:
    """Return what a row is about, as large as its cell allows."""
    shown = showable(text)
    capital, face = fitting(shown, width_mm - 2.0, (capital_mm, 0.85 * capital_mm, 0.7 * capital_mm))
    return Word(x_mm=1.0, y_mm=y_mm + (row_mm + capital) / 2.0, text=shown, capital_mm=capital, face=face)


def _any(row: Mapping[str, Reading]) -> Reading:
    return next(iter(row.values()))


def _first_cells(row: Mapping[str, Reading], tolerance_mm: float, units: Units) -> list[tuple[int, str]]:
    """Cells of a span or of the rise, by their column."""
    return [(0, reading_text(_any(row))), *_of_faces(row, tolerance_mm, units)]


def _cells(row: Mapping[str, Reading], tolerance_mm: float, units: Units) -> list[tuple[int, str]]:
    """Cells of a station."""
    reading = _any(row)
    start = [(0, str(reading.number)), (1, write_length(reading.from_a_mm or 0.0, units))]
    return [*start, *_of_faces(row, tolerance_mm, units)]


def _of_faces(row: Mapping[str, Reading], tolerance_mm: float, units: Units) -> Iterable[tuple[int, str]]:
    """List what is wanted on the inside and on the outside, and how far off it may be."""
    for column, face in ((2, "inside"), (5, "outside")):
        reading = row.get(face)
        if reading is None:
            yield column, "–"
            continue
        steep = not math.isfinite(reading.within_mm) or reading.within_mm > STEEP * tolerance_mm
        yield column, write_length(reading.wanted_mm, units)
        yield column + 1, "steep" if steep else within_text(reading.within_mm, units)


def _cell(text: str, x_mm: float, y_mm: float, row_mm: float, capital_mm: float) -> Word:
    return Word(x_mm=x_mm + 1.2, y_mm=y_mm + (row_mm + capital_mm) / 2.0, text=showable(text), capital_mm=capital_mm)


def _level(x0_mm: float, x1_mm: float, y_mm: float, width_mm: float) -> Rule:
    return Rule(x0_mm=x0_mm, y0_mm=y_mm, x1_mm=x1_mm, y1_mm=y_mm, width_mm=width_mm)
