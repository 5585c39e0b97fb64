"""Stage `reports`: a section through part and form at the face, large: every ply and whatever lies between.

In: a Form. Out: a View at a scale of its own, the form's side below for a male form and above for a female one.
"""

from __future__ import annotations

from itertools import accumulate, groupby

from formgen.drafting.ink import EDGE, HATCHING, PART, PLIES, SIZES, TINT, Fill, Pen, Words, line
from formgen.drafting.numbers import fine
from formgen.drafting.paper import TEXT_MM
from formgen.drafting.signs import break_line
from formgen.drafting.text import broken, wide
from formgen.drafting.view import View
from formgen.fixed import fixed
from formgen.holding.model import Holding
from formgen.lengths import Units
from formgen.reports.drawing.front import LEAST_APART_MM

#: Width of the section, of the form's strip in it, height of its rows of text, most height of the stack (mm on paper).
WIDE_MM, FORM_MM, ROW_MM, MOST_MM = 24.0, 9.0, 5.0, 42.0
#: Room for a name (mm on paper): of a longer one stands here what comes before its comma, else its first words; all of
#: it stands in the list of plies.
NAME_MM = 40.0
#: Grain of a ply: length of a dash, gap, least white between two rows, and round a ply's number (mm on paper).
DASH_MM, GAP_MM, GRAIN_MM, NUMBER_MM = 3.6, 1.4, 1.3, 0.8
#: Enlargements that are tried, the greatest first.
ENLARGED: dict[Units, tuple[float, ...]] = {
    "in": (4.0, 2.0, 1.0, 0.5, 0.25, 0.125),
    "mm": (5.0, 2.0, 1.0, 0.5, 0.2, 0.1),
}


@fixed
class _Band:
    """One thickness of the section."""

    name: str
    thickness_mm: float
    ply: int = 0


def section_scale(form: Holding) -> float:
    """The greatest enlargement at which the part is not too high."""
    pressing = form.pressing
    thick = sum(t for _, t in (*pressing.between, *pressing.over)) + pressing.laminate.thickness_mm
    choices = ENLARGED[pressing.recipe.units]
    return next((s for s in choices if s * thick <= MOST_MM), choices[-1])


def section_view(form: Holding) -> View:
    """The view."""
    pressing = form.pressing
    units = pressing.recipe.units
    scale = section_scale(form)
    view = View(scale=scale, units=units, text_mm=TEXT_MM)
    plies = [_Band(name=p.wood, thickness_mm=p.thickness_mm, ply=p.number) for p in pressing.laminate.plies]
    between = [_Band(name=n, thickness_mm=t) for n, t in pressing.between]
    over = [_Band(name=n, thickness_mm=t) for n, t in pressing.over]
    male = pressing.side == "male"
    bands = [*reversed(between), *plies, *over] if male else [*reversed(over), *plies, *between]
    ends = list(accumulate((band.thickness_mm * scale for band in bands), initial=0.0))
    y, spans = ends[-1], list(zip(bands, ends, ends[1:], strict=False))
    _bands(view, spans)
    low, high = (-FORM_MM, 0.0) if male else (y, y + FORM_MM)
    face, cut = (high, low) if male else (low, high)
    view.paper.put(line(EDGE, (0.0, face), (WIDE_MM, face)))
    _hatched(view, low, high)
    view.paper.put(break_line(SIZES, (0.0, cut), (WIDE_MM, cut)))
    for x in (0.0, WIDE_MM):  # the part is deeper, and the form longer
        view.paper.put(line(SIZES, (x, min(low, 0.0)), (x, max(high, y))))
    rows = [(low + high) / 2, *((a + b) / 2 for _, a, b in _groups(spans))]
    texts = ["form", *(_said(held, view.units) for held, _, _ in _groups(spans))]
    _rows(view, rows, texts)
    return view


def _groups(spans: list[tuple[_Band, float, float]]) -> list[tuple[list[_Band], float, float]]:
    """Neighbouring plies that are alike as one, and each other thing alone."""
    found = []
    for _, run in groupby(spans, key=lambda s: (s[0].name, s[0].thickness_mm, s[0].ply > 0)):
        held = list(run)
        found.append(([band for band, _, _ in held], held[0][1], held[-1][2]))
    return found


