"""Stage `reports`: DO NOT PRESS on paper, with the reasons in words.

In: a form with all its findings, and the width that is free. Out: words in place, to stand at the head of a page;
nothing where the part may be pressed.
"""

from __future__ import annotations

from formgen.drafting.ink import FRAME, Ink, Words, box
from formgen.drafting.paper import TEXT_MM, THICK_MM
from formgen.drafting.text import broken
from formgen.form.model import Form
from formgen.holding.do_not_press import reasons
from formgen.reports.press_sheet.laid import PITCH, Laid, Word, line_mm, paragraph, rectangle
from formgen.verdict import MARK

#: Height of the mark's capitals and of the reasons' (mm), the white inside the frame, and that under the mark.
MARK_MM, REASON_MM, WHITE_MM, UNDER_MM = 7.0, TEXT_MM, 2.0, 1.5


def stamp_lines(form: Form, width_mm: float) -> list[str]:
    """Return the reasons as lines no longer than a width, each reason begun on a line of its own."""
    units = form.recipe.units
    return [line for said in reasons(form.all_findings, units) for line in broken(said, width_mm, REASON_MM)]


def stamp(form: Form, width_mm: float) -> list[Laid]:
    """Return the mark in its frame with the reasons below it, for a page that is laid out from the top; none or one."""
    units = form.recipe.units
    found = reasons(form.all_findings, units)
    if not found:
        return []
    inner = width_mm - 2.0 * WHITE_MM
    down = WHITE_MM + MARK_MM
    words = [Word(x_mm=WHITE_MM, y_mm=down, text=MARK, capital_mm=MARK_MM)]
    down += UNDER_MM
    for said in found:
        laid = paragraph(said, inner, REASON_MM).moved(WHITE_MM, down)
        words += laid.words
        down += laid.height_mm
    down += 1.0
    return [Laid(height_mm=down, words=tuple(words), rules=rectangle(0.0, 0.0, width_mm, down, THICK_MM))]


def stamp_height_mm(form: Form, width_mm: float) -> float:
    """Return the paper that `stamp_inks` takes at a width; 0 where there is no mark."""
    lines = stamp_lines(form, width_mm - 2.0 * WHITE_MM)
    return 2.0 * WHITE_MM + MARK_MM + UNDER_MM + len(lines) * PITCH * REASON_MM if lines else 0.0


def stamp_inks(form: Form, x_mm: float, top_mm: float, width_mm: float) -> tuple[Ink, ...]:
    """Return the mark in its frame with the reasons, hanging from a height on a drawing; nothing without a mark."""
    lines = stamp_lines(form, width_mm - 2.0 * WHITE_MM)
    if not lines:
        return ()
    y = top_mm - WHITE_MM - MARK_MM
    inks: list[Ink] = [Words(text=MARK, at=(x_mm + WHITE_MM, y), height_mm=MARK_MM)]
    for i, line in enumerate(lines):
        at = (x_mm + WHITE_MM, y - UNDER_MM - line_mm(REASON_MM) - i * PITCH * REASON_MM)
        inks.append(Words(text=line, at=at, height_mm=REASON_MM))
    frame = box(FRAME, x_mm, top_mm - stamp_height_mm(form, width_mm), x_mm + width_mm, top_mm)
    return (*inks, frame)
