"""Drafting: what a drawing on paper is made of: strokes, fills, words, and sizes made of these; mm on paper.

In: nothing. Out: the few kinds of thing that a sheet holds, from its lower left corner, x to the right and y up, and
the pens by name. A drawing file keeps them and a printed page shows them; neither knows what they mean.

Reference: ISO 128-2 (kinds of line, widths thick : thin 2 : 1), ISO 3098-1 (lettering); both from memory.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Literal

from formgen.drafting.paper import CENTRE_DASH_MM, FRAME_MM, HATCH_MM, THICK_MM, THIN_MM
from formgen.fixed import fixed
from formgen.geometry.outline import Point, Vertex

Face = Literal["plain", "narrow", "leaning"]
Anchor = Literal["left", "middle", "right"]


@fixed
class Pen:
    """The look of a line: width, dashes, colour.

    Args:
        name: of the drawing layer that holds it.
        width_mm: of the line; 0 for what is filled or lettered.
        dashes_mm: lengths of dash and gap, from the first dash; empty for a line without a break.
        grey: 0 black to 1 white.
        colour: index colour in a drawing file.
    """

    name: str
    width_mm: float
    dashes_mm: tuple[float, ...] = ()
    grey: float = 0.0
    colour: int = 7


EDGE = Pen(name="EDGES", width_mm=THICK_MM)
HIDDEN = Pen(name="HIDDEN EDGES", width_mm=THIN_MM, dashes_mm=(3.0, 1.0), colour=8)
#: A line type for each meaning: centre dash-dot, springing long dashes, trim unbroken with saw teeth at its end, the
#: bar and whatever lies beside the form dash and two dots.
CENTRE = Pen(name="CENTRE LINES", width_mm=THIN_MM, dashes_mm=CENTRE_DASH_MM, colour=1)
SPRINGING = Pen(name="SPRINGING LINES", width_mm=THIN_MM, dashes_mm=(5.0, 2.0), colour=1)
TRIM = Pen(name="TRIM LINES", width_mm=THIN_MM, colour=1)
BAR = Pen(name="BAR", width_mm=THIN_MM, dashes_mm=(10.0, 1.2, 0.5, 1.2, 0.5, 1.2), colour=1)
PART = Pen(name="PART", width_mm=THIN_MM, colour=30)
ADJACENT = Pen(name="PART ON THE FORM", width_mm=THIN_MM, dashes_mm=(6.0, 1.2, 0.5, 1.2, 0.5, 1.2), colour=30)
PLIES = Pen(name="PLIES", width_mm=HATCH_MM, colour=30)
JOINTS = Pen(name="JOINTS", width_mm=THIN_MM)
HATCHING = Pen(name="HATCHING", width_mm=HATCH_MM, grey=0.45, colour=9)
SIZES = Pen(name="SIZES", width_mm=THIN_MM, colour=5)
LETTERS = Pen(name="LETTERING", width_mm=0.0, colour=5)
TINT = Pen(name="TINT", width_mm=0.0, grey=0.85, colour=254)
#: The half of a table that is told apart from the other.
SHADE = Pen(name="SHADE", width_mm=0.0, grey=0.92, colour=254)
RULES = Pen(name="RULES", width_mm=THIN_MM)
FRAME = Pen(name="FRAME", width_mm=FRAME_MM)
#: The edge of the paper: in the file only, never printed.
PAPER_EDGE = Pen(name="PAPER EDGE", width_mm=0.0, colour=9)

PENS: dict[str, Pen] = {
    pen.name: pen
    for pen in (
        TINT, SHADE, HATCHING, PLIES, HIDDEN, CENTRE, SPRINGING, TRIM, BAR, ADJACENT, PART, JOINTS, EDGE, SIZES, RULES,
        FRAME, LETTERS, PAPER_EDGE,
    )
}  # fmt: skip


@fixed
class Stroke:
    """A line of straight and round stretches: vertices (x, y, bulge of the stretch that follows)."""

    pen: Pen
    vertices: tuple[Vertex, ...]
    closed: bool = False


@fixed
class Fill:
    """A closed shape filled with its pen's grey."""

    pen: Pen
    vertices: tuple[Vertex, ...]


@fixed
class Words:
    """A line of text.

    Args:
        text: what it says.
        at: left end, middle or right end of its base line.
        height_mm: of a capital.
        angle_rad: of the base line.
        anchor: which of the three `at` is.
        face: of the letters.
    """

    text: str
    at: Point
    height_mm: float
    angle_rad: float = 0.0
    anchor: Anchor = "left"
    face: Face = "plain"


@fixed
class Size:
    """A size: what it measures, and the ink that shows it.

    Args:
        along: the axis along which it measures, or `radius`.
        points: two points of the thing on paper, then one on the dimension line where it passes the second; of a
            radius the arc's centre and the point of the arc that the arrow touches.
        full_mm: what it measures, of the thing itself.
        name: what its text says before the number.
        parts: lines and heads; the text last, where it found room.
    """

    along: Literal["x", "y", "radius"]
    points: tuple[Point, ...]
    full_mm: float
    name: str = ""
    parts: tuple[Stroke | Fill | Words, ...]


Ink = Stroke | Fill | Words | Size


@fixed
class Sheet:
    """One page.

    Args:
        width_mm, height_mm: of the paper.
        inks: what is on it, in the order of drawing.
    """

    width_mm: float
    height_mm: float
    inks: tuple[Ink, ...]


def line(pen: Pen, *points: Point) -> Stroke:
    """A stroke of straight stretches."""
    return Stroke(pen=pen, vertices=tuple((x, y, 0.0) for x, y in points))


def circle(pen: Pen, centre: Point, radius_mm: float) -> Stroke:
    """A circle."""
    x, y = centre
    return Stroke(pen=pen, vertices=((x - radius_mm, y, 1.0), (x + radius_mm, y, 1.0)), closed=True)


def box(pen: Pen, x0: float, y0: float, x1: float, y1: float) -> Stroke:
    """An upright rectangle."""
    return Stroke(pen=pen, vertices=((x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0)), closed=True)


def moved(ink: Ink, dx_mm: float, dy_mm: float) -> Ink:
    """The same ink shifted."""
    if isinstance(ink, Size):
        parts: Any = tuple(moved(part, dx_mm, dy_mm) for part in ink.parts)
        return replace(ink, points=tuple((x + dx_mm, y + dy_mm) for x, y in ink.points), parts=parts)
    if isinstance(ink, Words):
        return Words(
            text=ink.text, at=(ink.at[0] + dx_mm, ink.at[1] + dy_mm), height_mm=ink.height_mm,
            angle_rad=ink.angle_rad, anchor=ink.anchor, face=ink.face,
        )  # fmt: skip
    vertices = tuple((x + dx_mm, y + dy_mm, b) for x, y, b in ink.vertices)
    if isinstance(ink, Fill):
        return Fill(pen=ink.pen, vertices=vertices)
    return Stroke(pen=ink.pen, vertices=vertices, closed=ink.closed)
