"""Stage `sheets`: a layout held against its rules, exactly, arcs included; no layout leaves this stage without it.

In: `Sheets` from any engine, or made again from a record. Out: one line for each thing that is wrong; none means good.
Distances are closed forms (`apart`); nothing is flattened.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import combinations

from formgen.geometry.outline import Outline
from formgen.sheets.apart import gap_mm
from formgen.sheets.model import CutSheet, Placement, Rules, Sheets

#: Distances that fall short by less than this are good: the rounding of the machine, not of the router (mm).
FUZZ_MM = 1e-6


def check_layout(sheets: Sheets) -> list[str]:
    """Find faults of a layout: pieces too near each other or the edge, turned wrongly, left out, laid out twice."""
    found = [line for sheet in sheets.sheets for line in _sheet(sheet, sheets.rules)]
    return [*found, *_counts(sheets)]


def _sheet(sheet: CutSheet, rules: Rules) -> Iterator[str]:
    where = f"sheet {sheet.number}"
    for p in sheet.placements:
        yield from (f"{where}: {p.part.name} {line}" for line in _alone(p, sheet, rules))
    for a, b in combinations(sheet.placements, 2):
        gap = gap_mm(a.outline, b.outline, rules.gap_mm)
        if gap <= 0.0:
            yield f"{where}: {a.part.name} and {b.part.name} overlap or touch, expected {rules.gap_mm:.3f} mm apart"
        elif gap < rules.gap_mm - FUZZ_MM:
            yield f"{where}: {a.part.name} and {b.part.name} are {gap:.3f} mm apart, expected {rules.gap_mm:.3f}"
        yield from (f"{where}: {line}" for line in [*_nicked(a, b, rules), *_nicked(b, a, rules)])


def _alone(p: Placement, sheet: CutSheet, rules: Rules) -> Iterator[str]:
    """List what is wrong with one piece, whatever lies beside it."""
    stock = sheet.stock
    if p.sheet != sheet.number:
        yield f"says that it lies on sheet {p.sheet}"
    if p.mirrored:
        yield "is mirrored, expected its labelled face up"
    if p.angle_deg not in rules.rotations_deg:
        turns = ", ".join(f"{angle:g}" for angle in rules.rotations_deg)
        yield f"is turned by {p.angle_deg:g} degrees, expected one of {turns}"
    if (p.part.board, p.part.thickness_mm) != (stock.board, stock.thickness_mm):
        board = f"{p.part.board} {p.part.thickness_mm:g} mm"
        yield f"is of {board}, but the sheet of {stock.board} {stock.thickness_mm:g} mm"
    margin = _inside_mm(p.outline, sheet)
    if margin < stock.edge_margin_mm - FUZZ_MM:
        yield f"comes within {margin:.3f} mm of the sheet's edge, expected {stock.edge_margin_mm:.3f}"
    for groove in p.piece.grooves:
        if _inside_mm(groove.outline, sheet) < -FUZZ_MM:
            yield "has a groove that runs off the sheet"


def _inside_mm(outline: Outline, sheet: CutSheet) -> float:
    x0, y0, x1, y1 = outline.bounds
    return min(x0, y0, sheet.stock.length_mm - x1, sheet.stock.width_mm - y1)


def _nicked(a: Placement, b: Placement, rules: Rules) -> Iterator[str]:
    """A groove of one piece that runs out too near another piece."""
    for groove in a.piece.grooves:
        gap = gap_mm(groove.outline, b.outline, rules.margin_mm)
        if gap < rules.margin_mm - FUZZ_MM:
            yield (
                f"a groove of {a.part.name} runs out to {gap:.3f} mm from {b.part.name}, expected {rules.margin_mm:.3f}"
            )


def _counts(sheets: Sheets) -> Iterator[str]:
    """Parts left out or laid out twice, and more sheets than there are."""
    wanted = Counter(part.name for part in sheets.parts)
    held = Counter(p.part.name for sheet in sheets.sheets for p in sheet.placements)
    for name in sorted(wanted.keys() | held.keys()):
        if held[name] != wanted[name]:
            yield f"{name} is laid out {held[name]} times, expected {wanted[name]}"
    taken = Counter(sheet.stock for sheet in sheets.sheets)
    for stock, count in taken.items():
        if stock.quantity is not None and count > stock.quantity:
            size = f"{stock.length_mm:.0f} × {stock.width_mm:.0f} mm"
            yield f"{count} of {stock.board} {size} are taken, but there are {stock.quantity}"
        if stock not in sheets.stock:
            yield f"{stock.board} {stock.length_mm:.0f} × {stock.width_mm:.0f} mm is not in stock"
