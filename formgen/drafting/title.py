"""Drafting: the frame of a sheet, and the strip along its foot: what is made, at what scale, in what units, by whom.

In: what it says. Out: ink on the whole sheet; mm on paper. A bar of known length tells whether the print is true.

Reference: ISO 7200 (what a title block says), ISO 5457 (frame), ISO 5456-2 (the sign of the projection); from memory.
"""

from __future__ import annotations

from formgen.drafting.ink import CENTRE, EDGE, FRAME, RULES, Ink, Stroke, Words, box, circle, line
from formgen.drafting.paper import HEAD_MM, NAME_MM, TEXT_MM
from formgen.drafting.text import broken, wide
from formgen.fixed import fixed
from formgen.lengths import Units

#: Frame from the paper's edge, left (for punching) and elsewhere; height of a row of cells (mm).
LEFT_MM, EDGE_MM, CELL_MM = 15.0, 8.0, 10.0
#: Heights at which the name is tried, from the most wanted.
NAMES_MM = (7.0, NAME_MM, HEAD_MM, TEXT_MM)
#: The bar that checks a print: its length, and how it is called.
BAR_MM: dict[Units, tuple[float, str]] = {"in": (4 * 25.4, "4 in"), "mm": (100.0, "100 mm")}
#: White on both sides of the bar; least width of name and bar beside each other; height of the bar's row below (mm).
BAR_WHITE_MM, ABREAST_MM, BAR_ROW_MM = 5.0, 200.0, 12.0


@fixed
class Title:
    """The words of the title strip.

    Args:
        name: of what is drawn.
        made: how many, of what, how large.
        code: of the form.
        scale: as written, or that each view says its own.
        units: of all sizes.
        third_angle: how the views stand to each other.
        number, count, paper: of the sheet.
    """

    name: str
    made: str
    code: str
    scale: str
    units: Units
    third_angle: bool
    number: int
    count: int
    paper: str


def area(width_mm: float, height_mm: float, head_mm: float = 0.0) -> tuple[float, float, float, float]:
    """(x0, y0, x1, y1) of what the frame, the strip and a head of some height under the frame leave of a sheet."""
    low = EDGE_MM + _strip_mm(width_mm) + 4.0
    return LEFT_MM + 4.0, low, width_mm - EDGE_MM - 4.0, height_mm - EDGE_MM - 4.0 - head_mm


def _cells(title: Title) -> tuple[tuple[float, tuple[tuple[str, str], tuple[str, str]]], ...]:
    """Columns from the right: width, and head and text of the upper and the lower cell."""
    units = "inches, to 1/64" if title.units == "in" else "mm, to 0.1"
    return (
        (34.0, (("code", title.code), ("sheet", f"{title.number} of {title.count}, {title.paper}"))),
        (34.0, (("drawn, date", ""), ("checked, date", ""))),
        (34.0, (("sizes", units), ("revision, date", ""))),
        (46.0, (("scale", title.scale), ("projection", "third angle" if title.third_angle else "first angle"))),
    )


_CELLS_MM = 34.0 * 3 + 46.0


def _left_mm(width_mm: float) -> float:
    """The room that the cells leave of the strip."""
    return width_mm - EDGE_MM - LEFT_MM - _CELLS_MM


def _strip_mm(width_mm: float) -> float:
    """Height of the strip: higher where the bar stands below the name."""
    return 2 * CELL_MM + (0.0 if _left_mm(width_mm) >= ABREAST_MM else BAR_ROW_MM)


