"""Stage `sheets`: what the same pieces would take if each were laid out by the box around it; a measure, never cut.

In: parts, stock, rules. Out: a number of new sheets. The quick engine packs the boxes, at the shop's rotations and
distances; what nesting saves is counted against it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from formgen.geometry.outline import Outline
from formgen.sheets.layout import sheet_parts
from formgen.sheets.model import Effort, Part, Rules, Stock


def boxed(part: Part) -> Part:
    """A part as a plain rectangle, as it lies in the stack."""
    x0, y0, x1, y1 = part.piece.outline.bounds
    box = Outline(((x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0)))
    return replace(part, piece=replace(part.piece, outline=box, openings=(), holes=(), grooves=(), marks=(), labels=()))


def sheets_in_boxes(
    parts: Sequence[Part], stock: Sequence[Stock], rules: Rules, effort: Effort = "preview"
) -> int | None:
    """New sheets that the boxes take; None where the stock does not suffice for them."""
    sheets = sheet_parts([boxed(part) for part in parts], stock, rules, effort, engine="quick")
    return None if sheets.unplaced else sheets.new_sheets
