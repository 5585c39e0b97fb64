"""Stage `reports`: the kinds of line on a template, each with a sample and what it means.

In: what the template shows. Out: ink, mm on paper; only the kinds that this template has.
"""

from __future__ import annotations

from formgen.drafting.field import Field
from formgen.drafting.ink import BAR, CENTRE, EDGE, HIDDEN, SPRINGING, TRIM, Ink, Pen, Stroke, Words, line
from formgen.drafting.paper import TEXT_MM
from formgen.drafting.signs import trim_line
from formgen.drafting.text import broken
from formgen.drafting.view import View
from formgen.reports.template.contents import Contents
from formgen.reports.template.cut import ALONG_MM, INTO_MM, TICK

#: Length of a sample, how far the words stand behind its begin, from line to line, from kind to kind (mm).
SAMPLE_MM, WORDS_MM, ROW_MM, KIND_MM = 17.0, 21.0, 4.6, 5.6


def legend(contents: Contents, left_mm: float, top_mm: float, wide_mm: float) -> tuple[list[Ink], float]:
    """Samples one below another, their words' first base line at the top; how far down the paper is then free."""
    inks: list[Ink] = []
    y = top_mm
    for pen, text in _kinds(contents):
        inks += _sample(pen, left_mm, y + TEXT_MM / 2)
        for part in broken(text, wide_mm - WORDS_MM, TEXT_MM):
            inks.append(Words(text=part, at=(left_mm + WORDS_MM, y), height_mm=TEXT_MM))
            y -= ROW_MM
        y -= KIND_MM - ROW_MM
    return inks, y


def _kinds(contents: Contents) -> list[tuple[Pen, str]]:
    """Pens of the template with what they mean."""
    subject = contents.subject
    used = {ink.pen for ink in (*contents.cut, *contents.marked) if isinstance(ink, Stroke)}
    centre = "centre line" if not any(layer.joints for layer in subject.form.layers) else "centre line, joint: as named"
    kinds = (
        (EDGE, "cut; ticks in the wood"),
        (HIDDEN, "cut on layers named"),
        (TRIM, "trim the part here"),
        (SPRINGING, "springing line"),
        (CENTRE, centre),
        (BAR, "spreader bar"),
    )
    return [(pen, text) for pen, text in kinds if pen in used]


def _sample(pen: Pen, x_mm: float, y_mm: float) -> list[Ink]:
    ends = (x_mm, y_mm), (x_mm + SAMPLE_MM, y_mm)
    if pen is TRIM:
        view = View(scale=1.0, units="mm", paper=Field())
        trim_line(view, *ends)
        return view.paper.inks
    ticks = (0.2, 0.7) if pen is EDGE else ()
    slant = [(x_mm + share * SAMPLE_MM, y_mm) for share in ticks]
    return [line(pen, *ends), *(line(TICK, at, (at[0] + ALONG_MM * 0.8, at[1] + INTO_MM * 0.8)) for at in slant)]
