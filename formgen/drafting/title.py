"""Drafting: the frame of a sheet, and the strip along its foot: what it is, at what scale, in what units.

In: what it says. Out: ink on the whole sheet; mm on paper.

Reference: ISO 7200 (what a title block says), ISO 5457 (frame), ISO 5456-2 (the sign of the projection); from memory.
"""

from __future__ import annotations

from formgen.drafting.ink import CENTRE, EDGE, FRAME, RULES, Ink, Stroke, Words, box, circle, line
from formgen.drafting.paper import text_width_mm
from formgen.fixed import fixed
from formgen.lengths import Units

#: Frame from the paper's edge, left (for punching) and elsewhere; height of the strip (mm).
LEFT_MM, EDGE_MM, STRIP_MM = 15.0, 8.0, 15.0


@fixed
class Title:
    """The words of the title strip."""

    name: str
    what: str
    scale: str
    units: Units
    third_angle: bool
    number: int
    count: int
    paper: str


def area(width_mm: float, height_mm: float, head_mm: float = 0.0) -> tuple[float, float, float, float]:
    """(x0, y0, x1, y1) of what the frame, the strip and a head of some height under the frame leave of a sheet."""
    return LEFT_MM + 4.0, EDGE_MM + STRIP_MM + 3.0, width_mm - EDGE_MM - 4.0, height_mm - EDGE_MM - 4.0 - head_mm


def framed(width_mm: float, height_mm: float, title: Title) -> tuple[Ink, ...]:
    """Frame, strip and what stands in it."""
    x0, y0, x1, y1 = LEFT_MM, EDGE_MM, width_mm - EDGE_MM, height_mm - EDGE_MM
    top = y0 + STRIP_MM
    inks: list[Ink] = [box(FRAME, x0, y0, x1, y1), line(FRAME, (x0, top), (x1, top))]
    rounding = "1/64 in" if title.units == "in" else "0.1 mm"
    cells = [
        (30.0, "sheet", f"{title.number} of {title.count}, {title.paper}"),
        (34.0, "checked, date", ""),
        (33.0, "projection", "third angle" if title.third_angle else "first angle"),
        (40.0, "scale", title.scale),
        (38.0, "sizes", f"{'inches' if title.units == 'in' else 'mm'}, to {rounding}"),
    ]
    right = x1
    for wide, head, text in cells:
        inks.append(line(RULES, (right - wide, y0), (right - wide, top)))
        inks.append(Words(text=head, at=(right - wide + 2.0, top - 4.0), height_mm=1.8))
        if text:
            inks.append(Words(text=text, at=(right - wide + 2.0, y0 + 4.0), height_mm=2.5))
        if head == "projection":
            inks.extend(_sign((right - 9.5, top - 4.6), third_angle=title.third_angle))
        right -= wide
    room = right - x0 - 5.0
    name = next((h for h in (5.0, 3.5, 2.5) if text_width_mm(title.name, h) <= room), 1.8)
    inks.append(Words(text=title.name, at=(x0 + 3.0, y0 + 7.0), height_mm=name))
    inks.append(Words(text=title.what, at=(x0 + 3.0, y0 + 2.4), height_mm=2.5))
    return tuple(inks)


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
