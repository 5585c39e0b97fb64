"""Stage `outputs`: a picture of one sheet with its pieces, as it lies on the router's table.

In: a `CutSheet` of `Sheets`. Out: SVG that a page takes into itself, in mm of paper at the width that it is printed at,
with the sheet's origin, its axes and its sizes; each piece in its form's hatch with its number, which stands where the
piece is widest, clear of every line. A list beside it says which number is which piece.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping

from formgen.drafting.paper import HATCH_MM, HEAD_MM, TEXT_MM, THICK_MM, THIN_MM
from formgen.geometry.outline import Point
from formgen.lengths import Units, write_sizes
from formgen.outputs.html.paint import LETTERED, paint
from formgen.outputs.sheets.hatches import KEPT, forms_on, hatch, hatches_of
from formgen.outputs.sheets.places import FIGURE, Place, places_on
from formgen.outputs.svg import CAPITAL, Svg, run, tag, text, traced
from formgen.sheets.model import CutSheet, Placement, Rest, Sheets

#: Room on the paper left of the sheet and below it, for its origin and sizes, and at the other sides (mm).
ASIDE, RIM = 7.0, 0.5
#: Capitals of the numbers are at most so high (mm); at least `TEXT_MM`.
MOST_MM = HEAD_MM
#: White round a number (mm).
WHITE = 0.2
#: Most of the length of the arrows at the origin, and that of their heads (mm).
ARROW, HEAD = 16.0, 2.5


def sheet_picture(sheet: CutSheet, sheets: Sheets, wide_mm: float, hatches: Mapping[str, int] | None = None) -> Svg:
    """The picture of one sheet.

    Args:
        sheet: which.
        sheets: all, so that a form has one hatch on all of them.
        wide_mm: of the picture on paper, its room for sizes included.
        hatches: of the forms, where they are known already.
    """
    known = hatches_of(sheets) if hatches is None else hatches
    scale = (wide_mm - ASIDE - RIM) / sheet.stock.length_mm
    inside = sheet_drawing(sheet, scale, known, sheets.units)
    high = sheet.stock.width_mm * scale + ASIDE + RIM
    forms = ", ".join(forms_on(sheet))
    said = f"Sheet {sheet.number} with {len(sheet.placements)} pieces of {forms}, its origin at the lower left corner"
    box = f"0 0 {wide_mm:.2f} {high:.2f}"
    return tag("svg", *inside, viewBox=box, role="img", aria_label=said, **{**LETTERED, "class_": "sheet lettered"})


def sheet_drawing(sheet: CutSheet, scale: float, hatches: Mapping[str, int], units: Units) -> Iterator[Svg]:
    """Draw a sheet: the board with its pieces, its origin and its sizes; y runs down the paper."""
    wide, high = sheet.stock.length_mm * scale, sheet.stock.width_mm * scale
    board = tag("rect", width=wide, height=high, stroke_width=THICK_MM, **paint(fill="sheet", stroke="ink"))
    on_it = (*_rests(sheet, scale), *_pieces(sheet, scale, hatches), *_numbers(sheet, scale))
    yield tag("g", board, *on_it, transform=f"translate({ASIDE:g} {RIM:g})", stroke_width=THIN_MM)
    yield tag("g", *_origin(wide, high, sheet, units), transform=f"translate({ASIDE:g} {RIM + high:.2f})")


def _origin(wide: float, high: float, sheet: CutSheet, units: Units) -> Iterator[Svg]:
    """The mark at the lower left corner with its axes, and the sheet's sizes along its edges."""
    pen = {**paint(fill="none", stroke="ink"), "stroke_width": THICK_MM}
    yield tag("circle", r="1.3", **{**paint(fill="sheet", stroke="ink"), "stroke_width": THIN_MM})
    yield tag("path", d="M-1.3 0A1.3 1.3 0 0 1 0 -1.3V1.3A1.3 1.3 0 0 0 1.3 0Z", **paint(fill="ink"))
    off, long = 3.2, min(ARROW, high / 5)  # clear of the sheet's own sizes
    yield tag("path", d=f"M0 {off}H{long - HEAD:.2f}M{-off} 0V{HEAD - long:.2f}", **pen)
    heads = f"M{long:.2f} {off}l-{HEAD} -0.8v1.6zM{-off} {-long:.2f}l-0.8 {HEAD}h1.6z"
    yield tag("path", d=heads, **paint(fill="ink"))
    size = TEXT_MM / CAPITAL
    letters = paint(fill="ink")
    yield text(long + 1.2, off + 0.9, "x", size, **letters)
    yield text(-off - 1.0, -long - 1.4, "y", size, **letters)
    for middle, down, turned, length in (
        (wide / 2, off + 2.6, None, sheet.stock.length_mm),
        (0.6 * high, -off + 1.0, "rotate(-90)", sheet.stock.width_mm),
    ):
        yield text(middle, down, write_sizes([length], units), size, text_anchor="middle", transform=turned, **letters)


