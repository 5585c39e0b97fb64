"""Stage `reports`: the gauge page: the finished part on its base line, and a table to fill in with a tape.

In: a Form. Out: `gauge.pdf`, a page for each opening. What is read, in which order, says `curve/readings.py`;
here it is only written down.
"""

from __future__ import annotations

from typing import Any

from formgen.curve.ordinates import Ordinates
from formgen.drafting.ink import Words
from formgen.drafting.paper import HEAD_MM, MARGIN_MM, NAME_MM, TEXT_MM, THICK_MM, begin_page, new_pdf, text_width_mm
from formgen.drafting.text import fitting, showable
from formgen.drafting.to_pdf import put
from formgen.holding.model import Holding
from formgen.lengths import Units, write_length
from formgen.makes.model import Made
from formgen.reports.gauge.drawing import Frame, framed, part_inks, part_outline
from formgen.reports.gauge.table import BETWEEN_MM, block, block_height_mm, crown_station, rows_of
from formgen.reports.press_sheet.flow import draw
from formgen.reports.press_sheet.items import Write
from formgen.reports.press_sheet.laid import Laid, Rule, Word, paragraph, stacked
from formgen.reports.press_sheet.page import paper_mm
from formgen.reports.rows.makes import code_text, is_shared, within_text
from formgen.reports.rows.makes_table import openings_pages
from formgen.reports.stamp import stamp

#: Heights of a row that are tried (mm), and most of the room under the head that the drawing may take.
ROWS_MM, DRAWING_SHARE = (9.0, 8.2, 7.2), 0.5
#: The drawing is at least this high (mm), and at most so many times smaller than it could be beside no table.
LEAST_MM, SMALLER = 24.0, 4.0
#: White below the drawing, and below its scale (mm).
BELOW_MM = 5.0
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
    """One part: its drawing and its table, on as many sides as it takes rows that can be written in."""
    width, height = size_mm
    wide, units = width - 2.0 * MARGIN_MM, part.recipe.units
    head = _head(form, part, wide)
    top = height - MARGIN_MM - head.height_mm
    rows = rows_of(part, units)
    first, stations = ([row for row in rows if row.is_station is held] for held in (False, True))
    frame, row_mm = _divided(part, (MARGIN_MM, top, wide), len(first), len(stations))
    y = top - frame.height_mm - BELOW_MM
    draw(canvas, head.moved(MARGIN_MM, MARGIN_MM), height)
    put(canvas, part_inks(part.gauge, frame, crown_station(part)))
    put(canvas, [Words(text=_scale_text(frame), at=(MARGIN_MM, y), height_mm=TEXT_MM)])
    y -= BELOW_MM
    put(canvas, block(first, units, (MARGIN_MM, y), wide, row_mm))
    y -= block_height_mm(len(first), row_mm) + BETWEEN_MM
    count = int((y - MARGIN_MM - block_height_mm(0, row_mm)) / row_mm + 1e-6)
    put(canvas, block(stations[:count], units, (MARGIN_MM, y), wide, row_mm))
    if stations[count:]:
        canvas.showPage()
        begin_page(canvas)
        over = stacked([*stamp(form, wide), _title(part.mark, part.code, wide)], 1.2)
        draw(canvas, over.moved(MARGIN_MM, MARGIN_MM), height)
        y = height - MARGIN_MM - over.height_mm - BELOW_MM
        put(canvas, block(stations[count:], units, (MARGIN_MM, y), wide, row_mm))


def _divided(part: Made, room: tuple[float, float, float], first: int, stations: int) -> tuple[Frame, float]:
    """The largest drawing beside rows of some height on one side; where it gets too small, rows go on a second.

    Args:
        part: whose gauge it is.
        room: left edge, top and width of what the head leaves of the page (mm).
        first: how many rows of spans and the rise.
        stations: how many of stations.
    """
    left, top, wide = room
    units, under = part.recipe.units, top - MARGIN_MM
    best = framed(part.gauge, units, left, top, wide, DRAWING_SHARE * under)
    found = []
    for row_mm in ROWS_MM:
        rows = block_height_mm(first, row_mm) + BETWEEN_MM + block_height_mm(stations, row_mm)
        high = min(DRAWING_SHARE * under, under - rows - 2.0 * BELOW_MM)
        if high >= LEAST_MM:
            found.append((framed(part.gauge, units, left, top, wide, high), row_mm))
    frame, row_mm = min(found, key=lambda held: (held[0].scale, -held[1]), default=(best, ROWS_MM[0]))
    return (frame, row_mm) if frame.scale <= SMALLER * best.scale else (best, ROWS_MM[0])


def _scale_text(frame: Frame) -> str:
    """Say how large the part is drawn, and from where it is seen."""
    return f"Drawn 1 : {frame.scale:g}, seen from the labelled side"


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
    right = width_mm - text_width_mm(day, NAME_MM)
    middle = right - text_width_mm(code, HEAD_MM) - 8.0
    capital, face = fitting(shown, middle - 4.0, (NAME_MM, HEAD_MM, TEXT_MM))
    return Laid(
        height_mm=6.2,
        words=(
            Word(x_mm=0.0, y_mm=5.0, text=shown, capital_mm=capital, face=face),
            Word(x_mm=middle, y_mm=5.0, text=code, capital_mm=HEAD_MM),
            Word(x_mm=right, y_mm=5.0, text=day, capital_mm=NAME_MM),
        ),
    )


def _head(form: Holding, part: Made, width_mm: float) -> Laid:
    """Name, blanks, and how to measure, in numbered lines."""
    found, arch = part.gauge, part.pressing.arch
    units = arch.recipe.units
    to = "1/64 in" if units == "in" else "0.1 mm"
    tolerance = within_text(found.tolerance_mm, units)
    point = " A is at the point." if arch.copies > 1 else ""
    how = (
        (
            f"1  Lay the finished part on its edge as drawn, its inside below. {base_text(found, units)}: join them "
            f"with a straight edge.{point}"
        ),
        (
            "2  Hook the tape at A and mark the stations. Measure square to the line to both faces; minus is below it. "
            "Where it says steep, the span is the better check."
        ),
        (
            f"3  Read all of it on the next day, spans and rise at release too. A face may be {tolerance} off, square "
            f"to itself; ± is what that makes of a reading. Lengths to the nearest {to}. {_board_text(found)}"
        ),
    )
    rule = Rule(x0_mm=0.0, y0_mm=0.0, x1_mm=width_mm, y1_mm=0.0, width_mm=THICK_MM)
    blanks = Write(labels=("Day", "By", "Part no.")).laid(width_mm, TEXT_MM)
    return stacked(
        [
            *stamp(form, width_mm),
            _title(part.mark, part.code, width_mm),
            blanks,
            Laid(height_mm=0.5, rules=(rule,)),
            *(paragraph(line, width_mm, TEXT_MM) for line in how),
        ],
        1.2,
    )


def _board_text(found: Ordinates) -> str:
    """Say what the gauge plate is good for: all that the tape does, and what bulges out past A and B, too."""
    x0, _, x1, _ = part_outline(found).bounds
    past = max(-x0, x1 - found.span_mm) > BULGE * found.thickness_mm
    more = ", and is the check for what lies past A and B" if past else ""
    return f"A board cut to gauge.dxf shows the same at a glance{more}."
