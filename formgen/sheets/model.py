"""Stage `sheets`: the result, which piece is cut from which sheet, and where on it.

A sheet's own axes: x along its length, y along its width, origin at its lower left corner; mm. Pieces lie with
their labelled face up, as in the stack, and are turned but never mirrored.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import field
from functools import cached_property
from typing import Literal

import numpy as np

from formgen.fixed import fixed
from formgen.form.stack import Piece
from formgen.geometry.distance import distances_mm
from formgen.geometry.outline import Outline
from formgen.lengths import Units
from formgen.recipe.shop import Router
from formgen.sheets.motion import Motion

Engine = Literal["quick", "dense"]
Effort = Literal["preview", "normal", "most"]


@fixed
class Part:
    """A piece to be cut.

    Args:
        form: name of the form.
        layer: number of the layer in its stack.
        openings: marks of the openings that come off the form; empty for a form of its own.
        piece: where it lies in the stack.
        board: name of the sheet in the shop file or catalogue: what it is cut from.
        thickness_mm: of that sheet, as measured.
        problems: why nothing must be pressed on the form, in words; empty where it may.
    """

    form: str
    layer: int
    openings: tuple[str, ...]
    piece: Piece
    board: str
    thickness_mm: float
    problems: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """Form and piece: `porch-door-jamb L03-2`."""
        return f"{self.form} {self.piece.name}"

    @cached_property
    def run_out_mm(self) -> float:
        """The distance that grooves reach past the outline."""
        outline = self.piece.outline
        corners = [v[:2] for groove in self.piece.grooves for v in groove.outline.vertices]
        beyond = [p for p in corners if not outline.contains(p)]
        return float(distances_mm(np.array(beyond), outline.edges).max()) if beyond else 0.0


@fixed
class Stock:
    """A size of sheet or offcut that pieces can be cut from.

    Args:
        board: name of the sheet that it is of.
        length_mm, width_mm: along x and y.
        thickness_mm: as measured.
        edge_margin_mm: what is left free along every edge.
        quantity: how many there are; None where there is no end of them.
        offcut: left from other work, and used before new sheets.
    """

    board: str
    length_mm: float
    width_mm: float
    thickness_mm: float
    edge_margin_mm: float
    quantity: int | None
    offcut: bool

    @property
    def priority(self) -> int:
        """The lower, the sooner it is used."""
        return 0 if self.offcut else 1

    @property
    def area_mm2(self) -> float:
        """Area of the whole sheet."""
        return self.length_mm * self.width_mm


@fixed
class Rules:
    """The rules by which pieces may lie.

    Args:
        cutter_mm: diameter of the router bit, which runs round every piece.
        margin_mm: what must stay between two cuts.
        rotations_deg: how a piece may be turned from where it lies in the stack.
        keep_mm: shorter side from which an offcut is worth keeping.
    """

    cutter_mm: float
    margin_mm: float
    rotations_deg: tuple[float, ...]
    keep_mm: float

    @property
    def gap_mm(self) -> float:
        """Least distance between two outlines."""
        return self.cutter_mm + self.margin_mm


@fixed
class Placement:
    """A part on a sheet: turned about the stack's origin, then shifted.

    Args:
        part: what.
        sheet: number of the sheet, from 1.
        angle_deg: anticlockwise.
        dx_mm, dy_mm: shift.
        mirrored: never true of what this program lays out; there so that a record which says otherwise is refused.
    """

    part: Part
    sheet: int
    angle_deg: float
    dx_mm: float
    dy_mm: float
    mirrored: bool = False

    @property
    def motion(self) -> Motion:
        """From the stack to the sheet."""
        return Motion(self.angle_deg, self.dx_mm, self.dy_mm)

    @cached_property
    def outline(self) -> Outline:
        """The part's edge on the sheet."""
        return self.motion.outline(self.part.piece.outline)

    @cached_property
    def piece(self) -> Piece:
        """The piece on the sheet with all its features."""
        return self.motion.piece(self.part.piece)


@fixed
class Rest:
    """A rectangle of a sheet that is left over: its lower left corner and its sizes."""

    x_mm: float
    y_mm: float
    length_mm: float
    width_mm: float


@fixed
class CutSheet:
    """One sheet to be cut.

    Args:
        number: from 1, in cutting order.
        stock: which.
        placements: what is cut from it, from left to right.
        rests: rectangles worth keeping, the largest first; no two overlap.
    """

    number: int
    stock: Stock
    placements: tuple[Placement, ...]
    rests: tuple[Rest, ...] = ()

    @property
    def cut_mm2(self) -> float:
        """Area of the pieces cut from it, their holes not taken off."""
        return math.fsum(p.part.piece.outline.area_mm2 for p in self.placements)

    @property
    def usage(self) -> float:
        """Share of the sheet that becomes pieces."""
        return self.cut_mm2 / self.stock.area_mm2


@fixed
class Run:
    """The layout of one board: by which engine, and how good.

    Args:
        board: which.
        engine: what laid them out.
        effort: its budget.
        why: what was tried, and why this layout was kept.
        sheets: how many sheets, offcuts not counted.
        offcuts: how many offcuts.
        at_least: no layout takes fewer new sheets: area of the pieces over what of a sheet lies inside its margins.
    """

    board: str
    engine: Engine
    effort: Effort
    why: str
    sheets: int
    offcuts: int
    at_least: int


@fixed
class Sheets:
    """All pieces on their sheets.

    Args:
        parts: everything that was to be cut.
        stock: what it could be cut from.
        rules: how pieces may lie.
        sheets: in cutting order.
        runs: one for each board.
        unplaced: parts for which the stock did not suffice.
        router: what the router's control reads.
        units: of the drawings.
    """

    parts: tuple[Part, ...]
    stock: tuple[Stock, ...]
    rules: Rules
    sheets: tuple[CutSheet, ...]
    runs: tuple[Run, ...]
    unplaced: tuple[Part, ...]
    router: Router = field(default_factory=Router)
    units: Units = "mm"

    @property
    def usage(self) -> float:
        """Share of all sheets that becomes pieces."""
        area = math.fsum(sheet.stock.area_mm2 for sheet in self.sheets)
        return math.fsum(sheet.cut_mm2 for sheet in self.sheets) / area if area else 0.0

    @property
    def problems(self) -> dict[str, tuple[str, ...]]:
        """Forms on which nothing must be pressed, with the reasons."""
        return {part.form: part.problems for part in self.parts if part.problems}

    @property
    def new_sheets(self) -> int:
        """Sheets that are not offcuts."""
        return sum(not sheet.stock.offcut for sheet in self.sheets)


def room_mm(parts: Sequence[Part], rules: Rules) -> float:
    """Least distance between outlines that keeps the cutter, and grooves that run out, off the neighbours."""
    run_out = max((part.run_out_mm for part in parts), default=0.0)
    return max(rules.cutter_mm, run_out) + rules.margin_mm


def edge_mm(stock: Stock, parts: Sequence[Part]) -> float:
    """Least distance of outlines from a sheet's edge; grooves that run out stay on the sheet."""
    return max(stock.edge_margin_mm, *(part.run_out_mm for part in parts), 0.0)
