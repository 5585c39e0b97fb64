"""Stage `reports`: what stands on each page of the template beside the form: crosses, bars of known length, names.

In: a grid and a page of it. Out: ink, mm on paper from the page's lower left corner; the neighbours' names in the
form's axes.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator

from formgen.drafting.field import Box, Choice
from formgen.drafting.ink import HATCHING, RULES, SIZES, Face, Fill, Ink, Words, box, circle, line
from formgen.drafting.paper import ACT_MM, HEAD_MM, NAME_MM, NARROW, PLAIN, TEXT_MM
from formgen.drafting.text import broken, wide
from formgen.geometry.outline import Point
from formgen.lengths import Units
from formgen.reports.template.names import Shown
from formgen.reports.template.tiles import FOOT_MM, MARGIN_MM, OVERLAP_MM, SIDE_MM, Grid, tile_name

#: Length of the check bars on each page (mm): 4 in, 100 mm.
BAR_MM: dict[Units, tuple[float, str]] = {"in": (101.6, "4 in"), "mm": (100.0, "100 mm")}
CROSS_MM = 4.5
#: The base lines of the foot's two lines over the page's margin, and what a page is to be printed at.
LINES_MM, PRINTED = (11.6, 7.4), "full size: print at 100 %"
#: Length and width of the head that points to a neighbour, and white at both its ends (mm).
HEAD_LONG_MM, HEAD_WIDE_MM, WHITE_MM = 3.0, 2.4, 1.2
#: Between the places along an edge, and away from it, in which a neighbour's name is tried (mm).
ASIDE_MM, DEEPER_MM = 6.0, (0.0, 8.0, 16.0, 24.0)
#: The sides of a page: rows down, columns right.
SIDES = ((0, -1), (0, 1), (-1, 0), (1, 0))


def origin(grid: Grid, row: int, column: int) -> tuple[float, float]:
    """Find what to add to a place of the form to get its place on the page."""
    x0, y0, _, _ = grid.window(row, column)
    return grid.corner_mm[0] - x0, grid.corner_mm[1] - y0


def register(grid: Grid) -> tuple[Ink, ...]:
    """The edge of a cell and the crosses at its corners: neighbours print the same ones."""
    x0, y0 = (at + OVERLAP_MM / 2 for at in grid.corner_mm)
    x1, y1 = x0 + grid.wide_mm, y0 + grid.high_mm
    inks: list[Ink] = [box(HATCHING, x0, y0, x1, y1)]
    for x in (x0, x1):
        for y in (y0, y1):
            inks += [
                line(RULES, (x - CROSS_MM, y), (x + CROSS_MM, y)),
                line(RULES, (x, y - CROSS_MM), (x, y + CROSS_MM)),
                circle(RULES, (x, y), 2.0),
            ]
    return tuple(inks)


def check_bars(units: Units, margin_mm: float = MARGIN_MM) -> tuple[Ink, ...]:
    """A level bar at the foot and an upright one at the left, each of known length between the ends of its ticks."""
    length, text = BAR_MM[units]
    level = _bar((margin_mm + SIDE_MM, margin_mm + 3.0), length, text, level=True)
    return *level, *_bar((margin_mm + 3.0, margin_mm + FOOT_MM), length, text, level=False)


def _bar(at: tuple[float, float], length: float, text: str, *, level: bool) -> list[Ink]:
    def place(along: float, across: float) -> tuple[float, float]:
        return (at[0] + along, at[1] + across) if level else (at[0] - across, at[1] + along)

    inks: list[Ink] = [line(SIZES, place(0.0, 0.0), place(length, 0.0))]
    for tenth in range(11):
        tall = 2.6 if tenth in (0, 5, 10) else 1.4
        inks.append(line(SIZES, place(length * tenth / 10, 0.0), place(length * tenth / 10, tall)))
    angle = 0.0 if level else math.pi / 2
    words = Words(text=f"check bar {text}", at=place(length + 3.0, 0.0), height_mm=TEXT_MM, angle_rad=angle)
    return [*inks, words]


def foot(grid: Grid, name: str, tile: str = "", which: str = "") -> tuple[Ink, ...]:
    """Name of the form, what to set; name of the page and which of how many it is."""
    left, right, low = grid.margin_mm + SIDE_MM, grid.paper_mm[0] - grid.margin_mm, grid.margin_mm
    inks: list[Ink] = []
    for text, high, gap in ((tile, ACT_MM, 5.0), (which, HEAD_MM, 6.0)):
        if text:
            inks.append(Words(text=text, at=(right, low + 3.0), height_mm=high, anchor="right"))
            right -= wide(text, high) + gap
    lines, face = _foot_lines(name, right - left)
    inks += [
        Words(text=text, at=(left, low + y), height_mm=TEXT_MM, face=face)
        for text, y in zip(lines, LINES_MM, strict=False)
    ]
    return tuple(inks)


def _foot_lines(name: str, room_mm: float) -> tuple[list[str], Face]:
    """The form's name and what to set in two lines; a long name takes both, one that is longer still is cut."""
    lines = broken(name, room_mm, TEXT_MM, PLAIN)
    if len(lines) > 2:
        return broken(name, room_mm, TEXT_MM, NARROW)[:2], "narrow"
    return [*lines, PRINTED][:2], "plain"