def framed(width_mm: float, height_mm: float, title: Title) -> tuple[Ink, ...]:
    """Frame, strip and what stands in it."""
    x0, y0, x1, y1 = LEFT_MM, EDGE_MM, width_mm - EDGE_MM, height_mm - EDGE_MM
    top = y0 + _strip_mm(width_mm)
    left = x1 - _CELLS_MM
    inks: list[Ink] = [box(FRAME, x0, y0, x1, y1), line(FRAME, (x0, top), (x1, top))]
    inks += [line(RULES, (left, y0), (left, top)), line(RULES, (left, (y0 + top) / 2), (x1, (y0 + top) / 2))]
    for wide_mm, cells in reversed(_cells(title)):
        for (head, text), upper in zip(cells, (top, (y0 + top) / 2), strict=True):
            inks.append(Words(text=head, at=(left + 2.0, upper - 3.9), height_mm=TEXT_MM, face="leaning"))
            if text:
                inks.append(Words(text=text, at=(left + 2.0, upper - 8.2), height_mm=TEXT_MM))
            if head == "projection":
                inks.extend(_sign((left + wide_mm - 10.0, upper - 5.0), third_angle=title.third_angle))
        left += wide_mm
        inks.append(line(RULES, (left, y0), (left, top)))
    return (*inks[:-1], *_name_and_bar(width_mm, top, title))  # the last rule lies on the frame


def _name_and_bar(width_mm: float, top: float, title: Title) -> list[Ink]:
    """Say what is made, with the bar beside it or below."""
    room, left = _left_mm(width_mm), LEFT_MM
    bar, _ = BAR_MM[title.units]
    inks: list[Ink] = []
    if room >= ABREAST_MM:
        x = left + room - bar - BAR_WHITE_MM
        inks.append(line(RULES, (x - BAR_WHITE_MM, EDGE_MM), (x - BAR_WHITE_MM, top)))
        inks += _bar((x, EDGE_MM + 5.6), title.units)
        room = x - BAR_WHITE_MM - left
    else:
        inks = _bar((left + BAR_WHITE_MM, EDGE_MM + 3.0), title.units)
    room -= 6.0
    name = next((h for h in NAMES_MM if wide(title.name, h) <= room), TEXT_MM)
    inks.append(Words(text=title.name, at=(left + 3.0, top - 2.5 - name), height_mm=name))
    large = wide(title.made, HEAD_MM) <= room
    lines = [title.made] if large else broken(title.made, room, TEXT_MM)[:2]
    for i, text in enumerate(reversed(lines)):
        at = (left + 3.0, top - 17.4 + 4.0 * i - 0.6 * (len(lines) - 1))
        inks.append(Words(text=text, at=at, height_mm=HEAD_MM if large else TEXT_MM))
    return inks


def _bar(at: tuple[float, float], units: Units) -> list[Ink]:
    """A bar of ten parts, or of four inches, with what it is for over it."""
    (x, y), (long, called) = at, BAR_MM[units]
    text = f"If this bar is not {called}, do not measure."
    parts = 10 if units == "mm" else 4
    inks: list[Ink] = [
        Words(text=text, at=(x, y + 4.2), height_mm=TEXT_MM),
        line(EDGE, (x, y), (x + long, y)),
    ]
    for i in range(parts + 1):
        tall = 2.4 if i in (0, parts) else 1.4
        inks.append(line(EDGE, (x + long * i / parts, y), (x + long * i / parts, y + tall)))
    return inks


def _sign(at: tuple[float, float], *, third_angle: bool) -> tuple[Ink, ...]:
    """A cone without its top, and its small end: left of the side view in third angle, else right."""
    x, y = at
    ring = x - 3.6 if third_angle else x + 3.6
    cone = x + 3.0 if third_angle else x - 3.0
    side = (
        (cone - 2.6, y - 1.2, 0.0),
        (cone + 2.6, y - 2.4, 0.0),
        (cone + 2.6, y + 2.4, 0.0),
        (cone - 2.6, y + 1.2, 0.0),
    )
    return (
        circle(EDGE, (ring, y), 1.2),
        circle(EDGE, (ring, y), 2.4),
        Stroke(pen=EDGE, vertices=side, closed=True),
        line(CENTRE, (x - 7.2, y), (x + 7.2, y)),
        line(CENTRE, (ring, y - 3.2), (ring, y + 3.2)),
    )
