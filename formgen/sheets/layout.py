"""Stage `sheets`: all pieces of all forms on sheets.

In: forms and the shop. Out: `Sheets`, held against the rules before it is returned. Pieces of each board are laid out
on their own. The quick engine answers on every Python; the dense one is tried where its library is installed, and its
layout is kept where it passes the check and takes no more sheets. What the same pieces would take if each were laid out
by the box around it is a measure, never cut: what nesting saves is counted against it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace
from typing import Literal

from formgen.errors import SheetError
from formgen.form.model import Form
from formgen.geometry.outline import Outline
from formgen.lengths import Units
from formgen.recipe.shop import Shop
from formgen.sheets.dense import dense_installed, dense_layout
from formgen.sheets.gate import check_layout
from formgen.sheets.leftover import rests_of
from formgen.sheets.model import (
    CutSheet,
    Effort,
    Engine,
    Part,
    Placement,
    Rest,
    Rules,
    Run,
    Sheets,
    Stock,
    edge_mm,
    room_mm,
)
from formgen.sheets.parts import parts_of, rules_of, stock_of, units_of
from formgen.sheets.quick import quick_layout
from formgen.sheets.task import Filled, Room, Task, fits, layout_cost

Choice = Literal["auto", "quick", "dense"]


def sheet_forms(
    forms: Sequence[Form],
    shop: Shop,
    effort: Effort = "normal",
    *,
    engine: Choice = "auto",
    openings: Mapping[str, tuple[str, ...]] | None = None,
) -> Sheets:
    """All pieces of all forms on stock sheets and offcuts.

    Args:
        forms: whose pieces are cut.
        shop: cutter, stock, offcuts, rotations.
        effort: budget of moves.
        engine: `auto` tries the dense one where it is installed; the others ask for one of them.
        openings: marks of the openings that come off each form, by its name.

    Raises:
        SheetError: a piece larger than every sheet, two forms of one name, or an engine that is not installed.
    """
    if engine == "dense" and not dense_installed():
        raise SheetError(
            "the dense engine needs the library packingsolver, which is not installed: it comes with formgen on "
            "Python 3.12 and newer; install formgen there, or take the quick engine"
        )
    return sheet_parts(
        parts_of(forms, openings or {}),
        stock_of(forms, shop),
        rules_of(shop),
        effort,
        engine=engine,
        shop=shop,
        units=units_of(forms, shop),
    )


def sheet_parts(
    parts: Sequence[Part],
    stock: Sequence[Stock],
    rules: Rules,
    effort: Effort = "normal",
    *,
    engine: Choice = "auto",
    shop: Shop | None = None,
    units: Units = "mm",
) -> Sheets:
    """Parts on stock; as `sheet_forms`, for parts that are known already."""
    sheets: list[CutSheet] = []
    runs: list[Run] = []
    for board, (task, kinds) in sheet_tasks(parts, stock, rules).items():
        which, filled, why = _best(task, kinds, rules, effort, engine)
        made = _cut(filled, kinds, rules, len(sheets) + 1)
        sheets += made
        offcuts = sum(sheet.stock.offcut for sheet in made)
        runs.append(
            Run(
                board=board,
                engine=which,
                effort=effort,
                why=why,
                sheets=len(made) - offcuts,
                offcuts=offcuts,
                at_least=_at_least(task),
            )
        )
    laid = {p.part for sheet in sheets for p in sheet.placements}
    result = Sheets(
        parts=tuple(parts),
        stock=tuple(stock),
        rules=rules,
        sheets=tuple(sheets),
        runs=tuple(runs),
        unplaced=tuple(part for part in parts if part not in laid),
        router=(shop or Shop()).router,
        units=units,
    )
    wrong = check_layout(replace(result, parts=tuple(part for part in parts if part in laid)))
    if wrong:  # the engines' layouts were looked at already: this is a fault of this program
        raise SheetError(f"{wrong[0]}: the layout is refused; please report this")
    return result


def sheet_tasks(
    parts: Sequence[Part], stock: Sequence[Stock], rules: Rules
) -> dict[str, tuple[Task, list[list[Part]]]]:
    """Return what an engine is given for each board, and the parts of each kind in it.

    Raises:
        SheetError: a part larger than every sheet.
    """
    boards = dict.fromkeys(part.board for part in parts)
    return {
        board: _task([p for p in parts if p.board == board], [s for s in stock if s.board == board], rules)
        for board in boards
    }


def _task(parts: Sequence[Part], stock: Sequence[Stock], rules: Rules) -> tuple[Task, list[list[Part]]]:
    """The parts of one board by kinds, the largest first.

    Raises:
        SheetError: a part larger than every sheet.
    """
    by_outline: dict[Outline, list[Part]] = {}
    for part in parts:
        by_outline.setdefault(part.piece.outline, []).append(part)
    kinds = sorted(by_outline.values(), key=lambda alike: (-alike[0].piece.outline.area_mm2, alike[0].name))
    rooms = tuple(
        Room(stock=s, edge_mm=edge_mm(s, parts)) for s in sorted(stock, key=lambda s: (s.priority, s.area_mm2))
    )
    task = Task(
        kinds=tuple(alike[0].piece.outline for alike in kinds),
        counts=tuple(len(alike) for alike in kinds),
        rooms=rooms,
        gap_mm=room_mm(parts, rules),
        rotations_deg=rules.rotations_deg,
    )
    for alike in kinds:
        outline = alike[0].piece.outline
        if not any(fits(outline, room, rules.rotations_deg) for room in rooms):
            x0, y0, x1, y1 = outline.bounds
            sizes = ", ".join(f"{r.sides_mm[0]:.0f} × {r.sides_mm[1]:.0f}" for r in rooms) or "none in stock"
            raise SheetError(
                f"{alike[0].name} is {x1 - x0:.0f} × {y1 - y0:.0f} mm as it lies, expected it to fit inside the "
                f"margins of a sheet of {alike[0].board} ({sizes} mm) at one of the shop's rotations: "
                "use a larger sheet, more pieces a layer (form.least_pieces), or allow other rotations"
            )
    return task, kinds


def _best(
    task: Task, kinds: Sequence[Sequence[Part]], rules: Rules, effort: Effort, engine: Choice
) -> tuple[Engine, list[Filled], str]:
    """The layout that leaves nothing out and takes the least new board; the dense one where they are even."""
    if engine == "quick":
        return "quick", quick_layout(task, effort), "asked for"
    if not dense_installed():
        return "quick", quick_layout(task, effort), "the dense one is not installed"
    dense = dense_layout(task, effort)
    wrong = ["it found none"] if dense is None else _wrong(dense, kinds, rules)
    if engine == "dense" and dense is not None and not wrong:
        return "dense", dense, "asked for"
    if dense is None or wrong:
        return "quick", quick_layout(task, effort), f"the dense engine's layout was refused: {wrong[0]}"
    quick = quick_layout(task, "preview")
    if layout_cost(quick, task) < layout_cost(dense, task):
        return "quick", quick, f"takes less than the dense engine's {len(dense)} sheets"
    return "dense", dense, f"the quick engine took {len(quick)} sheets"


def _wrong(filled: Sequence[Filled], kinds: Sequence[Sequence[Part]], rules: Rules) -> list[str]:
    """List what the check finds in a layout, beside parts that are left out."""
    sheets = tuple(_cut(filled, kinds, rules, 1, keep_rests=False))
    parts = tuple(p.part for sheet in sheets for p in sheet.placements)
    stock = tuple(dict.fromkeys(sheet.stock for sheet in sheets))
    return check_layout(Sheets(parts=parts, stock=stock, rules=rules, sheets=sheets, runs=(), unplaced=()))


def _cut(
    filled: Sequence[Filled], kinds: Sequence[Sequence[Part]], rules: Rules, first: int, *, keep_rests: bool = True
) -> list[CutSheet]:
    """Sheets with parts: of those that are cut alike, the first form's first layer is cut first."""
    waiting = [iter(alike) for alike in kinds]
    sheets = []
    for number, sheet in enumerate(filled, first):
        stock = sheet.room.stock
        spots = sorted(sheet.spots, key=lambda s: _left_end(s.motion.outline(kinds[s.kind][0].piece.outline)))
        placements = tuple(Placement(part=next(waiting[s.kind]), sheet=number, **asdict(s.motion)) for s in spots)
        rests: tuple[Rest, ...] = ()
        if keep_rests:
            outlines = [p.outline for p in placements]
            rests = rests_of(outlines, stock.length_mm, stock.width_mm, rules.cutter_mm, rules.keep_mm)
        sheets.append(CutSheet(number=number, stock=stock, placements=placements, rests=rests))
    return sheets


def _left_end(outline: Outline) -> tuple[float, float]:
    x0, y0, _, _ = outline.bounds
    return round(x0, 3), round(y0, 3)


def _at_least(task: Task) -> int:
    """New sheets that any layout takes: the pieces' area over what lies inside the margins of the largest sheet."""
    new = [room for room in task.rooms if not room.stock.offcut]
    area = math.fsum(n * kind.area_mm2 for n, kind in zip(task.counts, task.kinds, strict=True))
    offcuts = math.fsum(room.area_mm2 * (room.stock.quantity or 0) for room in task.rooms if room.stock.offcut)
    largest = max((room.area_mm2 for room in new), default=0.0)
    return math.ceil(max(area - offcuts, 0.0) / largest - 1e-9) if largest else 0


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