def _said(held: list[_Band], units: Units) -> str:
    thick = fine(held[0].thickness_mm, units)
    name = next((n for n in (held[0].name, held[0].name.partition(",")[0]) if wide(n, TEXT_MM) <= NAME_MM), "")
    name = name or broken(held[0].name, NAME_MM, TEXT_MM)[0]
    if not held[0].ply:
        return f"{name} {thick}"
    numbers = f"ply {held[0].ply}" if len(held) == 1 else f"plies {held[0].ply}–{held[-1].ply}"
    return f"{numbers}: {name} {thick}"


def _bands(view: View, spans: list[tuple[_Band, float, float]]) -> None:
    plies = [(a, b) for band, a, b in spans if band.ply]
    bottom, top = plies[0][0], plies[-1][1]
    ring = ((0.0, bottom, 0.0), (WIDE_MM, bottom, 0.0), (WIDE_MM, top, 0.0), (0.0, top, 0.0))
    view.paper.put(Fill(pen=TINT, vertices=ring))
    for band, a, b in spans:
        pen: Pen = PLIES if band.ply else SIZES
        for y in (a, b):
            if not band.ply or (bottom + 0.01 < y < top - 0.01 and b - a >= LEAST_APART_MM):
                view.paper.put(line(pen, (0.0, y), (WIDE_MM, y)))
        numbered = b - a >= TEXT_MM + 0.6
        if band.ply:
            _grain(view, band.ply, a, b, numbered=numbered)
        if band.ply and numbered:
            at = (WIDE_MM / 2, (a + b - TEXT_MM) / 2)
            view.paper.put(Words(text=str(band.ply), at=at, height_mm=TEXT_MM, anchor="middle"))
    for y in (bottom, top):
        view.paper.put(line(PART, (0.0, y), (WIDE_MM, y)))


def _grain(view: View, ply: int, low: float, high: float, *, numbered: bool) -> None:
    """Short level dashes, staggered from row to row: wood, unlike the hatching of sheet; clear of the ply's number."""
    count = int((high - low) / GRAIN_MM)
    half = wide(str(ply), TEXT_MM) / 2 + NUMBER_MM if numbered else 0.0
    for row in range(1, count):
        y = low + row * (high - low) / count
        x = -DASH_MM * ((ply + row) % 2) / 2 - (row % 3) * GAP_MM / 2
        while x < WIDE_MM:
            a, b = max(x, 0.4), min(x + DASH_MM, WIDE_MM - 0.4)
            if b - a > 0.5 and not (a < WIDE_MM / 2 + half and b > WIDE_MM / 2 - half and numbered):
                view.paper.put(line(HATCHING, (a, y), (b, y)))
            x += DASH_MM + GAP_MM


def _hatched(view: View, low: float, high: float) -> None:
    """Lines at 45° across the form's strip."""
    step, tall = 2.2, high - low
    x = -tall + step
    while x < WIDE_MM:
        a, b = max(x, 0.0), min(x + tall, WIDE_MM)
        view.paper.put(line(HATCHING, (a, low + a - x), (b, low + b - x)))
        x += step


def _rows(view: View, heights: list[float], texts: list[str]) -> None:
    """Texts in a column to the right, each on a leader from its band, never nearer than a row's height."""
    order = sorted(range(len(heights)), key=lambda i: heights[i])
    placed: list[float] = []
    for i in order:
        placed.append(max(heights[i], placed[-1] + ROW_MM) if placed else heights[i])
    lift = sum(p - heights[i] for p, i in zip(placed, order, strict=True)) / len(order)
    for p, i in zip(placed, order, strict=True):
        y = p - lift
        view.paper.put(line(SIZES, (WIDE_MM - 2.0, heights[i]), (WIDE_MM + 5.0, y), (WIDE_MM + 7.0, y)))
        view.paper.put(Words(text=texts[i], at=(WIDE_MM + 8.0, y - TEXT_MM / 2), height_mm=TEXT_MM))
