"""Parts made of plain outlines, and a second opinion on layouts from shapely."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations

import shapely

from formgen.form.stack import Piece
from formgen.geometry.outline import Outline
from formgen.sheets.model import Part, Rules, Sheets, Stock

RULES = Rules(cutter_mm=10.0, margin_mm=5.0, rotations_deg=(0.0, 90.0, 180.0, 270.0), keep_mm=200.0)
#: Flattening tolerance of the second opinion (mm): a polygon lies within this of its outline.
FINE_MM = 1e-3


def piece_of(outline: Outline, name: str = "L01") -> Piece:
    """A piece with nothing cut into it."""
    return Piece(name=name, outline=outline, openings=(), holes=(), grooves=(), marks=(), labels=())


def parts_of_outlines(outlines: Sequence[Outline], board: str = "mdf") -> list[Part]:
    """A part for each outline, each a form of its own."""
    return [
        Part(form=f"form-{i:03d}", layer=1, openings=(), piece=piece_of(o), board=board, thickness_mm=18.0)
        for i, o in enumerate(outlines)
    ]


def stock_of_size(
    length_mm: float, width_mm: float, *, quantity: int | None = None, offcut: bool = False, edge_mm: float = 12.0
) -> Stock:
    """A size of sheet."""
    return Stock(
        board="mdf", length_mm=length_mm, width_mm=width_mm, thickness_mm=18.0, edge_margin_mm=edge_mm,
        quantity=quantity, offcut=offcut,
    )  # fmt: skip


def box(length_mm: float, width_mm: float) -> Outline:
    """A rectangle at the origin."""
    return Outline(((0, 0, 0), (length_mm, 0, 0), (length_mm, width_mm, 0), (0, width_mm, 0)))


def ring(radius_mm: float, width_mm: float, half_rad: float) -> Outline:
    """A piece of a ring about the origin, `half_rad` to either side of the y axis, outer radius and width given."""
    outer, inner = radius_mm, radius_mm - width_mm
    s, c, bulge = math.sin(half_rad), math.cos(half_rad), math.tan(half_rad / 2)
    return Outline(
        (
            (outer * s, outer * c, bulge),
            (-outer * s, outer * c, 0.0),
            (-inner * s, inner * c, -bulge),
            (inner * s, inner * c, 0.0),
        )
    )


def faults_by_shapely(sheets: Sheets) -> list[str]:
    """What shapely finds wrong with a layout, from polygons within `FINE_MM` of the outlines.

    Distances between polygons are within twice that of those between outlines.
    """
    found = []
    for sheet in sheets.sheets:
        shapes = [shapely.Polygon(p.outline.flattened(FINE_MM)) for p in sheet.placements]
        inner = shapely.box(
            *(sheet.stock.edge_margin_mm,) * 2,
            sheet.stock.length_mm - sheet.stock.edge_margin_mm,
            sheet.stock.width_mm - sheet.stock.edge_margin_mm,
        ).buffer(2 * FINE_MM, join_style="mitre")
        found += [f"{sheet.number}: outside" for s in shapes if not inner.contains(s)]
        for a, b in combinations(shapes, 2):
            if a.distance(b) < sheets.rules.gap_mm - 2 * FINE_MM:
                found.append(f"{sheet.number}: {a.distance(b)} apart")
    return found