def _rests(sheet: CutSheet, scale: float) -> Iterator[Svg]:
    """Draw what is left and worth keeping."""
    for rest in sheet.rests:
        x, y = rest.x_mm * scale, (sheet.stock.width_mm - rest.y_mm - rest.width_mm) * scale
        wide, high = rest.length_mm * scale, rest.width_mm * scale
        yield tag("rect", x=x, y=y, width=wide, height=high, **KEPT)


def rest_text(rest: Rest, units: Units) -> str:
    """The sizes of what is left, for people: no larger than it is."""
    step = 25.4 / 4 if units == "in" else 1.0
    return write_sizes([math.floor(size / step + 1e-9) * step for size in (rest.length_mm, rest.width_mm)], units)


def _pieces(sheet: CutSheet, scale: float, hatches: Mapping[str, int]) -> Iterator[Svg]:
    """The pieces, and over those of each form its hatch, cut off at their edges."""
    at = _to_paper(sheet, scale)
    for number, p in enumerate(sheet.placements, 1):
        rings = [p.outline, *(p.motion.outline(opening.outline) for opening in p.part.piece.openings)]
        path = " ".join(traced(ring.edges, at, scale, scale, closed=True) for ring in rings)
        rules = {"fill_rule": "evenodd", "clip_rule": "evenodd"}
        yield tag("path", id=_piece_id(sheet, number), d=path, **rules, **paint(fill="wood", stroke="ink"))
    middle = at((sheet.stock.length_mm / 2, sheet.stock.width_mm / 2))
    for which, (form, pieces) in enumerate(grouped(sheet).items(), 1):
        lines = tuple(hatch(hatches[form], math.hypot(*middle)))
        if lines:
            name = f"sheet-{sheet.number}-form-{which}"
            edges = (tag("use", href=f"#{_piece_id(sheet, number)}") for number, _ in pieces)
            yield tag("clipPath", *edges, id=name)
            over = tag("g", *lines, transform=f"translate({middle[0]:.2f} {middle[1]:.2f})")
            yield tag("g", over, clip_path=f"url(#{name})")


def _piece_id(sheet: CutSheet, number: int) -> str:
    """The name of a piece in a picture: a page holds several."""
    return f"sheet-{sheet.number}-piece-{number}"


def _numbers(sheet: CutSheet, scale: float) -> Iterator[Svg]:
    """The numbers, all of one height, each on clear ground of its own."""
    reaches = [math.hypot(FIGURE * len(str(number)), 1.0) / 2 for number in range(1, len(sheet.placements) + 1)]
    places = places_on(sheet, [(reach * TEXT_MM + WHITE) / scale for reach in reaches])
    rooms = [(p.clear_mm * scale - WHITE) / reach for p, reach in zip(places, reaches, strict=True) if p.beside is None]
    high = min(max(min(rooms, default=TEXT_MM), TEXT_MM), MOST_MM)
    for number, place in enumerate(places, 1):
        yield from _number(str(number), place, high, sheet, scale)


def _number(said: str, place: Place, high: float, sheet: CutSheet, scale: float) -> Iterator[Svg]:
    """One number; beside a narrow piece a line leads to it."""
    x, y = _to_paper(sheet, scale)(place.beside or place.inside)
    if place.beside is not None:
        end = _to_paper(sheet, scale)(place.inside)
        yield tag("path", d=run([(x, y), end]), stroke_width=HATCH_MM, **paint(stroke="ink"))
        yield tag("circle", cx=end[0], cy=end[1], r="0.5", **paint(fill="ink"))
    ground = FIGURE * high * len(said) + 2 * WHITE
    fill = "wood" if place.beside is None else "sheet"
    corner = {"x": x - ground / 2, "y": y - high / 2 - WHITE, "width": ground, "height": high + 2 * WHITE}
    yield tag("rect", **corner, **paint(fill=fill))
    yield text(x, y + high / 2, said, high / CAPITAL, text_anchor="middle", **paint(fill="ink"))


def _to_paper(sheet: CutSheet, scale: float) -> Callable[[Point], Point]:
    return lambda p: (p[0] * scale, (sheet.stock.width_mm - p[1]) * scale)


def grouped(sheet: CutSheet) -> dict[str, list[tuple[int, Placement]]]:
    """The pieces of a sheet by form, each with its number in the picture."""
    found: dict[str, list[tuple[int, Placement]]] = {}
    for number, placement in enumerate(sheet.placements, 1):
        found.setdefault(placement.part.form, []).append((number, placement))
    return found
