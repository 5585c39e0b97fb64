"""Stage `reports`: what stands on each page of the template beside the form: crosses, bars of known length, name.

In: a grid and a page of it. Out: ink, mm on paper from the page's lower left corner.
"""

from __future__ import annotations

import math

from formgen.drafting.ink import HATCHING, RULES, SIZES, Ink, Words, box, circle, line
from formgen.drafting.paper import PLAIN, text_width_mm
from formgen.drafting.text import fitting
from formgen.lengths import Units
from formgen.reports.template.tiles import FOOT_MM, MARGIN_MM, OVERLAP_MM, SIDE_MM, Grid, tile_name

#: Length of the check bars on each page (mm): 4 in, 100 mm.
BAR_MM: dict[Units, tuple[float, str]] = {"in": (101.6, "4 in"), "mm": (100.0, "100 mm")}
CROSS_MM = 4.5
#: Heights of letters that the foot is tried in (mm).
FOOT_TEXTS_MM = (2.5, 2.2, 1.8, 1.5, 1.2)


def origin(grid: Grid, row: int, column: int) -> tuple[float, float]:
    """Find what to add to a place of the form to get its place on the page."""
    x0, y0, _, _ = grid.window(row, column)
    return MARGIN_MM + SIDE_MM - x0, MARGIN_MM + FOOT_MM - y0


def register(grid: Grid) -> tuple[Ink, ...]:
    """The edge of a cell and the crosses at its corners: neighbours print the same ones."""
    half = OVERLAP_MM / 2
    x0, y0 = MARGIN_MM + SIDE_MM + half, MARGIN_MM + FOOT_MM + half
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


def check_bars(units: Units, *, upright: bool = True) -> tuple[Ink, ...]:
    """A level bar at the foot and an upright one at the left, each of known length between the ends of its ticks."""
    length, text = BAR_MM[units]
    x, y = MARGIN_MM + SIDE_MM, MARGIN_MM + 3.0
    inks = [*_bar((x, y), length, text, level=True)]
    if upright:
        inks += _bar((MARGIN_MM + 3.0, MARGIN_MM + FOOT_MM), length, text, level=False)
    return tuple(inks)


def _bar(at: tuple[float, float], length: float, text: str, *, level: bool) -> list[Ink]:
    def place(along: float, across: float) -> tuple[float, float]:
        return (at[0] + along, at[1] + across) if level else (at[0] - across, at[1] + along)

    inks: list[Ink] = [line(SIZES, place(0.0, 0.0), place(length, 0.0))]
    for tenth in range(11):
        tall = 2.6 if tenth in (0, 5, 10) else 1.4
        inks.append(line(SIZES, place(length * tenth / 10, 0.0), place(length * tenth / 10, tall)))
    angle = 0.0 if level else math.pi / 2
    words = Words(text=f"check bar {text}", at=place(length + 3.0, 0.0), height_mm=2.5, angle_rad=angle)
    return [*inks, words]


def foot(grid: Grid, row: int, column: int, name: str, neighbours: set[tuple[int, int]]) -> tuple[Ink, ...]:
    """Name of the page and of the form, what to set, who is next."""
    wide = grid.paper_mm[0]
    right = wide - MARGIN_MM
    y = MARGIN_MM + 3.0
    beside = [
        f"{word} {tile_name(row + dr, column + dc)}"
        for word, dr, dc in (("left", 0, -1), ("right", 0, 1), ("above", -1, 0), ("below", 1, 0))
        if (row + dr, column + dc) in neighbours
    ]
    left, neighbour = MARGIN_MM + SIDE_MM, ", ".join(beside)
    said, room = f"{name}, full size: print at 100 %", right - 24.0 - text_width_mm(neighbour, 1.8) - left
    inks: list[Ink] = [
        Words(text=tile_name(row, column), at=(right, y), height_mm=7.0, anchor="right"),
        Words(text=said, at=(left, y + 6.5), height_mm=fitting(said, room, FOOT_TEXTS_MM, (PLAIN,))[0]),
        Words(text=neighbour, at=(right - 20.0, y + 6.5), height_mm=1.8, anchor="right"),
    ]
    return tuple(ink for ink in inks if not isinstance(ink, Words) or ink.text)