def put_neighbours(field: Shown, grid: Grid, row: int, column: int, pages: Collection[tuple[int, int]]) -> list[str]:
    """Write into a page's field the names of the pages beside it, each at its edge; those without room are returned."""
    return [
        tile_name(row + down, column + right)
        for down, right in SIDES
        if (row + down, column + right) in pages
        and not field.put_first_free(
            choice
            for choice, head in _at_edge(grid.cell(row, column), down, right, tile_name(row + down, column + right))
            if field.is_free(head)
        )
    ]


def _at_edge(cell: tuple[float, float, float, float], down: int, right: int, name: str) -> Iterator[tuple[Choice, Box]]:
    """A name with a head that points across an edge: at its middle, then to both sides of it, then farther in."""
    x0, y0, x1, y1 = cell
    out = (float(right), float(-down))
    x, y = (x0 + x1 + out[0] * (x1 - x0)) / 2, (y0 + y1 + out[1] * (y1 - y0)) / 2
    half = (y1 - y0 if right else x1 - x0) / 2 - CROSS_MM - NAME_MM
    asides = [side * i * ASIDE_MM for i in range(int(half // ASIDE_MM) + 1) for side in ((1, -1) if i else (1,))]
    for deep in DEEPER_MM:
        for aside in asides:
            tip = (x - out[0] * (WHITE_MM + deep) + out[1] * aside, y - out[1] * (WHITE_MM + deep) + out[0] * aside)
            yield _pointing(tip, out, name)


def _pointing(tip: Point, out: Point, name: str) -> tuple[Choice, Box]:
    """A head with its tip at a place, the name behind it, and the box of the head."""
    (x, y), (ux, uy), half = tip, out, HEAD_WIDE_MM / 2
    bx, by = x - HEAD_LONG_MM * ux, y - HEAD_LONG_MM * uy
    head = Fill(
        pen=SIZES, vertices=((x, y, 0.0), (bx - half * uy, by + half * ux, 0.0), (bx + half * uy, by - half * ux, 0.0))
    )
    behind = WHITE_MM + (wide(name, NAME_MM) if ux else NAME_MM) / 2
    middle = (bx - behind * ux, by - behind * uy - NAME_MM / 2)
    xs, ys = zip(*(corner[:2] for corner in head.vertices), strict=True)
    size = {"length_mm": max(xs) - min(xs), "height_mm": max(ys) - min(ys)}
    words = Words(text=name, at=middle, height_mm=NAME_MM, anchor="middle")
    return (words, (head,)), Box(corner=(min(xs), min(ys)), angle_rad=0.0, **size)
